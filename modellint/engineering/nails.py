"""Nails: names, sizes, withdrawal, penetration, tabulated lateral values, counts and overdriving."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from modellint.engineering.require import in_range, not_negative, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED
from modellint.engineering.us_units import IN, LBF, LBF_PER_IN

SOURCES = {
    "NAILS": Source("standard", "NDS 2018", "Appendix L4", note=RESTATED),
    "NAILS@6d common": Source("standard", "NDS 2018", "Appendix L4", memory=True),
    "nail_names": Source("standard", "NDS 2018", "Appendix L4", note=RESTATED),
    "withdrawal": Source("standard", "NDS 2018", "12.2.3 and Table 12.2C",
                         note="formula equals 18 restated cells"),
    "penetration_factor": Source("standard", "NDS 2018", "Table 12N note", note=RESTATED),
    "tabulated_lateral": Source("standard", "NDS 2018", "Table 12N", note=RESTATED),
    "panel_penetration": Source("standard", "SDPWS 2008 and 2015", "Table 4.3A", note=RESTATED),
    "nails_per_panel": Source("arithmetic"),
    "fastener_line": Source("arithmetic"),
    "MINIMUM_FASTENING": Source("code", "IRC 2018", "Table R602.3(1)", note=RESTATED),
    "SPLICE_NAILS": Source("code", "IRC 2018", "Table R602.3(1)", note=RESTATED),
    "SPLICE_LAP": Source("code", "IRC 2018", "Table R602.3(1)", note=RESTATED),
    "overdriven": Source("guide", "APA TT-012", "", note=RESTATED),
    "PANEL_EDGE_DISTANCE": Source("standard", "SDPWS 2008", "4.3.7.1", note=RESTATED),
}

PANEL_EDGE_DISTANCE = 3 / 8 * IN
"""Least distance of a nail from the panel edge [m]."""

MINIMUM_FASTENING = {
    "double_studs": ("10d common", 24 * IN),
    "double_top_plate": ("10d common", 24 * IN),
}
"""Face nailing of double members by IRC R602.3(1): nail and widest spacing [m]."""
SPLICE_NAILS = 8
"""16d nails at a top plate lap splice (IRC R602.3(1))."""
SPLICE_LAP = 24 * IN
"""Least lap of a top plate splice [m] (IRC R602.3(1))."""

_SIZE_SLACK = 0.06e-3


@dataclass(frozen=True)
class Nail:
    """A nail by its size; a pennyweight alone is not a nail.

    Attributes:
        diameter: shank [m].
        length: [m].
    """

    diameter: float
    length: float


NAILS = {
    "6d common": Nail(0.113 * IN, 2.0 * IN),
    "8d common": Nail(0.131 * IN, 2.5 * IN),
    "10d common": Nail(0.148 * IN, 3.0 * IN),
    "16d common": Nail(0.162 * IN, 3.5 * IN),
    "8d box": Nail(0.113 * IN, 2.5 * IN),
    "10d box": Nail(0.128 * IN, 3.0 * IN),
    "16d box": Nail(0.135 * IN, 3.5 * IN),
}

_PANEL_PENETRATION = {"6d common": 1.25 * IN, "8d common": 1.375 * IN, "10d common": 1.5 * IN}

_LATERAL = {
    0.162: (154, 141, 120), 0.148: (128, 118, 100), 0.135: (113, 103, 88), 0.131: (106, 97, 82),
    0.128: (101, 93, 79), 0.113: (79, 72, 61),
}
_LATERAL_WOOD = ("SP", "DF-L", "SPF")


def nail_names(diameter: float, length: float) -> tuple[str, ...]:
    """Names of the nails with this shank and length, sizes compared within 0.06 mm and 1 mm; () if none.

    >>> nail_names(3.33e-3, 63.5e-3)
    ('8d common',)

    Raises:
        ValueError: an input not above zero.
    """
    positive(diameter, "Nail diameter")
    positive(length, "Nail length")
    return tuple(name for name, nail in NAILS.items()
                 if abs(nail.diameter - diameter) <= _SIZE_SLACK and abs(nail.length - length) <= 1e-3)


def withdrawal(gravity: float, diameter: float) -> float:
    """Withdrawal per length of penetration W = 1,380 G^2.5 D [N/m], side grain, C_D = 1 (printed in lb/in).

    Args:
        gravity: specific gravity, 0.31 to 0.73.
        diameter: shank [m].

    Raises:
        ValueError: an input out of range.
    """
    in_range(gravity, 0.31, 0.73, "Specific gravity")
    return 1380.0 * float(gravity**2.5) * positive(diameter, "Nail diameter") / IN * LBF_PER_IN


def penetration_factor(penetration: float, diameter: float) -> float:
    """Factor on the lateral value for penetration p into the main member [-]: p / 10 D from 6 D to 10 D, 0
    below.

    Raises:
        ValueError: negative penetration, or diameter not above zero.
    """
    ratio = not_negative(penetration, "Penetration") / positive(diameter, "Nail diameter")
    return 0.0 if ratio < 6.0 - 1e-9 else min(1.0, ratio / 10.0)


def tabulated_lateral(diameter: float, wood: str) -> float:
    """Lateral value of one nail, wood to wood with a 1-1/2 in side member [N], ASD, C_D = 1, penetration 10
    D.

    Args:
        diameter: shank, one of the tabulated ones [m].
        wood: `DF-L`, `SP` or `SPF`.

    Raises:
        ValueError: size or species not in the table.
    """
    one_of(wood, _LATERAL_WOOD, "Wood species")
    for inches, values in _LATERAL.items():
        if abs(inches * IN - diameter) <= _SIZE_SLACK / 2:
            return values[_LATERAL_WOOD.index(wood)] * LBF
    raise ValueError(f"A nail of {diameter * 1e3:.2f} mm is not in the table.")


def panel_penetration(nail: str) -> float:
    """Least penetration of a panel nail into framing [m].

    Raises:
        ValueError: unknown nail.
    """
    return _PANEL_PENETRATION[one_of(nail, _PANEL_PENETRATION, "Nail")]


def nails_per_panel(width: float, height: float, edge_spacing: float, field_spacing: float,
                    field_studs: int) -> tuple[int, int]:
    """Nails at the edges and in the field of one panel.

    >>> nails_per_panel(1.2192, 2.4384, 0.1524, 0.3048, 2)
    (48, 18)

    Args:
        width: panel across the studs [m].
        height: panel along the studs [m].
        edge_spacing: [m].
        field_spacing: [m].
        field_studs: studs between the panel's edges.

    Raises:
        ValueError: an input not above zero, or a negative count of studs.
    """
    around = 2 * (positive(width, "Panel width") + positive(height, "Panel height"))
    if field_studs < 0:
        raise ValueError("The count of field studs cannot be negative.")
    edge = ceil(around / positive(edge_spacing, "Edge nail spacing") - 1e-6)
    field = ceil(height / positive(field_spacing, "Field nail spacing") - 1e-6) + 1
    return edge, field * field_studs


def overdriven(depth: float, share: float) -> str:
    """What a guide says of nails driven through the panel's face: `acceptable` or `add nails`.

    Up to 1/16 in: acceptable. Up to 1/8 in on at most a fifth of the perimeter nails: acceptable. Else one
    nail is added for every two overdriven, or staples where that would be too close.

    Args:
        depth: deepest overdrive [m].
        share: share of perimeter nails overdriven by more than 1/16 in, 0 to 1.

    Raises:
        ValueError: an input out of range.
    """
    in_range(share, 0.0, 1.0, "Share of overdriven nails")
    if not_negative(depth, "Overdrive") <= IN / 16 + 1e-9:
        return "acceptable"
    return "acceptable" if depth <= IN / 8 + 1e-9 and share <= 0.2 + 1e-9 else "add nails"


def fastener_line(per_nail: float, spacing: float, rows: int = 1) -> float:
    """Unit shear that nails at a spacing carry [N/m], in one or more rows.

    Raises:
        ValueError: an input not above zero.
    """
    if rows < 1:
        raise ValueError("There must be at least one row of nails.")
    return positive(per_nail, "Strength of one nail") * rows / positive(spacing, "Nail spacing")
