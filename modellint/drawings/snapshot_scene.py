"""The shapes of a report as faces and edges to paint: what stands near a place, and what is about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from modellint.drawings.painter import Faces, Painter, joined
from modellint.ifc.solid import Array

Data = Mapping[str, Any]
MOST_NEAR = 160  # parts around a place, the nearest first
SIDES = 8  # of a round bar
# large sheets and volumes that would hide what is between them: only their edges are drawn
SHEETS = frozenset(
    {"shear_wall", "other_wall", "sheathing", "floor", "roof", "membrane", "permeable_layer", "window", "door"}
)
# colour numbers of the three shades of a material
WOOD, CONCRETE, STEEL, PIPE, PICKED = 4, 7, 10, 13, 16
_MATERIALS = {
    "Hold-down chains": STEEL,
    "Soil-gas vent": PIPE,
    "Foundation and gravel": CONCRETE,
    "Plumbing and ducts": PIPE,
}


@dataclass(eq=False)
class Shape:
    """One part: its GlobalId, role and group, and its solids in whole millimetres of the shifted world."""

    id: str
    role: str
    group: str
    solids: Sequence[Data]

    @property
    def material(self) -> int:
        """First of its three colours."""
        return WOOD if self.role == "post" else _MATERIALS.get(self.group, WOOD)

    @cached_property
    def faces(self) -> Faces:
        """All faces in the colours of its material."""
        return self._coloured(self.material)

    @cached_property
    def picked(self) -> Faces:
        """All faces in the colours of what is picked."""
        return self._coloured(PICKED)

    def _coloured(self, colour: int) -> Faces:
        found = [face for solid in self.solids for face in _faces(solid)]
        rings = [ring for face, _ in found for ring in face]
        sizes, counts = [len(ring) for ring in rings], [len(face) for face, _ in found]
        return Faces(
            np.concatenate(rings),
            np.repeat(np.arange(len(rings)), sizes),
            np.repeat(np.arange(len(found)), counts),
            np.full(len(found), colour),
            np.array([closed for _, closed in found], bool),
        )

    @cached_property
    def edges(self) -> Array:
        """(n, 2, 3) edges of its prisms and meshes, and the rims of its round bars."""
        return np.array([edge for solid in self.solids for edge in _edges(solid)]).reshape(-1, 2, 3)

    @cached_property
    def box(self) -> tuple[Array, Array]:
        """Lower and upper corner, metres."""
        points = np.concatenate([_points(solid) for solid in self.solids])
        return points.min(axis=0), points.max(axis=0)


class Shapes:
    """All parts of a report's `shapes`."""

    def __init__(self, shapes: Iterable[Data]) -> None:
        self.parts = [
            Shape(row["id"], row["role"], row["group"], solids)
            for house in shapes
            for row in house["parts"]
            if (solids := [solid for solid in row["solids"] if _drawable(solid)])
        ]
        self._of: dict[str, list[Shape]] = {}
        for part in self.parts:
            self._of.setdefault(part.id, []).append(part)
        boxes = [part.box for part in self.parts]
        self._low = np.array([box[0] for box in boxes]).reshape(-1, 3)
        self._high = np.array([box[1] for box in boxes]).reshape(-1, 3)

    def of(self, ids: Iterable[str]) -> list[Shape]:
        """Drawn parts with these GlobalIds, in their order."""
        return [part for key in dict.fromkeys(ids) for part in self._of.get(key, ())]

    def near(self, point: Array, reach: float) -> list[Shape]:
        """Parts whose box comes within `reach` metres of a point, at most MOST_NEAR, in the order of the report."""
        off = np.maximum(np.maximum(self._low - point, point - self._high), 0.0)
        distance = np.sqrt((off**2).sum(axis=1))
        rows = np.flatnonzero(distance <= reach)
        rows = rows[np.lexsort((rows, np.round(distance[rows], 3)))][:MOST_NEAR]
        return [self.parts[row] for row in np.sort(rows).tolist()]


def paint(painter: Painter, near: Sequence[Shape], picked: Sequence[Shape], ink: int, quiet: int) -> None:
    """What is around, then what it is about over it, so that no wall hides the hardware inside."""
    chosen = {id(part) for part in picked}
    around = [part for part in near if id(part) not in chosen]
    solid = [part.faces for part in around if part.role not in SHEETS]
    if solid:
        painter.faces(joined(solid))
    if around:
        painter.edges(np.concatenate([part.edges for part in around]), quiet)
    painter.clear_depth()
    sheets, parts = ([part for part in picked if (part.role in SHEETS) == flat] for flat in (True, False))
    if parts:
        painter.faces(joined([part.picked for part in parts]))
        painter.edges(np.concatenate([part.edges for part in parts]), ink)
    if sheets:
        painter.edges(np.concatenate([part.edges for part in sheets]), PICKED + 2, always=True)


def _drawable(solid: Data) -> bool:
    """Whether a solid has the points that its kind needs."""
    if "axis" in solid:
        return len(solid["axis"]) >= 6
    if "outline" in solid:
        return len(solid["outline"]) >= 9
    return bool(solid["triangles"]) and max(solid["triangles"]) < len(solid["vertices"]) // 3


def _metres(flat: Sequence[int]) -> Array:
    return np.asarray(flat, float).reshape(-1, 3) / 1000.0


