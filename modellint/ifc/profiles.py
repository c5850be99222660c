"""Profiles as outlines in their own plane, metres (ISO 16739-1, IfcProfileResource)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from modellint.ifc.curves import circle_points, curve_points
from modellint.ifc.placements import IDENTITY, axis_placement, transformation
from modellint.ifc.solid import Array
from modellint.ifc.source import UnreadableShapeError


@dataclass(frozen=True, eq=False)
class Profile:
    """One closed outline with its holes.

    Attributes:
        outline: (n, 2) not closed, metres.
        holes: inner outlines.
        radius, inner_radius: of a round outline and its round hole; None otherwise.
        square: its own axes fit it well (rectangle, rolled shape), so a box along them is the tight one.
    """

    outline: Array
    holes: tuple[Array, ...] = ()
    radius: float | None = None
    inner_radius: float | None = None
    square: bool = True

    @property
    def centroid(self) -> Array:
        """Centroid of the area, holes taken out."""
        areas = [(1.0, self.outline), *((-1.0, hole) for hole in self.holes)]
        total, moment = 0.0, np.zeros(2)
        for sign, ring in areas:
            area, centre = _area_centroid(ring)
            total += sign * area
            moment += sign * area * centre
        if total <= 1e-15:
            return np.asarray((self.outline.min(axis=0) + self.outline.max(axis=0)) / 2.0)
        return np.asarray(moment / total)


def _area_centroid(ring: Array) -> tuple[float, Array]:
    """Area (positive) and centroid of a ring by the shoelace formula, taken about its first point."""
    # Plain numbers: for the few corners of a section they are faster than arrays.
    points = ring.tolist()
    (x0, y0), area, mx, my = points[0], 0.0, 0.0, 0.0
    for (ax, ay), (bx, by) in pairwise(points):
        cross = (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
        area += cross
        mx += (ax + bx - 2 * x0) * cross
        my += (ay + by - 2 * y0) * cross
    if abs(area) < 1e-15:
        return 0.0, np.asarray(ring.mean(axis=0))
    return abs(area) / 2.0, np.array((x0 + mx / (3.0 * area), y0 + my / (3.0 * area)))


def read_profile(row: Any, scale: float, angle: float) -> tuple[Profile, ...]:
    """Outlines of an IfcProfileDef; several for a composite profile.

    Raises:
        UnreadableShapeError: a kind of profile that is not covered, or one without area.
    """
    kind = row.is_a()
    if kind in PARAMETRIC:
        profile = PARAMETRIC[kind](row, scale)
        return (_placed(profile, axis_placement(row[2], scale) if row[2] is not None else None),)
    if kind in {"IfcArbitraryClosedProfileDef", "IfcArbitraryProfileDefWithVoids"}:
        return (_arbitrary(row, scale, angle),)
    if kind == "IfcCompositeProfileDef":
        return tuple(profile for part in row[2] for profile in read_profile(part, scale, angle))
    if kind in {"IfcDerivedProfileDef", "IfcMirroredProfileDef"}:
        matrix = (
            np.diag([-1.0, 1.0, 1.0, 1.0])
            if kind == "IfcMirroredProfileDef"
            else transformation(row[3], scale)
        )
        return tuple(_placed(profile, matrix) for profile in read_profile(row[2], scale, angle))
    if kind == "IfcCenterLineProfileDef":
        return _centre_line(row, scale, angle)
    raise UnreadableShapeError(kind)


def _rectangle_ring(width: float, depth: float) -> Array:
    x, y = width / 2.0, depth / 2.0
    return np.array([(-x, -y), (x, -y), (x, y), (-x, y)])


def _rectangle(row: Any, s: float) -> Profile:
    return Profile(_rectangle_ring(row[3] * s, row[4] * s))


def _rectangle_hollow(row: Any, s: float) -> Profile:
    width, depth, wall = row[3] * s, row[4] * s, row[5] * s
    return Profile(_rectangle_ring(width, depth), (_rectangle_ring(width - 2 * wall, depth - 2 * wall),))


def _circle(row: Any, s: float) -> Profile:
    return Profile(circle_points(row[3] * s), radius=row[3] * s)


def _circle_hollow(row: Any, s: float) -> Profile:
    outer, inner = row[3] * s, (row[3] - row[4]) * s
    if inner <= 0:
        return Profile(circle_points(outer), radius=outer)
    return Profile(circle_points(outer), (circle_points(inner),), outer, inner)


def _ellipse(row: Any, s: float) -> Profile:
    return Profile(circle_points(row[3] * s, row[4] * s))


def _i_shape(row: Any, s: float) -> Profile:
    """I shape; the asymmetric one carries its top flange at 8 (width) and 9 (thickness)."""
    bottom, depth, web, flange = row[3] * s / 2, row[4] * s / 2, row[5] * s / 2, row[6] * s
    top, top_flange = bottom, flange
    if row.is_a("IfcAsymmetricIShapeProfileDef"):
        top, top_flange = row[8] * s / 2, (row[9] * s if row[9] else flange)
    return Profile(
        np.array(
            [
                (-bottom, -depth),
                (bottom, -depth),
                (bottom, flange - depth),
                (web, flange - depth),
                (web, depth - top_flange),
                (top, depth - top_flange),
                (top, depth),
                (-top, depth),
                (-top, depth - top_flange),
                (-web, depth - top_flange),
                (-web, flange - depth),
                (-bottom, flange - depth),
            ]
        )
    )


def _l_shape(row: Any, s: float) -> Profile:
    depth, wall = row[3] * s, row[5] * s
    width = row[4] * s if row[4] else depth
    x, y = width / 2, depth / 2
    return Profile(np.array([(-x, -y), (x, -y), (x, wall - y), (wall - x, wall - y), (wall - x, y), (-x, y)]))


def _u_shape(row: Any, s: float) -> Profile:
    y, x, web, flange = row[3] * s / 2, row[4] * s / 2, row[5] * s, row[6] * s
    return Profile(
        np.array(
            [
                (-x, -y),
                (x, -y),
                (x, flange - y),
                (web - x, flange - y),
                (web - x, y - flange),
                (x, y - flange),
                (x, y),
                (-x, y),
            ]
        )
    )


def _c_shape(row: Any, s: float) -> Profile:
    y, x, wall, girth = row[3] * s / 2, row[4] * s / 2, row[5] * s, row[6] * s
    return Profile(
        np.array(
            [
                (-x, -y),
                (x, -y),
                (x, girth - y),
                (x - wall, girth - y),
                (x - wall, wall - y),
                (wall - x, wall - y),
                (wall - x, y - wall),
                (x - wall, y - wall),
                (x - wall, y - girth),
                (x, y - girth),
                (x, y),
                (-x, y),
            ]
        )
    )


def _t_shape(row: Any, s: float) -> Profile:
    y, x, web, flange = row[3] * s / 2, row[4] * s / 2, row[5] * s / 2, row[6] * s
    return Profile(
        np.array(
            [
                (-web, -y),
                (web, -y),
                (web, y - flange),
                (x, y - flange),
                (x, y),
                (-x, y),
                (-x, y - flange),
                (-web, y - flange),
            ]
        )
    )


def _z_shape(row: Any, s: float) -> Profile:
    """Z shape; each flange is as wide as FlangeWidth, the web included, on opposite sides."""
    y, web, flange = row[3] * s / 2, row[5] * s / 2, row[6] * s
    x = row[4] * s - web
    return Profile(
        np.array(
            [
                (-web, -y),
                (x, -y),
                (x, flange - y),
                (web, flange - y),
                (web, y),
                (-x, y),
                (-x, y - flange),
                (-web, y - flange),
            ]
        )
    )


def _trapezium(row: Any, s: float) -> Profile:
    bottom, top, height, offset = row[3] * s, row[4] * s, row[5] * s, row[6] * s
    x, y = bottom / 2, height / 2
    return Profile(np.array([(-x, -y), (x, -y), (offset + top - x, y), (offset - x, y)]))


PARAMETRIC: dict[str, Callable[[Any, float], Profile]] = {
    "IfcRectangleProfileDef": _rectangle,
    "IfcRoundedRectangleProfileDef": _rectangle,
    "IfcRectangleHollowProfileDef": _rectangle_hollow,
    "IfcCircleProfileDef": _circle,
    "IfcCircleHollowProfileDef": _circle_hollow,
    "IfcEllipseProfileDef": _ellipse,
    "IfcIShapeProfileDef": _i_shape,
    "IfcAsymmetricIShapeProfileDef": _i_shape,
    "IfcLShapeProfileDef": _l_shape,
    "IfcUShapeProfileDef": _u_shape,
    "IfcCShapeProfileDef": _c_shape,
    "IfcTShapeProfileDef": _t_shape,
    "IfcZShapeProfileDef": _z_shape,
    "IfcTrapeziumProfileDef": _trapezium,
}


def _placed(profile: Profile, matrix: Array | None) -> Profile:
    """The profile moved by a matrix whose plan part counts; round ones stay round under uniform scale."""
    if matrix is None or float(np.abs(matrix - IDENTITY).max()) < 1e-12:
        return profile
    plan, shift = matrix[:2, :2], matrix[:2, 3]
    gram = plan @ plan.T
    size = float(np.sqrt(abs(np.linalg.det(plan))))
    uniform = bool(np.allclose(gram, np.eye(2) * size * size, rtol=0, atol=1e-9 * max(1.0, size * size)))
    turned = abs(plan[0, 1]) > 1e-9 and abs(plan[0, 0]) > 1e-9
    return Profile(
        profile.outline @ plan.T + shift,
        tuple(hole @ plan.T + shift for hole in profile.holes),
        profile.radius * size if uniform and profile.radius else None,
        profile.inner_radius * size if uniform and profile.inner_radius else None,
        profile.square and not turned,
    )


def _ring(curve: Any, scale: float, angle: float) -> Array:
    points = curve_points(curve, scale, angle)[:, :2]
    step = np.abs(points - np.roll(points, 1, axis=0)).max(axis=1)
    ring = points[step > 1e-7]
    if len(ring) < 3:
        raise UnreadableShapeError("profile without area")
    return np.asarray(ring)


def _arbitrary(row: Any, scale: float, angle: float) -> Profile:
    outline = _ring(row[2], scale, angle)
    holes = tuple(_ring(curve, scale, angle) for curve in row[3]) if len(row) > 3 else ()
    radius = _round_radius(outline)
    inner = _round_radius(holes[0]) if radius and len(holes) == 1 else None
    return Profile(outline, holes, radius, inner, square=False)


def _round_radius(ring: Array) -> float | None:
    """Radius of a ring that is a circle drawn with chords (8 or more points, within 1 %); None otherwise."""
    if len(ring) < 8:
        return None
    centre = (ring.min(axis=0) + ring.max(axis=0)) / 2.0
    distance = np.hypot(*(ring - centre).T)
    low, high = float(distance.min()), float(distance.max())
    if high <= 0 or low < 0.99 * high:
        return None
    gaps = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T)
    return high if float(gaps.max()) < 0.85 * high else None


def _centre_line(row: Any, scale: float, angle: float) -> tuple[Profile, ...]:
    """A band of constant thickness along an open curve."""
    from shapely import LineString

    band = LineString(curve_points(row[2], scale, angle)[:, :2]).buffer(
        row[3] * scale / 2.0, cap_style="flat", join_style="mitre"
    )
    if band.geom_type != "Polygon" or band.is_empty:
        raise UnreadableShapeError("centre line profile that is not one band")
    outline = np.array(band.exterior.coords)[:-1]
    return (Profile(outline, tuple(np.array(ring.coords)[:-1] for ring in band.interiors), square=False),)
