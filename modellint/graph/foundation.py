"""What lies under a point: the foundation part, its depth, the length of a rod inside it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from modellint.contacts.surfaces import hits, triangles_of
from modellint.graph.house import House
from modellint.ifc.solid import Array, Solid
from modellint.roles.part import Part


@dataclass(frozen=True)
class Under:
    """A foundation part under a plan point with the vertical interval it fills there, metres."""

    part: Part
    bottom: float
    top: float


def foundations(house: House) -> tuple[Part, ...]:
    """All drawn foundation parts, in key order."""
    return tuple(part for part in house.with_role("foundation") if part.box is not None)


def under_point(
    parts: tuple[Part, ...], x: float, y: float, level: float, slack: float = 0.05
) -> list[Under]:
    """Foundation parts below `level` under a plan point, the highest first."""
    found = []
    for part in parts:
        interval = vertical_interval(part, x, y)
        if interval is not None and interval[0] < level and interval[1] <= level + slack + 0.5:
            found.append(Under(part, *interval))
    return sorted(found, key=lambda row: (-round(row.top, 4), row.part.key))


def vertical_interval(part: Part, x: float, y: float) -> tuple[float, float] | None:
    """Lowest and highest z of the part's body on the vertical line through (x, y), or None."""
    box = part.box
    if box is None or not (
        box.low[0] - 1e-6 <= x <= box.high[0] + 1e-6 and box.low[1] - 1e-6 <= y <= box.high[1] + 1e-6
    ):
        return None
    heights: list[float] = []
    for solid in part.solids:
        heights += _crossings(solid, x, y)
    if not part.solids and box.contains(np.array([x, y, box.centre[2]])):
        heights = [float(box.low[2]), float(box.high[2])]
    return (min(heights), max(heights)) if len(heights) >= 2 else None


def _crossings(solid: Solid, x: float, y: float) -> list[float]:
    box = solid.box
    if not (box.low[0] <= x <= box.high[0] and box.low[1] <= y <= box.high[1]):
        return []
    corners = triangles_of(solid)
    if not len(corners):
        return []
    # a hair's breadth off the given point avoids edges shared by two triangles
    point = np.array([x + 1.7e-7, y + 1.3e-7])
    a, b, c = (corners[:, k, :2] for k in range(3))
    v0, v1, v2 = b - a, c - a, point - a
    bottom = v0[:, 0] * v1[:, 1] - v1[:, 0] * v0[:, 1]
    flat = np.abs(bottom) > 1e-12
    safe = np.where(flat, bottom, 1.0)
    s = (v2[:, 0] * v1[:, 1] - v1[:, 0] * v2[:, 1]) / safe
    t = (v0[:, 0] * v2[:, 1] - v2[:, 0] * v0[:, 1]) / safe
    hit = flat & (s >= 0) & (t >= 0) & (s + t <= 1)
    z = corners[hit, 0, 2] + s[hit] * (corners[hit, 1, 2] - corners[hit, 0, 2]) \
        + t[hit] * (corners[hit, 2, 2] - corners[hit, 0, 2])
    return [float(value) for value in z]


def embedment(parts: tuple[Part, ...], axis: Array) -> tuple[float, Part | None]:
    """Length of a straight axis in the union of foundation parts, metres, and the part that holds most of it.

    Parts poured against each other count once.
    """
    start, end = axis[0], axis[-1]
    length = float(np.linalg.norm(end - start))
    inside: list[tuple[float, float, Part]] = []
    low, high = np.minimum(start, end) - 0.001, np.maximum(start, end) + 0.001
    for part in parts:
        box = part.box
        if box is None or length <= 0 or (box.low > high).any() or (low > box.high).any():
            continue
        inside += [(*share, part) for share in _shares_inside(part, start, end)]
    if not inside:
        return 0.0, None
    holder = max(inside, key=lambda row: (round(row[1] - row[0], 6), row[2].key))[2]
    return round(_covered([(low, high) for low, high, _ in inside]) * length, 4), holder


def reach_inside(parts: tuple[Part, ...], start: Array, direction: Array, far: float) -> float:
    """How far one can go from a point in a direction without leaving the concrete, at most `far`, metres."""
    end, reached = start + direction * far, 0.0
    shares = sorted(share for part in parts if part.box is not None for share in _shares_inside(part, start, end))
    for low, high in shares:
        if low <= reached + 1e-6:
            reached = max(reached, high)
    return round(reached * far, 4)


def _shares_inside(part: Part, start: Array, end: Array) -> list[tuple[float, float]]:
    """Stretches of the axis within the part, as shares of its length."""
    found = []
    for solid in part.solids:
        cuts = sorted({0.0, 1.0, *(round(float(t), 6) for t in hits(triangles_of(solid), start, end))})
        found += [(low, high) for low, high in pairwise(cuts)
                  if _is_inside(solid, start + (low + high) / 2 * (end - start))]
    return found


def _is_inside(solid: Solid, point: Array) -> bool:
    """Whether an odd number of faces lies straight above the point."""
    heights = _crossings(solid, float(point[0]), float(point[1]))
    return len({round(z, 6) for z in heights if z > float(point[2])}) % 2 == 1


def _covered(intervals: list[tuple[float, float]]) -> float:
    total, reached = 0.0, 0.0
    for low, high in sorted(intervals):
        total += max(high - max(low, reached), 0.0)
        reached = max(reached, high)
    return total
