"""Perforated shear walls: tied at the line ends only, strength reduced by the openings (SDPWS 4.3.3.5, 2021:
4.3.5.6)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from modellint.engineering.require import in_range, not_negative, one_of, positive
from modellint.engineering.sheathing_table import EDITIONS, LOADS
from modellint.engineering.source import Source
from modellint.engineering.source_book import ARITHMETIC, RESTATED
from modellint.engineering.us_units import FT, PLF

_CONFLICT = RESTATED + "; an article says the 2021 equation was revised and its table dropped: open"

SOURCES = {
    "opening_factor@2008": Source("standard", "SDPWS 2008", "Eq. 4.3-5", memory=True),
    "opening_factor@2015": Source("standard", "SDPWS 2015", "Eq. 4.3-5 and Table 4.3.3.5", note=RESTATED),
    "opening_factor@2021": Source("standard", "SDPWS 2021", "Eq. 4.3-6", note=_CONFLICT),
    "opening_factor_one_height": Source("standard", "SDPWS 2015", "Table 4.3.3.5",
                                        note="a rewriting of Eq. 4.3-5 that gives the table"),
    "opening_area": Source("standard", "SDPWS 2021", "4.3.5.6", note=RESTATED),
    "counted_length@2021": Source("standard", "SDPWS 2021", "4.3.3.4 and C4.3.5.6", note=RESTATED),
    "counted_length": Source("standard", "SDPWS 2015", "4.3.4.3", memory=True),
    "maximum_unit_shear": Source("standard", "SDPWS 2021", "4.3.6.4.1.1", note=RESTATED),
    "chord_force": Source("standard", "SDPWS 2021", "Eq. 4.3-8 and 4.3.6.1.3", note=RESTATED),
    "uplift_between_ends": Source("standard", "SDPWS 2021", "4.3.6.4.2.1", note=RESTATED),
    "eligibility@2021": Source("standard", "SDPWS 2021", "4.3.2.3", note=RESTATED),
    "eligibility": Source("standard", "SDPWS 2015", "4.3.5.3", memory=True),
    "nominal_limit@2021": Source("standard", "SDPWS 2021", "4.3.2.3", note=RESTATED),
    "nominal_limit": Source("standard", "SDPWS 2015", "4.3.5.3", memory=True),
    "sheathed_fraction": ARITHMETIC,
}

HEIGHT_LIMIT = 20 * FT
"""Highest perforated shear wall [m]."""


@dataclass(frozen=True)
class Condition:
    """One condition of eligibility.

    Attributes:
        name: the condition as a phrase.
        holds: True, False, or None where an input was not given.
    """

    name: str
    holds: bool | None


def sheathed_fraction(lengths: Sequence[float], total: float) -> float:
    """Share of the wall's length that is full-height sheathing [-].

    Raises:
        ValueError: a length not above zero, or segments longer than the wall.
    """
    length = sum(positive(item, "Segment length") for item in lengths)
    return in_range(length / positive(total, "Wall length"), 0.0, 1.0 + 1e-9,
                    "Share of full-height sheathing")


def counted_length(length: float, height: float) -> float:
    """Length of one full-height segment that counts in the sum Σb [m].

    Up to 2:1 the whole length, from 2:1 to 3.5:1 the length times 2 b/h, beyond that nothing.

    >>> counted_length(4.0, 10.0)
    3.2

    Args:
        length: segment length b [m].
        height: wall height h [m].

    Raises:
        ValueError: a length not above zero.
    """
    ratio = positive(height, "Wall height") / positive(length, "Segment length")
    if ratio > 3.5 * (1 + 1e-9):
        return 0.0
    return length * min(1.0, 2.0 / ratio)


def opening_area(width: float, opening_height: float, wall_height: float,
                 sheathed_above_and_below: bool) -> float:
    """Area A_o that one opening adds [m²]: at least a third of the wall height; the whole height where
    unsheathed.

    Raises:
        ValueError: a length not above zero, or an opening higher than the wall.
    """
    positive(width, "Opening width")
    positive(wall_height, "Wall height")
    in_range(positive(opening_height, "Opening height"), 0.0, wall_height, "Opening height")
    if not sheathed_above_and_below:
        return width * wall_height
    return width * max(opening_height, wall_height / 3.0)


def opening_factor(total: float, sheathed: float, openings: float, height: float, edition: str) -> float:
    """Shear capacity adjustment factor C_o by opening area [-], at most 1.

    C_o = r / (3 − 2 r) · L / Σb with r = 1 / (1 + A_o / (h Σb)).

    Args:
        total: length L of the perforated wall [m].
        sheathed: sum Σb of its full-height segments, unreduced [m].
        openings: total opening area A_o [m²], see `opening_area`.
        height: wall height h [m].
        edition: SDPWS edition.

    Raises:
        ValueError: a length not above zero, a negative area, or unknown edition.
    """
    one_of(edition, EDITIONS, "SDPWS edition")
    positive(total, "Wall length")
    in_range(positive(sheathed, "Full-height sheathing"), 0.0, total * (1 + 1e-9), "Full-height sheathing")
    ratio = 1.0 / (1.0 + not_negative(openings,
                                      "Opening area") / (positive(height, "Wall height") * sheathed))
    return min(1.0, ratio / (3.0 - 2.0 * ratio) * total / sheathed)


def opening_factor_one_height(sheathed_share: float, height_ratio: float) -> float:
    """Factor C_o where all openings have one height [-]: 1 / (B + 3 a (1 − B)), at most 1.

    >>> opening_factor_one_height(0.5, 1.0)
    0.5

    Args:
        sheathed_share: B, full-height sheathing over wall length, above 0 to 1.
        height_ratio: a, opening height over wall height; under 1/3 counts as 1/3.

    Raises:
        ValueError: out of range.
    """
    in_range(positive(sheathed_share, "Share of full-height sheathing"), 0.0, 1.0,
             "Share of full-height sheathing")
    ratio = max(in_range(height_ratio, 0.0, 1.0, "Opening height over wall height"), 1.0 / 3.0)
    return min(1.0, 1.0 / (sheathed_share + 3.0 * ratio * (1.0 - sheathed_share)))


def maximum_unit_shear(shear: float, factor: float, counted: float) -> float:
    """Largest unit shear v_max = V / (C_o Σb) [N/m], which plates and their anchors must carry.

    Args:
        shear: storey shear V on the wall [N].
        factor: C_o.
        counted: Σb of counted lengths [m].

    Raises:
        ValueError: negative shear, or factor or length not above zero.
    """
    in_range(positive(factor, "Opening factor"), 0.0, 1.0, "Opening factor")
    return not_negative(shear, "Shear") / (factor * positive(counted, "Counted length"))


def chord_force(shear: float, height: float, factor: float, counted: float) -> float:
    """Tension and compression at each end of the line, of this storey alone: V h / (C_o Σb) [N].

    No dead load is credited; forces of storeys above are added (see `overturning`).

    Raises:
        ValueError: see `maximum_unit_shear`.
    """
    return maximum_unit_shear(shear, factor, counted) * positive(height, "Wall height")


def uplift_between_ends(shear: float, factor: float, counted: float) -> float:
    """Uniform uplift t = v_max along the plate of every full-height segment [N/m], besides the shear v_max.

    Raises:
        ValueError: see `maximum_unit_shear`.
    """
    return maximum_unit_shear(shear, factor, counted)


def nominal_limit(load: str, edition: str) -> float:
    """Largest nominal unit shear of the sheathing of a perforated wall [N/m], one face.

    Raises:
        ValueError: unknown load or edition.
    """
    one_of(edition, EDITIONS, "SDPWS edition")
    one_of(load, LOADS, "Load")
    return (1740.0 if load == "seismic" and edition != "2021" else 2435.0) * PLF


def eligibility(*, edition: str, load: str, nominal: float | None = None, height: float | None = None,
                segment_at_each_end: bool | None = None, plates_level: bool | None = None,
                no_plan_offset: bool | None = None, one_sheathing: bool | None = None) -> tuple[Condition,
                                                                                                ...]:
    """The conditions a wall must meet to be designed as perforated; an input left out gives None, never True.

    Args:
        edition: SDPWS edition.
        load: `wind` or `seismic`.
        nominal: nominal unit shear of the sheathing [N/m].
        height: wall height [m].
        segment_at_each_end: a full-height segment stands at each end of the line.
        plates_level: top and bottom of the wall run at one elevation.
        no_plan_offset: the line has no offset in plan.
        one_sheathing: one sheathing type and nailing throughout (2021).

    Raises:
        ValueError: unknown load or edition.
    """
    limit = nominal_limit(load, edition)
    found = [
        Condition(f"nominal unit shear at most {limit / PLF:,.0f} plf",
                  None if nominal is None else nominal <= limit),
        Condition("height at most 20 ft", None if height is None else height <= HEIGHT_LIMIT + 1e-9),
        Condition("full-height segment at each end", segment_at_each_end),
        Condition("uniform top and bottom elevations", plates_level),
        Condition("no offset in plan", no_plan_offset),
    ]
    if edition == "2021":
        found.append(Condition("one sheathing type and nailing", one_sheathing))
    return tuple(found)
