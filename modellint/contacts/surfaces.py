"""Surfaces of solids as triangles: plan areas, heights under a circle, what a straight line hits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np

from modellint.contacts.polylines import usable
from modellint.ifc.solid import Array, Solid

if TYPE_CHECKING:
    from shapely import Geometry

TUBE_SIDES = 12


# a footing is asked for its surface by every rod above it
_KNOWN: WeakKeyDictionary[Solid, Array] = WeakKeyDictionary()


def triangles_of(solid: Solid) -> Array:
    """Surface of a solid as (t, 3, 3) triangles; its box's faces when nothing finer is known. Do not change them."""
    found = _KNOWN.get(solid)
    if found is None:
        found = _KNOWN[solid] = _triangulated(solid)
    return found


def _triangulated(solid: Solid) -> Array:
    if solid.mesh is not None:
        vertices, faces = solid.mesh
        triangles: Array = vertices[faces]
    elif solid.outline is not None and solid.sweep is not None and len(solid.outline) >= 3:
        triangles = _extruded(solid.outline, solid.holes, solid.sweep)
    else:
        triangles = _box_triangles(solid)
    return triangles if usable(triangles) else np.empty((0, 3, 3))


def all_triangles(solids: Sequence[Solid]) -> Array:
    """Triangles of several solids, (t, 3, 3)."""
    found = [triangles_of(solid) for solid in solids]
    return np.concatenate(found) if found else np.empty((0, 3, 3))


def _box_triangles(solid: Solid) -> Array:
    c = solid.box.corners
    faces = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
    return np.array([t for a, b, d, e in faces for t in ((c[a], c[b], c[d]), (c[a], c[d], c[e]))])


def _extruded(outline: Array, holes: tuple[Array, ...], sweep: Array) -> Array:
    sides = []
    for ring in (outline, *holes):
        after = np.roll(ring, -1, axis=0)
        sides.append(np.stack([ring, after, after + sweep], axis=1))
        sides.append(np.stack([ring, after + sweep, ring + sweep], axis=1))
    cap = _cap(outline, holes)
    return np.concatenate([*sides, cap, cap + sweep])


def _cap(outline: Array, holes: tuple[Array, ...]) -> Array:
    """A planar outline with holes cut into triangles, (t, 3, 3)."""
    import shapely

    origin = outline[0]
    _, _, rows = np.linalg.svd(outline - outline.mean(axis=0), full_matrices=False)
    flat = rows[:2]
    face = shapely.make_valid(
        shapely.Polygon((outline - origin) @ flat.T, [(h - origin) @ flat.T for h in holes])
    )
    pieces = [p for t in shapely.delaunay_triangles(face).geoms for p in _fan(shapely.intersection(t, face))]
    return np.array(pieces) @ flat + origin if pieces else np.empty((0, 3, 3))


def _fan(piece: Geometry) -> list[Array]:
    # a triangle cut by the face's own edges is one or more small polygons; convex ones fan out, others are
    # re-cut
    import shapely

    found: list[Array] = []
    for polygon in polygons_in(piece):
        if polygon.area < 1e-9:
            continue
        ring = np.array(polygon.exterior.coords)[:-1]
        if len(ring) == 3 or polygon.convex_hull.area - polygon.area < 1e-9:
            found += [ring[[0, k, k + 1]] for k in range(1, len(ring) - 1)]
        else:
            parts = shapely.delaunay_triangles(polygon).geoms
            found += [
                np.array(p.exterior.coords)[:3] for p in parts if polygon.contains(p.representative_point())
            ]
    return found


def polygons_in(geometry: Geometry) -> list[Geometry]:
    """Polygons of a geometry, others dropped."""
    kind = geometry.geom_type
    if kind == "Polygon":
        return [] if geometry.is_empty else [geometry]
    return [p for member in getattr(geometry, "geoms", ()) for p in polygons_in(member)]


def plan_of(solids: Sequence[Solid]) -> Geometry:
    """Plan area that the solids cover, a shapely polygon or multipolygon in metres (may be empty)."""
    import shapely

    shapes = []
    for solid in solids:
        if not usable(solid.box.corners):
            continue
        upright = solid.sweep is not None and float(np.hypot(*solid.sweep[:2])) < 1e-6
        if solid.outline is not None and upright and len(solid.outline) >= 3:
            ring = shapely.Polygon(solid.outline[:, :2], [hole[:, :2] for hole in solid.holes])
            shapes.append(ring if ring.is_valid else shapely.make_valid(ring))
        else:
            flat = shapely.polygons(triangles_of(solid)[:, :, :2])
            shapes.append(shapely.union_all(flat[shapely.area(flat) > 1e-9]))
    return shapely.union_all(shapes)


