"""Swept solids and primitives as shapes in metres (ISO 16739-1, IfcGeometricModelResource)."""

from __future__ import annotations

from math import ceil, pi
from typing import Any

import numpy as np

from modellint.ifc.bodies import Shape, disk, extrusion, mesh_shape, moved
from modellint.ifc.curves import CHORD_ANGLE, circle_points, curve_points
from modellint.ifc.mesh import Triangles, prism
from modellint.ifc.placements import axis_placement, point, unit_vector
from modellint.ifc.profiles import Profile, read_profile
from modellint.ifc.solid import Array
from modellint.ifc.source import UnreadableShapeError


def extruded(row: Any, scale: float, angle: float) -> list[Shape]:
    """IfcExtrudedAreaSolid; a direction that is not square to the profile is kept."""
    matrix = axis_placement(row[1], scale)
    sweep = matrix[:3, :3] @ unit_vector(row[2][0], (0.0, 0.0, 1.0)) * (row[3] * scale)
    return [extrusion(profile, matrix, sweep) for profile in read_profile(row[0], scale, angle)]


def tapered(row: Any, scale: float, angle: float) -> list[Shape]:
    """IfcExtrudedAreaSolidTapered as a mesh between its two profiles."""
    matrix = axis_placement(row[1], scale)
    turn, origin = matrix[:3, :3], matrix[:3, 3]
    sweep = turn @ unit_vector(row[2][0], (0.0, 0.0, 1.0)) * (row[3] * scale)
    shapes = []
    starts, ends = read_profile(row[0], scale, angle), read_profile(row[4], scale, angle)
    for start, end in zip(starts, ends, strict=False):
        rings = [ring @ turn[:, :2].T + origin for ring in (start.outline, *start.holes)]
        others = [ring @ turn[:, :2].T + origin + sweep for ring in (end.outline, *end.holes)]
        axis = np.array([turn[:, :2] @ start.centroid + origin, turn[:, :2] @ end.centroid + origin + sweep])
        alike = [len(ring) for ring in rings] == [len(ring) for ring in others]
        if alike:
            vertices, faces = prism(rings[0], rings[1:], sweep, others)
        else:
            vertices, faces = np.vstack([*rings, *others]), np.zeros((0, 3), dtype=np.int64)
        radius = max(start.radius, end.radius) if start.radius and end.radius else None
        shapes.append(mesh_shape(vertices, faces, frame=turn.T, axis=axis, radius=radius))
    return shapes


def revolved(row: Any, scale: float, angle: float) -> list[Shape]:
    """IfcRevolvedAreaSolid as a mesh of short steps; its axis is the path of the profile's centroid."""
    matrix = axis_placement(row[1], scale)
    centre = point(row[2][0], scale)
    direction = unit_vector(row[2][1][0] if row[2][1] is not None else None, (0.0, 0.0, 1.0))
    sweep = min(abs(row[3]) * angle, 2 * pi)
    if sweep < 1e-9:
        raise UnreadableShapeError("revolution by no angle")
    steps = max(2, ceil(sweep / CHORD_ANGLE - 1e-9))
    angles = np.linspace(0.0, sweep * (1.0 if row[3] > 0 else -1.0), steps + 1)
    closed = sweep > 2 * pi - 1e-9
    shapes = []
    for profile in read_profile(row[0], scale, angle):
        path = np.vstack([_turned(profile.centroid[None, :], centre, direction, t) for t in angles])
        vertices, faces = _turned_mesh(profile, [(centre, direction, t) for t in angles], closed)
        round_section = {"radius": profile.radius, "inner_radius": profile.inner_radius}
        shape = mesh_shape(vertices, faces, axis=path, **round_section)
        shapes.append(moved(shape, matrix))
    return shapes


def _turned(plan: Array, centre: Array, direction: Array, angle: float) -> Array:
    """Profile points turned about an axis (Rodrigues' rotation formula)."""
    offset = np.column_stack([plan, np.zeros(len(plan))]) - centre
    c, s = np.cos(angle), np.sin(angle)
    along = (offset @ direction)[:, None] * direction
    turned: Array = centre + c * offset + s * np.cross(direction, offset) + (1 - c) * along
    return turned


def _turned_mesh(
    profile: Profile, turns: list[tuple[Array, Array, float]], closed: bool
) -> tuple[Array, Triangles]:
    """Surface swept by a profile through a row of turns, with end caps unless it closes on itself."""
    rings = [profile.outline, *profile.holes]
    section = np.vstack(rings)
    count = len(section)
    vertices = np.vstack([_turned(section, *turn) for turn in turns])
    flat = [np.column_stack([ring, np.zeros(len(ring))]) for ring in rings]
    # A unit prism has the caps and the sides of one step; each further step repeats its sides.
    faces = prism(flat[0], flat[1:], np.array([0.0, 0.0, 1.0]))[1]
    bottom, top = faces[(faces < count).all(axis=1)], faces[(faces >= count).all(axis=1)]
    sides = faces[(faces < count).any(axis=1) & (faces >= count).any(axis=1)]
    parts = [sides + step * count for step in range(len(turns) - 1)]
    if not closed:
        parts += [bottom, top + (len(turns) - 2) * count]
    return vertices, np.vstack(parts)


