"""Sets of a continuous rod's hardware at each floor: bearing plate and nut."""

from __future__ import annotations

from modellint.graph.continuous_rod import is_continuous, nuts_of, plates_of
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Members, Missing, Quantity, truth
from modellint.roles.part import Part


@measure(
    "truth", of="wall_end", example="true where a rod runs through the storey and no tie stands at its base"
)
def held_by_continuous_rod(end: WallEnd, ask: Ask) -> Quantity:
    """Whether this end is held by a rod through the storey rather than by a tie or strap."""
    for part in end.column_rods:
        ask.part(part)
    return truth(is_continuous(end))


def _members(found: tuple[Part, ...], end: WallEnd, ask: Ask, place: str, role: str) -> Members:
    for part in found:
        ask.part(part)
    complete = bool(found) or (ask.house.absence is not None and ask.house.absence.complete(place, end))
    missing = (
        () if complete else (Missing(role, "the building", "draw what the rods bear with at each floor"),)
    )
    return Members(found, complete, missing)


@named_set(of="wall_end", gives="bearing_plate")
def floor_bearing_plates(end: WallEnd, ask: Ask) -> Members:
    """Bearing plates that hold this storey down on its rod."""
    return _members(plates_of(end), end, ask, "bearing plate", "bearing_plate")


@named_set(of="wall_end", gives="nut")
def floor_nuts(end: WallEnd, ask: Ask) -> Members:
    """Nuts on this storey's bearing plates."""
    return _members(nuts_of(end), end, ask, "nut", "nut")
