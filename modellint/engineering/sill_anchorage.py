"""Anchor bolts of sill plates: number, spacing, ends, embedment (IRC R403.1.6; NBC and BCBC 9.23.6)."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from modellint.engineering.require import one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import ARITHMETIC, RESTATED
from modellint.engineering.us_units import FT, IN

SEISMIC_CATEGORIES = ("A", "B", "C", "D0", "D1", "D2", "E")

SOURCES = {
    "irc_rule": Source("code", "IRC 2018 and 2021", "R403.1.6", note="six places agree"),
    "irc_rule@seismic": Source("code", "IRC 2018 and 2021", "R403.1.6.1", note=RESTATED),
    "middle_third": Source("code", "IRC 2018 and 2021", "R403.1.6", note="three places agree"),
    "bolts_needed": ARITHMETIC,
    "nbc_rule": Source("code", "NBC 2020", "9.23.6.1", note="three places agree"),
    "bcbc_bolt_spacing": Source("code", "BCBC 2024", "Table 9.23.6.1", note=RESTATED),
    "BCBC_PANEL_END": Source("code", "BCBC 2024", "9.23.6.1", note=RESTATED),
    "CRIPPLE_WALL": Source("code", "California existing building code", "A304.3.1", note=RESTATED),
}


@dataclass(frozen=True)
class AnchorRule:
    """What a code wants of the bolts in one piece of sill plate.

    Attributes:
        count: least number of bolts.
        spacing: widest spacing, centre to centre [m].
        end_max: farthest first bolt from each plate end [m]; None where the code sets none.
        end_min: nearest bolt to a plate end [m]; None where the code sets none.
        diameter: least diameter [m].
        embedment: least embedment in concrete or grouted masonry [m].
        plate_washer: 3 × 3 × 0.229 in washers are wanted over the required braced length.
    """

    count: int
    spacing: float
    end_max: float | None
    end_min: float | None
    diameter: float
    embedment: float
    plate_washer: bool = False


def irc_rule(length: float, diameter: float, *, seismic_category: str, storeys: int,
             townhouse: bool = False) -> AnchorRule:
    """Rule for one plate piece under IRC R403.1.6 and R403.1.6.1.

    Two bolts per piece, 6 ft apart at most, one within 12 in and not nearer than 7 diameters of each end; a
    piece of 24 in or less one bolt, of 12 in or less none. In SDC D0 to D2 (townhouses in C) 4 ft in
    buildings over two storeys, and plate washers.

    Args:
        length: plate piece, between its own ends [m].
        diameter: bolt diameter in use [m], for the 7 diameters.
        seismic_category: one of SEISMIC_CATEGORIES; E is outside the prescriptive code and is refused.
        storeys: of the building, 1 or more.
        townhouse: the building is a townhouse.

    Raises:
        ValueError: an input out of range.
    """
    one_of(seismic_category, SEISMIC_CATEGORIES, "Seismic design category")
    if seismic_category == "E":
        raise ValueError("Seismic design category E is outside R403.1.6; the engineer decides.")
    if storeys < 1:
        raise ValueError("A building has at least one storey.")
    seismic = seismic_category in {"D0", "D1", "D2"} or (seismic_category == "C" and townhouse)
    positive(length, "Plate length")
    count = 0 if length <= 12 * IN + 1e-9 else 1 if length <= 24 * IN + 1e-9 else 2
    spacing = 4 * FT if seismic and storeys > 2 else 6 * FT
    ends = count == 2
    return AnchorRule(count, spacing, 12 * IN if ends else None, 7 * positive(diameter, "Bolt diameter"),
                      0.5 * IN,
                      7 * IN, seismic)


def middle_third(width: float) -> tuple[float, float]:
    """Zone for bolts across the plate [m] from one edge: its middle third.

    >>> middle_third(0.09)
    (0.03, 0.06)

    Raises:
        ValueError: width not above zero.
    """
    third = positive(width, "Plate width") / 3.0
    return third, 2.0 * third


def bolts_needed(length: float, rule: AnchorRule) -> int:
    """Fewest bolts that can meet count, spacing and end distance on a plate piece of this length [m].

    Raises:
        ValueError: length not above zero.
    """
    positive(length, "Plate length")
    if rule.count < 2 or rule.end_max is None:
        return rule.count
    between = max(0.0, length - 2 * rule.end_max)
    return max(rule.count, ceil(between / rule.spacing - 1e-9) + 1)


def nbc_rule(diameter: float) -> AnchorRule:
    """Rule of NBC 9.23.6.1 outside braced wall panels: 12.7 mm bolts at 2.4 m, 100 mm embedment.

    Args:
        diameter: bolt diameter in use [m].

    Raises:
        ValueError: diameter not above zero.
    """
    positive(diameter, "Bolt diameter")
    return AnchorRule(1, 2.4, None, None, 12.7e-3, 0.100)


_BCBC = {
    "GWB-A": (2.4, 2.4), "GWB-B": (2.4, 2.4), "GWB-C": (1.8, 2.4), "GWB-D": (1.4, 2.1), "WSP-A": (1.4, 2.1),
    "WSP-B": (0.8, 1.2), "WSP-C": (0.7, 1.0), "WSP-D": (0.6, 0.9), "WSP-E": (0.5, 0.8), "DWB": (0.8, 1.2),
}

BCBC_PANEL_END = 0.3
"""Farthest bolt from the edge of a braced wall panel, two bolts per panel at least [m]."""


def bcbc_bolt_spacing(panel: str, diameter: float) -> float:
    """Widest bolt spacing in a braced wall panel [m] (BCBC Table 9.23.6.1), for HWP up to 1.2 kPa and S_max
    up to 2.6.

    Args:
        panel: framing type, e.g. `WSP-B`.
        diameter: 12.7 mm or more [m]; 15.9 mm and more take the second column.

    Raises:
        ValueError: unknown framing type or a thinner bolt.
    """
    one_of(panel, _BCBC, "Braced panel type")
    if positive(diameter, "Bolt diameter") < 12.7e-3 - 1e-4:
        raise ValueError(f"A bolt of {diameter * 1e3:.1f} mm is thinner than 12.7 mm, the least tabulated.")
    return _BCBC[panel][1 if diameter >= 15.9e-3 - 1e-4 else 0]


CRIPPLE_WALL = {
    1: ((0.5 * IN, 6 * FT),),
    2: ((0.5 * IN, 4 * FT), (0.625 * IN, 6 * FT)),
    3: ((0.625 * IN, 4 * FT),),
}
"""Retrofit of cripple walls by storeys: alternatives of (bolt diameter, widest spacing) [m]."""
