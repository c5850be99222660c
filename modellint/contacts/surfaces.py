"""Surfaces of solids as triangles: plan areas, heights under a circle, what a straight line hits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from modellint.contacts.polylines import usable
from modellint.ifc.solid import Array, Solid

if TYPE_CHECKING:
    from shapely import Geometry

TUBE_SIDES = 12


# a footing is asked for its surface by every rod above it
_KNOWN: WeakKeyDictionary[Solid, Array] = WeakKeyDictionary()
_BOUNDS: WeakKeyDictionary[Solid, tuple[Array, Array]] = WeakKeyDictionary()
_NEAR = 1e-6
"""A line that stays this far, metres, outside the bounds of a surface cannot meet it by rounding either."""


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


def out_of_reach(solid: Solid, start: Array, end: Array) -> bool:
    """Whether a line surely neither meets the solid nor has any of it straight above; quick and on the safe side."""
    low, high = _bounds(solid)
    one, other, a, b = start.tolist(), end.tolist(), low.tolist(), high.tolist()
    return bool(
        (one[0] < a[0] and other[0] < a[0])
        or (one[0] > b[0] and other[0] > b[0])
        or (one[1] < a[1] and other[1] < a[1])
        or (one[1] > b[1] and other[1] > b[1])
        or (one[2] > b[2] and other[2] > b[2])
    )


def within_reach(solid: Solid, starts: Array, ends: Array) -> list[int]:
    """Rows of the lines (n, 3) that are not `out_of_reach`."""
    if len(starts) == 1:
        return [] if out_of_reach(solid, starts[0], ends[0]) else [0]
    low, high = _bounds(solid)
    beside = (np.maximum(starts, ends)[:, :2] < low[:2]).any(axis=1)
    beyond = (np.minimum(starts, ends) > high).any(axis=1)
    rows: list[int] = np.flatnonzero(~(beside | beyond)).tolist()
    return rows


def _bounds(solid: Solid) -> tuple[Array, Array]:
    bounds = _BOUNDS.get(solid)
    if bounds is None:
        triangles = triangles_of(solid)
        low = triangles.min(axis=(0, 1)) if len(triangles) else np.full(3, np.inf)
        high = triangles.max(axis=(0, 1)) if len(triangles) else np.full(3, -np.inf)
        bounds = _BOUNDS[solid] = (low - _NEAR, high + _NEAR)
    return bounds


def cross(a: Array, b: Array) -> Array:
    """Cross products of rows; the same numbers as numpy.cross without its general-purpose preparation."""
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    product: Array = np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)
    return product


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
    if not holes and _convex(outline):
        fan: Array = np.stack([np.broadcast_to(outline[0], (len(outline) - 2, 3)), outline[1:-1], outline[2:]], axis=1)
        return fan
    import shapely

    origin = outline[0]
    _, _, rows = np.linalg.svd(outline - outline.mean(axis=0), full_matrices=False)
    flat = rows[:2]
    face = shapely.make_valid(
        shapely.Polygon((outline - origin) @ flat.T, [(h - origin) @ flat.T for h in holes])
    )
    pieces = [p for t in shapely.delaunay_triangles(face).geoms for p in _fan(shapely.intersection(t, face))]
    return np.array(pieces) @ flat + origin if pieces else np.empty((0, 3, 3))


def _convex(outline: Array) -> bool:
    """Whether a planar outline turns one way only and goes round once: most profiles do."""
    after = np.concatenate([outline[1:], outline[:1]])
    steps = after - outline
    turns = cross(steps, np.concatenate([steps[1:], steps[:1]]))
    normal = cross(outline[1:-1] - outline[0], outline[2:] - outline[0])
    sign = normal @ normal.sum(axis=0)
    # every triangle of the fan faces the same way, and no corner turns back
    return bool((sign > 0).all() and (turns @ normal.sum(axis=0) > 0).all())


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
    if not near.any():
        return None
    close = triangles[near]
    best = max(_corners_within(close, centre[:2], radius), _on_circle(close, centre[:2], radius),
               _up_the_slope(close, centre[:2], radius))
    return best if best > -np.inf else None


def _corners_within(triangles: Array, centre: Array, radius: float) -> float:
    """Highest corner within the disc; -inf if there is none."""
    aside = triangles[:, :, :2] - centre
    within = np.hypot(aside[..., 0], aside[..., 1]) <= radius + 1e-9
    return float(triangles[:, :, 2][within].max(initial=-np.inf))


def _on_circle(triangles: Array, centre: Array, radius: float) -> float:
    """Highest point where an edge meets the circle; -inf if none does."""
    starts, ends = triangles.reshape(-1, 3), triangles[:, (1, 2, 0)].reshape(-1, 3)
    step, offset = (ends - starts)[:, :2], starts[:, :2] - centre
    squares = (step * step).sum(axis=1)
    safe = np.where(squares < 1e-18, np.inf, squares)
    half = (offset * step).sum(axis=1) / safe
    root = half * half - ((offset * offset).sum(axis=1) - radius * radius) / safe
    met = (squares >= 1e-18) & (root >= 0)
    if not met.any():
        return -np.inf
    reach, half = np.sqrt(root[met]), half[met]
    low, rise = starts[met, 2], ends[met, 2] - starts[met, 2]
    shares = np.stack([-half - reach, -half + reach])
    heights = low + shares * rise
    return float(heights[(shares >= 0) & (shares <= 1)].max(initial=-np.inf))


def _up_the_slope(triangles: Array, centre: Array, radius: float) -> float:
    """Highest of the middle of the disc and its point up each triangle's slope, where within the triangle."""
    origin = triangles[:, 0]
    normal = cross(triangles[:, 1] - origin, triangles[:, 2] - origin)
    sloped = np.abs(normal[:, 2]) > 1e-12
    if not sloped.any():
        return -np.inf
    triangles, origin, normal = triangles[sloped], origin[sloped], normal[sloped]
    slope = -normal[:, :2] / normal[:, 2:]
    steep = np.hypot(slope[:, 0], slope[:, 1])[:, None]
    best = -np.inf
    for point in (np.broadcast_to(centre, slope.shape),
                  centre + np.where(steep > 1e-12, slope / np.where(steep > 1e-12, steep, 1.0) * radius, 0.0)):
        inside = _inside(triangles[:, :, :2], point)
        heights = origin[:, 2] + (slope * (point - origin[:, :2])).sum(axis=1)
        best = max(best, float(heights[inside].max(initial=-np.inf)))
    return best