def _tube(count: int, rings: int) -> Triangles:
    """Sides between rings of `count` points each."""
    faces = []
    for r in range(rings - 1):
        for k in range(count):
            a, b = r * count + k, r * count + (k + 1) % count
            faces += [(a, b, b + count), (a, b + count, a + count)]
    return np.array(faces, dtype=np.int64)


def swept_disk(row: Any, scale: float, angle: float) -> list[Shape]:
    """IfcSweptDiskSolid along its directrix."""
    directrix = row[0]
    if directrix.is_a("IfcLine"):
        path = _line_piece(directrix, row[3], row[4], scale)
    else:
        path = curve_points(directrix, scale, angle)
        if directrix.is_a("IfcPolyline"):
            path = _trimmed_path(path, row[3], row[4])
    keep = np.append(True, np.abs(np.diff(path, axis=0)).max(axis=1) > 1e-9)
    if int(keep.sum()) < 2:
        raise UnreadableShapeError("directrix without length")
    return [disk(path[keep], row[1] * scale, row[2] * scale if row[2] else None)]


def _line_piece(line: Any, start: float | None, end: float | None, scale: float) -> Array:
    if start is None or end is None:
        raise UnreadableShapeError("endless directrix")
    step = unit_vector(line[1][0][0], (1.0, 0.0, 0.0)) * float(line[1][1]) * scale
    origin = point(line[0], scale)
    return np.array([origin + start * step, origin + end * step])


def _trimmed_path(path: Array, start: float | None, end: float | None) -> Array:
    """A polyline between two parameters, which count its segments; the whole of it if they make no sense."""
    last = len(path) - 1
    low = 0.0 if start is None else float(start)
    high = float(last) if end is None else float(end)
    if not 0.0 <= low < high <= last or (low == 0.0 and high == last):
        return path
    inner = [k for k in range(last + 1) if low < k < high]
    return np.array([_along(path, low), *(path[k] for k in inner), _along(path, high)])


def _along(path: Array, parameter: float) -> Array:
    k = min(int(parameter), len(path) - 2)
    return np.asarray(path[k] + (parameter - k) * (path[k + 1] - path[k]))


def primitive(row: Any, scale: float) -> list[Shape]:
    """IfcCsgPrimitive3D: block, cylinder, cone, sphere, pyramid."""
    matrix = axis_placement(row[0], scale)
    up = matrix[:3, 2]
    kind = row.is_a()
    if kind == "IfcBlock":
        x, y = row[1] * scale, row[2] * scale
        profile = Profile(np.array([(0, 0), (x, 0), (x, y), (0, y)], dtype=float))
        return [extrusion(profile, matrix, up * row[3] * scale)]
    if kind == "IfcRightCircularCylinder":
        radius = row[2] * scale
        return [extrusion(Profile(circle_points(radius), radius=radius), matrix, up * row[1] * scale)]
    if kind == "IfcRightCircularCone":
        ring = circle_points(row[2] * scale)
        return [_peak(ring, np.array([0.0, 0.0, row[1] * scale]), matrix)]
    if kind == "IfcRectangularPyramid":
        x, y = row[1] * scale, row[2] * scale
        ring = np.array([(0, 0), (x, 0), (x, y), (0, y)], dtype=float)
        return [_peak(ring, np.array([x / 2, y / 2, row[3] * scale]), matrix)]
    if kind == "IfcSphere":
        levels = np.arange(-8, 9) * (pi / 16)
        rings = [
            np.column_stack(
                [circle_points(row[1] * scale * np.cos(t)), np.full(32, row[1] * scale * np.sin(t))]
            )
            for t in levels
        ]
        ball = mesh_shape(
            np.vstack(rings), _tube(32, len(levels)), frame=np.eye(3)
        )
        return [moved(ball, matrix)]
    raise UnreadableShapeError(kind)


def _peak(ring: Array, tip: Array, matrix: Array) -> Shape:
    count = len(ring)
    vertices = np.vstack([np.column_stack([ring, np.zeros(count)]), tip])
    sides = [(k, (k + 1) % count, count) for k in range(count)]
    floor = [(0, k + 1, k) for k in range(1, count - 1)]
    shape = mesh_shape(vertices, np.array(sides + floor, dtype=np.int64), frame=np.eye(3))
    return moved(shape, matrix)
