"""Connecting the lateral side of one building: lines, segments, ends, chains, plate pieces."""

from __future__ import annotations

from modellint.graph.absence import Absence
from modellint.graph.compression import compression_chains
from modellint.graph.foundation import foundations, under_point
from modellint.graph.house import House
from modellint.graph.plate_pieces import plate_pieces
from modellint.graph.segments import add_segments
from modellint.graph.shapeless import add_shapeless
from modellint.graph.stated_ties import state_ties
from modellint.graph.storeys import storeys_of
from modellint.graph.uplift import uplift_chains
from modellint.graph.wall_ends import FLOOR, wall_ends
from modellint.graph.wall_lines import wall_lines
from modellint.graph.wall_nodes import WallEnd, WallLine


def connect(house: House) -> None:
    """Fill `house.nodes` for the lateral kinds, and the completeness of their roles."""
    storeys = storeys_of(house.model, house.key)
    lines = wall_lines(house, storeys)
    segments = add_segments(house, lines)
    ends = wall_ends(house, segments)
    add_shapeless(house, ends)
    _ground(house, lines, ends)
    absence = Absence(house, ends)
    state_ties(house, absence, ends)
    uplift_chains(house, absence, ends)
    house.nodes["wall_line"] = tuple(line for line in lines if line.shear is not None)
    house.nodes["wall_segment"] = segments
    house.nodes["wall_end"] = ends
    house.nodes["plate_piece"] = plate_pieces(house, lines)
    house.completeness.update(absence.coverage())
    house.absence = absence
    house.bearings = compression_chains(house, ends)


def load_libraries() -> None:
    """Load the libraries that connecting needs, which takes a tenth of a second, ahead of the time."""
    import networkx
    import shapely

    assert networkx
    assert shapely


def _ground(house: House, lines: tuple[WallLine, ...], ends: tuple[WallEnd, ...]) -> None:
    """An end stands on the foundation if concrete lies under it, or no wall of a storey below is drawn.

    So a split level or a stepped footing is no upper storey.
    """
    ground = foundations(house)
    lowest = min((end.segment.sole for end in ends), default=0.0)
    for end in ends:
        if end.below is not None:
            continue
        under = under_point(ground, float(end.point[0]), float(end.point[1]), end.segment.sole)
        near = bool(under) and end.segment.sole - under[0].top <= 0.5
        sole = end.segment.sole
        storey_below = any(FLOOR[0] <= sole - line.top <= FLOOR[1] and line.bottom < sole for line in lines)
        end.on_foundation = near or sole <= lowest + 0.5 or not storey_below
