"""Centre lines as polylines (n, 3): lengths, nearest points, cuts, and a line through a meshed pipe."""

from __future__ import annotations

import numpy as np

from modellint.ifc.solid import Array

FAR = 1e6  # coordinates beyond this many metres are taken as undrawn


def usable(points: Array | None) -> bool:
    """Whether all coordinates are finite and within 1,000 km."""
    return (
        points is not None
        and points.size > 0
        and bool(np.all(np.isfinite(points)) and np.abs(points).max() < FAR)
    )


def arc_lengths(line: Array) -> Array:
    """Distance of each vertex from the first along the line, metres."""
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    along: Array = np.concatenate([[0.0], np.cumsum(steps)])
    return along


def nearest_on(line: Array, point: Array) -> tuple[float, float, Array]:
    """Distance to a polyline, arc length of the nearest point, and that point."""
    starts, steps = line[:-1], np.diff(line, axis=0)
    squares = np.maximum((steps * steps).sum(axis=1), 1e-18)
    t = np.clip(((point - starts) * steps).sum(axis=1) / squares, 0.0, 1.0)
    feet = starts + t[:, None] * steps
    gaps = np.linalg.norm(feet - point, axis=1)
    k = int(np.argmin(gaps))
    return float(gaps[k]), float(arc_lengths(line)[k] + t[k] * np.linalg.norm(steps[k])), feet[k]


def point_at(line: Array, along: float) -> Array:
    """Point at an arc length, clamped to the ends."""
    lengths = arc_lengths(line)
    point: Array = np.array([np.interp(along, lengths, line[:, k]) for k in range(3)])
    return point


def cut(line: Array, start: float, end: float) -> Array:
    """Part of a polyline between two arc lengths, in the line's direction."""
    lengths = arc_lengths(line)
    inner = line[(lengths > start + 1e-9) & (lengths < end - 1e-9)]
    piece: Array = np.vstack([point_at(line, start), inner, point_at(line, end)])
    return piece


def direction_at(line: Array, last: bool) -> Array | None:
    """Unit direction out of the line at its first or last point, None if it has no length."""
    end, others = (line[-1], line[-2::-1]) if last else (line[0], line[1:])
    for other in others:
        step = end - other
        size = float(np.linalg.norm(step))
        if size > 1e-9:
            unit: Array = step / size
            return unit
    return None


def tube_line(vertices: Array) -> tuple[Array, float] | None:
    """Centre line and outer radius of a straight meshed pipe.

    The direction comes from the principal axis; each end's centre is the middle of the vertices within a
    twentieth of the length (at least 1 mm) of that end, so that a slight fall of the pipe is kept.

    Args:
        vertices: (n, 3) metres, n at least 4.

    Returns:
        `(line (2, 3), radius)`, or None when the body is shorter than 2 diameters.
    """
    if len(vertices) < 4 or not usable(vertices):
        return None
    middle = vertices.mean(axis=0)
    _, _, rows = np.linalg.svd(vertices - middle, full_matrices=False)
    axis = rows[0]
    for _ in range(3):
        along = (vertices - middle) @ axis
        reach = max(0.05 * float(np.ptp(along)), 0.001)
        ends = [
            _middle_of(vertices[side])
            for side in (along <= along.min() + reach, along >= along.max() - reach)
        ]
        step = ends[1] - ends[0]
        size = float(np.linalg.norm(step))
        if size < 1e-9:
            return None
        axis, middle = step / size, (ends[0] + ends[1]) / 2
    along = (vertices - middle) @ axis
    radius = float(np.linalg.norm(vertices - middle - along[:, None] * axis, axis=1).max())
    if float(np.ptp(along)) < 4 * radius:
        return None
    line = np.array([middle + along.min() * axis, middle + along.max() * axis])
    return (line if line[0, 2] <= line[1, 2] else line[::-1]), radius


def _middle_of(points: Array) -> Array:
    middle: Array = (points.min(axis=0) + points.max(axis=0)) / 2
    return middle
