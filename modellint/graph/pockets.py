"""Pockets: connected pieces of the permeable layer in plan, cut by foundation parts that go through it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from modellint.contacts.polylines import usable
from modellint.contacts.surfaces import plan_of, polygons_in
from modellint.graph.house import House
from modellint.graph.layer import LEVEL, Layer
from modellint.graph.pipe_nodes import GravelPocket, Network, Piece, PipeLimits
from modellint.ifc.solid import Array
from modellint.roles.part import Part

if TYPE_CHECKING:
    pass

CUTTERS = ("footing", "stem_wall", "pile")


def pockets_of(
    house: House,
    layers: tuple[Layer, ...],
    networks: Iterable[Network],
    suction: set[str],
    limits: PipeLimits,
) -> tuple[GravelPocket, ...]:
    """Pockets of the layer, by key, with the pipes that serve them.

    Args:
        house: foundation parts are looked up in it.
        layers: drawn parts of the layer.
        networks: all pipe networks.
        suction: keys of pieces that let gas in.
        limits: smallest pocket.
    """
    pockets = [pocket for group in _level_groups(layers) for pocket in _cut(house, group, limits)]
    for pocket in pockets:
        pocket.served_by = _serving(pocket, networks, suction)
    return tuple(sorted(pockets, key=lambda pocket: pocket.key))


def _level_groups(layers: tuple[Layer, ...]) -> list[list[Layer]]:
    """Layer parts whose heights overlap, so that they can be one space."""
    groups: list[list[Layer]] = []
    for layer in sorted(layers, key=lambda layer: (layer.bottom, layer.part.key)):
        if groups and layer.bottom < max(other.top for other in groups[-1]) - LEVEL:
            groups[-1].append(layer)
        else:
            groups.append([layer])
    return groups


def _cut(house: House, group: list[Layer], limits: PipeLimits) -> list[GravelPocket]:
    import shapely

    bottom, top = min(layer.bottom for layer in group), max(layer.top for layer in group)
    # a millimetre closes the seam between two parts of the layer drawn edge to edge
    area = shapely.union_all([layer.plan.buffer(LEVEL, join_style="mitre") for layer in group])
    area = area.buffer(-LEVEL, join_style="mitre")
    cutters = [plan_of(part.solids) for part in cutting(house, bottom, top)]
    pieces = polygons_in(shapely.difference(area, shapely.union_all(cutters)))
    pieces = sorted(
        (piece for piece in pieces if piece.area >= limits.pocket_area),
        key=lambda piece: (round(piece.centroid.x, 4), round(piece.centroid.y, 4)),
    )
    found = []
    for k, piece in enumerate(pieces):
        layer = max(group, key=lambda layer: (round(layer.plan.intersection(piece).area, 6), layer.part.key))
        found.append(
            GravelPocket(
                f"{layer.part.key}/pocket:{k + 1}",
                layer.part,
                piece,
                layer.bottom,
                layer.top,
                rung=layer.part.rung_as("permeable_layer"),
            )
        )
    return found


def cutting(house: House, bottom: float, top: float) -> list[Part]:
    """Foundation parts that go through the full depth of a layer."""
    return [
        part
        for part in house.with_role(*CUTTERS)
        if part.box is not None
        and usable(part.box.corners)
        and part.box.low[2] <= bottom + LEVEL
        and part.box.high[2] >= top - LEVEL
    ]


def _serving(pocket: GravelPocket, networks: Iterable[Network], suction: set[str]) -> tuple[str, ...]:
    found = {
        key
        for network in networks
        for key in network.pieces
        if key in suction and _reaches(pocket, network.pieces[key], suction)
    }
    return tuple(sorted(found))


def _reaches(pocket: GravelPocket, piece: Piece, suction: set[str]) -> bool:
    import shapely

    def inside(spot: Array | None) -> bool:
        if spot is None or not pocket.bottom - LEVEL <= float(spot[2]) <= pocket.top + LEVEL:
            return False
        return bool(pocket.plan.distance(shapely.Point(spot[:2])) <= LEVEL)

    if piece.perforated and piece.line is not None:
        level = any(pocket.bottom - LEVEL <= float(z) <= pocket.top + LEVEL for z in piece.line[:, 2])
        return level and bool(shapely.LineString(piece.line[:, :2]).intersects(pocket.plan))
    middle = piece.part.box.centre if piece.part.box is not None and piece.kind == "fitting" else None
    return inside(middle) or any(inside(end.point) for end in piece.ends)