def height_under_circle(triangles: Array, centre: Array, radius: float) -> float | None:
    """Highest z of a surface within a level circle in plan, metres; None if nothing lies there.

    Over one triangle the height is linear, so its greatest value over triangle and disc lies at a corner
    inside
    the disc, where an edge meets the circle, or at the disc's point up the slope.

    Args:
        triangles: (t, 3, 3) metres.
        centre: (2,) or (3,) plan centre.
        radius: metres, 0 for a point.
    """
    if len(triangles) == 0:
        return None
    plan = triangles[:, :, :2]
    near = np.all(
        (plan.min(axis=1) <= centre[:2] + radius) & (plan.max(axis=1) >= centre[:2] - radius), axis=1
    )
    best = [z for triangle in triangles[near] if (z := _highest(triangle, centre[:2], radius)) is not None]
    return max(best) if best else None


def _highest(triangle: Array, centre: Array, radius: float) -> float | None:
    heights = [float(p[2]) for p in triangle if np.hypot(*(p[:2] - centre)) <= radius + 1e-9]
    for a, b in ((0, 1), (1, 2), (2, 0)):
        heights += _on_circle(triangle[a], triangle[b], centre, radius)
    u, v = triangle[1] - triangle[0], triangle[2] - triangle[0]
    normal = np.cross(u, v)
    if abs(normal[2]) > 1e-12:
        slope = -normal[:2] / normal[2]
        steep = float(np.hypot(*slope))
        top = centre + (slope / steep * radius if steep > 1e-12 else 0.0)
        for point in (centre, top):
            if _inside(triangle[:, :2], point):
                heights.append(float(triangle[0, 2] + slope @ (point - triangle[0, :2])))
    return max(heights) if heights else None


def _on_circle(a: Array, b: Array, centre: Array, radius: float) -> list[float]:
    step, offset = (b - a)[:2], a[:2] - centre
    squares = float(step @ step)
    if squares < 1e-18:
        return []
    half, rest = float(offset @ step) / squares, (float(offset @ offset) - radius * radius) / squares
    root = half * half - rest
    if root < 0:
        return []
    return [float(a[2] + t * (b[2] - a[2])) for t in (-half - root**0.5, -half + root**0.5) if 0 <= t <= 1]


def _inside(plan: Array, point: Array) -> bool:
    a, b = plan, np.roll(plan, -1, axis=0)
    turns = (b[:, 0] - a[:, 0]) * (point[1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (point[0] - a[:, 0])
    return bool(np.all(turns >= -1e-12) or np.all(turns <= 1e-12))


def hits(triangles: Array, start: Array, end: Array) -> Array:
    """Where the straight line from start to end crosses the triangles, as parameters 0 to 1 (Moeller,
    Trumbore)."""
    if len(triangles) == 0:
        return np.empty(0)
    step = end - start
    one, two = triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    across = np.cross(step, two)
    bottom = (one * across).sum(axis=1)
    safe = np.where(np.abs(bottom) < 1e-15, np.inf, bottom)
    from_corner = start - triangles[:, 0]
    u = (from_corner * across).sum(axis=1) / safe
    turned = np.cross(from_corner, one)
    v = (turned @ step) / safe
    t = (two * turned).sum(axis=1) / safe
    crossed = (
        (np.abs(bottom) >= 1e-15) & (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (t >= 0) & (t <= 1)
    )
    found: Array = np.sort(t[crossed])
    return found


def sharp_edges(triangles: Array) -> Array:
    """Edges a stretched string could bend over, (e, 2, 3): all but those between faces of one plane."""
    if len(triangles) == 0:
        return np.empty((0, 2, 3))
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    sizes = np.linalg.norm(normals, axis=1)
    triangles, normals = triangles[sizes > 1e-12], normals[sizes > 1e-12] / sizes[sizes > 1e-12, None]
    seen: dict[tuple[tuple[float, ...], ...], list[int]] = {}
    for k, triangle in enumerate(np.round(triangles, 5)):
        for a, b in ((0, 1), (1, 2), (2, 0)):
            key = tuple(sorted((tuple(triangle[a].tolist()), tuple(triangle[b].tolist()))))
            seen.setdefault(key, []).append(k)
    sharp = [
        key
        for key, faces in seen.items()
        if len(faces) < 2 or any(abs(float(normals[faces[0]] @ normals[k])) < 1 - 1e-6 for k in faces[1:])
    ]
    return np.array(sharp) if sharp else np.empty((0, 2, 3))
