"""Absence: is a part missing from the house, or only from the drawing?

A role is drawn as a matter of course when at least two other like places hold it and at least half of them do
(both limits common practice, no source; settings). Then what is absent is absent, at rung inferred.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from modellint.graph.continuous_rod import is_continuous, nuts_of, plates_of
from modellint.graph.foundation import foundations, under_point
from modellint.graph.house import Completeness, House
from modellint.graph.wall_ends import ABOVE, BAND, BELOW, REACH
from modellint.graph.wall_nodes import WallEnd
from modellint.roles.part import Part, Rung

AT_LEAST, SHARE = 2.0, 0.5


class Absence:
    """Which wall ends hold what; answers whether an absent part is broken or unknown there."""

    def __init__(self, house: House, ends: Iterable[WallEnd]) -> None:
        self.house = house
        self.least = house.limit("complete_at_least", AT_LEAST)
        self.share = house.limit("complete_share", SHARE)
        self._ends = [end for end in ends if end.line.shear is not None and end.line.shear >= Rung.INFERRED]
        ground = foundations(house)
        self._founded = {end.key for end in self._ends if end.on_foundation
                         and under_point(ground, float(end.point[0]), float(end.point[1]), end.segment.sole)}
        self._like: dict[str, Callable[[WallEnd], bool]] = {
            "post": lambda end: True,
            "base tie": lambda end: True,
            "anchor rod": lambda end: end.on_foundation and bool(end.base_ties),
            "floor rod": lambda end: end.below is not None and bool(end.base_ties),
            "top tie": lambda end: any(upper.base_ties for upper in end.above),
            "foundation": lambda end: end.on_foundation,
            "bearing plate": is_continuous, "nut": is_continuous, "rod piece": is_continuous,
            "coupler": lambda end: is_continuous(end) and len(end.column_rods) > 1,
        }
        couplers = [part for part in house.with_role("coupler") if part.box is not None]
        self._holds: dict[str, Callable[[WallEnd], bool]] = {
            "post": lambda end: _sure(end.posts, "post"),
            "base tie": lambda end: _sure(end.base_ties, "hold_down") or _sure(end.straps, "strap")
            or _sure(end.bearing_plates, "bearing_plate"),
            "anchor rod": lambda end: _sure(end.rods, "rod"),
            "floor rod": lambda end: _sure(end.rods, "rod"),
            "top tie": lambda end: _sure(end.top_ties, "hold_down"),
            "foundation": lambda end: end.key in self._founded,
            "bearing plate": lambda end: _sure(plates_of(end), "bearing_plate"),
            "nut": lambda end: _sure(nuts_of(end), "nut"),
            "rod piece": lambda end: _sure(end.rods, "rod"),
            "coupler": lambda end: any(_near(house, end, part) for part in couplers),
        }

    def state(self, place: str, end: WallEnd) -> tuple[str, Rung]:
        """`broken` when the part is absent from a complete set, else `unknown`; with the rung of that."""
        drawn, places = self._count(place, [other for other in self._ends if other.key != end.key], end)
        if drawn >= self.least and drawn >= self.share * places:
            return "broken", Rung.INFERRED
        return "unknown", Rung.INFERRED

    def complete(self, place: str, end: WallEnd) -> bool:
        """Whether the set is complete at this end."""
        return self.state(place, end)[0] == "broken"

    def _count(self, place: str, ends: list[WallEnd], like: WallEnd | None) -> tuple[int, int]:
        fits, holds = self._like[place], self._holds[place]
        rows = [end for end in ends if fits(end)]
        if like is not None and place == "base tie":
            rows = [end for end in rows if end.on_foundation == like.on_foundation]
        return sum(holds(end) for end in rows), len(rows)

    def coverage(self) -> dict[str, Completeness]:
        """Role to how far the model draws it at wall ends."""
        rows = {}
        for role, places in (
            ("post", ("post",)),
            ("hold_down", ("base tie", "top tie")),
            ("rod", ("anchor rod", "floor rod")),
            ("foundation", ("foundation",)),
            ("bearing_plate", ("bearing plate",)),
            ("coupler", ("coupler",)),
            ("nut", ("nut",)),
        ):
            counts = [self._count(place, self._ends, None) for place in places]
            drawn, total = sum(row[0] for row in counts), sum(row[1] for row in counts)
            complete = drawn > self.least and drawn >= self.share * total
            rows[role] = Completeness(
                role, drawn, total, complete, Rung.INFERRED, "drawn elsewhere" if complete else ""
            )
        return rows


def _sure(parts: tuple[Part, ...], role: str) -> bool:
    return any(part.rung_as(role) >= Rung.INFERRED for part in parts)


def _near(house: House, end: WallEnd, coupler: Part) -> bool:
    """Whether a coupler lies in the end's column of space."""
    if coupler.box is None:
        return False
    point = coupler.box.centre
    along = float(end.line.along(point)[0]) - end.position
    band = end.line.thickness / 2 + house.limit("end_column_band", BAND)
    low = end.segment.sole - house.limit("end_column_below", BELOW)
    high = end.segment.top + house.limit("end_column_above", ABOVE)
    return (abs(along) <= house.limit("end_column_reach", REACH) and low <= float(point[2]) <= high
            and abs(float(end.line.across(point)[0])) <= band)
