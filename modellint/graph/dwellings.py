"""Dwelling units within one building: which are stated, and which parts belong to which.

A unit is stated by zones of spaces, by parts of a building (IfcBuilding within IfcBuilding, or of composition
PARTIAL), or by the project file. Each unit gets what lies nearest to its spaces. What lies as near to another unit
too, a party wall above all, belongs to both. The building is connected as a whole, so that every tie is caught by its
own wall; then it is split. Units that stand over one another share their chains and are left together.
"""

from __future__ import annotations

import fnmatch
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from modellint.contacts.polylines import usable
from modellint.contacts.surfaces import plan_of
from modellint.graph.house import House
from modellint.graph.wall_nodes import WallEnd, WallLine, WallSegment
from modellint.ifc.model import Model, Note, SpatialNode, Zone
from modellint.ifc.solid import Array
from modellint.roles.part import Part

_DWELLING = re.compile(r"\b(dwelling|apartment|flat|townhouse|condominium|residence|residential unit)s?\b"
                       r"|^\s*(unit|suite)\b", re.IGNORECASE)
_OCCUPANCY = "occupancytype"
EVEN = 0.06  # metres by which one unit may be nearer and a point still count as shared (judgement, no source)
TOUCH = np.array([0.05, 0.05, 0.3])  # metres from a shared wall, as far as a wall's column of space reaches down
SHARE = 0.2  # of a part's points that make it belong to a unit (judgement, no source)
OVERLAP = 0.2  # of the smaller footprint; units that overlap more stand over one another (judgement, no source)
_GRID = np.array([(x, y) for x in np.linspace(-0.9, 0.9, 7) for y in np.linspace(-0.9, 0.9, 7)])
# nodes that rules ask about; what the measures look up (piping, roof surface) stays whole
NODES = ("wall_line", "wall_segment", "wall_end", "plate_piece", "network", "vent_run", "vent_outlet", "pool",
         "vent_storey", "vent_stretch", "gravel_pocket", "gravel_layer")


@dataclass
class Dwelling:
    """A stated unit: its spaces and the elements that it names itself.

    Attributes:
        plan: where it lies, a shapely geometry; None before it is known.
        number: its row in the project file, -1 if the model states it.
    """

    key: str
    name: str
    origin: str
    spaces: tuple[str, ...] = ()
    elements: frozenset[str] = frozenset()
    plan: Any = None
    number: int = -1
    properties: dict[tuple[str, str], Any] = field(default_factory=dict)


def wholes(model: Model) -> list[tuple[str, str, frozenset[str]]]:
    """Buildings that are no part of another: key, name, and the keys of the buildings in them.

    Buildings of composition PARTIAL with no whole stated are the parts of one, if there is no other building.
    """
    nodes = {node.key: node for node in model.spaces.values() if node.kind == "building"}
    if len(nodes) > 1 and all(one.composition == "PARTIAL" and one.parent not in nodes for one in nodes.values()):
        return [("", "", frozenset({"", *nodes}))]
    found: dict[str, set[str]] = {}
    for key in nodes:
        top = key
        for _ in nodes:
            top = nodes[top].parent if nodes[top].parent in nodes else top
        found.setdefault(top, set()).add(key)
    return [(key, nodes[key].name or nodes[key].long_name, frozenset(inner)) for key, inner in sorted(found.items())]


@dataclass
class Division:
    """How a building falls into units: none, or to which of them each part belongs; `notes` says so."""

    units: list[Dwelling] = field(default_factory=list)
    belongs: dict[str, tuple[str, ...]] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)


def divide(house: House, rows: Sequence[Mapping[str, Any]] | None) -> Division:
    """To which dwelling unit each part of a building belongs, before it is connected.

    Elements of one unit get its key as their building, so that walls of two units are not taken for one.

    Args:
        house: with its parts.
        rows: `dwellings` of the project file, each with `name` and the globs `zone`, `space` or `storey`; () to leave
            buildings whole, None to go by the model.
    """
    if rows is not None and not rows:
        return Division()
    units = _stated(house, rows)
    missing = [Note("dwelling-not-found", f"The dwelling unit '{row['name']}' of the project file fits no zone, space "
                    "or storey.") for k, row in enumerate(rows or ()) if not any(unit.number == k for unit in units)]
    if len(units) < 2:
        return Division(notes=missing)
    problem = _place(house, units)
    named, whole = _and([unit.name for unit in units]), house.name or "the building"
    if problem:
        return Division(notes=[*missing, Note(
            "dwellings-together", f"'{whole}' has the dwelling units {named}, but {problem}; they were judged "
            "together, as one house.")])
    belongs = {key: _units_of(part, units) for key, part in house.parts.items()}
    _follow(house, belongs)
    _into_model(house, units, belongs)
    shared = sum(len(owners) > 1 for owners in belongs.values())
    return Division(units, belongs, [*missing, Note(
        "dwellings", f"'{whole}' has the dwelling units {named} ({units[0].origin}); each was judged on its own. "
        f"Parts that belong to more than one, such as a party wall: {shared}; findings about them stand with the "
        "first unit.")])