def _inside(plan: Array, points: Array) -> NDArray[np.bool_]:
    """Whether each point (t, 2) lies within its triangle (t, 3, 2)."""
    after = plan[:, (1, 2, 0)]
    turns = (after[..., 0] - plan[..., 0]) * (points[:, None, 1] - plan[..., 1]) \
        - (after[..., 1] - plan[..., 1]) * (points[:, None, 0] - plan[..., 0])
    inside: NDArray[np.bool_] = np.logical_or((turns >= -1e-12).all(axis=1), (turns <= 1e-12).all(axis=1))
    return inside


def hits(triangles: Array, start: Array, end: Array) -> Array:
    """Where the straight line from start to end crosses the triangles, as parameters 0 to 1 (Moeller,
    Trumbore)."""
    return hits_of(triangles, start[None], end[None])[0]


def hits_of(triangles: Array, starts: Array, ends: Array) -> list[Array]:
    """As `hits`, for several lines (n, 3) at once."""
    if len(triangles) == 0:
        return [np.empty(0)] * len(starts)
    step = (ends - starts)[:, None]
    one, two = triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    across = cross(step, two)
    bottom = (one * across).sum(axis=-1)
    safe = np.where(np.abs(bottom) < 1e-15, np.inf, bottom)
    from_corner = starts[:, None] - triangles[:, 0]
    u = (from_corner * across).sum(axis=-1) / safe
    turned = cross(from_corner, one)
    v = (turned * step).sum(axis=-1) / safe
    t = (two * turned).sum(axis=-1) / safe
    crossed = (
        (np.abs(bottom) >= 1e-15) & (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (t >= 0) & (t <= 1)
    )
    return [np.sort(row[keep]) for row, keep in zip(t, crossed, strict=True)]


def sharp_edges(triangles: Array) -> Array:
    """Edges a stretched string could bend over, (e, 2, 3): all but those between faces of one plane."""
    if len(triangles) == 0:
        return np.empty((0, 2, 3))
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    sizes = np.linalg.norm(normals, axis=1)
    triangles, normals = triangles[sizes > 1e-12], normals[sizes > 1e-12] / sizes[sizes > 1e-12, None]
    corners = np.round(triangles, 5) + 0.0  # there is no -0.0 then
    edges = np.stack([corners, corners[:, (1, 2, 0)]], axis=2).reshape(-1, 2, 3)
    faces = np.repeat(np.arange(len(triangles)), 3)
    # the lesser end first, so that an edge is the same from both sides
    apart = edges[:, 0] != edges[:, 1]
    decides = apart.argmax(axis=1)
    rows = np.arange(len(edges))
    turn = edges[rows, 0, decides] > edges[rows, 1, decides]
    edges[turn] = edges[turn, ::-1]
    _, first, which, counts = np.unique(edges.reshape(-1, 6), axis=0, return_index=True, return_inverse=True,
                                        return_counts=True)
    which = which.reshape(-1)
    along = np.abs((normals[faces[first][which]] * normals[faces]).sum(axis=1))
    bent = np.bincount(which, weights=along < 1 - 1e-6, minlength=len(first)) > 0
    found: Array = edges[np.sort(first[(counts < 2) | bent])]
    return found
