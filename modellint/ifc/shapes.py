"""Representations of products as shapes: picks the body, reads its items, follows mapped items."""

from __future__ import annotations

from typing import Any

import numpy as np

from modellint.ifc import surfaces, sweeps
from modellint.ifc.bodies import Shape, is_rigid, merged, moved, placed
from modellint.ifc.booleans import boolean
from modellint.ifc.curves import curve_points
from modellint.ifc.placements import IDENTITY, axis_placement, numbers, point, transformation
from modellint.ifc.solid import Array, Solid
from modellint.ifc.source import UnreadableShapeError

FLAT_IDENTIFIERS = frozenset(
    {
        "Axis",
        "FootPrint",
        "Plan",
        "Annotation",
        "Row",
        "CoG",
        "Reference",
        "Clearance",
        "Lighting",
        "Profile",
        "Path",
        "Box",
        "Surface",
    }
)
"""Representations that are not the body (ISO 16739-1, IfcShapeRepresentation, RepresentationIdentifier)."""

FLAT_TYPES = frozenset(
    {
        "Curve2D",
        "Curve3D",
        "GeometricCurveSet",
        "Annotation2D",
        "Point",
        "PointCloud",
        "Curve",
        "GeometricSet",
        "BoundingBox",
    }
)

MAX_NESTING = 30
Named = list[tuple[Any, Any]]


