"""Openings round a vent's exit: windows and doors of the house and of neighbours, and the way gas would
take."""

from __future__ import annotations

from dataclasses import dataclass, field
from weakref import WeakKeyDictionary

import numpy as np

from modellint.contacts.polylines import usable
from modellint.contacts.strings import Mouth, string_range
from modellint.contacts.surfaces import all_triangles
from modellint.graph.house import House
from modellint.graph.pipe_nodes import VentOutlet
from modellint.ifc.model import Element, Model
from modellint.ifc.solid import Array, Box, Solid
from modellint.roles.part import Part, Rung

OPENINGS = ("window", "door")
IN_THE_WAY = ("roof", "shear_wall", "other_wall")
_NEIGHBOUR_CLASSES = ("IfcWindow", "IfcDoor")


@dataclass(eq=False)
class Surroundings:
    """What a string from an exit can meet; worked out once per house.

    Attributes:
        openings: windows and doors of the house, by key.
        neighbours: windows and doors of other buildings in the model, by key.
        other_buildings: keys of other buildings in the model.
        obstacles: `(low, high, solids)` of each roof and wall part; few of them lie near any string.
        neighbour_low, neighbour_high: (n, 3) world-aligned boxes of the neighbours, nan where undrawn.
    """

    openings: tuple[Part, ...]
    neighbours: tuple[Part, ...]
    other_buildings: tuple[str, ...]
    obstacles: tuple[tuple[Array, Array, tuple[Solid, ...]], ...] = ()
    neighbour_low: Array = field(default_factory=lambda: np.empty((0, 3)))
    neighbour_high: Array = field(default_factory=lambda: np.empty((0, 3)))
    strings: dict[tuple[str, str], tuple[float, float] | None] = field(default_factory=dict)


def surroundings_of(house: House) -> Surroundings:
    """Openings and obstacles of a house; kept in `house.nodes["surroundings"]`."""
    if "surroundings" not in house.nodes:
        others = tuple(
            sorted(
                key
                for key, node in house.model.spaces.items()
                if node.kind in {"building", "dwelling"} and key not in {house.key, house.within}
            )
        )
        known, foreign = _openings_of(house.model), set(others)
        rows = [k for k, part in enumerate(known.parts) if part.element.building in foreign]
        solid = [
            part for part in house.with_role(*IN_THE_WAY) if part.box is not None and usable(part.box.corners)
        ]
        obstacles = tuple(
            (part.box.low, part.box.high, part.solids)  # type: ignore[union-attr]
            for part in solid
        )
        house.nodes["surroundings"] = (
            Surroundings(house.with_role(*OPENINGS), tuple(known.parts[k] for k in rows), others, obstacles,
                         known.low[rows], known.high[rows]),
        )
    found: Surroundings = house.nodes["surroundings"][0]
    return found


@dataclass(frozen=True, eq=False)
class _Openings:
    """All windows and doors of a model, by key, with their world-aligned boxes."""

    parts: tuple[Part, ...]
    low: Array
    high: Array


_KNOWN: WeakKeyDictionary[Model, _Openings] = WeakKeyDictionary()


def _openings_of(model: Model) -> _Openings:
    known = _KNOWN.get(model)
    if known is None:
        parts = tuple(_as_part(element) for element in model.elements.values()
                      if element.ifc_class.startswith(_NEIGHBOUR_CLASSES))
        nowhere = np.full(3, np.nan)
        low = np.array([part.box.low if part.box is not None else nowhere for part in parts]).reshape(-1, 3)
        high = np.array([part.box.high if part.box is not None else nowhere for part in parts]).reshape(-1, 3)
        known = _KNOWN[model] = _Openings(parts, low, high)
    return known


def neighbours_within(house: House, outlet: VentOutlet, reach: float) -> tuple[Part, ...]:
    """Neighbours' openings whose boxes may come within `reach` metres of an exit's rim; some may be further."""
    around, point = surroundings_of(house), outlet.end.point
    if point is None or not usable(point) or not around.neighbours:
        return ()
    outside = np.maximum(np.maximum(around.neighbour_low - point, point - around.neighbour_high), 0.0)
    near = np.sqrt((outside * outside).sum(axis=1)) - (outlet.rim_radius or 0.0) <= reach + 1e-6
    return tuple(around.neighbours[k] for k in np.flatnonzero(near))


def _as_part(element: Element) -> Part:
    role = "window" if element.ifc_class.startswith("IfcWindow") else "door"
    part = Part(element.key, element, roles={role: Rung.DECLARED}, solids=element.solids)
    if element.solids:
        low = np.min([solid.box.low for solid in element.solids], axis=0)
        high = np.max([solid.box.high for solid in element.solids], axis=0)
        single = element.solids[0].box
        part.box = single if len(element.solids) == 1 else Box((low + high) / 2, np.eye(3), (high - low) / 2)
    return part


def mouth_of(outlet: VentOutlet) -> Mouth | None:
    """The exit as a level disc; None if it has no place."""
    point = outlet.end.point
    if point is None or not usable(point):
        return None
    return Mouth(point, np.array([0.0, 0.0, 1.0]), outlet.rim_radius or 0.0)


def string_between(house: House, outlet: VentOutlet, opening: Part) -> tuple[float, float] | None:
    """Least and greatest stretched-string length from the exit's rim to an opening, metres; None without
    places."""
    around = surroundings_of(house)
    key = (outlet.key, opening.key)
    if key not in around.strings:
        mouth = mouth_of(outlet)
        placed = opening.box is not None and usable(opening.box.corners)
        around.strings[key] = (
            _string(around, mouth, opening.box) if mouth and placed and opening.box else None
        )
    return around.strings[key]


def _string(around: Surroundings, mouth: Mouth, target: Box) -> tuple[float, float]:
    # only solids within reach of the two can be in the way of a string worth measuring
    low = np.minimum(mouth.centre, target.low) - 2.0
    high = np.maximum(mouth.centre, target.high) + 2.0
    near = [all_triangles(solids) for a, b, solids in around.obstacles if np.all(a <= high) and np.all(b >= low)]
    return string_range(mouth, target, np.concatenate(near) if near else np.empty((0, 3, 3)))


def straight_gap(outlet: VentOutlet, opening: Part) -> float | None:
    """A quick lower bound of the distance: centre to box less the rim, metres."""
    point = outlet.end.point
    if point is None or not usable(point) or opening.box is None or not usable(opening.box.corners):
        return None
    outside = np.maximum(np.abs(opening.box.local(point)[0]) - opening.box.half, 0.0)
    return max(float(np.linalg.norm(outside)) - (outlet.rim_radius or 0.0), 0.0)
