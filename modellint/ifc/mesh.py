"""Triangles and oriented boxes of point clouds and faces."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from modellint.ifc.ears import ear_clip
from modellint.ifc.solid import Array, Box

Triangles = NDArray[np.int64]
Loops = Sequence[Sequence[int]]

UPRIGHT_BONUS = 0.9
"""A tilted box must be this much smaller than the upright one: most building parts are upright."""


def newell_normal(ring: Array) -> Array:
    """Normal (not of unit length) of a possibly warped ring, by Newell's method."""
    after = np.concatenate((ring[1:], ring[:1]))
    minus, plus = ring - after, ring + after
    return np.array(
        [(minus[:, 1] * plus[:, 2]).sum(), (minus[:, 2] * plus[:, 0]).sum(), (minus[:, 0] * plus[:, 1]).sum()]
    )


def plane_basis(normal: Array) -> Array:
    """Two unit rows that span the plane across `normal`, right-handed with it."""
    unit = normal / np.sqrt(normal @ normal)
    helper = np.array([1.0, 0.0, 0.0]) if abs(unit[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    u = cross3(helper, unit)
    u /= np.sqrt(u @ u)
    return np.array([u, cross3(unit, u)])


def cross3(a: Array, b: Array) -> Array:
    """Cross product of two single vectors; numpy's own takes ten times as long on so few numbers."""
    ax, ay, az = a.tolist()
    bx, by, bz = b.tolist()
    return np.array((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx))


def triangulate(vertices: Array, faces: Sequence[Loops]) -> Triangles:
    """Triangles of faces given as loops of vertex indices, the outer loop first.

    Warped faces are cut in their mean plane. Faces without area give nothing.
    """
    done: list[tuple[int, int, int]] = []
    quads: list[Sequence[int]] = []
    others: list[Loops] = []
    for loops in faces:
        if len(loops) > 1 or len(loops[0]) > 4:
            others.append(loops)
        elif len(loops[0]) == 3:
            a, b, c = loops[0]
            done.append((a, b, c))
        elif len(loops[0]) == 4:
            quads.append(loops[0])
    if quads:
        convex = _convex_quads(vertices[np.array(quads)])
        for quad, is_convex in zip(quads, convex, strict=True):
            if is_convex:
                a, b, c, d = quad
                done += [(a, b, c), (a, c, d)]
            else:
                others.append([quad])
    for loops in others:
        done += _face(vertices, loops)
    return np.array(done, dtype=np.int64).reshape(-1, 3)


def _convex_quads(corners: Array) -> NDArray[np.bool_]:
    edges = np.roll(corners, -1, axis=1) - corners
    turns = np.cross(edges, np.roll(edges, -1, axis=1))
    normal = turns.sum(axis=1, keepdims=True)
    convex: NDArray[np.bool_] = ((turns * normal).sum(axis=2) >= 0).all(axis=1)
    return convex


def _face(vertices: Array, loops: Loops) -> list[tuple[int, int, int]]:
    outer = vertices[list(loops[0])]
    normal = newell_normal(outer)
    if float(normal @ normal) < 1e-24:
        return []
    basis = plane_basis(normal)
    flat = [[(float(x), float(y)) for x, y in vertices[list(loop)] @ basis.T] for loop in loops]
    index = [i for loop in loops for i in loop]
    return [(index[a], index[b], index[c]) for a, b, c in ear_clip(flat)]


def prism(
    outline: Array, holes: Sequence[Array], sweep: Array, end: Sequence[Array] | None = None
) -> tuple[Array, Triangles]:
    """Closed mesh of an outline with holes, each (n, 3), moved along `sweep` or to the `end` rings."""
    rings = [outline, *holes]
    ends = list(end) if end is not None else [ring + sweep for ring in rings]
    count = sum(len(ring) for ring in rings)
    vertices = np.vstack([*rings, *ends])
    loops, start = [], 0
    for ring in rings:
        loops.append(list(range(start, start + len(ring))))
        start += len(ring)
    normal = newell_normal(outline)
    away = float(normal @ (ends[0].mean(axis=0) - outline.mean(axis=0))) > 0
    cap = np.array(_face(vertices, loops), dtype=np.int64).reshape(-1, 3)
    bottom, top = (cap[:, ::-1], cap + count) if away else (cap, cap[:, ::-1] + count)
    sides = []
    for k, loop in enumerate(loops):
        # Hole loops run against the outer one, whichever way the file drew them.
        same = float(newell_normal(rings[k]) @ normal) > 0
        flip = (not away) != (not same if k == 0 else same)
        for a, b in zip(loop, [*loop[1:], loop[0]], strict=True):
            first, second = (b, a) if flip else (a, b)
            sides += [(first, second, second + count), (first, second + count, first + count)]
    return vertices, np.vstack([bottom, top, np.array(sides, dtype=np.int64)])


def box_along(points: Array, axes: Array) -> Box:
    """Tight box of points along given unit rows."""
    local = points @ axes.T
    low, high = local.min(axis=0), local.max(axis=0)
    return Box(((low + high) / 2.0) @ axes, axes, (high - low) / 2.0)


def oriented_box(points: Array) -> Box:
    """A small oriented box: the least rectangle in plan if upright, else along a principal axis."""
    best: Box | None = None
    least = np.inf
    for k, direction in enumerate(_directions(points)):
        box = _box_about(points, direction)
        volume = float(np.prod(box.half + 5e-4)) * (UPRIGHT_BONUS if k == 0 else 1.0)
        if volume < least:
            best, least = box, volume
    assert best is not None
    return best


def _directions(points: Array) -> list[Array]:
    """Candidate box directions: the vertical, then the first and the last principal axis."""
    up = np.array([0.0, 0.0, 1.0])
    centred = points - points.mean(axis=0)
    _, vectors = np.linalg.eigh(centred.T @ centred)
    tilted = [
        vector for vector in (vectors[:, 2], vectors[:, 0]) if 1e-6 < abs(float(vector @ up)) < 1 - 1e-9
    ]
    return [up, *(vector if vector @ up > 0 else -vector for vector in tilted)]


def _box_about(points: Array, direction: Array) -> Box:
    basis = np.eye(3)[:2] if direction[2] == 1.0 else plane_basis(direction)
    turn = least_rectangle(points @ basis.T)
    c, s = np.cos(turn), np.sin(turn)
    axes = np.array([c * basis[0] + s * basis[1], c * basis[1] - s * basis[0], direction])
    return box_along(points, axes)


def least_rectangle(plan: Array) -> float:
    """Angle in [0, pi/2) of the rectangle of least area around points (n, 2); one side lies on the hull."""
    hull = convex_hull(plan)
    if len(hull) < 2:
        return 0.0
    edges = np.roll(hull, -1, axis=0) - hull
    angles = np.unique(np.round(np.arctan2(edges[:, 1], edges[:, 0]) % (np.pi / 2), 9))
    angles = np.concatenate([[0.0], angles])
    c, s = np.cos(angles)[:, None], np.sin(angles)[:, None]
    x, y = c * hull[:, 0] + s * hull[:, 1], c * hull[:, 1] - s * hull[:, 0]
    spread = (x.max(axis=1) - x.min(axis=1) + 1e-6) * (y.max(axis=1) - y.min(axis=1) + 1e-6)
    # Of equal rectangles (a circle has many) the first is taken, so that equal input gives equal boxes.
    return float(angles[int(np.argmax(spread <= spread.min() * (1 + 1e-6)))])


def convex_hull(plan: Array) -> Array:
    """Hull of points (n, 2), counter-clockwise (Andrew's monotone chain)."""
    points: list[tuple[float, float]] = sorted(set(map(tuple, np.round(_outer(plan), 7).tolist())))
    if len(points) < 3:
        return np.array(points)
    halves = []
    for run in (points, points[::-1]):
        half: list[tuple[float, float]] = []
        for p in run:
            while len(half) > 1 and _turn(half[-2], half[-1], p) <= 0:
                half.pop()
            half.append(p)
        halves.append(half[:-1])
    return np.array(halves[0] + halves[1])


def _outer(plan: Array) -> Array:
    """Points not inside the octagon of the extremes: only they can lie on the hull (Akl, Toussaint 1978)."""
    if len(plan) < 40:
        return plan
    x, y = plan.T
    picks = [int(f.argmin()) for f in (y, y - x, -x, -x - y, -y, x - y, x, x + y)]
    octagon = plan[picks]
    edges = np.roll(octagon, -1, axis=0) - octagon
    left = edges[:, 0, None] * (y - octagon[:, 1, None]) - edges[:, 1, None] * (x - octagon[:, 0, None])
    inside = ((left > 1e-9) | (np.abs(edges).sum(axis=1) < 1e-12)[:, None]).all(axis=0)
    return np.asarray(plan[~inside])


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def round_bar(points: Array, box: Box) -> tuple[Array, float, float | None] | None:
    """Centre line, radius and bore radius of a point cloud that is a round bar or pipe; None if it is not.

    It is one if its box is at least twice as long as wide and no point lies further from the box's long axis
    than a round section allows (a square one reaches 1.41 half widths; 6 % is allowed for chords). Common
    practice, no source.
    """
    order = np.argsort(box.half)
    long, wide, thin = (float(box.half[i]) for i in order[::-1])
    if thin <= 1e-6 or long < 2 * wide or wide > 1.1 * thin:
        return None
    direction = box.axes[order[2]]
    offset = points - box.centre
    along = offset @ direction
    distance = np.sqrt(np.maximum((offset * offset).sum(axis=1) - along**2, 0.0))
    radius = float(distance.max())
    if radius > 1.06 * wide or len(points) < 10:
        return None
    bore = float(distance.min())
    two_rings = bool(np.all((distance > 0.98 * radius) | (distance < 1.03 * bore)))
    hollow = 0.3 * radius < bore < 0.98 * radius and two_rings
    axis = np.array([box.centre - long * direction, box.centre + long * direction])
    return axis, radius, bore if hollow else None
