"""Wall ends: the two ends of each shear segment, their names, and what their column of space catches."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

import numpy as np

from modellint.graph.house import House
from modellint.graph.joints import contact_gap, faces_gap
from modellint.graph.wall_nodes import WallEnd, WallLine, WallSegment
from modellint.ifc.solid import Array
from modellint.roles.part import Part

# the column of space of a wall end (design limits; common practice, no source)
REACH, BAND, BELOW, ABOVE = 1.2, 0.100, 0.300, 0.300
# posts stand within the wall's own thickness, a little more for drawing noise
POST_BAND = 0.020
# height from the top of one storey's wall to the sole of the next: a floor (common practice, no source)
FLOOR = (-0.3, 1.0)
# a rod's bearing plate and nut sit on the sole or the top plates; higher ones are the next storey's
PLATE_ABOVE = 0.150
ROLES = ("post", "hold_down", "rod", "strap", "bearing_plate", "nut", "take_up")


def wall_ends(house: House, segments: Iterable[WallSegment]) -> tuple[WallEnd, ...]:
    """Two ends per segment, with their parts, sorted by key; also stacks them storey on storey."""
    column = _Column(house)
    ends = []
    for segment in segments:
        segment.ends = [_end(segment, "start"), _end(segment, "end")]
        column.fill(segment)
        ends += segment.ends
    _leave_to_the_fastened(ends, contact_gap(house))
    _leave_to_the_wall_round_it(ends)
    _stack(house, ends)
    ends.sort(key=lambda end: (end.key, end.line.key))
    _tell_apart(ends)
    return tuple(ends)


def _tell_apart(ends: list[WallEnd]) -> None:
    """Two walls over one window would give its key twice; the second one gets `~2`."""
    seen: dict[str, int] = defaultdict(int)
    for end in ends:
        seen[end.key] += 1
        if seen[end.key] > 1:
            end.key += f"~{seen[end.key]}"


def _end(segment: WallSegment, side: str) -> WallEnd:
    line = segment.line
    opening = segment.opening_before if side == "start" else segment.opening_after
    outer = not opening
    if outer:
        key = f"{outer_wall(line, side).element.key}@{side}"
    else:
        key = f"{opening}@{'after' if side == 'start' else 'before'}"
    word = line.compass[0 if side == "start" else 1]
    return WallEnd(key, segment, side, word, outer)


def outer_wall(line: WallLine, side: str) -> Part:
    """The wall of the line that reaches furthest on this side."""
    def reach(wall: Part) -> float:
        if wall.box is None:
            return 0.0
        along = line.along(wall.box.corners)
        return float(-along.min() if side == "start" else along.max())

    return max(line.walls, key=lambda wall: (round(reach(wall), 3), wall.key))


class _Column:
    """Hardware and posts of a building as arrays, handed out to the wall ends that catch them."""

    def __init__(self, house: House) -> None:
        self.reach = house.limit("end_column_reach", REACH)
        self.band = house.limit("end_column_band", BAND)
        self.below = house.limit("end_column_below", BELOW)
        self.above = house.limit("end_column_above", ABOVE)
        self.parts = [part for part in house.with_role(*ROLES) if part.box is not None]
        boxes = [part.box for part in self.parts if part.box is not None]
        self.centre = np.array([box.centre for box in boxes]).reshape(-1, 3)
        self.low = np.array([box.low[2] for box in boxes])
        self.high = np.array([box.high[2] for box in boxes])

    def fill(self, segment: WallSegment) -> None:
        """Give each caught part to its nearer end of the segment."""
        line = segment.line
        if not self.parts:
            return
        along, across = line.along(self.centre), np.abs(line.across(self.centre))
        reach = min(segment.length / 2, self.reach) + 1e-6
        band = line.thickness / 2 + self.band
        near = (across <= band) & (self.high >= segment.sole - self.below) \
            & (self.low <= segment.top + self.above)
        for end in segment.ends:
            inset = (along - end.position) * end.inward
            rows = np.flatnonzero(near & (inset >= -POST_BAND) & (inset <= reach))
            self._sort(end, [(self.parts[k], float(across[k])) for k in rows])

    def _sort(self, end: WallEnd, caught: list[tuple[Part, float]]) -> None:
        found: dict[str, list[Part]] = defaultdict(list)
        segment, line = end.segment, end.line
        middle = (segment.sole + segment.top) / 2
        for part, across in caught:
            box = part.box
            if box is None:
                continue
            centre, low, high = float(box.centre[2]), float(box.low[2]), float(box.high[2])
            if (
                part.has("post")
                and across <= line.thickness / 2 + POST_BAND
                and segment.sole - 0.02 <= centre <= segment.top
            ):
                found["posts"].append(part)
            if part.has("hold_down") and segment.sole - self.below <= centre <= segment.top + self.above:
                found["base_ties" if centre < middle else "top_ties"].append(part)
            if part.has("rod"):
                found["column_rods"].append(part)
            if part.has("rod") and low <= segment.sole + self.below and high >= segment.sole - self.below:
                found["rods"].append(part)
            if part.has("strap") and low <= segment.sole <= high:
                found["straps"].append(part)
            on_plates = segment.sole - POST_BAND <= centre <= segment.top + PLATE_ABOVE
            if part.has("bearing_plate") and on_plates:
                found["bearing_plates"].append(part)
            if part.has("nut") and on_plates:
                found["nuts"].append(part)
            if part.has("take_up") and on_plates:
                found["take_ups"].append(part)
        for name, parts in found.items():
            setattr(end, name, tuple(sorted(parts, key=lambda part: (inset_of(end, part), part.key))))


def inset_of(end: WallEnd, part: Part) -> float:
    """Straight distance from the end face of the segment to the part's centre line along the wall, metres."""
    point: Array = part.axis.mean(axis=0) if part.axis is not None else part.box.centre  # type: ignore[union-attr]
    return float((end.line.along(point)[0] - end.position) * end.inward)


