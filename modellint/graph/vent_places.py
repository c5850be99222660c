"""What kind of place a point of a vent lies in: attic, outdoors, garage, living space, below ground."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from modellint.contacts.polylines import usable
from modellint.contacts.surfaces import plan_of
from modellint.graph.house import House
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.roof_surface import Roof, height_above
from modellint.ifc.model import Model, SpatialNode
from modellint.ifc.solid import Array

if TYPE_CHECKING:
    from shapely import Geometry

GARAGE = re.compile(r"\b(garage|carport)\b", re.IGNORECASE)
CRAWL = re.compile(r"\b(crawl|crawlspace)\b", re.IGNORECASE)
BASEMENT = re.compile(r"\b(basement|cellar)\b", re.IGNORECASE)
ATTIC = re.compile(r"\b(attic|loft|eaves)\b", re.IGNORECASE)
# a room drawn up to its ceiling counts as reaching this much further, metres: floors and ceilings are between
# rooms (judgement, no source)
SPARE = 0.02


@dataclass(frozen=True, eq=False)
class Room:
    """A space as vents see it: its plan, its height interval, what it is used for."""

    node: SpatialNode
    plan: Geometry
    low: float
    high: float

    @property
    def name(self) -> str:
        """Name to say."""
        return self.node.long_name or self.node.name or self.node.key

    @property
    def use(self) -> str:
        """`garage`, `crawl space`, `basement`, `attic` or `living space`."""
        said = f"{self.node.name} {self.node.long_name} {self.node.predefined}"
        for pattern, word in ((GARAGE, "garage"), (CRAWL, "crawl space"), (BASEMENT, "basement"), (ATTIC, "attic")):
            if pattern.search(said):
                return word
        return "living space"


def rooms_of(house: House) -> tuple[Room, ...]:
    """Spaces with a body, by key; those of one model are drawn up once."""
    model = house.model
    if model not in _ROOMS:
        _ROOMS[model] = _rooms(model)
    return _ROOMS[model]


_ROOMS: WeakKeyDictionary[Model, tuple[Room, ...]] = WeakKeyDictionary()


def _rooms(model: Model) -> tuple[Room, ...]:
    found = []
    for key, node in sorted(model.spaces.items()):
        solids = [solid for solid in node.solids if usable(solid.box.corners)]
        if node.kind != "space" or not solids:
            continue
        lows, highs = [s.box.low[2] for s in solids], [s.box.high[2] for s in solids]
        plan = plan_of(solids)
        if not plan.is_empty:
            assert key
            found.append(Room(node, plan, float(min(lows)), float(max(highs))))
    return tuple(found)


@dataclass(frozen=True, eq=False)
class Places:
    """Answers for points of one run.

    Attributes:
        attic: height from which the run passes an attic, None where no attic storey is named.
        ground: top of the lowest slab, None without one.
    """

    rooms: tuple[Room, ...]
    roof: Roof | None
    attic: float | None
    ground: float | None

    def room_at(self, point: Array) -> Room | None:
        """The room a point lies in."""
        import shapely

        spot = shapely.Point(point[:2])
        for room in self.rooms:
            if room.low - SPARE <= float(point[2]) <= room.high + SPARE and room.plan.distance(spot) <= 1e-6:
                return room
        return None

    def lived_above(self, point: Array) -> Room | None:
        """A living space straight above a point."""
        import shapely

        spot = shapely.Point(point[:2])
        for room in self.rooms:
            if room.use == "living space" and room.low > float(point[2]) and room.plan.distance(spot) <= 1e-6:
                return room
        return None

    def kind(self, point: Array) -> str:
        """`attic`, `outdoors`, `below ground`, a use of `Room`, or "" where the model does not tell.

        Within walls and floors between rooms it is "".
        """
        if self._outdoors(point):
            return "outdoors"
        if self.attic is not None and float(point[2]) >= self.attic:
            return "attic"
        room = self.room_at(point)
        if room is not None:
            return room.use
        if self.ground is not None and float(point[2]) < self.ground - SPARE:
            return "below ground"
        return ""

    def _outdoors(self, point: Array) -> bool:
        if self.roof is None or not self.roof.drawn:
            return False
        side = self.roof.side_of(point)
        if side == "outside":
            return self.ground is None or float(point[2]) >= self.ground - SPARE
        if side != "over" or float(point[2]) <= self.roof.lowest:
            return False
        return height_above(self.roof, point, 0.0).low > 0.0


def attic_floor(house: House, run: VentRun) -> float | None:
    """Height from which a vent passes an attic, None where no attic storey is named."""
    lows = [node.low for node in house.nodes.get("vent_storey", ()) if node.run is run and node.attic]
    return min(lows) if lows else None


def places_of(house: House, run: VentRun) -> Places:
    """The places along one run."""
    roof = next(iter(house.nodes.get("roof_surface", ())), None)
    tops = [
        float(part.box.high[2])
        for part in house.with_role("foundation_slab")
        if part.box is not None and usable(part.box.corners)
    ]
    return Places(rooms_of(house), roof, attic_floor(house, run), min(tops, default=None))
