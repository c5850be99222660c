"""The shift that keeps coordinates small."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from modellint.ifc.model import Grid, Model
from modellint.ifc.solid import Array, Box, Solid

NEAR = 10_000.0
"""Models whose middle lies within this distance of 0, metres, are not shifted."""


def choose_origin(model: Model) -> Array:
    """Median of the boxes' centres, rounded to 1 m, if it lies further than 10 km from 0; else 0.

    Box centres, not placements: some files keep map coordinates in the shapes and leave placements at 0.
    """
    centres = [element.solids[0].box.centre for element in model.elements.values() if element.solids]
    centres += [port.position for port in model.ports.values() if port.position is not None]
    if not centres:
        return np.zeros(3)
    table = np.array(centres)
    table = table[np.isfinite(table).all(axis=1)]
    if not len(table):
        return np.zeros(3)
    middle = np.round(np.median(table, axis=0))
    return middle if float(np.sqrt(middle @ middle)) > NEAR else np.zeros(3)


def shifted(model: Model, origin: Array) -> None:
    """Subtract a vector from everything in a model, in place, and add it to `Model.origin`."""
    for element in model.elements.values():
        element.solids = tuple(shifted_solid(solid, origin) for solid in element.solids)
        if element.axis_line is not None:
            element.axis_line = element.axis_line - origin
    for port in model.ports.values():
        if port.position is not None:
            port.position = port.position - origin
    for node in model.spaces.values():
        node.solids = tuple(shifted_solid(solid, origin) for solid in node.solids)
        if node.position is not None:
            node.position = node.position - origin
        if node.elevation is not None:
            node.elevation -= float(origin[2])
    model.grids = tuple(
        Grid(grid.tag, grid.start - origin[:2], grid.end - origin[:2]) for grid in model.grids
    )
    model.origin = model.origin + origin


def shifted_solid(solid: Solid, origin: Array) -> Solid:
    """The solid with a vector subtracted."""
    return replace(
        solid,
        box=Box(solid.box.centre - origin, solid.box.axes, solid.box.half),
        axis=None if solid.axis is None else solid.axis - origin,
        outline=None if solid.outline is None else solid.outline - origin,
        holes=tuple(hole - origin for hole in solid.holes),
        mesh=None if solid.mesh is None else (solid.mesh[0] - origin, solid.mesh[1]),
    )
