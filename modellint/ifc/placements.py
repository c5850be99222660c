"""World placement matrices of objects: iterative, memoised, safe against cycles."""

from __future__ import annotations

from math import sqrt
from typing import Any

import numpy as np

from modellint.ifc.solid import Array
from modellint.ifc.source import Source

IDENTITY = np.eye(4)


class PlacementError(Exception):
    """A placement cannot be resolved; the message says why."""


def numbers(values: Any) -> Array:
    """An aggregate of numbers, or of rows of numbers, as an array.

    Raises:
        TypeError: instances stand where numbers belong; turning those into an array might never end, since
            they are sequences that can hold themselves.
    """
    if not isinstance(values, tuple) or any(_is_instance(value) for value in values):
        raise TypeError("numbers expected")
    return np.array(values, dtype=float)


def _is_instance(value: Any) -> bool:
    return hasattr(value, "is_a") or (isinstance(value, tuple) and bool(value) and hasattr(value[0], "is_a"))


def unit_vector(values: Any, fallback: tuple[float, ...]) -> Array:
    """A direction of length 1; the fallback for a missing or zero one."""
    vector = numbers(values if values is not None else fallback)
    if len(vector) == 2:
        vector = np.array([vector[0], vector[1], 0.0])
    length = float(np.sqrt(vector @ vector))
    if not 1e-12 < length < 1e12:
        return np.array(fallback, dtype=float)
    return vector / length


def frame(origin: Array, axis: Any, ref_direction: Any) -> Array:
    """4x4 matrix from a z direction and an approximate x direction (ISO 16739-1 IfcBuildAxes)."""
    # Plain numbers: for three of them they are several times faster than arrays.
    a, b, c = unit_vector(axis, (0.0, 0.0, 1.0)).tolist()
    p, q, r = unit_vector(ref_direction, (1.0, 0.0, 0.0)).tolist()
    p, q, r, length = _across(p, q, r, a, b, c)
    if length < 1e-9:
        p, q, r, length = _across(*((1.0, 0.0, 0.0) if abs(a) < 0.9 else (0.0, 1.0, 0.0)), a, b, c)
    p, q, r = p / length, q / length, r / length
    u, v, w = origin.tolist()
    return np.array(
        (
            (p, b * r - c * q, a, u),
            (q, c * p - a * r, b, v),
            (r, a * q - b * p, c, w),
            (0.0, 0.0, 0.0, 1.0),
        )
    )


def _across(p: float, q: float, r: float, a: float, b: float, c: float) -> tuple[float, float, float, float]:
    """What of (p, q, r) lies across the unit vector (a, b, c), and its length."""
    along = p * a + q * b + r * c
    p, q, r = p - along * a, q - along * b, r - along * c
    return p, q, r, sqrt(p * p + q * q + r * r)


def point(row: Any, scale: float) -> Array:
    """A cartesian point in metres, 2D ones with z = 0."""
    values = row[0]
    third = values[2] if len(values) > 2 else 0.0
    return np.array((values[0] * scale, values[1] * scale, third * scale))


def axis_placement(row: Any, scale: float) -> Array:
    """4x4 matrix of an IfcAxis2Placement3D, IfcAxis2Placement2D or None, in metres."""
    if row is None:
        return IDENTITY
    location = row[0]
    origin = (
        point(location, scale) if location is not None and location.is_a("IfcCartesianPoint") else np.zeros(3)
    )
    if row.is_a("IfcAxis2Placement2D"):
        return frame(origin, None, row[1][0] if row[1] is not None else None)
    if row.is_a("IfcAxis1Placement"):
        return frame(origin, row[1][0] if row[1] is not None else None, None)
    axis, ref = row[1], row[2]
    if axis is None and ref is None:
        matrix = np.eye(4)
        matrix[:3, 3] = origin
        return matrix
    return frame(origin, axis[0] if axis is not None else None, ref[0] if ref is not None else None)


def transformation(row: Any, scale: float) -> Array:
    """4x4 matrix of an IfcCartesianTransformationOperator, non-uniform scales and mirrors included."""
    origin = point(row[2], scale) if row[2] is not None else np.zeros(3)
    flat = row.is_a("IfcCartesianTransformationOperator2D")
    z = None if flat else row[4]
    x, y = row[0], row[1]
    matrix = frame(origin, z[0] if z is not None else None, x[0] if x is not None else None)
    if y is not None and float(unit_vector(y[0], (0.0, 1.0, 0.0)) @ matrix[:3, 1]) < 0:
        matrix[:3, 1] *= -1.0
    uniform = float(row[3]) if row[3] else 1.0
    scales = [uniform, uniform, uniform]
    if row.is_a("IfcCartesianTransformationOperator3DnonUniform"):
        scales = [uniform, float(row[5] or uniform), float(row[6] or uniform)]
    elif row.is_a("IfcCartesianTransformationOperator2DnonUniform"):
        scales = [uniform, float(row[4] or uniform), uniform]
    matrix[:3, :3] *= np.array(scales)
    return matrix


