"""Boolean results: half-space cuts are carried out, other cuts leave the first operand as an upper bound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from modellint.ifc.bodies import Shape
from modellint.ifc.clip import Mesh, cut, joined
from modellint.ifc.curves import curve_points
from modellint.ifc.mesh import convex_hull
from modellint.ifc.placements import axis_placement
from modellint.ifc.solid import Array
from modellint.ifc.source import UnreadableShapeError

MAX_CUTS = 64


def boolean(row: Any, scale: float, angle: float, read: Callable[[Any], list[Shape]]) -> list[Shape]:
    """Shapes of an IfcBooleanResult; `read` gives the shapes of an operand.

    A long chain of cuts is walked without recursion; beyond `MAX_CUTS` the rest counts as not carried out.
    """
    steps: list[tuple[str, Any]] = []
    while row.is_a("IfcBooleanResult") and len(steps) < 10_000:
        steps.append((str(row[0]), row[2]))
        row = row[1]
    shapes = read(row)
    for count, (operator, operand) in enumerate(reversed(steps)):
        if count >= MAX_CUTS:
            shapes = [replace(shape, clipped=True) for shape in shapes]
            break
        if operator == "UNION":
            shapes = shapes + read(operand)
        elif operand.is_a("IfcHalfSpaceSolid"):
            cuts = [_half_space(shape, operand, operator, scale, angle) for shape in shapes]
            shapes = [shape for shape in cuts if shape is not None]
        else:
            shapes = [replace(shape, clipped=True) for shape in shapes]
    if not shapes:
        raise UnreadableShapeError("boolean that leaves nothing")
    return shapes


def _half_space(shape: Shape, operand: Any, operator: str, scale: float, angle: float) -> Shape | None:
    surface = operand[0]
    if not surface.is_a("IfcPlane") or shape.kind == "disk":
        return replace(shape, clipped=True)
    plane = axis_placement(surface[0], scale)
    # With agreement the half space lies where the normal points away from; a difference removes it.
    keeps_upper = bool(operand[1]) == (operator == "DIFFERENCE")
    normal = plane[:3, 2] if keeps_upper else -plane[:3, 2]
    offset = float(normal @ plane[:3, 3])
    if operand.is_a("IfcPolygonalBoundedHalfSpace") and operator == "DIFFERENCE":
        return _bounded(shape, operand, (normal, offset), scale, angle)
    if operand.is_a("IfcPolygonalBoundedHalfSpace"):
        return replace(shape, clipped=True)
    return _with_mesh(shape, cut(shape.as_mesh(), normal, offset), [(normal, offset)])


def _bounded(
    shape: Shape, operand: Any, plane: tuple[Array, float], scale: float, angle: float
) -> Shape | None:
    """Cut by a half space that acts only within an upright prism over a polygon."""
    normal, offset = plane
    matrix = axis_placement(operand[2], scale)
    polygon = curve_points(operand[3], scale, angle)[:, :2]
    hull = convex_hull(polygon)
    if len(hull) < 3:
        return replace(shape, clipped=True)
    area = _area(polygon)
    if abs(abs(area) - abs(_area(hull))) > 1e-6 * abs(area) + 1e-9:
        walls = None
    else:
        walls = [_wall(matrix, hull[k], hull[(k + 1) % len(hull)]) for k in range(len(hull))]
    points = shape.as_mesh()[0]
    plan = (points - matrix[:3, 3]) @ matrix[:3, :2]
    if (plan.max(axis=0) <= hull.min(axis=0) + 1e-6).any() or (
        plan.min(axis=0) >= hull.max(axis=0) - 1e-6
    ).any():
        return shape
    if walls is None:
        return replace(shape, clipped=True)
    rest: Mesh | None = shape.as_mesh()
    parts: list[Mesh] = []
    covered = True
    for inward, at in walls:
        if rest is None:
            break
        outside = cut(rest, -inward, -at)
        if outside is not None:
            parts.append(outside)
            covered = False
        rest = cut(rest, inward, at)
    if rest is not None:
        below = cut(rest, normal, offset)
        if below is not None:
            parts.append(below)
    return _with_mesh(shape, joined(parts) if parts else None, [(normal, offset)] if covered else [])


def _area(ring: Array) -> float:
    x, y = ring.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) / 2.0


def _wall(matrix: Array, start: Array, end: Array) -> tuple[Array, float]:
    """Inward normal and offset of the upright plane over an edge of a counter-clockwise polygon."""
    edge = (end - start) / np.hypot(*(end - start))
    inward = matrix[:3, :2] @ np.array([-edge[1], edge[0]])
    return inward, float(inward @ (matrix[:3, 3] + matrix[:3, :2] @ start))


def _with_mesh(shape: Shape, mesh: Mesh | None, planes: list[tuple[Array, float]]) -> Shape | None:
    """The shape with its cut mesh; the centre line is cut by the planes that cut the whole section."""
    if mesh is None:
        return None
    before = shape.as_mesh()
    if mesh[0] is before[0]:
        return shape
    axis = shape.axis
    for normal, offset in planes:
        axis = _cut_axis(axis, normal, offset)
    return replace(shape, kind="mesh", points=mesh[0], mesh=mesh, axis=axis)


def _cut_axis(axis: Array | None, normal: Array, offset: float) -> Array | None:
    if axis is None or len(axis) != 2:
        return axis
    low, high = (float(normal @ end) - offset for end in axis)
    if low >= 0 and high >= 0:
        return axis
    if low <= 0 and high <= 0:
        return None
    at = axis[0] + low / (low - high) * (axis[1] - axis[0])
    return np.array([at, axis[1]]) if low < 0 else np.array([axis[0], at])
