"""Exact solids of a house in metres: extrusions and round sweeps, with their bounds and rigid motions."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import sqrt

Vec = tuple[float, float, float]
Plan = tuple[float, float]


def add(a: Vec, b: Vec) -> Vec:
    """Sum of two vectors."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vec, b: Vec) -> Vec:
    """Difference of two vectors."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def times(a: Vec, k: float) -> Vec:
    """Vector scaled by k."""
    return (a[0] * k, a[1] * k, a[2] * k)


def cross(a: Vec, b: Vec) -> Vec:
    """Cross product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def length(a: Vec) -> float:
    """Length of a vector, metres."""
    return sqrt(a[0] ** 2 + a[1] ** 2 + a[2] ** 2)


def unit(a: Vec) -> Vec:
    """Unit vector."""
    return times(a, 1.0 / length(a))


@dataclass(frozen=True)
class Extrusion:
    """A flat outline or a disk swept straight along its normal.

    Attributes:
        origin: centre of a rectangle or disk at its start; origin of an outline's plane.
        x: unit vector of the profile's first axis.
        z: unit vector of the sweep; the profile's second axis is z cross x.
        depth: length of the sweep, metres.
        size: sides of a rectangular profile along x and y, or None.
        outline: corners of a polygon profile in its plane, or None.
        radius: outer radius of a round profile, or None.
    """

    origin: Vec
    x: Vec
    z: Vec
    depth: float
    size: Plan | None = None
    outline: tuple[Plan, ...] | None = None
    radius: float | None = None

    @property
    def y(self) -> Vec:
        """Second axis of the profile."""
        return cross(self.z, self.x)

    def corners(self) -> list[Vec]:
        """Corner points of a rectangle or outline, start face first."""
        if self.size is not None:
            a, b = self.size[0] / 2, self.size[1] / 2
            flat: Iterable[Plan] = ((-a, -b), (a, -b), (a, b), (-a, b))
        else:
            flat = self.outline or ()
        start = [add(self.origin, add(times(self.x, u), times(self.y, v))) for u, v in flat]
        return start + [add(p, times(self.z, self.depth)) for p in start]

    def bounds(self) -> tuple[Vec, Vec]:
        """Lower and upper corner of the world-aligned box."""
        if self.radius is not None:
            return _round_bounds((self.origin, add(self.origin, times(self.z, self.depth))), self.radius)
        return _extent(self.corners())

    def moved(self, by: Vec) -> Extrusion:
        """The same solid elsewhere."""
        return replace(self, origin=add(self.origin, by))

    def mapped(self, point: Callable[[Vec], Vec], vector: Callable[[Vec], Vec], mirrored: bool) -> Extrusion:
        """The solid under a rigid motion; a mirrored outline has its second axis turned round."""
        outline = self.outline
        if mirrored and outline is not None:
            outline = tuple((u, -v) for u, v in outline)
        return replace(self, origin=point(self.origin), x=vector(self.x), z=vector(self.z), outline=outline)


@dataclass(frozen=True)
class Tube:
    """A disk or ring swept along a line of points.

    Attributes:
        points: centre line.
        radius: outer radius, metres.
        inner: bore radius, metres, or None when solid.
    """

    points: tuple[Vec, ...]
    radius: float
    inner: float | None = None

    def bounds(self) -> tuple[Vec, Vec]:
        """Lower and upper corner of the world-aligned box (mitres at bends left out)."""
        parts = [_round_bounds(pair, self.radius) for pair in zip(self.points, self.points[1:], strict=False)]
        return _extent([corner for part in parts for corner in part])

    def moved(self, by: Vec) -> Tube:
        """The same tube elsewhere."""
        return replace(self, points=tuple(add(p, by) for p in self.points))

    def mapped(self, point: Callable[[Vec], Vec], vector: Callable[[Vec], Vec], mirrored: bool) -> Tube:
        """The tube under a rigid motion."""
        return replace(self, points=tuple(point(p) for p in self.points))


Shape = Extrusion | Tube


def _extent(points: Iterable[Vec]) -> tuple[Vec, Vec]:
    xs, ys, zs = zip(*points, strict=True)
    return (min(xs), min(ys), min(zs)), (max(xs), max(ys), max(zs))


def _round_bounds(ends: tuple[Vec, ...], radius: float) -> tuple[Vec, Vec]:
    along = unit(sub(ends[-1], ends[0]))
    reach: Vec = (
        radius * sqrt(max(0.0, 1 - along[0] ** 2)),
        radius * sqrt(max(0.0, 1 - along[1] ** 2)),
        radius * sqrt(max(0.0, 1 - along[2] ** 2)),
    )
    return _extent([corner for end in ends for corner in (sub(end, reach), add(end, reach))])


_AXES: tuple[Vec, Vec, Vec] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def box(low: Vec, high: Vec, along: int | None = None) -> Extrusion:
    """A box by two corners, swept along axis 0, 1 or 2 (the longest if not given)."""
    low, high = (tuple(map(min, low, high)), tuple(map(max, low, high)))  # type: ignore[assignment]
    side = sub(high, low)
    if along is None:
        along = max(range(3), key=lambda k: (side[k], k))
    first, second = (along + 1) % 3, (along + 2) % 3
    centre = list(times(add(low, high), 0.5))
    centre[along] = low[along]
    return Extrusion(
        (centre[0], centre[1], centre[2]),
        _AXES[first],
        _AXES[along],
        side[along],
        size=(side[first], side[second]),
    )


def bar(start: Vec, end: Vec, width: float, depth: float, across: Vec) -> Extrusion:
    """A straight member; `width` lies along the unit vector `across`, `depth` at right angles to it."""
    along = sub(end, start)
    return Extrusion(start, across, unit(along), length(along), size=(width, depth))


def slab(corners: tuple[Vec, ...], thickness: float) -> Extrusion:
    """A flat polygon (counter-clockwise from above its normal) thickened along its normal."""
    x = unit(sub(corners[1], corners[0]))
    z = unit(cross(x, sub(corners[2], corners[0])))
    y = cross(z, x)
    outline = tuple((_dot(sub(p, corners[0]), x), _dot(sub(p, corners[0]), y)) for p in corners)
    return Extrusion(corners[0], x, z, thickness, outline=outline)


def rod(start: Vec, end: Vec, diameter: float) -> Tube:
    """A solid round bar between two points."""
    return Tube((start, end), diameter / 2)


def _dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
