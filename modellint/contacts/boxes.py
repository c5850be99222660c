"""Distances and overlaps between oriented boxes and centre lines."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from modellint.ifc.solid import Array, Box

UP = np.array([0.0, 0.0, 1.0])


def box_gap(first: Box, second: Box) -> float:
    """Gap between two oriented boxes, metres; negative when they overlap (depth of the shallowest overlap).

    By separating axes: exact between faces, a lower bound between edges and corners.
    """
    axes = _axes_to_try(first, second)
    reach = np.abs(axes @ first.axes.T) @ first.half + np.abs(axes @ second.axes.T) @ second.half
    return float((np.abs(axes @ (second.centre - first.centre)) - reach).max())


def _axes_to_try(first: Box, second: Box) -> Array:
    a, b = first.axes[:, None, :], second.axes[None, :, :]
    cross = np.stack(
        [
            a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1],
            a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2],
            a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0],
        ],
        axis=-1,
    ).reshape(9, 3)
    size = np.sqrt((cross * cross).sum(axis=1))
    square = size > 1e-6
    axes: Array = np.concatenate([first.axes, second.axes, cross[square] / size[square, None]])
    return axes


def point_gap(box: Box, point: Array) -> float:
    """Distance from a point to a box, 0 inside, metres."""
    outside = np.maximum(np.abs(box.local(point)[0]) - box.half, 0.0)
    return float(np.sqrt(outside @ outside))


def clip_line(box: Box, start: Array, end: Array) -> tuple[float, float] | None:
    """Part of the segment that lies inside the box as parameters (0 to 1), or None."""
    local = box.local(np.array([start, end]))
    origin, step = local[0], local[1] - local[0]
    low, high = 0.0, 1.0
    for k in range(3):
        if abs(step[k]) < 1e-12:
            if abs(origin[k]) > box.half[k] + 1e-9:
                return None
            continue
        a, b = (-box.half[k] - origin[k]) / step[k], (box.half[k] - origin[k]) / step[k]
        low, high = max(low, min(a, b)), min(high, max(a, b))
    return (float(low), float(high)) if low <= high else None


def line_gap(box: Box, line: Array) -> float:
    """Shortest distance between a polyline (n, 3) and a box, 0 if it enters, metres."""
    best = np.inf
    for start, end in pairwise(line):
        if clip_line(box, start, end) is not None:
            return 0.0
        best = min(best, _segment_gap(box, start, end))
    return best


def _segment_gap(box: Box, start: Array, end: Array) -> float:
    """Distance of a straight segment from a box: between the box's planes its square is a parabola in t."""
    local = box.local(np.array([start, end]))
    origin, step, half = local[0].tolist(), (local[1] - local[0]).tolist(), box.half.tolist()
    breaks = {0.0, 1.0}
    for o, d, h in zip(origin, step, half, strict=True):
        if abs(d) > 1e-12:
            breaks |= {t for t in ((-h - o) / d, (h - o) / d) if 0.0 < t < 1.0}
    times = sorted(breaks)
    best = min(_square(origin, step, half, t) for t in times)
    for low, high in pairwise(times):
        middle, top, bottom = (low + high) / 2, 0.0, 0.0
        for o, d, h in zip(origin, step, half, strict=True):
            at = o + middle * d
            if abs(at) > h:
                top += d * ((h if at > 0 else -h) - o)
                bottom += d * d
        if bottom > 1e-18:
            best = min(best, _square(origin, step, half, min(max(top / bottom, low), high)))
    return float(best ** 0.5)


def _square(origin: list[float], step: list[float], half: list[float], t: float) -> float:
    return sum(max(abs(o + t * d) - h, 0.0) ** 2 for o, d, h in zip(origin, step, half, strict=True))


def apart(first: Box, second: Box, reach: float = 0.0) -> bool:
    """Whether the world-aligned boxes stay further than `reach` apart; quick and on the safe side."""
    return bool((first.low > second.high + reach).any() or (second.low > first.high + reach).any())


def length_inside(box: Box, line: Array) -> float:
    """Length of a polyline (n, 3) inside a box, metres."""
    total = 0.0
    for start, end in pairwise(line):
        clipped = clip_line(box, start, end)
        if clipped is not None:
            total += (clipped[1] - clipped[0]) * float(np.linalg.norm(end - start))
    return total


def line_line_gap(first: Array, second: Array) -> float:
    """Shortest distance between two polylines (n, 3), metres."""
    return min(_segments_gap(a, b, c, d)
               for a, b in pairwise(first)
               for c, d in pairwise(second))


def _segments_gap(a: Array, b: Array, c: Array, d: Array) -> float:
    # closest points of two segments: clamp along one, then the other
    u, v, w = b - a, d - c, a - c
    uu, uv, vv, uw, vw = (float(x) for x in (u @ u, u @ v, v @ v, u @ w, v @ w))
    bottom = uu * vv - uv * uv
    s = min(max((uv * vw - vv * uw) / bottom, 0.0), 1.0) if bottom > 1e-12 else 0.0
    t = min(max((uv * s + vw) / vv, 0.0), 1.0) if vv > 1e-12 else 0.0
    s = min(max((uv * t - uw) / uu, 0.0), 1.0) if uu > 1e-12 else 0.0
    return float(np.linalg.norm(w + s * u - t * v))


def box_of(points: Array) -> Box:
    """Smallest box over points (n, 3) that stands upright: one axis vertical, least plan area.

    Args:
        points: at least one point, metres.
    """
    plan = points[:, :2]
    hull = _hull(plan)
    best: tuple[float, Array] | None = None
    edges = np.diff(np.vstack([hull, hull[:1]]), axis=0) if len(hull) > 1 else np.array([[1.0, 0.0]])
    for edge in edges:
        size = float(np.hypot(*edge))
        if size < 1e-9:
            continue
        turn = np.array([[edge[0], edge[1]], [-edge[1], edge[0]]]) / size
        turned = hull @ turn.T
        area = float(np.prod(np.ptp(turned, axis=0)))
        if best is None or area < best[0] - 1e-9:
            best = (area, turn)
    turn = best[1] if best else np.eye(2)
    axes = np.eye(3)
    axes[:2, :2] = turn
    local = points @ axes.T
    low, high = local.min(axis=0), local.max(axis=0)
    return Box((low + high) / 2 @ axes, axes, (high - low) / 2)


def _hull(plan: Array) -> Array:
    """Convex hull of plan points by monotone chain."""
    points = np.unique(np.round(plan, 6), axis=0)
    if len(points) < 3:
        return points

    def half(rows: Array) -> list[Array]:
        chain: list[Array] = []
        for p in rows:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 0:
                chain.pop()
            chain.append(p)
        return chain

    return np.array(half(points)[:-1] + half(points[::-1])[:-1])


def _turn(a: Array, b: Array, c: Array) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def union_box(boxes: list[Box]) -> Box:
    """Box over several boxes: theirs if only one, else the smallest upright one."""
    if len(boxes) == 1:
        return boxes[0]
    return box_of(np.vstack([box.corners for box in boxes]))
