"""Light geometry in SI world coordinates: oriented boxes, centre lines, outlines and triangles."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
_SIGNS = np.array(np.meshgrid((-1, 1), (-1, 1), (-1, 1), indexing="ij")).reshape(3, -1).T


@dataclass(frozen=True, eq=False)
class Box:
    """An oriented box.

    Attributes:
        centre: (3,) world metres.
        axes: (3, 3) unit row vectors, right-handed.
        half: (3,) half sizes along the rows of `axes`, metres.
    """

    centre: Array
    axes: Array
    half: Array

    @cached_property
    def corners(self) -> Array:
        """(8, 3) corner points."""
        points: Array = self.centre + (_SIGNS * self.half) @ self.axes
        return points

    @cached_property
    def low(self) -> Array:
        """(3,) lower corner of the world-aligned box."""
        low: Array = self.centre - np.abs(self.axes.T) @ self.half
        return low

    @cached_property
    def high(self) -> Array:
        """(3,) upper corner of the world-aligned box."""
        high: Array = self.centre + np.abs(self.axes.T) @ self.half
        return high

    def extent(self, direction: Array) -> tuple[float, float]:
        """Interval that the box covers along a unit direction, metres from the world origin."""
        middle = float(self.centre @ direction)
        reach = float(np.abs(self.axes @ direction) @ self.half)
        return middle - reach, middle + reach

    def size(self, direction: Array) -> float:
        """Extent along a unit direction, metres."""
        return 2.0 * float(np.abs(self.axes @ direction) @ self.half)

    def local(self, points: Array) -> Array:
        """Points (n, 3) in the box's own frame, the centre at 0."""
        local: Array = (np.atleast_2d(points) - self.centre) @ self.axes.T
        return local

    def contains(self, point: Array, tolerance: float = 0.0) -> bool:
        """Whether a point lies within the box widened by `tolerance` metres."""
        return bool(np.all(np.abs(self.local(point)[0]) <= self.half + tolerance))


@dataclass(frozen=True, eq=False)
class Solid:
    """One solid of an element's body.

    Attributes:
        kind: `extrusion`, `disk` (swept disk) or `mesh` (brep, faceset, or an extrusion that was cut: its
            `outline` and `sweep` then still tell of the uncut one, `mesh` and `box` of what is left).
        box: oriented box; along the profile axes and the extrusion for extrusions.
        axis: (n, 3) centre line: of an extrusion its profile centroid's path (2 points), of a disk its
            directrix; None for a mesh.
        outline: (m, 3) outer boundary of an extrusion's profile at its start, in order, not closed; else None.
        holes: inner boundaries of that profile, each (m, 3).
        sweep: (3,) extrusion vector in metres; None unless an extrusion.
        radius: outer radius of a round section, metres; None otherwise.
        inner_radius: bore radius of a hollow round section, metres; None otherwise.
        mesh: `(vertices (v, 3), triangles (t, 3) int)` of a mesh; None otherwise.
        clipped: the true body is smaller (a boolean was not carried out), so the box is an upper bound.
    """

    kind: str
    box: Box
    axis: Array | None = None
    outline: Array | None = None
    holes: tuple[Array, ...] = ()
    sweep: Array | None = None
    radius: float | None = None
    inner_radius: float | None = None
    mesh: tuple[Array, NDArray[np.int64]] | None = field(default=None, repr=False)
    clipped: bool = False