class Shapes:
    """Reads representation items; shared maps are read once.

    Args:
        scale: metres per length unit.
        angle: radians per plane angle unit.
    """

    def __init__(self, scale: float, angle: float) -> None:
        self._scale, self._angle = scale, angle
        self._maps: dict[int, list[Shape] | str] = {}
        self._items: dict[int, list[Shape]] = {}
        self._depth = 0

    def solids(self, named: Named, world: Array) -> tuple[tuple[Solid, ...], tuple[str, ...]]:
        """Solids of a product's representations in world metres, and the classes that could not be read."""
        if not named:
            return (), ()
        rigid_world = is_rigid(world)
        solids: list[Solid] = []
        unread: list[str] = []
        for item, matrix in self._top_items(named):
            try:
                shapes = self._single(item, matrix is not None)
            except UnreadableShapeError as problem:
                unread.append(str(problem))
                continue
            total = world if matrix is None else world @ matrix
            rigid = rigid_world if matrix is None else is_rigid(total)
            solids += [placed(shape, total, rigid) for shape in shapes]
        return tuple(solids), tuple(unread)

    def axis_line(self, named: Named, world: Array) -> Array | None:
        """Points (n, 3) of the `Axis` representation in world metres."""
        for representation, name in named:
            if name == "Axis":
                for item in representation[3]:
                    points = self._axis_points(item)
                    if points is not None and len(points) > 1:
                        return np.asarray(points @ world[:3, :3].T + world[:3, 3])
        return None

    def _axis_points(self, item: Any) -> Array | None:
        try:
            if item.is_a("IfcMappedItem"):
                inner = item[0][1][3][0]
                matrix = self._map_matrix(item)
                points = curve_points(inner, self._scale, self._angle)
                return np.asarray(points @ matrix[:3, :3].T + matrix[:3, 3])
            return curve_points(item, self._scale, self._angle) if item.is_a("IfcCurve") else None
        except (UnreadableShapeError, RuntimeError, ValueError, TypeError, IndexError, AttributeError):
            return None

    def _top_items(self, named: Named) -> list[tuple[Any, Array | None]]:
        """Items of the body, nested maps opened until each entry is one mapped item or one own item."""
        chosen = _body(named)
        found: list[tuple[Any, Array | None]] = []
        for representation in chosen:
            found += [(item, None) for item in representation[3]]
        are_mapped = [item.is_a("IfcMappedItem") for item, _ in found]
        mapped = sum(are_mapped)
        if mapped == len(found) == 1:
            item = found[0][0]
            inner = item[0][1][3]
            # A type drawn as several maps (a bolt group) keeps them apart.
            if len(inner) > 1 and all(child.is_a("IfcMappedItem") for child in inner):
                matrix = self._map_matrix(item)
                return [(child, matrix) for child in inner]
            return [(item, None)]
        return [(item, IDENTITY if is_mapped and mapped > 1 else None)
                for (item, _), is_mapped in zip(found, are_mapped, strict=True)]

    def _single(self, item: Any, as_one: bool) -> list[Shape]:
        shapes = self.read(item)
        return [merged(shapes)] if as_one and len(shapes) > 1 else shapes

    def read(self, item: Any) -> list[Shape]:
        """Shapes of one representation item in the representation's frame, metres.

        Raises:
            UnreadableShapeError: for kinds that are not covered.
        """
        self._depth += 1
        try:
            if self._depth > MAX_NESTING:
                raise UnreadableShapeError("items nested too deeply")
            if not item.is_a("IfcMappedItem"):
                return self._own(item)
            step_id = item.id()
            known = self._items.get(step_id)
            if known is None:
                known = self._items[step_id] = self._mapped(item)
            return known
        finally:
            self._depth -= 1

    def _own(self, item: Any) -> list[Shape]:
        kind = item.is_a()
        scale, angle = self._scale, self._angle
        if kind == "IfcExtrudedAreaSolid":
            return sweeps.extruded(item, scale, angle)
        if kind == "IfcExtrudedAreaSolidTapered":
            return sweeps.tapered(item, scale, angle)
        if kind == "IfcRevolvedAreaSolid":
            return sweeps.revolved(item, scale, angle)
        if kind in {"IfcSweptDiskSolid", "IfcSweptDiskSolidPolygonal"}:
            return sweeps.swept_disk(item, scale, angle)
        if kind in {"IfcBooleanResult", "IfcBooleanClippingResult"}:
            return boolean(item, scale, angle, self.read)
        if kind == "IfcCsgSolid":
            return self.read(item[0])
        if item.is_a("IfcCsgPrimitive3D"):
            return sweeps.primitive(item, scale)
        if item.is_a("IfcManifoldSolidBrep"):
            return surfaces.brep(item, scale, angle)
        if kind in {"IfcFaceBasedSurfaceModel", "IfcShellBasedSurfaceModel"}:
            return surfaces.shells(item, scale, angle)
        if item.is_a("IfcTriangulatedFaceSet"):
            return surfaces.triangulated(item, scale)
        if kind == "IfcPolygonalFaceSet":
            return surfaces.polygonal(item, scale)
        if kind == "IfcBoundingBox":
            return _bounding_box(item, scale)
        raise UnreadableShapeError(kind)

    def _map_matrix(self, item: Any) -> Array:
        target = transformation(item[1], self._scale)
        return np.asarray(target @ axis_placement(item[0][0], self._scale))

    def _mapped(self, item: Any) -> list[Shape]:
        step_id = item[0].id()
        known = self._maps.get(step_id)
        if known is None:
            try:
                known = [shape for child in item[0][1][3] for shape in self.read(child)]
            except UnreadableShapeError as problem:
                known = str(problem)
            self._maps[step_id] = known
        if isinstance(known, str):
            raise UnreadableShapeError(known)
        matrix = self._map_matrix(item)
        if float(np.abs(matrix - IDENTITY).max()) < 1e-12:
            return known
        return [moved(shape, matrix) for shape in known]


def named_representations(product_shape: Any) -> Named:
    """Representations of an IfcProductDefinitionShape, each with its identifier."""
    return [(row, row[1]) for row in product_shape[2]]


def _body(named: Named) -> list[Any]:
    """The body: `Body`, else `Facetation`, else any other solid representation, else a bounding box."""
    solid = [(r, name) for r, name in named if r.is_a("IfcShapeRepresentation") or r.is_a("IfcShapeModel")]
    for wanted in ("Body", "Facetation", "Tessellation", "Body-Fallback"):
        chosen = [r for r, name in solid if name == wanted]
        if chosen:
            return chosen[:1] if wanted != "Body" else chosen
    other = [r for r, name in solid if name not in FLAT_IDENTIFIERS and r[2] not in FLAT_TYPES]
    boxes = [r for r, name in solid if name == "Box" or r[2] == "BoundingBox"]
    return (other or boxes)[:1]


def _bounding_box(row: Any, scale: float) -> list[Shape]:
    """IfcBoundingBox as an upper bound of an undrawn body."""
    low = point(row[0], scale)
    high = low + numbers((row[1], row[2], row[3])) * scale
    corners = np.array(
        [[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])]
    )
    return [Shape("mesh", corners, np.eye(3), mesh=(corners, np.zeros((0, 3), dtype=np.int64)), clipped=True)]
