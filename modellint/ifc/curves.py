"""Curves of the IFC schema as points in metres; arcs are cut into short chords."""

from __future__ import annotations

from math import atan2, ceil, cos, pi, sin
from typing import Any

import numpy as np

from modellint.ifc.placements import axis_placement, numbers, point
from modellint.ifc.solid import Array
from modellint.ifc.source import UnreadableShapeError

CHORD_ANGLE = pi / 16
"""Arcs are cut at least this finely: 11.25 deg leaves chords 0.5 % of the radius off the arc."""

MAX_DEPTH = 20


def curve_points(curve: Any, scale: float, angle: float, depth: int = 0) -> Array:
    """Points (n, 3) of a bounded curve in metres; a closed curve repeats its first point.

    Args:
        curve: IfcCurve.
        scale: metres per length unit.
        angle: radians per plane angle unit.
        depth: nesting, guarded against hostile files.

    Raises:
        UnreadableShapeError: a kind of curve that is not covered.
    """
    if depth > MAX_DEPTH:
        raise UnreadableShapeError("curve nested too deeply")
    kind = curve.is_a()
    if kind == "IfcPolyline":
        return np.array([point(p, scale) for p in curve[0]])
    if kind == "IfcIndexedPolyCurve":
        return _indexed(curve, scale)
    if kind in {
        "IfcCompositeCurve",
        "IfcCompositeCurveOnSurface",
        "IfcBoundaryCurve",
        "IfcOuterBoundaryCurve",
    }:
        return _composite(curve, scale, angle, depth)
    if kind in {"IfcCircle", "IfcEllipse"}:
        return _conic(curve, scale, 0.0, 2 * pi)
    if kind == "IfcTrimmedCurve":
        return _trimmed(curve, scale, angle, depth)
    if kind in {"IfcBSplineCurveWithKnots", "IfcRationalBSplineCurveWithKnots"}:
        return _spline(curve, scale)
    raise UnreadableShapeError(kind)


def _indexed(curve: Any, scale: float) -> Array:
    raw = numbers(curve[0][0]) * scale
    points = raw if raw.shape[1] == 3 else np.column_stack([raw, np.zeros(len(raw))])
    if not curve[1]:
        return points
    pieces: list[Array] = []
    for segment in curve[1]:
        picked = points[[int(i) - 1 for i in segment[0]]]
        if segment.is_a("IfcArcIndex"):
            picked = arc_through(*picked)
        pieces.append(picked if not pieces else picked[1:])
    return np.vstack(pieces)


def arc_through(start: Array, middle: Array, end: Array) -> Array:
    """Points on the circular arc through three points; the three points themselves if they are in line."""
    a, b = middle - start, end - start
    normal = np.cross(a, b)
    area = float(normal @ normal)
    if area < 1e-18 * max(1.0, float(b @ b)):
        return np.array([start, middle, end])
    centre = start + (np.cross(normal, a) * float(b @ b) + np.cross(b, normal) * float(a @ a)) / (2 * area)
    x = start - centre
    z = normal / np.sqrt(area)
    y = np.cross(z, x)
    sweep = atan2(float((end - centre) @ y), float((end - centre) @ x)) % (2 * pi)
    steps = max(2, ceil(sweep / CHORD_ANGLE))
    t = np.linspace(0.0, sweep, steps + 1)[:, None]
    points: Array = centre + np.cos(t) * x + np.sin(t) * y
    points[-1] = end
    return points


def _composite(curve: Any, scale: float, angle: float, depth: int) -> Array:
    pieces: list[Array] = []
    for segment in curve[0]:
        if not segment.is_a("IfcCompositeCurveSegment"):
            raise UnreadableShapeError(segment.is_a())
        piece = curve_points(segment[2], scale, angle, depth + 1)
        if not segment[1]:
            piece = piece[::-1]
        if pieces and np.abs(piece[0] - pieces[-1][-1]).max() < 1e-6:
            piece = piece[1:]
        pieces.append(piece)
    return np.vstack(pieces)


def _conic(curve: Any, scale: float, start: float, end: float) -> Array:
    matrix = axis_placement(curve[0], scale)
    a = curve[1] * scale
    b = curve[2] * scale if curve.is_a("IfcEllipse") else a
    steps = max(2, ceil(abs(end - start) / CHORD_ANGLE - 1e-9))
    t = np.linspace(start, end, steps + 1)[:, None]
    points: Array = matrix[:3, 3] + np.cos(t) * a * matrix[:3, 0] + np.sin(t) * b * matrix[:3, 1]
    return points


