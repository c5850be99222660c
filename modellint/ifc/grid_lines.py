"""Grid axes in world metres."""

from __future__ import annotations

from typing import Any

import numpy as np

from modellint.ifc.curves import curve_points
from modellint.ifc.model import Grid
from modellint.ifc.placements import PlacementError, Placements
from modellint.ifc.source import Source, UnreadableShapeError


def read_grids(source: Source, placements: Placements, scale: float, angle: float) -> list[Grid]:
    """Straight ends of every grid axis, by tag; axes that cannot be read are left out with a note."""
    grids: list[Grid] = []
    for row in source.rows("IfcGrid"):
        try:
            world = placements.world(row[5])
            axes = [axis for group in (row[7], row[8], row[9]) for axis in group or ()]
            grids += [_grid(axis, world, scale, angle) for axis in axes]
        except (
            PlacementError,
            UnreadableShapeError,
            RuntimeError,
            ValueError,
            TypeError,
            IndexError,
            AttributeError,
        ) as problem:
            source.note("grid-unread", f"a grid cannot be read: {problem}", row)
    return sorted(grids, key=lambda grid: (grid.tag, *grid.start.tolist()))


def _grid(axis: Any, world: Any, scale: float, angle: float) -> Grid:
    points = curve_points(axis[1], scale, angle)
    if not axis[2]:
        points = points[::-1]
    moved = points @ world[:3, :3].T + world[:3, 3]
    return Grid(str(axis[0] or ""), np.asarray(moved[0][:2]), np.asarray(moved[-1][:2]))
