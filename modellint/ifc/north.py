"""True north, map conversion and world coordinate system: what the file says about its frame."""

from __future__ import annotations

import numpy as np

from modellint.ifc.placements import axis_placement, numbers
from modellint.ifc.solid import Array
from modellint.ifc.source import Source


def read_north(source: Source) -> Array | None:
    """Unit plan vector of true north from the first 3D model context that states it; None if none does.

    ISO 16739-1, IfcGeometricRepresentationContext.TrueNorth: a direction in the context's own frame; it
    stays as stated beside an IfcMapConversion, which only turns that frame into the map's.
    """
    for row in source.rows("IfcGeometricRepresentationContext"):
        if row.is_a("IfcGeometricRepresentationSubContext") or row[5] is None:
            continue
        ratios = numbers(row[5][0])
        length = float(np.hypot(ratios[0], ratios[1]))
        if length > 1e-9:
            return np.array([ratios[0] / length, ratios[1] / length])
    return None


def note_frame(source: Source, scale: float) -> None:
    """Notes about frames that the reader leaves alone: map conversion and a moved world coordinate system."""
    for row in source.rows("IfcMapConversion"):
        east, north, height = (float(row[k] or 0.0) for k in (2, 3, 4))
        source.note(
            "map-conversion",
            f"the file is set on a map at easting {east:g}, northing {north:g}, "
            f"height {height:g}; coordinates here are the file's own",
            row,
        )
    for row in source.rows("IfcGeometricRepresentationContext"):
        if row.is_a("IfcGeometricRepresentationSubContext") or row[4] is None:
            continue
        if float(np.abs(axis_placement(row[4], scale) - np.eye(4)).max()) > 1e-6:
            source.note(
                "world-coordinate-system",
                "the file's context has a moved coordinate system, which is "
                "not applied; coordinates here are the placements' own",
                row,
            )
