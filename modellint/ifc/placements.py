"""World placement matrices of objects: iterative, memoised, safe against cycles."""

from __future__ import annotations

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
    z = unit_vector(axis, (0.0, 0.0, 1.0))
    x = unit_vector(ref_direction, (1.0, 0.0, 0.0))
    x = x - (x @ z) * z
    length = float(np.sqrt(x @ x))
    if length < 1e-9:
        x = np.array([1.0, 0.0, 0.0]) if abs(z[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
        x = x - (x @ z) * z
        length = float(np.sqrt(x @ x))
    x = x / length
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 2], matrix[:3, 3] = x, z, origin
    matrix[:3, 1] = (z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2], z[0] * x[1] - z[1] * x[0])
    return matrix


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
        chain: list[Any] = []
        open_ids: set[int] = set()
        row = placement
        known: Array | str = IDENTITY
        while row is not None:
            step_id = row.id()
            if step_id in self._memo:
                known = self._memo[step_id]
                break
            if step_id in open_ids:
                known = "cyclic placement"
                break
            open_ids.add(step_id)
            chain.append(row)
            row = self._parent(row)
        for link in reversed(chain):
            if not isinstance(known, str):
                local = self._local(link)
                known = local if isinstance(local, str) else known @ local
            self._memo[link.id()] = known
        return known

    def _parent(self, row: Any) -> Any:
        has_parent = row.is_a("IfcLocalPlacement") or self._source.schema.startswith("IFC4X3")
        return row[0] if has_parent else None

    def _local(self, row: Any) -> Array | str:
        if row.is_a("IfcLocalPlacement"):
            return axis_placement(row[1], self._scale)
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
