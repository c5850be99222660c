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
        end = nearest_in_box(target, start)
        start = mouth.nearest(end)
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
    if _clear(start, end, target, obstacles, spare):
        return direct, direct
    edges = sharp_edges(obstacles)
    if len(edges) == 0:
        return direct, float("inf")
    lengths, starts, bends, ends = _one_bend(mouth, target, edges)
    order = np.argsort(lengths, kind="stable")
    upper = float("inf")
    for k in order[:200]:
        if _clear(starts[k], bends[k], target, obstacles, spare) and _clear(
            bends[k], ends[k], target, obstacles, spare
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
    for _ in range(60):
        starts, ends = mouth.nearest(bends), nearest_in_box(target, bends)
        # unfold both legs into one plane: the bend divides the run along the edge as the two heights do
        run_a, run_b = ((starts - first) * unit).sum(axis=1), ((ends - first) * unit).sum(axis=1)
        rise_a = np.linalg.norm(starts - first - run_a[:, None] * unit, axis=1)
        rise_b = np.linalg.norm(ends - first - run_b[:, None] * unit, axis=1)
        share = rise_a / np.maximum(rise_a + rise_b, 1e-12)
        bends = first + np.clip(run_a + share * (run_b - run_a), 0.0, size)[:, None] * unit
    starts, ends = mouth.nearest(bends), nearest_in_box(target, bends)
    lengths = np.linalg.norm(starts - bends, axis=1) + np.linalg.norm(ends - bends, axis=1)
    return lengths, starts, bends, ends


def _clear(start: Array, end: Array, target: Box, obstacles: Array, spare: float) -> bool:
    length = float(np.linalg.norm(end - start))
    if length < 1e-9:
        return True
    found = hits(obstacles, start, end)
    found = found[(found * length > 1e-3) & ((1 - found) * length > 1e-3)]
    near = clip_line(Box(target.centre, target.axes, target.half + spare), start, end)
    if near is not None:
        found = found[(found < near[0]) | (found > near[1])]
    return len(found) == 0