def split(house: House, division: Division) -> list[House]:
    """A connected building as one house for each dwelling unit, by key; the building itself if it has none."""
    if not division.units:
        return [house]
    belongs = dict(division.belongs)
    for run in (*house.nodes.get("network", ()), *house.nodes.get("vent_run", ())):
        owners = {key for part in run.parts if len(belongs[part.key]) == 1 for key in belongs[part.key]}
        belongs.update(dict.fromkeys((part.key for part in run.parts), tuple(sorted(owners)))  # judged whole
                       if owners else {})
    guests = _at_party_walls(house, belongs)
    return [_view(house, unit, division.units, belongs, guests.get(unit.key, set())) for unit in division.units]


def _and(names: Sequence[str]) -> str:
    quoted = [f"'{name}'" for name in names]
    return f"{', '.join(quoted[:-1])} and {quoted[-1]}"


def _stated(house: House, rows: Sequence[Mapping[str, Any]] | None) -> list[Dwelling]:
    """Units that the project file or the model states for this building, by key."""
    model = house.model
    if rows is not None:
        found = [_by_globs(house, row, k) for k, row in enumerate(rows)]
    else:
        found = _parts_of_building(house) or [
            Dwelling(zone.key, zone.name or zone.key, "stated by zones", _spaces(model, zone),
                     frozenset(zone.members) & model.elements.keys(), properties=zone.properties)
            for zone in model.zones if is_dwelling(zone) and _in_building(house, zone)]
    return sorted((unit for unit in found if unit.spaces or unit.elements), key=lambda unit: unit.key)


def is_dwelling(zone: Zone) -> bool:
    """Whether a zone's words or its occupancy type say that it is a dwelling unit."""
    stated = [str(value.value) for (_, name), value in zone.properties.items()
              if name.replace(" ", "").lower() == _OCCUPANCY]
    return any(_DWELLING.search(word) for word in (*zone.words, *stated))


def _spaces(model: Model, zone: Zone) -> tuple[str, ...]:
    return tuple(key for key in zone.members if key in model.spaces and model.spaces[key].kind == "space")


def _in_building(house: House, zone: Zone) -> bool:
    spaces = _spaces(house.model, zone)
    return not house.key or any(_building_of(house.model, key) == house.key for key in spaces) or (
        not spaces and any(one in house.parts for one in zone.members))


def _building_of(model: Model, key: str) -> str:
    for _ in range(len(model.spaces)):
        node = model.spaces.get(key)
        if node is None or node.kind == "building":
            return node.key if node is not None else ""
        key = node.parent
    return ""


def _parts_of_building(house: House) -> list[Dwelling]:
    """Buildings within this one, with what they contain."""
    model = house.model
    inner = [node for node in model.spaces.values() if node.kind == "building" and node.key != house.key
             and (node.parent == house.key if house.key else node.composition == "PARTIAL")]
    return [Dwelling(node.key, node.name or node.long_name or node.key, "stated as parts of the building",
                     tuple(key for key, one in model.spaces.items()
                           if one.kind == "space" and _building_of(model, key) == node.key),
                     frozenset(key for key, element in model.elements.items() if element.building == node.key))
            for node in inner]


def _by_globs(house: House, row: Mapping[str, Any], number: int) -> Dwelling:
    model, name = house.model, str(row["name"])

    def fits(key: str, *names: str) -> bool:
        globs = row.get(key, ())
        return any(fnmatch.fnmatchcase(one.lower(), str(glob).lower())
                   for glob in ([globs] if isinstance(globs, str) else globs) for one in names if one)

    spaces = {key for key, node in model.spaces.items()
              if node.kind == "space" and fits("space", node.name, node.long_name)}
    elements: set[str] = set()
    for zone in model.zones:
        if fits("zone", zone.name, *zone.words):
            spaces |= set(_spaces(model, zone))
            elements |= set(zone.members) & model.elements.keys()
    levels = {key for key, node in model.spaces.items()
              if node.kind == "storey" and fits("storey", node.name, node.long_name)}
    elements |= {key for key, element in model.elements.items() if element.storey in levels}
    spaces |= {key for key, node in model.spaces.items() if node.kind == "space" and node.parent in levels}
    inside = {key for key in spaces if not house.key or _building_of(model, key) in {"", house.key}}
    return Dwelling(f"{house.key or 'house'}/dwelling:{number + 1}", name, "stated by the project file",
                    tuple(sorted(inside)), frozenset(elements & {p.element.key for p in house.parts.values()}),
                    number=number)


def _place(house: House, units: Sequence[Dwelling]) -> str:
    """Give each unit its plan; what stands against judging them apart, or ""."""
    import shapely

    for unit in units:
        drawn = [plan_of(house.model.spaces[key].solids) for key in unit.spaces if house.model.spaces[key].solids]
        if not drawn:
            drawn = [shapely.MultiPoint(part.box.corners[:, :2]).convex_hull for part in house.parts.values()
                     if part.element.key in unit.elements and part.box is not None and usable(part.box.corners)]
        unit.plan = shapely.union_all([one for one in drawn if not one.is_empty]) if drawn else None
        if unit.plan is None or unit.plan.is_empty or unit.plan.area <= 0:
            return f"the spaces of '{unit.name}' are not drawn"
    for k, unit in enumerate(units):
        for other in units[k + 1:]:
            common = unit.plan.intersection(other.plan).area
            if common > OVERLAP * min(unit.plan.area, other.plan.area):
                return f"'{unit.name}' and '{other.name}' lie over one another in plan"
    return ""


