"""Cutting a closed triangle mesh by a plane, the cut closed again."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from modellint.ifc.ears import ear_clip
from modellint.ifc.mesh import Triangles, plane_basis
from modellint.ifc.solid import Array

ON_PLANE = 1e-7
"""Points closer to the plane than this, metres, count as on it."""

Mesh = tuple[Array, Triangles]


def cut(mesh: Mesh, normal: Array, offset: float) -> Mesh | None:
    """The part of a closed mesh where `normal @ x >= offset` (unit normal); None if nothing is left."""
    vertices, triangles = mesh
    height = vertices @ normal - offset
    height[np.abs(height) < ON_PLANE] = 0.0
    if height.max() <= 0.0:
        return None
    if height.min() >= 0.0:
        return mesh
    side = height[triangles]
    whole = (side >= 0.0).all(axis=1)
    crossed = ~whole & (side > 0.0).any(axis=1)
    maker = _Cutter(vertices, height)
    # A face that lies in the plane belongs to the part cut off; the new cap replaces it.
    flat = (side == 0.0).all(axis=1)
    for triangle in triangles[crossed].tolist():
        maker.cut(triangle)
    kept = triangles[whole & ~flat]
    maker.edges_on_plane(kept)
    caps = maker.cap(normal)
    points = np.vstack([vertices, np.array(maker.extra).reshape(-1, 3)])
    faces = np.array(maker.faces + caps, dtype=np.int64).reshape(-1, 3)
    return _compact(points, np.vstack([kept, faces]))


class _Cutter:
    """Splits triangles at the plane and remembers the edges that the cut leaves open."""

    def __init__(self, vertices: Array, height: Array) -> None:
        self._vertices, self._height = vertices, height
        self.extra: list[Array] = []
        self.faces: list[tuple[int, int, int]] = []
        self._points: dict[tuple[int, int], int] = {}
        self._follow: dict[int, list[int]] = defaultdict(list)

    def cut(self, triangle: list[int]) -> None:
        polygon: list[int] = []
        for a, b in zip(triangle, [*triangle[1:], triangle[0]], strict=True):
            if self._height[a] >= 0:
                polygon.append(a)
            if self._height[a] * self._height[b] < 0:
                polygon.append(self._crossing(a, b))
        self.faces += [(polygon[0], polygon[k], polygon[k + 1]) for k in range(1, len(polygon) - 1)]
        for a, b in zip(polygon, [*polygon[1:], polygon[0]], strict=True):
            if self._on_plane(a) and self._on_plane(b):
                self._follow[b].append(a)

    def edges_on_plane(self, kept: Triangles) -> None:
        """Edges of uncut faces that lie in the plane: the cap must meet them as well."""
        zero = self._height == 0.0
        for a, b, c in kept[zero[kept].sum(axis=1) == 2].tolist():
            for start, end in ((a, b), (b, c), (c, a)):
                if zero[start] and zero[end]:
                    self._follow[end].append(start)

    def _on_plane(self, index: int) -> bool:
        return index >= len(self._vertices) or self._height[index] == 0.0

    def _crossing(self, a: int, b: int) -> int:
        key = (a, b) if a < b else (b, a)
        if key not in self._points:
            first, second = key
            t = self._height[first] / (self._height[first] - self._height[second])
            self._points[key] = len(self._vertices) + len(self.extra)
            self.extra.append(self._vertices[first] + t * (self._vertices[second] - self._vertices[first]))
        return self._points[key]

    def cap(self, normal: Array) -> list[tuple[int, int, int]]:
        """Triangles that close the cut; what does not chain into loops stays open."""
        basis = plane_basis(-normal)
        rings = []
        for ring in self._rings():
            at = [
                self.extra[i - len(self._vertices)] if i >= len(self._vertices) else self._vertices[i]
                for i in ring
            ]
            flat = np.array(at) @ basis.T
            x, y = flat.T
            area = float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum()) / 2.0
            if abs(area) > 1e-12:
                rings.append((area, ring, [(float(u), float(v)) for u, v in flat]))
        outers = [entry for entry in rings if entry[0] > 0]
        holes = [entry for entry in rings if entry[0] < 0]
        triangles = []
        for _, ring, flat_ring in outers:
            inside = [hole for hole in holes if _contains(flat_ring, hole[2][0])]
            index = [i for part in (ring, *(hole[1] for hole in inside)) for i in part]
            found = ear_clip([flat_ring, *(hole[2] for hole in inside)])
            triangles += [(index[a], index[b], index[c]) for a, b, c in found]
        return triangles

    def _rings(self) -> list[list[int]]:
        rings = []
        follow = {start: sorted(ends) for start, ends in self._follow.items()}
        for start in sorted(follow):
            while follow.get(start):
                ring, here = [start], follow[start].pop(0)
                while here != start and follow.get(here):
                    ring.append(here)
                    here = follow[here].pop(0)
                if here == start and len(ring) > 2:
                    rings.append(ring)
        return rings


def _contains(ring: list[tuple[float, float]], p: tuple[float, float]) -> bool:
    odd = False
    for a, b in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (a[1] > p[1]) != (b[1] > p[1]) and p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]):
            odd = not odd
    return odd


def _compact(vertices: Array, triangles: Triangles) -> Mesh | None:
    if len(triangles) == 0:
        return None
    used, index = np.unique(triangles, return_inverse=True)
    return vertices[used], index.reshape(-1, 3).astype(np.int64)


def joined(parts: list[Mesh]) -> Mesh:
    """Several meshes as one."""
    start, faces = 0, []
    for points, triangles in parts:
        faces.append(triangles + start)
        start += len(points)
    return np.vstack([points for points, _ in parts]), np.vstack(faces)