class Placements:
    """Resolves object placements to world matrices in metres (before `Model.origin` is subtracted)."""

    def __init__(self, source: Source, scale: float) -> None:
        self._source, self._scale = source, scale
        self._memo: dict[int, Array | str] = {}
        self._axes: dict[int, Array] = {}
        self._any_has_parent = source.schema.startswith("IFC4X3")

    def world(self, placement: Any) -> Array:
        """World matrix of an IfcObjectPlacement; identity for None.

        Raises:
            PlacementError: the placement hangs on itself, or is of a kind that cannot be read.
        """
        if placement is None:
            return IDENTITY
        known = self._memo.get(placement.id())
        if known is None:
            known = self._resolve(placement)
        if isinstance(known, str):
            raise PlacementError(known)
        return known

    def _resolve(self, placement: Any) -> Array | str:
        """Walk up to a known or topmost placement, then multiply down again."""
        chain: dict[int, Any] = {}
        row = placement
        known: Array | str = IDENTITY
        while row is not None:
            step_id = row.id()
            if step_id in self._memo:
                known = self._memo[step_id]
                break
            if step_id in chain:
                known = "cyclic placement"
                break
            chain[step_id] = row
            row = self._parent(row)
        for step_id, link in reversed(chain.items()):
            if not isinstance(known, str):
                local = self._local(link)
                known = local if isinstance(local, str) else known @ local
            self._memo[step_id] = known
        return known

    def _parent(self, row: Any) -> Any:
        return row[0] if self._any_has_parent or row.is_a("IfcLocalPlacement") else None

    def _axis_placement(self, row: Any) -> Array:
        """An axis placement; files share them among many objects."""
        if row is None:
            return IDENTITY
        step_id = row.id()
        known = self._axes.get(step_id)
        if known is None:
            known = self._axes[step_id] = axis_placement(row, self._scale)
        return known

    def _local(self, row: Any) -> Array | str:
        if row.is_a("IfcLocalPlacement"):
            return self._axis_placement(row[1])
        if row.is_a("IfcLinearPlacement") and row[2] is not None:
            return axis_placement(row[2], self._scale)
        if row.is_a("IfcGridPlacement"):
            return grid_crossing(row, self._scale)
        return f"{row.is_a()} without cartesian position"


def grid_crossing(row: Any, scale: float) -> Array | str:
    """Placement at the crossing of two straight grid axes, in their frame (IfcVirtualGridIntersection)."""
    shift = 1 if len(row) == 3 else 0
    location = row[shift]
    lines = [_straight(axis[1], scale) for axis in location[0]]
    if len(lines) != 2 or None in lines:
        return "grid placement on curved axes"
    (a, u), (b, v) = lines  # type: ignore[misc]
    offsets = tuple(float(value) * scale for value in location[1] or ())
    # An offset is measured to the left of its axis, seen along it.
    if len(offsets) >= 2:
        a = a + offsets[0] * np.array([-u[1], u[0]])
        b = b + offsets[1] * np.array([-v[1], v[0]])
    turn = u[0] * v[1] - u[1] * v[0]
    if abs(turn) < 1e-9:
        return "grid placement on parallel axes"
    along = ((b - a)[0] * v[1] - (b - a)[1] * v[0]) / turn
    origin = np.append(a + along * u, offsets[2] if len(offsets) > 2 else 0.0)
    reference = row[shift + 1]
    if reference is not None and not reference.is_a("IfcDirection"):
        return "grid placement with a second intersection as direction"
    return frame(origin, None, reference[0] if reference is not None else np.append(u, 0.0))


def _straight(curve: Any, scale: float) -> tuple[Array, Array] | None:
    """Start and direction in plan of a straight grid axis."""
    if curve.is_a("IfcPolyline") and len(curve[0]) == 2:
        start, end = (point(p, scale)[:2] for p in curve[0])
    elif curve.is_a("IfcLine"):
        start = point(curve[0], scale)[:2]
        end = start + numbers(curve[1][0][0])[:2]
    else:
        return None
    length = float(np.hypot(*(end - start)))
    return (start, (end - start) / length) if length > 1e-9 else None