def _units_of(part: Part, units: Sequence[Dwelling]) -> tuple[str, ...]:
    """Keys of the units a part belongs to: all that hold enough of the points of its plan."""
    named = tuple(unit.key for unit in units if part.element.key in unit.elements)
    if named or part.box is None or not usable(part.box.corners):
        return named
    near = _near(_points(part), units)
    owners = tuple(unit.key for unit, share in zip(units, near.mean(axis=1), strict=True) if share >= SHARE)
    return owners or tuple(unit.key for unit in units)


def _points(part: Part) -> Array:
    assert part.box is not None
    reach = part.box.half
    flat = np.argsort(np.abs(part.box.axes[:, 2]))[:2]  # the two axes that lie flattest
    points: Array = part.box.centre[:2] + sum(
        _GRID[:, [k]] * reach[axis] * part.box.axes[axis, :2] for k, axis in enumerate(flat))
    return points


def _near(points: Array, units: Sequence[Dwelling]) -> Array:
    """(units, points): whether no other unit is clearly nearer to the point."""
    import shapely

    away = np.array([shapely.distance(shapely.points(points), unit.plan) for unit in units])
    close: Array = away <= away.min(axis=0) + EVEN
    return close


def _follow(house: House, belongs: dict[str, tuple[str, ...]]) -> None:
    """What has no place of its own goes with its whole, or with everybody."""
    everybody = tuple(sorted({key for owners in belongs.values() for key in owners}))
    by_element = {part.element.key: owners for key, part in house.parts.items() if (owners := belongs[key])}
    for key, part in house.parts.items():
        if not belongs[key]:
            belongs[key] = by_element.get(part.element.parent) or everybody


def _at_party_walls(house: House, belongs: Mapping[str, tuple[str, ...]]) -> dict[str, set[str]]:
    """Unit to the parts of others that touch a wall it shares: sheathing, ties, footing, no further wall."""
    boxes = {key: part.box for key, part in house.parts.items() if part.box is not None and usable(part.box.corners)
             and (len(belongs[key]) > 1 or not part.has("shear_wall", "other_wall"))}
    found: dict[str, set[str]] = {}
    keys = list(boxes)
    low, high = (np.array([getattr(boxes[key], name) for key in keys]).reshape(-1, 3) for name in ("low", "high"))
    for wall in house.with_role("shear_wall", "other_wall"):
        if len(belongs[wall.key]) > 1 and wall.key in boxes:
            box = boxes[wall.key]
            near = (low <= box.high + TOUCH).all(axis=1) & (high >= box.low - TOUCH).all(axis=1)
            for owner in belongs[wall.key]:
                found.setdefault(owner, set()).update(keys[row] for row in np.flatnonzero(near))
    return found


def _into_model(house: House, units: Sequence[Dwelling], belongs: Mapping[str, tuple[str, ...]]) -> None:
    """Elements of one unit name it as their building, shared ones none; units are places like buildings."""
    spaces = house.model.spaces
    for unit in units:
        if unit.key not in spaces:
            spaces[unit.key] = SpatialNode(unit.key, "dwelling", unit.name, house.key, properties=unit.properties)
    house.model.spaces = dict(sorted(spaces.items()))
    for key, part in house.parts.items():
        for element in part.elements:
            element.building = belongs[key][0] if len(belongs[key]) == 1 else ""


def _view(house: House, unit: Dwelling, units: Sequence[Dwelling], belongs: Mapping[str, tuple[str, ...]],
          near: set[str]) -> House:
    """The unit as a house: its own and the shared parts and nodes, connected as they are in the building."""
    def own(node: Any) -> bool:
        parts = getattr(node, "parts", ()) or ((node.part,) if hasattr(node, "part") else ())
        walls = isinstance(node, WallLine | WallSegment | WallEnd)
        owners = {key for part in parts[: None if walls else 1] for key in belongs.get(part.key, (unit.key,))}
        if isinstance(node, WallEnd) and len(owners) > 1 and len(parts) > 1:  # one line of several units' walls
            near = _near(node.point[None, :2], units)[:, 0]
            owners = {one.key for one, close in zip(units, near, strict=True) if close}
        return not owners or unit.key in owners

    nodes = {kind: tuple(node for node in rows if kind not in NODES or own(node)) for kind, rows in house.nodes.items()
             if kind != "surroundings"}
    own_keys = {key for key, owners in belongs.items() if unit.key in owners}
    return House(unit.key, unit.name, house.model,
                 {key: part for key, part in house.parts.items() if key in own_keys or key in near}, nodes,
                 dict(house.completeness), house.schedules, house.properties, house.settings, house.absence,
                 house.crossings, house.bearings, dwelling=True, within=house.key, relations=house.relations,
                 guests=frozenset(near - own_keys))
