"""A picture of parts as a camera sees them: faces with a depth for each pixel, edges where nothing hides them.

All faces of a picture are reckoned together, in a fixed order, so that it is quick and two runs give the same pixels.
Perspective projection, scan conversion by the even-odd rule and interpolation of 1/depth over a plane: standard, see
for example Foley et al., Computer Graphics, 2nd edition, chapters 3, 6 and 15.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians, tan

import numpy as np
from numpy.typing import NDArray

from modellint.ifc.solid import Array

Ints = NDArray[np.int64]
NEAR = 0.15  # metres before the camera within which nothing is shown
_BIAS = 1.004  # an edge shows if it is no farther away than this times the face it borders


@dataclass(frozen=True)
class View:
    """A perspective camera: position, unit direction and up vector, vertical field of view in degrees."""

    position: Array
    direction: Array
    up: Array
    field: float


@dataclass(frozen=True, eq=False)
class Faces:
    """Flat faces.

    Attributes:
        points: (n, 3) corners of all rings one after the other, metres.
        ring: (n,) number of the ring of each corner, ascending.
        face: (rings,) number of the face of each ring, ascending; the boundary comes before the holes.
        colour: (faces,) first of the three shades of each face.
        closed: (faces,) it bounds a solid and its corners run counter-clockwise seen from outside, so that its back is
            never seen.
    """

    points: Array
    ring: Ints
    face: Ints
    colour: Ints
    closed: NDArray[np.bool_]


def joined(rows: Sequence[Faces]) -> Faces:
    """All faces of several sets as one set."""
    rings = np.cumsum([0, *(len(row.face) for row in rows)])
    faces = np.cumsum([0, *(len(row.colour) for row in rows)])
    return Faces(
        np.concatenate([row.points for row in rows]),
        np.concatenate([row.ring + first for row, first in zip(rows, rings, strict=False)]),
        np.concatenate([row.face + first for row, first in zip(rows, faces, strict=False)]),
        np.concatenate([row.colour for row in rows]),
        np.concatenate([row.closed for row in rows]),
    )


class Painter:
    """Pixels that faces and edges are drawn on; `pixels` holds the number of a colour for each."""

    def __init__(self, width: int, height: int, view: View) -> None:
        self.width, self.height = width, height
        self.pixels = np.zeros((height, width), np.uint8)
        self._near = np.zeros(height * width)  # 1/depth of what is drawn; 0: nothing
        right = np.cross(view.direction, view.up)
        self._axes = np.array([right / np.linalg.norm(right), view.up, view.direction])
        self._position = view.position
        self._scale = height / 2 / tan(radians(view.field) / 2)

    def seen(self, points: Array) -> Array:
        """Points (n, 3) as (n, 3): right, up and ahead of the camera, metres."""
        moved: Array = (points - self._position) @ self._axes.T
        return moved

    def place(self, point: Array) -> tuple[float, float] | None:
        """Pixel of a point; None if it lies behind the camera."""
        seen = self.seen(point[None, :])
        if seen[0, 2] <= NEAR:
            return None
        x, y = self._flat(seen)[0, :2].tolist()
        return x, y

    def clear_depth(self) -> None:
        """From now on nothing that was drawn hides anything."""
        self._near[:] = 0.0

    def faces(self, faces: Faces) -> None:
        """Draw faces, each in the shade that its slope gives; one that begins behind the camera is left out."""
        if not len(faces.colour):
            return
        seen = self.seen(faces.points)
        following = _following(faces.ring)
        boundary = np.flatnonzero(np.diff(faces.face, prepend=-1))
        corner = np.searchsorted(faces.ring, boundary)  # first corner of each face
        of_corner = faces.face[faces.ring]
        crosses = np.cross(seen, seen[following])
        outer = np.isin(faces.ring, boundary)
        normal = np.column_stack(
            [np.bincount(of_corner[outer], crosses[outer, axis], len(faces.colour)) for axis in range(3)]
        )
        size = np.linalg.norm(normal, axis=1)
        distance = np.einsum("ij,ij->i", normal, seen[corner])
        behind = np.bincount(of_corner, seen[:, 2] <= NEAR, len(faces.colour)) > 0
        good = (size > 1e-12) & (np.abs(distance) > 1e-9 * size) & ~behind & ~(faces.closed & (distance >= 0))
        if not good.any():
            return
        with np.errstate(divide="ignore", invalid="ignore"):
            flat, plane = self._flat(seen), normal / distance[:, None]
        shade = _shade(normal / np.where(size > 0, size, 1.0)[:, None] @ self._axes)
        self._fill(flat, following, of_corner, good, plane, faces.colour + shade)

    def _fill(
        self, flat: Array, following: Ints, face: Ints, good: NDArray[np.bool_], plane: Array, colour: Ints
    ) -> None:
        """Scan conversion: crossings of all edges with the middles of the rows, in pairs along each row."""
        use = np.flatnonzero(good[face])
        a, b, of = flat[use], flat[following[use]], face[use]
        first = np.clip(np.ceil(np.minimum(a[:, 1], b[:, 1]) - 0.5), 0, self.height).astype(np.int64)
        last = np.clip(np.ceil(np.maximum(a[:, 1], b[:, 1]) - 0.5), 0, self.height).astype(np.int64)
        edge, row = _spread(first, last)
        if not len(edge):
            return
        share = (row + 0.5 - a[edge, 1]) / (b[edge, 1] - a[edge, 1])
        x = a[edge, 0] + share * (b[edge, 0] - a[edge, 0])
        key = of[edge] * self.height + row
        order = np.lexsort((x, key))
        key, x = key[order], x[order]
        start, stop = (np.clip(np.ceil(side - 0.5), 0, self.width).astype(np.int64) for side in (x[0::2], x[1::2]))
        span, column = _spread(start, stop)
        if not len(span):
            return
        owner, line = np.divmod(key[0::2], self.height)
        ahead = plane[owner]
        up = (self.height / 2 - line - 0.5) / self._scale
        base = ahead[:, 1] * up + ahead[:, 2]
        # over a plane n.p = d, 1/depth is (n/d).(x, y, 1), linear along the row
        near = base[span] + ahead[span, 0] * ((column + 0.5 - self.width / 2) / self._scale)
        pixel = line[span] * self.width + column
        np.maximum.at(self._near, pixel, near)
        shown = near == self._near[pixel]
        self.pixels.reshape(-1)[pixel[shown]] = colour[owner[span[shown]]]

    def edges(self, edges: Array, colour: int, *, always: bool = False) -> None:
        """Lines (n, 2, 3) one pixel wide; where a face hides them, only if `always`."""
        seen = self.seen(edges.reshape(-1, 3)).reshape(-1, 2, 3)
        seen = seen[(seen[:, :, 2] > NEAR).all(axis=1)]
        flat = self._flat(seen.reshape(-1, 3)).reshape(-1, 2, 3)
        size = np.array([self.width, self.height])
        inside = ((flat[:, :, :2].max(axis=1) >= 0) & (flat[:, :, :2].min(axis=1) < size)).all(axis=1)
        flat = flat[inside & (np.abs(flat[:, :, :2]) < 20 * size).all(axis=(1, 2))]
        if not len(flat):
            return
        steps = np.ceil(np.abs(flat[:, 1, :2] - flat[:, 0, :2]).max(axis=1)).astype(np.int64) + 1
        line, step = _spread(np.zeros_like(steps), steps + 1)
        points = flat[line, 0] + (step / steps[line])[:, None] * (flat[line, 1] - flat[line, 0])
        x, y = np.floor(points[:, 0]).astype(np.int64), np.floor(points[:, 1]).astype(np.int64)
        good = (x >= 0) & (x < self.width) & (y >= 0) & (y < self.height)
        pixel, near = y[good] * self.width + x[good], points[good, 2]
        shown = np.ones(len(pixel), bool) if always else near * _BIAS >= self._near[pixel]
        self.pixels.reshape(-1)[pixel[shown]] = colour

    def ring(self, centre: tuple[float, float], radius: float, colour: int) -> None:
        """A circle three pixels wide round a pixel, over everything."""
        x, y = np.arange(self.width) + 0.5 - centre[0], np.arange(self.height) + 0.5 - centre[1]
        off = np.abs(np.sqrt(x[None, :] ** 2 + y[:, None] ** 2) - radius)
        self.pixels[off <= 1.5] = colour

    def _flat(self, seen: Array) -> Array:
        """Pixels and 1/depth of points before the camera."""
        inverse = 1.0 / seen[:, 2]
        return np.column_stack(
            [
                self.width / 2 + self._scale * seen[:, 0] * inverse,
                self.height / 2 - self._scale * seen[:, 1] * inverse,
                inverse,
            ]
        )


def _following(ring: Ints) -> Ints:
    """Row of the corner that follows each corner round its ring."""
    starts = np.flatnonzero(np.diff(ring, prepend=-1))
    following = np.arange(1, len(ring) + 1)
    following[np.append(starts[1:], len(ring)) - 1] = starts
    return following


def _spread(first: Ints, last: Ints) -> tuple[Ints, Ints]:
    """For each interval [first, last) its number and each whole number in it."""
    counts = np.maximum(last - first, 0)
    number = np.repeat(np.arange(len(counts)), counts)
    value = np.arange(len(number)) - np.repeat(np.cumsum(counts) - counts, counts) + first[number]
    return number, value


def _shade(normal: Array) -> Ints:
    """0 for faces that look up or down, 1 and 2 for upright ones by their direction in plan."""
    size = np.abs(normal)
    upright = np.where(size[:, 1] >= size[:, 0], 1, 2)
    shade: Ints = np.where(size[:, 2] >= size[:, :2].max(axis=1), 0, upright).astype(np.int64)
    return shade
