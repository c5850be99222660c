"""Shapes in their own frame, and how they become solids in the world."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from modellint.ifc.mesh import (
    Triangles,
    box_along,
    least_rectangle,
    oriented_box,
    plane_basis,
    prism,
    round_bar,
)
from modellint.ifc.profiles import Profile
from modellint.ifc.solid import Array, Box, Solid


@dataclass(frozen=True, eq=False)
class Shape:
    """One solid in a local frame, metres; the fields are those of `Solid`.

    Attributes:
        frame: unit rows along which the box shall lie; None: the box is found from the points.
        points: every point that the box must hold.
    """

    kind: str
    points: Array
    frame: Array | None = None
    axis: Array | None = None
    outline: Array | None = None
    holes: tuple[Array, ...] = ()
    sweep: Array | None = None
    radius: float | None = None
    inner_radius: float | None = None
    mesh: tuple[Array, Triangles] | None = None
    clipped: bool = False

    @cached_property
    def box(self) -> Box:
        """Box in the local frame."""
        return box_along(self.points, self.frame) if self.frame is not None else oriented_box(self.points)

    @cached_property
    def round_bar(self) -> tuple[Array, float, float | None] | None:
        """Centre line and radii of a mesh that is a round bar."""
        return round_bar(self.points, self.box) if self.kind == "mesh" and self.axis is None else None

    def as_mesh(self) -> tuple[Array, Triangles]:
        """Its closed triangle mesh; a disk gives its points only."""
        if self.mesh is not None:
            return self.mesh
        if self.outline is not None and self.sweep is not None:
            return prism(self.outline, self.holes, self.sweep)
        return self.points, np.zeros((0, 3), dtype=np.int64)


def extrusion(profile: Profile, matrix: Array, sweep: Array) -> Shape:
    """A profile in the plane of `matrix` moved along `sweep` (both in the local frame, metres)."""
    turn, origin = matrix[:3, :3], matrix[:3, 3]
    outline = profile.outline @ turn[:, :2].T + origin
    holes = tuple(hole @ turn[:, :2].T + origin for hole in profile.holes)
    centre = turn[:, :2] @ profile.centroid + origin
    axes = turn.T
    if not profile.square:
        axes = _tight_axes(profile.outline, axes)
    return Shape(
        "extrusion",
        np.vstack([outline, outline + sweep]),
        axes,
        np.array([centre, centre + sweep]),
        outline,
        holes,
        sweep,
        profile.radius,
        profile.inner_radius,
    )


def _tight_axes(outline: Array, axes: Array) -> Array:
    """The profile's axes, turned to its least rectangle where that is clearly smaller."""
    angle = least_rectangle(outline)
    if angle < 1e-9:
        return axes
    c, s = float(np.cos(angle)), float(np.sin(angle))
    turned = np.array([c * axes[0] + s * axes[1], c * axes[1] - s * axes[0], axes[2]])
    plain = np.ptp(outline, axis=0)
    local = outline @ np.array([[c, -s], [s, c]])
    return turned if float(np.prod(np.ptp(local, axis=0))) < 0.999 * float(np.prod(plain)) else axes


def disk(path: Array, radius: float, inner: float | None) -> Shape:
    """A round bar or pipe along a path (n, 3)."""
    rings = []
    angles = np.arange(16) * (np.pi / 8)
    directions = np.diff(path, axis=0)
    for start, step in zip(path, directions, strict=False):
        if float(step @ step) < 1e-16:
            continue
        basis = plane_basis(step)
        ring = radius * (np.cos(angles)[:, None] * basis[0] + np.sin(angles)[:, None] * basis[1])
        rings += [start + ring, start + step + ring]
    if not rings:
        raise ValueError("directrix without length")
    frame = None
    if len(path) == 2:
        unit = directions[0] / np.sqrt(directions[0] @ directions[0])
        frame = np.array([*plane_basis(unit), unit])
    return Shape("disk", np.vstack(rings), frame, path, radius=radius, inner_radius=inner)


def mesh_shape(vertices: Array, triangles: Triangles, **more: object) -> Shape:
    """A triangle mesh."""
    used = vertices[np.unique(triangles)] if len(triangles) else vertices
    return Shape("mesh", used, mesh=(vertices, triangles), **more)  # type: ignore[arg-type]


