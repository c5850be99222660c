"""Wall lines: walls of a storey that are collinear, of the same mark or shear role, seen as one strip."""

from __future__ import annotations

import math

import numpy as np

from modellint.graph.house import House
from modellint.graph.storeys import Storey, storey_at
from modellint.graph.wall_nodes import WallLine
from modellint.ifc.solid import Array, Box
from modellint.roles.part import Part, Rung

# offset under half the thickness, angle under 1 degree, gap up to 50 mm (common practice, no source)
ANGLE, GAP = math.radians(1.0), 0.050
# a gap wider than a joint of panels, and how far from it a tie still stands at it, metres (judgement, no source)
JOINT, NEAR_JOINT = 0.005, 0.3
COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def wall_lines(house: House, storeys: tuple[Storey, ...]) -> tuple[WallLine, ...]:
    """All lines of shear and other walls with a usable shape, sorted by key."""
    gap = house.limit("line_gap", GAP)
    single = []
    for part in house.with_role("shear_wall", "other_wall"):
        line = _line_of(house, part, storeys)
        if line is not None:
            single.append(line)
    ties = np.array([part.box.centre for part in house.with_role("hold_down") if part.box is not None]).reshape(-1, 3)
    groups: list[list[WallLine]] = []
    for line in sorted(single, key=lambda row: row.key):
        homes = [group for group in groups if any(_belong(line, other, gap) and not _tied_apart(line, other, ties)
                                                  for other in group)]
        groups = [group for group in groups if not any(group is home for home in homes)]
        groups.append(sorted([line, *(row for home in homes for row in home)], key=lambda row: row.key))
    return tuple(sorted((_joined(house, group) for group in groups), key=lambda line: line.key))


def _line_of(house: House, part: Part, storeys: tuple[Storey, ...]) -> WallLine | None:
    box = part.box
    if box is None:
        return None
    level = [k for k in range(3) if abs(float(box.axes[k, 2])) < 0.1]
    if len(level) != 2:
        return None
    longest, thin = sorted(level, key=lambda k: -box.half[k])
    direction = _orient(house, box.axes[longest, :2] / np.linalg.norm(box.axes[longest, :2]))
    length, thickness = 2 * float(box.half[longest]), 2 * float(box.half[thin])
    origin = box.centre[:2] - direction * length / 2
    bottom, top = float(box.low[2]), float(box.high[2])
    storey = storey_at(storeys, bottom)
    shear = part.roles.get("shear_wall")
    return WallLine(
        part.key,
        wall_name(part),
        (part,),
        storey.name if storey else "",
        origin,
        direction,
        length,
        thickness,
        bottom,
        top,
        shear,
        _compass_words(house, direction),
    )


def wall_name(part: Part) -> str:
    """The wall's mark as a person would say it."""
    element = part.element
    return element.name or element.mark or element.type_name or part.key


def _orient(house: House, direction: Array) -> Array:
    """Towards the east, or north for lines that run north; by the model's y axis if north is unknown."""
    north = house.model.north if house.model.north is not None else np.array([0.0, 1.0])
    east = np.array([north[1], -north[0]])
    to_east, to_north = float(direction @ east), float(direction @ north)
    forward = to_east > 0 if abs(to_east) > 0.2 else to_north > 0
    return direction if forward else -direction


def _compass_words(house: House, direction: Array) -> tuple[str, str]:
    if house.model.north is None:
        return ("start", "end")
    north = house.model.north
    east = np.array([north[1], -north[0]])
    bearing = math.degrees(math.atan2(float(direction @ east), float(direction @ north))) % 360
    step = round(bearing / 45) % 8
    return COMPASS[(step + 4) % 8], COMPASS[step]


def _belong(one: WallLine, other: WallLine, gap: float) -> bool:
    if (one.shear is None) != (other.shear is None) or one.storey != other.storey:
        return False
    if one.shear is None and other.shear is None and one.name != other.name:
        return False
    buildings = {line.walls[0].element.building for line in (one, other)} - {""}
    if len(buildings) > 1:  # walls of two dwelling units, end to end across a gap
        return False
    if abs(one.direction @ other.normal) > math.sin(ANGLE) or min(one.top, other.top) < max(
        one.bottom, other.bottom
    ):
        return False
    ends = np.array([one.origin, one.origin + one.direction * one.length])
    if float(np.abs(other.across(ends)).max()) >= min(one.thickness, other.thickness) / 2:
        return False
    reach = other.along(ends)
    return bool(float(reach.min()) <= other.length + gap and float(reach.max()) >= -gap)


def _tied_apart(one: WallLine, other: WallLine, ties: Array) -> bool:
    """Whether ties stand on both sides of the gap between two walls: each ends there, so they are two.

    Such are the walls of two dwelling units on both sides of a party wall; within one wall nobody ties a joint.
    """
    reach = other.along(np.array([one.origin, one.origin + one.direction * one.length]))
    if float(reach.min()) > other.length:
        before, after = other.length, float(reach.min())
    else:
        before, after = float(reach.max()), 0.0
    if after - before < JOINT:
        return False
    in_wall = (np.abs(other.across(ties)) <= other.thickness) & (ties[:, 2] >= other.bottom - NEAR_JOINT) & (
        ties[:, 2] <= other.top + NEAR_JOINT)
    along = other.along(ties)[in_wall]
    return bool(((along <= before) & (along >= before - NEAR_JOINT)).any()
                and ((along >= after) & (along <= after + NEAR_JOINT)).any())


def _joined(house: House, group: list[WallLine]) -> WallLine:
    if len(group) == 1:
        return group[0]
    first = group[0]
    ends = np.concatenate([first.along(np.array([row.origin, row.origin + row.direction * row.length]))
                           for row in group])
    origin = first.origin + first.direction * float(ends.min())
    names = sorted({row.name for row in group})
    walls = tuple(sorted((wall for row in group for wall in row.walls), key=lambda wall: wall.key))
    rungs = [row.shear for row in group if row.shear is not None]
    return WallLine(
        walls[0].key,
        names[0] if len(names) == 1 else "/".join(names),
        walls,
        first.storey,
        origin,
        first.direction,
        float(np.ptp(ends)),
        max(row.thickness for row in group),
        min(row.bottom for row in group),
        max(row.top for row in group),
        min(rungs) if rungs else None,
        first.compass,
    )


def in_band(line: WallLine, box: Box, widen: float) -> bool:
    """Whether a box's centre lies within the wall's thickness widened by `widen` metres each side."""
    return abs(float(line.across(box.centre)[0])) <= line.thickness / 2 + widen


def lowest_rung(*rungs: Rung) -> Rung:
    """The weakest of several rungs."""
    return min(rungs, default=Rung.DECLARED)