def _leave_to_the_fastened(ends: list[WallEnd], limit: float) -> None:
    """A device that several ends catch serves those whose post it touches, if it touches any."""
    for name in ("base_ties", "top_ties", "straps"):
        catches: dict[str, list[WallEnd]] = defaultdict(list)
        for end in ends:
            for part in getattr(end, name):
                catches[part.key].append(end)
        for key, several in catches.items():
            part = next(row for row in getattr(several[0], name) if row.key == key)
            fastened = [end for end in several if _touches_a_post(end, part, limit)]
            for end in several if 0 < len(fastened) < len(several) else ():
                if end not in fastened:
                    setattr(end, name, tuple(row for row in getattr(end, name) if row.key != key))


def _leave_to_the_wall_round_it(ends: list[WallEnd]) -> None:
    """Of two walls side by side, a rod with its plates and nuts serves the one whose thickness it stands in.

    Else a party wall that lacks its rod would be given the neighbour's.
    """
    for name in ("rods", "column_rods", "bearing_plates", "nuts"):
        catches: dict[str, list[WallEnd]] = defaultdict(list)
        for end in ends:
            for part in getattr(end, name):
                catches[part.key].append(end)
        for key, several in catches.items():
            part = next(row for row in getattr(several[0], name) if row.key == key)
            home = [end for end in several if _within_thickness(end.line, part)]
            for end in several if 0 < len(home) < len(several) else ():
                if end not in home and any(_side_by_side(end.line, other.line) for other in home):
                    setattr(end, name, tuple(row for row in getattr(end, name) if row.key != key))


def _within_thickness(line: WallLine, part: Part) -> bool:
    return part.box is not None and abs(float(line.across(part.box.centre)[0])) <= line.thickness / 2 + POST_BAND


def _side_by_side(one: WallLine, other: WallLine) -> bool:
    return one is not other and abs(float(one.direction @ other.normal)) < 0.1


def _touches_a_post(end: WallEnd, part: Part, limit: float) -> bool:
    return any(gap is not None and gap <= limit for gap in (faces_gap(part, post) for post in end.posts))


def _stack(house: House, ends: list[WallEnd]) -> None:
    along_limit = house.limit("stacking_along", 0.140)
    for end in ends:
        point, best = end.point, None
        for other in ends:
            drop = end.segment.sole - other.segment.top
            if other.segment.sole >= end.segment.sole or not FLOOR[0] <= drop <= FLOOR[1]:
                continue
            offset = other.point[:2] - point[:2]
            along = abs(float(offset @ end.line.direction))
            across = abs(float(offset @ end.line.normal))
            parallel = abs(float(end.line.direction @ other.line.normal)) < 0.1
            same_side = float(end.line.direction @ other.line.direction) * end.inward * other.inward > 0
            if parallel and same_side and along <= along_limit and across <= end.line.thickness / 2:
                rank = (round(along + across, 4), other.key)
                if best is None or rank < best[0]:
                    best = (rank, other)
        if best is not None:
            end.below = best[1]
            best[1].above.append(end)