def _points(solid: Data) -> Array:
    if "outline" in solid:
        outline = _metres(solid["outline"])
        return np.concatenate([outline, outline + _metres(solid["sweep"])])
    if "axis" in solid:
        axis, radius = _metres(solid["axis"]), solid["radius"] / 1000.0
        return np.concatenate([axis - radius, axis + radius])
    return _metres(solid["vertices"])


def _faces(solid: Data) -> list[tuple[list[Array], bool]]:
    """Faces as rings, the boundary first, and whether they are known to run counter-clockwise seen from outside."""
    if "outline" in solid:
        return _prism([_metres(ring) for ring in (solid["outline"], *solid["holes"])], _metres(solid["sweep"])[0])
    if "axis" in solid:
        rings = _bar(solid)
        sides = [([np.array([a[k - 1], a[k], b[k], b[k - 1]])], True) for a, b in pairwise(rings) for k in range(SIDES)]
        return [([rings[0][::-1]], True), ([rings[-1]], True), *sides]
    vertices = _metres(solid["vertices"])
    triangles = np.asarray(solid["triangles"], np.int64).reshape(-1, 3)
    return [([vertices[triangle]], False) for triangle in triangles]


def _prism(rings: list[Array], sweep: Array) -> list[tuple[list[Array], bool]]:
    """Both ends and the sides; the boundary is turned to run counter-clockwise round the sweep, holes the other way."""
    turned = [ring if (_turn(ring) @ sweep > 0) == (k == 0) else ring[::-1] for k, ring in enumerate(rings)]
    sides = [
        ([np.array([ring[k - 1], ring[k], ring[k] + sweep, ring[k - 1] + sweep])], True)
        for ring in turned
        for k in range(len(ring))
    ]
    return [([ring[::-1] for ring in turned], True), ([ring + sweep for ring in turned], True), *sides]


def _turn(ring: Array) -> Array:
    """Newell's normal of a ring, not of unit length."""
    normal: Array = np.cross(ring, np.roll(ring, -1, axis=0)).sum(axis=0)
    return normal


def _bar(solid: Data) -> list[Array]:
    """Rings of a round bar at each point of its centre line."""
    axis, radius = _metres(solid["axis"]), solid["radius"] / 1000.0
    ways = np.diff(axis, axis=0)
    ways = np.concatenate([ways[:1], (ways[:-1] + ways[1:]) / 2, ways[-1:]]) if len(ways) > 1 else np.repeat(ways, 2, 0)
    turn = 2 * np.pi * np.arange(SIDES) / SIDES
    rings = []
    for point, way in zip(axis, ways, strict=True):
        length = float(np.linalg.norm(way))
        along = way / length if length > 0 else np.array([0.0, 0.0, 1.0])
        other = np.array([1.0, 0.0, 0.0]) if abs(along[0]) < 0.8 else np.array([0.0, 1.0, 0.0])
        side = np.cross(along, other)
        side /= np.linalg.norm(side)
        rings.append(point + radius * (np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(along, side)))
    return rings


def _edges(solid: Data) -> list[tuple[Array, Array]]:
    if "outline" in solid:
        sweep = _metres(solid["sweep"])[0]
        found: list[tuple[Array, Array]] = []
        for ring in (_metres(flat) for flat in (solid["outline"], *solid["holes"])):
            following = np.roll(ring, -1, axis=0)
            found += zip(ring, following, strict=True)
            found += zip(ring + sweep, following + sweep, strict=True)
            found += [(corner, corner + sweep) for corner in ring[_bends(ring)]]
        return found
    if "axis" in solid:
        return [(ring[k - 1], ring[k]) for ring in (_bar(solid)[0], _bar(solid)[-1]) for k in range(SIDES)]
    return _sharp(solid)


def _bends(ring: Array) -> NDArray[np.bool_]:
    """Corners of a ring that turn by more than about 25 degrees; those of a circle drawn in steps do not."""
    ways = ring - np.roll(ring, 1, axis=0)
    sizes = np.linalg.norm(ways, axis=1, keepdims=True)
    ways = ways / np.where(sizes > 0, sizes, 1.0)
    turned: NDArray[np.bool_] = np.einsum("ij,ij->i", ways, np.roll(ways, -1, axis=0)) < 0.9
    return turned


def _sharp(solid: Data) -> list[tuple[Array, Array]]:
    """Edges of a mesh where its faces bend by more than about 20 degrees, and its borders."""
    vertices = _metres(solid["vertices"])
    triangles = np.asarray(solid["triangles"], np.int64).reshape(-1, 3)
    corners = vertices[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    sizes = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = normals / np.where(sizes > 0, sizes, 1.0)
    sides: dict[tuple[tuple[int, ...], tuple[int, ...]], list[int]] = {}
    keys = [tuple(row) for row in np.asarray(solid["vertices"], np.int64).reshape(-1, 3).tolist()]
    for number, triangle in enumerate(triangles.tolist()):
        for k in range(3):
            pair = sorted((keys[triangle[k - 1]], keys[triangle[k]]))
            sides.setdefault((pair[0], pair[1]), []).append(number)
    return [
        (np.array(one) / 1000.0, np.array(other) / 1000.0)
        for (one, other), rows in sides.items()
        if len(rows) != 2 or float(normals[rows[0]] @ normals[rows[1]]) < 0.94
    ]
