"""Breps, face sets and surface models as triangle meshes in metres."""

from __future__ import annotations

from typing import Any

import numpy as np

from modellint.ifc.bodies import Shape, mesh_shape
from modellint.ifc.curves import curve_points
from modellint.ifc.mesh import triangulate
from modellint.ifc.placements import axis_placement, numbers, point
from modellint.ifc.solid import Array
from modellint.ifc.source import UnreadableShapeError


def brep(row: Any, scale: float, angle: float) -> list[Shape]:
    """IfcFacetedBrep or IfcAdvancedBrep by its outer shell; curved faces give their edge points only."""
    return _shell(row[0][0], scale, angle)


def shells(row: Any, scale: float, angle: float) -> list[Shape]:
    """IfcFaceBasedSurfaceModel or IfcShellBasedSurfaceModel: one shape of all its faces."""
    return _shell([face for shell in row[0] for face in shell[0]], scale, angle)


class _Welder:
    """Vertices collected once each."""

    def __init__(self, scale: float) -> None:
        self.scale = scale
        self.points: list[Any] = []
        self._by_id: dict[int, int] = {}

    def row(self, cartesian_point: Any) -> int:
        step_id = cartesian_point.id()
        index = self._by_id.get(step_id)
        if index is None:
            index = self._by_id[step_id] = len(self.points)
            self.points.append(cartesian_point[0])
        return index

    def loose(self, points: Array) -> list[int]:
        start = len(self.points)
        self.points += [tuple(p / self.scale) for p in points]
        return list(range(start, len(self.points)))

    @property
    def vertices(self) -> Array:
        return numbers(tuple(self.points)) * self.scale


def _shell(faces: Any, scale: float, angle: float) -> list[Shape]:
    welder = _Welder(scale)
    loops = []
    for face in faces:
        found = _loops(face, welder, angle)
        curved = face.is_a("IfcFaceSurface") and not face[1].is_a("IfcPlane")
        if found and not curved:
            loops.append(found)
    if len(welder.points) < 3:
        raise UnreadableShapeError("shell without points")
    vertices = welder.vertices
    if vertices.shape[1] != 3:
        raise UnreadableShapeError("shell of flat points")
    return [_with_all_points(vertices, loops)]


def _with_all_points(vertices: Array, loops: list[list[list[int]]]) -> Shape:
    return Shape("mesh", vertices, mesh=(vertices, triangulate(vertices, loops)))


def _loops(face: Any, welder: _Welder, angle: float) -> list[list[int]]:
    """Loops of a face, the outer one first, its direction as the bound's orientation says."""
    outer: list[list[int]] = []
    inner: list[list[int]] = []
    for bound in face[0]:
        loop = _loop(bound[0], welder, angle)
        if len(loop) > 2:
            target = outer if bound.is_a("IfcFaceOuterBound") else inner
            target.append(loop if bound[1] else loop[::-1])
    return outer + inner if outer else _largest_first(inner, welder)


def _largest_first(loops: list[list[int]], welder: _Welder) -> list[list[int]]:
    if len(loops) < 2:
        return loops
    vertices = welder.vertices
    return sorted(loops, key=lambda loop: -float(np.prod(np.ptp(vertices[loop], axis=0) + 1e-9)))


def _loop(loop: Any, welder: _Welder, angle: float) -> list[int]:
    if loop.is_a("IfcPolyLoop"):
        corners = [welder.row(p) for p in loop[0]]
        return [c for k, c in enumerate(corners) if c != corners[k - 1]]
    if loop.is_a("IfcEdgeLoop"):
        return [index for edge in loop[0] for index in _edge(edge, welder, angle)]
    return []


def _edge(oriented: Any, welder: _Welder, angle: float) -> list[int]:
    """Points of an edge without its last one; an arc between its two vertices is sampled."""
    edge, forward = (oriented[2], oriented[3]) if oriented.is_a("IfcOrientedEdge") else (oriented, True)
    start, end = (vertex[0] if vertex.is_a("IfcVertexPoint") else None for vertex in (edge[0], edge[1]))
    if start is None or end is None:
        return []
    inner = _curve_between(edge, start, end, welder, angle) if edge.is_a("IfcEdgeCurve") else []
    path = [welder.row(start), *inner]
    return path if forward else [welder.row(end), *inner[::-1]]


def _curve_between(edge: Any, start: Any, end: Any, welder: _Welder, angle: float) -> list[int]:
    curve, same = edge[2], bool(edge[3])
    scale = welder.scale
    if curve.is_a("IfcConic") and not curve.is_a("IfcHyperbola"):
        return welder.loose(_arc(curve, point(start, scale), point(end, scale), same, scale))
    if curve.is_a("IfcBSplineCurve") or curve.is_a("IfcPolyline"):
        try:
            points = curve_points(curve, scale, angle)
        except UnreadableShapeError:
            return []
        return welder.loose((points if same else points[::-1])[1:-1])
    return []


def _arc(conic: Any, start: Array, end: Array, same: bool, scale: float) -> Array:
    """Inner points of an arc of a circle or ellipse from one vertex to another."""
    matrix = axis_placement(conic[0], scale)
    a = conic[1] * scale
    b = conic[2] * scale if conic.is_a("IfcEllipse") else a
    angles = []
    for at in (start, end):
        x, y = (at - matrix[:3, 3]) @ matrix[:3, :2]
        angles.append(float(np.arctan2(y / b, x / a)))
    full = 2 * np.pi
    turn = (angles[1] - angles[0]) % full if same else -((angles[0] - angles[1]) % full)
    if abs(turn) < 1e-9:
        turn = full if same else -full
    steps = max(2, int(np.ceil(abs(turn) / (np.pi / 16) - 1e-9)))
    t = (angles[0] + np.linspace(0.0, turn, steps + 1))[1:-1, None]
    points: Array = matrix[:3, 3] + a * np.cos(t) * matrix[:3, 0] + b * np.sin(t) * matrix[:3, 1]
    return points


def triangulated(row: Any, scale: float) -> list[Shape]:
    """IfcTriangulatedFaceSet."""
    vertices = numbers(row[0][0]) * scale
    index = numbers(row[3]).astype(np.int64).reshape(-1, 3)
    index = _through(index, row[4])
    return [mesh_shape(vertices, index)]


def polygonal(row: Any, scale: float) -> list[Shape]:
    """IfcPolygonalFaceSet, faces with voids included."""
    vertices = numbers(row[0][0]) * scale
    faces = []
    for face in row[2]:
        loops = [face[0]]
        if face.is_a("IfcIndexedPolygonalFaceWithVoids"):
            loops += list(face[1])
        faces.append([_through(numbers(loop).astype(np.int64), row[3]).tolist() for loop in loops])
    return [mesh_shape(vertices, triangulate(vertices, faces))]


def _through(index: Any, lookup: Any) -> Any:
    """Zero-based indices, through the optional PnIndex list."""
    return numbers(lookup).astype(np.int64)[index - 1] - 1 if lookup else index - 1
