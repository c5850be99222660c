"""What lies under a point: the foundation part, its depth, the length of a rod inside it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from modellint.contacts.surfaces import hits_of, triangles_of, within_reach
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
    return _heights_over(solid, np.array([[x, y]]))[0].tolist()  # type: ignore[no-any-return]


def _heights_over(solid: Solid, points: Array) -> list[Array]:
    """Heights at which the vertical lines through plan points (n, 2+) meet the solid's surface."""
    corners = triangles_of(solid)
    if not len(corners):
        return [np.empty(0)] * len(points)
    # a hair's breadth off the given point avoids edges shared by two triangles
    plan = points[:, None, :2] + np.array([1.7e-7, 1.3e-7])
    a, b, c = (corners[:, k, :2] for k in range(3))
    v0, v1, v2 = b - a, c - a, plan - a
    bottom = v0[:, 0] * v1[:, 1] - v1[:, 0] * v0[:, 1]
    flat = np.abs(bottom) > 1e-12
    safe = np.where(flat, bottom, 1.0)
    s = (v2[..., 0] * v1[:, 1] - v1[:, 0] * v2[..., 1]) / safe
    t = (v0[:, 0] * v2[..., 1] - v2[..., 0] * v0[:, 1]) / safe
    hit = flat & (s >= 0) & (t >= 0) & (s + t <= 1)
    z = corners[:, 0, 2] + s * (corners[:, 1, 2] - corners[:, 0, 2]) + t * (corners[:, 2, 2] - corners[:, 0, 2])
    return [row[keep] for row, keep in zip(z, hit, strict=True)]


def embedment(parts: tuple[Part, ...], axis: Array) -> tuple[float, Part | None]:
    """Length of a straight axis in the union of foundation parts, metres, and the part that holds most of it.

    Parts poured against each other count once.
    """
    return _embedment(parts, axis[[0, -1]].tobytes())


@lru_cache(maxsize=512)
def _embedment(parts: tuple[Part, ...], ends: bytes) -> tuple[float, Part | None]:
    """Several measures ask for one rod after the other."""
    start, end = np.frombuffer(ends).reshape(2, 3)
    length = float(np.linalg.norm(end - start))
    inside: list[tuple[float, float, Part]] = []
    low, high = np.minimum(start, end) - 0.001, np.maximum(start, end) + 0.001
    for part in parts:
        box = part.box
        if box is None or length <= 0 or (box.low > high).any() or (low > box.high).any():
            continue
        inside += [(*share, part) for share in _shares_inside(part, start[None], end[None])[0]]
    if not inside:
        return 0.0, None
    holder = max(inside, key=lambda row: (round(row[1] - row[0], 6), row[2].key))[2]
    return round(_covered([(low, high) for low, high, _ in inside]) * length, 4), holder


def reach_inside(parts: tuple[Part, ...], start: Array, direction: Array, far: float) -> float:
    """How far one can go from a point in a direction without leaving the concrete, at most `far`, metres."""
    return reaches_inside(parts, start[None], direction[None], far)[0]


def reaches_inside(parts: tuple[Part, ...], starts: Array, directions: Array, far: float) -> list[float]:
    """As `reach_inside`, for several points (n, 3), each with its direction (n, 3)."""
    ends = starts + directions * far
    shares: list[list[tuple[float, float]]] = [[] for _ in starts]
    for part in parts:
        if part.box is not None:
            for row, found in zip(shares, _shares_inside(part, starts, ends), strict=True):
                row.extend(found)
    return [round(_gone(sorted(row)) * far, 4) for row in shares]


def _gone(shares: list[tuple[float, float]]) -> float:
    """Share of the way up to the first gap."""
    reached = 0.0
    for low, high in shares:
        if low <= reached + 1e-6:
            reached = max(reached, high)
    return reached


def _shares_inside(part: Part, starts: Array, ends: Array) -> list[list[tuple[float, float]]]:
    """For each straight axis its stretches within the part, as shares of its length."""
    found: list[list[tuple[float, float]]] = [[] for _ in starts]
    for solid in part.solids:
        near = within_reach(solid, starts, ends)
        if not near:
            continue
        cut = hits_of(triangles_of(solid), starts[near], ends[near])
        spans = [(k, low, high) for k, cuts in zip(near, cut, strict=True)
                 for low, high in pairwise(sorted({0.0, 1.0, *(round(t, 6) for t in cuts.tolist())}))]
        rows = [k for k, _, _ in spans]
        share = np.array([(low + high) / 2 for _, low, high in spans])[:, None]
        middles = starts[rows] + share * (ends[rows] - starts[rows])
        for (k, low, high), inside in zip(spans, _are_inside(solid, middles), strict=True):
            if inside:
                found[k].append((low, high))
    return found


def _are_inside(solid: Solid, points: Array) -> list[bool]:
    """Whether an odd number of faces lies straight above each point."""
    low, high = solid.box.low[:2], solid.box.high[:2]
    over: list[bool] = np.all((points[:, :2] >= low) & (points[:, :2] <= high), axis=1).tolist()
    return [within and len({round(z, 6) for z in heights.tolist() if z > level}) % 2 == 1
            for within, heights, level in zip(over, _heights_over(solid, points), points[:, 2].tolist(), strict=True)]


def _covered(intervals: list[tuple[float, float]]) -> float:
    total, reached = 0.0, 0.0
    for low, high in sorted(intervals):
        total += max(high - max(low, reached), 0.0)
        reached = max(reached, high)
    return total
