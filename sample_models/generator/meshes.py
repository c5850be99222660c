"""Outer surfaces of shapes as closed polygon meshes, for the manner that writes breps and facesets."""

from __future__ import annotations

from math import cos, pi, sin

from .shapes import Extrusion, Shape, Tube, Vec, add, cross, sub, times, unit
from .step import dot, frame_of

SIDES = 16
Mesh = tuple[list[Vec], list[list[int]]]


def mesh(shape: Shape) -> Mesh:
    """Vertices and outward polygons; round sections have 16 sides with their corners on the circle."""
    if isinstance(shape, Tube):
        return _tube(shape)
    return _prism(shape)


def _prism(shape: Extrusion) -> Mesh:
    points = shape.corners()
    count = len(points) // 2
    faces = [list(range(count))[::-1], list(range(count, 2 * count))]
    faces += [[k, (k + 1) % count, (k + 1) % count + count, k + count] for k in range(count)]
    return points, faces


def _tube(tube: Tube) -> Mesh:
    """Rings round the centre line, mitred at bends, closed by flat caps (the bore is left out)."""
    line = tube.points
    x = frame_of(tube)[1]
    rings: list[list[Vec]] = []
    for k, centre in enumerate(line):
        before = unit(sub(centre, line[k - 1])) if k else unit(sub(line[1], line[0]))
        after = unit(sub(line[k + 1], centre)) if k + 1 < len(line) else before
        normal = unit(add(before, after))
        x = unit(sub(x, times(before, dot(x, before))))
        y = cross(before, x)
        ring = []
        for side in range(SIDES):
            angle = 2 * pi * side / SIDES
            offset = add(times(x, tube.radius * cos(angle)), times(y, tube.radius * sin(angle)))
            slide = -dot(offset, normal) / dot(before, normal)
            ring.append(add(centre, add(offset, times(before, slide))))
        rings.append(ring)
        x = unit(sub(x, times(after, dot(x, after)))) if abs(dot(x, after)) < 0.99 else cross(after, y)
    points = [p for ring in rings for p in ring]
    faces = [list(range(SIDES))[::-1], [len(points) - SIDES + k for k in range(SIDES)]]
    for r in range(len(rings) - 1):
        a, b = r * SIDES, (r + 1) * SIDES
        faces += [[a + k, a + (k + 1) % SIDES, b + (k + 1) % SIDES, b + k] for k in range(SIDES)]
    return points, faces


def triangles(faces: list[list[int]]) -> list[tuple[int, int, int]]:
    """Convex polygons cut into triangles from their first corner."""
    return [(face[0], face[k], face[k + 1]) for face in faces for k in range(1, len(face) - 1)]