def _trimmed(curve: Any, scale: float, angle: float, depth: int) -> Array:
    basis, agrees = curve[0], bool(curve[3])
    by_point = curve[4] == "CARTESIAN"
    if basis.is_a("IfcLine"):
        ends = [_on_line(basis, trim, by_point, scale) for trim in (curve[1], curve[2])]
        return np.array(ends)
    if basis.is_a("IfcCircle") or basis.is_a("IfcEllipse"):
        start, end = (_conic_angle(basis, trim, by_point, scale, angle) for trim in (curve[1], curve[2]))
        if agrees:
            end = start + ((end - start) % (2 * pi) or 2 * pi)
        else:
            end = start - ((start - end) % (2 * pi) or 2 * pi)
        return _conic(basis, scale, start, end)
    if basis.is_a("IfcPolyline") or basis.is_a("IfcIndexedPolyCurve"):
        raise UnreadableShapeError("IfcTrimmedCurve on a polyline")
    return curve_points(basis, scale, angle, depth + 1)


def _pick(trim: Any, by_point: bool) -> Any:
    points = [t for t in trim if t.is_a("IfcCartesianPoint")]
    numbers = [t for t in trim if not t.is_a("IfcCartesianPoint")]
    order = points + numbers if by_point else numbers + points
    if not order:
        raise UnreadableShapeError("IfcTrimmedCurve without trims")
    return order[0]


def _on_line(line: Any, trim: Any, by_point: bool, scale: float) -> Array:
    value = _pick(trim, by_point)
    if value.is_a("IfcCartesianPoint"):
        return point(value, scale)
    direction = np.zeros(3)
    ratios = line[1][0][0]
    direction[: len(ratios)] = ratios
    direction /= np.sqrt(direction @ direction)
    moved: Array = point(line[0], scale) + float(value[0]) * float(line[1][1]) * scale * direction
    return moved


def _conic_angle(conic: Any, trim: Any, by_point: bool, scale: float, angle: float) -> float:
    value = _pick(trim, by_point)
    if not value.is_a("IfcCartesianPoint"):
        return float(value[0]) * angle
    matrix = axis_placement(conic[0], scale)
    offset = point(value, scale) - matrix[:3, 3]
    a = conic[1]
    b = conic[2] if conic.is_a("IfcEllipse") else a
    return atan2(float(offset @ matrix[:3, 1]) / b, float(offset @ matrix[:3, 0]) / a)


def _spline(curve: Any, scale: float) -> Array:
    """B-spline by the Cox-de Boor recursion, 16 points a span (Piegl and Tiller, The NURBS Book, A2.2)."""
    degree = int(curve[0])
    control = np.array([point(p, scale) for p in curve[1]])
    weights = (
        numbers(curve[8])
        if curve.is_a("IfcRationalBSplineCurveWithKnots")
        else np.ones(len(control))
    )
    knots = np.repeat(numbers(curve[6]), np.array(curve[5], dtype=int))
    if len(knots) != len(control) + degree + 1:
        raise UnreadableShapeError("B-spline with a wrong number of knots")
    spans = [(knots[i], knots[i + 1]) for i in range(degree, len(control)) if knots[i + 1] > knots[i]]
    points = []
    for low, high in spans:
        for u in np.linspace(low, high, 16, endpoint=high == spans[-1][1]):
            basis = _basis(knots, degree, len(control), min(u, np.nextafter(spans[-1][1], low)))
            blend = basis * weights
            points.append(blend @ control / blend.sum())
    return np.array(points)


def _basis(knots: Array, degree: int, count: int, u: float) -> Array:
    values = ((knots[:-1] <= u) & (u < knots[1:])).astype(float)
    for p in range(1, degree + 1):
        raised = np.zeros(len(values) - 1)
        for i in range(len(raised)):
            left, right = knots[i + p] - knots[i], knots[i + p + 1] - knots[i + 1]
            raised[i] = ((u - knots[i]) / left * values[i] if left > 0 else 0.0) + (
                (knots[i + p + 1] - u) / right * values[i + 1] if right > 0 else 0.0
            )
        values = raised
    return values[:count]


def circle_points(radius: float, radius_y: float | None = None) -> Array:
    """(32, 2) points of a circle or ellipse about the origin, its extremes among them."""
    steps = [k * CHORD_ANGLE for k in range(32)]
    other = radius if radius_y is None else radius_y
    return np.array([(radius * cos(t), other * sin(t)) for t in steps])
