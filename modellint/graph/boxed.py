"""The boxes of all parts with some roles as arrays, so that what lies near a place is found at once."""

from __future__ import annotations

from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from modellint.graph.house import House
from modellint.graph.wall_nodes import WallLine
from modellint.ifc.solid import Array
from modellint.roles.part import Part


@dataclass(frozen=True, eq=False)
class Boxed:
    """Drawn parts in key order with their world-aligned boxes: `low`, `high` and `centre` are (n, 3) metres."""

    parts: tuple[Part, ...]
    low: Array
    high: Array
    centre: Array

    def over(self, x: float, y: float, spare: float) -> list[Part]:
        """Parts whose own box, however it is turned in plan, widened by `spare`, covers a plan point."""
        inside = ((self.low[:, 0] - spare <= x) & (x <= self.high[:, 0] + spare)
                  & (self.low[:, 1] - spare <= y) & (y <= self.high[:, 1] + spare))
        return [self.parts[k] for k in np.flatnonzero(inside) if _covers(self.parts[k], x, y, spare)]

    def within(self, line: WallLine, low: float, high: float, spare: float = 0.0) -> list[Part]:
        """Parts whose middle lies within the wall's thickness and between two levels, and that reach along it."""
        plan = self.centre[:, :2] - line.origin
        along, across = plan @ line.direction, np.abs(plan @ line.normal)
        half = (self.high[:, :2] - self.low[:, :2]) / 2 @ np.abs(line.direction)
        inside = ((across <= line.thickness / 2 + spare) & (along + half >= 0) & (along - half <= line.length)
                  & (self.centre[:, 2] >= low) & (self.centre[:, 2] <= high))
        return [self.parts[k] for k in np.flatnonzero(inside)]


def _covers(part: Part, x: float, y: float, spare: float) -> bool:
    """Whether an upright box covers a plan point; one that leans is taken as its world-aligned box."""
    box = part.box
    if box is None:
        return False
    level = [k for k in range(3) if abs(float(box.axes[k][2])) < 1e-3]
    off = np.array([x, y]) - box.centre[:2]
    return len(level) < 2 or all(abs(float(off @ box.axes[k][:2])) <= float(box.half[k]) + spare for k in level)


class LinesInPlan:
    """The shear wall lines of a house as arrays."""

    def __init__(self, house: House) -> None:
        self.lines: tuple[WallLine, ...] = tuple(house.nodes.get("wall_line", ()))
        self.origin = np.array([line.origin for line in self.lines], float).reshape(-1, 2)
        self.direction = np.array([line.direction for line in self.lines], float).reshape(-1, 2)
        self.length = np.array([line.length for line in self.lines], float)
        self.thickness = np.array([line.thickness for line in self.lines], float)

    def over(self, x: float, y: float, spare: float) -> list[WallLine]:
        """Lines whose strip in plan, widened by `spare`, covers a point."""
        plan = np.array([x, y]) - self.origin
        along = (plan * self.direction).sum(axis=1)
        across = np.abs(plan[:, 1] * self.direction[:, 0] - plan[:, 0] * self.direction[:, 1])
        inside = (across <= self.thickness / 2 + spare) & (along >= -spare) & (along <= self.length + spare)
        return [self.lines[k] for k in np.flatnonzero(inside)]


_LINES: WeakKeyDictionary[House, LinesInPlan] = WeakKeyDictionary()
_KEPT: WeakKeyDictionary[House, dict[tuple[str, ...], Boxed]] = WeakKeyDictionary()


def boxed(house: House, *roles: str) -> Boxed:
    """Boxes of the drawn parts with any of the roles, made once per house."""
    kept = _KEPT.setdefault(house, {})
    if roles not in kept:
        parts = tuple(part for part in house.with_role(*roles) if part.box is not None)
        boxes = [part.box for part in parts if part.box is not None]
        low, high, centre = (np.array([getattr(box, name) for box in boxes], float).reshape(-1, 3)
                             for name in ("low", "high", "centre"))
        kept[roles] = Boxed(parts, low, high, centre)
    return kept[roles]


def lines_in_plan(house: House) -> LinesInPlan:
    """The shear wall lines as arrays, made once per house."""
    if house not in _LINES:
        _LINES[house] = LinesInPlan(house)
    return _LINES[house]
