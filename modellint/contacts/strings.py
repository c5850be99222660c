"""Shortest way from a round mouth to a rectangle, straight or as a string stretched round solids."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from modellint.contacts.boxes import clip_line
from modellint.contacts.surfaces import hits, sharp_edges
from modellint.ifc.solid import Array, Box


@dataclass(frozen=True)
class Mouth:
    """A round opening: centre (3,), unit normal (3,), radius in metres."""

    centre: Array
    normal: Array
    radius: float

    def nearest(self, points: Array) -> Array:
        """Points of the disc nearest to the given points (n, 3)."""
        offset = points - self.centre
        flat = offset - (offset @ self.normal)[:, None] * self.normal
        size = np.linalg.norm(flat, axis=1)
        shrink = np.minimum(1.0, self.radius / np.maximum(size, 1e-12))
        near: Array = self.centre + flat * shrink[:, None]
        return near


def nearest_in_box(box: Box, points: Array) -> Array:
    """Points of a box (or a rectangle, one half size 0) nearest to the given points (n, 3)."""
    near: Array = box.centre + np.clip(box.local(points), -box.half, box.half) @ box.axes
    return near


def straight(mouth: Mouth, target: Box) -> tuple[float, Array, Array]:
    """Straight distance between disc and box with the two nearest points, metres."""
    start = mouth.nearest(target.corners)
    start = np.vstack([start, mouth.nearest(target.centre[None])])
    # both are convex, so projecting back and forth closes in on the nearest pair
    for _ in range(200):
        before, end = start, nearest_in_box(target, start)
        start = mouth.nearest(end)
        if np.array_equal(start, before):
            break
    gaps = np.linalg.norm(end - start, axis=1)
    k = int(np.argmin(gaps))
    return float(gaps[k]), start[k], end[k]


# four times the longest clearance in use (10 ft): further away only the straight line is measured, the lower bound
FOLLOWED = 12.2


def string_range(mouth: Mouth, target: Box, obstacles: Array, spare: float = 0.3) -> tuple[float, float]:
    """Least and greatest length that the stretched string can have, metres.

    A clear straight line is exact. Otherwise the string bends over at least one edge of the obstacles, so
    it is
    no shorter than the shortest way over any one edge; and it is no longer than a one-bend way that is clear.
    Without such a way, or further than FOLLOWED away, the upper bound is infinite.

    Args:
        mouth: where gas leaves.
        target: the opening's rectangle or box.
        obstacles: (t, 3, 3) triangles of roofs and walls.
        spare: what lies within this distance of the target (its own wall and frame) does not count as in the
            way, metres.
    """
    direct, start, end = straight(mouth, target)
    if direct > FOLLOWED:
        return direct, float("inf")
    solids = _Obstacles(obstacles)
    if _clear(start, end, target, solids, spare):
        return direct, direct
    edges = sharp_edges(obstacles)
    if len(edges) == 0:
        return direct, float("inf")
    lengths, starts, bends, ends = _one_bend(mouth, target, edges)
    order = np.argsort(lengths, kind="stable")
    upper = float("inf")
    for k in order[:200]:
        if _clear(starts[k], bends[k], target, solids, spare) and _clear(
            bends[k], ends[k], target, solids, spare
        ):
            upper = float(lengths[k])
            break
    return min(max(direct, float(lengths[order[0]])), upper), upper


def _one_bend(mouth: Mouth, target: Box, edges: Array) -> tuple[Array, Array, Array, Array]:
    """For each edge the shortest way mouth - edge - target: lengths, points on mouth, edge and target."""
    first, step = edges[:, 0], edges[:, 1] - edges[:, 0]
    size = np.maximum(np.linalg.norm(step, axis=1), 1e-12)
    unit = step / size[:, None]
    bends = first + step / 2
    moving = np.arange(len(bends))
    for _ in range(60):
        old, origin, way = bends[moving], first[moving], unit[moving]
        starts, ends = mouth.nearest(old), nearest_in_box(target, old)
        # unfold both legs into one plane: the bend divides the run along the edge as the two heights do
        run_a, run_b = ((starts - origin) * way).sum(axis=1), ((ends - origin) * way).sum(axis=1)
        rise_a = np.linalg.norm(starts - origin - run_a[:, None] * way, axis=1)
        rise_b = np.linalg.norm(ends - origin - run_b[:, None] * way, axis=1)
        share = rise_a / np.maximum(rise_a + rise_b, 1e-12)
        bends[moving] = origin + np.clip(run_a + share * (run_b - run_a), 0.0, size[moving])[:, None] * way
        moving = moving[(bends[moving] != old).any(axis=1)]  # a bend that stays put stays put for good
        if not len(moving):
            break
    starts, ends = mouth.nearest(bends), nearest_in_box(target, bends)
    lengths = np.linalg.norm(starts - bends, axis=1) + np.linalg.norm(ends - bends, axis=1)
    return lengths, starts, bends, ends


class _Obstacles:
    """Triangles with their bounds, so that a line is tried against those it comes near only."""

    def __init__(self, triangles: Array) -> None:
        self.triangles = triangles
        self.low, self.high = triangles.min(axis=1) - 1e-6, triangles.max(axis=1) + 1e-6

    def hits(self, start: Array, end: Array) -> Array:
        """As surfaces.hits."""
        near = (self.low <= np.maximum(start, end)) & (self.high >= np.minimum(start, end))
        return hits(self.triangles[near.all(axis=1)], start, end)


def _clear(start: Array, end: Array, target: Box, obstacles: _Obstacles, spare: float) -> bool:
    length = float(np.linalg.norm(end - start))
    if length < 1e-9:
        return True
    found = obstacles.hits(start, end)
    found = found[(found * length > 1e-3) & ((1 - found) * length > 1e-3)]
    near = clip_line(Box(target.centre, target.axes, target.half + spare), start, end)
    if near is not None:
        found = found[(found < near[0]) | (found > near[1])]
    return len(found) == 0