def moved(shape: Shape, matrix: Array) -> Shape:
    """The shape in the frame that `matrix` leads to (4x4, scale and mirror allowed)."""
    turn, origin = matrix[:3, :3], matrix[:3, 3]

    def at(points: Array) -> Array:
        return np.asarray(points @ turn.T + origin)

    size = float(np.cbrt(abs(np.linalg.det(turn))))
    frame = None
    if shape.frame is not None:
        frame = _orthonormal(shape.frame @ turn.T)
    mesh = None if shape.mesh is None else (at(shape.mesh[0]), _facing(shape.mesh[1], turn))
    return replace(
        shape,
        points=at(shape.points),
        frame=frame,
        axis=None if shape.axis is None else at(shape.axis),
        outline=None if shape.outline is None else at(shape.outline),
        holes=tuple(at(hole) for hole in shape.holes),
        sweep=None if shape.sweep is None else np.asarray(turn @ shape.sweep),
        radius=None if shape.radius is None else shape.radius * size,
        inner_radius=None if shape.inner_radius is None else shape.inner_radius * size,
        mesh=mesh,
    )


def _facing(triangles: Triangles, turn: Array) -> Triangles:
    return triangles[:, ::-1] if float(np.linalg.det(turn)) < 0 else triangles


def _orthonormal(rows: Array) -> Array:
    """Right-handed unit rows; the third keeps its direction across the first."""
    x = rows[0] / np.sqrt(rows[0] @ rows[0])
    y = rows[1] - (rows[1] @ x) * x
    y /= np.sqrt(y @ y)
    return np.array([x, y, np.cross(x, y)])


def is_rigid(matrix: Array) -> bool:
    """Whether a 4x4 matrix only turns and moves."""
    return _turns_only(matrix[:3, :3].tobytes())


@lru_cache(maxsize=1024)
def _turns_only(numbers: bytes) -> bool:
    turn = np.frombuffer(numbers).reshape(3, 3)
    return float(np.abs(turn @ turn.T - np.eye(3)).max()) < 1e-6 and float(np.linalg.det(turn)) > 0


def placed(shape: Shape, matrix: Array, rigid: bool) -> Solid:
    """The solid in world metres.

    Args:
        shape: in its own frame.
        matrix: 4x4 to world metres.
        rigid: `is_rigid(matrix)`, so that the local box may simply be turned.
    """
    turn, origin = matrix[:3, :3], matrix[:3, 3]
    # A box found from points prefers the vertical, so it may be turned only with the vertical in place.
    if rigid and (shape.frame is not None or abs(turn[2, 2]) > 1 - 1e-12):
        local = shape.box
        box = Box(turn @ local.centre + origin, local.axes @ turn.T, local.half)
        return _placed_parts(shape, turn, origin, box)
    world = moved(shape, matrix)
    return _placed_parts(world, np.eye(3), np.zeros(3), world.box)


def _placed_parts(shape: Shape, turn: Array, origin: Array, box: Box) -> Solid:
    axis, radius, inner = shape.axis, shape.radius, shape.inner_radius
    found = shape.round_bar
    if found is not None:
        axis, radius, inner = found

    def at(points: Array) -> Array:
        return np.asarray(points @ turn.T + origin)

    return Solid(
        shape.kind,
        box,
        None if axis is None else at(axis),
        None if shape.outline is None else at(shape.outline),
        tuple(at(hole) for hole in shape.holes),
        None if shape.sweep is None else np.asarray(turn @ shape.sweep),
        radius,
        inner,
        None if shape.mesh is None else (at(shape.mesh[0]), shape.mesh[1]),
        shape.clipped,
    )


def merged(shapes: Sequence[Shape]) -> Shape:
    """One mesh shape out of several, with the centre line and radii of the longest one that has them."""
    if len(shapes) == 1:
        return shapes[0]
    vertices, triangles, start = [], [], 0
    for shape in shapes:
        points, faces = shape.as_mesh()
        vertices.append(points)
        triangles.append(faces + start)
        start += len(points)
    lined = [shape for shape in shapes if shape.axis is not None]
    longest = max(lined, key=lambda shape: _length(shape.axis), default=None)
    return Shape(
        "mesh",
        np.vstack([shape.points for shape in shapes]),
        axis=None if longest is None else longest.axis,
        radius=None if longest is None else longest.radius,
        inner_radius=None if longest is None else longest.inner_radius,
        mesh=(np.vstack(vertices), np.vstack(triangles)),
        clipped=any(shape.clipped for shape in shapes),
    )


def _length(path: Array | None) -> float:
    return 0.0 if path is None else float(np.sqrt((np.diff(path, axis=0) ** 2).sum(axis=1)).sum())


def finite(solid: Solid, limit: float) -> bool:
    """Whether every box corner is a number within `limit` metres of the origin."""
    # a comparison with something that is not a number is false
    return all(-limit <= v <= limit for v in (*solid.box.low.tolist(), *solid.box.high.tolist()))
