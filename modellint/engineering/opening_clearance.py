"""Exit and openings: how far apart, how far above, and what would cure a shortfall."""

from dataclasses import dataclass

from modellint.engineering.source import Source
from modellint.engineering.us_units import FT, IN


@dataclass(frozen=True, slots=True)
class ClearanceRule:
    """A rule for the distance between a vent's exit and an opening.

    Attributes:
        distance: Distance that always suffices [m].
        relief: Height of the exit above the top of the opening that suffices as well [m].
        relief_for_neighbours: Whether height helps against openings of adjoining buildings.
        source: Where it is printed.
    """

    distance: float
    relief: float
    relief_for_neighbours: bool
    source: Source


IRC = ClearanceRule(
    10 * FT,
    2 * FT,
    False,
    Source("code", "IRC 2012", "AF103.5.3, AF103.6.1", grade="A", note="same numbers in IRC 2018"),
)
"""10 ft from openings less than 2 ft below the exit, and 10 ft from any in adjoining buildings."""
CC_1000 = ClearanceRule(
    10 * FT,
    4 * FT,
    True,
    Source(
        "standard", "ANSI/AARST CC-1000-2018", "9.7.1", grade="B", note="operable openings; distance in plan"
    ),
)
"""10 ft beside or 4 ft above an operable opening (buildings other than one- and two-family houses)."""

STRING_SOURCE = Source(
    "standard",
    "ANSI/AARST CC-1000-2018",
    "9.1.1",
    grade="B",
    note="shortest stretched string, nearest point to nearest point; the IRC does not say how to measure",
)
PEOPLE_DISTANCE = 10 * FT
"""From decks and walks that people use, above or beside [m] (10 ft)."""
PEOPLE_SOURCE = Source("standard", "ANSI/AARST CC-1000-2018", "9.7.2", grade="B")

ROOF_HEIGHT = 12 * IN
"""Exit above the roof surface at that spot, at least [m] (12 in)."""
ROOF_HEIGHT_SOURCE = Source("code", "IRC 2012", "AF103.5.3, AF103.6.1", grade="A")
FLAT_ROOF_HEIGHT = 18 * IN
"""Exit above a flat roof in the multifamily mitigation standard [m] (18 in)."""
FLAT_ROOF_SOURCE = Source("standard", "ANSI/AARST RMS-MF-2018 (12/20)", "6.4.10", grade="B")
PROPERTY_LINE_DISTANCE = 1.8
"""Exit from the property line [m] in British Columbia."""
PROPERTY_LINE_SOURCE = Source("code", "British Columbia Building Code 2024", "9.13.4.3.(3)(b)(i)", grade="B")


@dataclass(frozen=True, slots=True)
class Clearance:
    """Whether an exit keeps clear of an opening.

    Attributes:
        clear: True if it does.
        raise_by: Rise of the exit that cures it [m]; 0 if clear, None if height does not help.
        move_by: Distance still lacking [m]; 0 if clear.
    """

    clear: bool
    raise_by: float | None
    move_by: float


def opening_clearance(
    above: float, distance: float, *, same_dwelling: bool, rule: ClearanceRule = IRC
) -> Clearance:
    """Return whether an exit keeps clear of one opening, and both cures if it does not.

    An opening level with the exit or above it has no relief: it is less than 2 ft below.

    Args:
        above: Height of the exit over the top of the opening [m]; negative if the opening is higher.
        distance: Shortest distance between them [m], measured as the rule's source says.
        same_dwelling: False for openings of adjoining or neighbouring buildings.
        rule: The rule to apply.

    Returns:
        The answer with its cures.

    Raises:
        ValueError: If the distance is negative.
    """
    if not distance >= 0.0:
        raise ValueError(f"A distance cannot be negative, not {distance:g} m.")
    height_helps = same_dwelling or rule.relief_for_neighbours
    if distance >= rule.distance or (height_helps and above >= rule.relief):
        return Clearance(True, 0.0, 0.0)
    return Clearance(False, rule.relief - above if height_helps else None, rule.distance - distance)
