"""Where a fan could stand on a vent, where a drawn one does stand, and whether somebody can get to it."""

from __future__ import annotations

import re
from weakref import WeakKeyDictionary

import numpy as np

from modellint.contacts.polylines import usable
from modellint.graph.fan_room import FanRoom, fan_rooms
from modellint.graph.house import House
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.soil_gas import piping_of
from modellint.graph.vent_places import places_of
from modellint.ifc.model import Element, Model
from modellint.ifc.solid import Array
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import (
    Evidence,
    Members,
    Missing,
    Quantity,
    between,
    exact,
    truth,
    unknown,
    word,
)
from modellint.roles.part import Part, Rung

PLACES = ("attic", "outdoors", "garage", "none")
USES = ("attic", "outdoors", "garage", "crawl space", "basement", "living space", "below ground")
# a supply this near to the pipe over the roof counts as there for it, metres (common practice, no source)
NEAR = 3.0
_HATCH = re.compile(
    r"\b(hatch|scuttle|attic (access|door|ladder|stairs?)|pull ?down (stairs?|ladder))\b", re.IGNORECASE
)


def _rooms_that_count(run: VentRun, ask: Ask) -> tuple[list[FanRoom], bool]:
    """Rooms in allowed places, and whether one outdoors is left out as no supply for it is drawn or ruled out.

    Outdoors counts with an outlet over the roof, as IRC 2018 AF103.8 asks for a rooftop supply there; where
    outlets are drawn, and none of them there, it does not.
    """
    rooms = list(fan_rooms(ask.house, run, ask.house.limit("fan_cylinder_diameter", 0.5334)))
    outlets = [part for part in ask.house.with_role("power_outlet") if part.box is not None]
    places = places_of(ask.house, run)
    supplied = any(
        places.kind(np.asarray(part.box.centre)) == "outdoors"
        and float(np.linalg.norm(part.box.centre - room.point)) <= NEAR
        for part in outlets
        if part.box is not None and usable(part.box.corners)
        for room in rooms
        if room.place == "outdoors"
    )
    kept = [room for room in rooms if room.place != "outdoors" or supplied]
    return kept, not supplied and not outlets and len(kept) < len(rooms)


@measure("length", "vent_run", example="0.95 m of clear height round the attic riser")
def fan_clear_height(run: VentRun, ask: Ask) -> Quantity:
    """Longest clear height of a cylinder round an upright stretch of the vent where a fan may stand.

    Looked at are attics, garages with no living space above, and outdoors with a supply there. The cylinder's
    diameter is the general setting `fan_cylinder_diameter`. All parts drawn but the vent's own count as in the
    way; what nobody drew may stand there too, so the value has rung inferred.
    """
    rooms, maybe_outdoors = _rooms_that_count(run, ask)
    if not rooms:
        hint = "name the attic storey, and draw the upright pipe in it"
        return unknown("length", Missing("place for a fan", run.name, hint), low=0.0)
    room = max(rooms, key=lambda one: (round(one.height, 4), one.place))
    ends = [ask.part(part) for part in room.ended_by]
    said = f"clear round {room.stretch.pieces[0].name} in the {room.place}"
    more = f", ended by {' and '.join(part.name for part in ends)}" if ends else ", as far as the pipe stands"
    seen = Evidence(said + more, room.height, "length", Rung.INFERRED, room.stretch.pieces[0].element.global_id)
    rung = min(run.rung, Rung.INFERRED)
    if maybe_outdoors:
        roof = Missing("supply over the roof", run.name, "say whether an approved electrical supply is on the roof")
        return between(room.height, max(room.most, 10.0), "length", seen, rung=rung, missing=(roof,))
    if room.most - room.height > 0.001:
        hint = "the bodies round the pipe are known as loose boxes only; measure the room"
        loose = Missing("shape", ends[-1].name if ends else run.name, hint)
        return between(room.height, room.most, "length", seen, rung=rung, missing=(loose,))
    return exact(room.height, "length", seen, rung=rung)


@measure("choice", "vent_run", words=PLACES, example="attic")
def fan_place(run: VentRun, ask: Ask) -> Quantity:
    """Of the places where a fan may stand, the one with the most clear height round the vent; else none."""
    rooms, _ = _rooms_that_count(run, ask)
    if not rooms:
        return word("none", rung=Rung.INFERRED)
    return word(max(rooms, key=lambda one: (round(one.height, 4), one.place)).place, rung=Rung.INFERRED)


@measure("truth", "vent_run", example="true where a fan is asked for from the start")
def fan_room_asked(run: VentRun, ask: Ask) -> Quantity:
    """Whether room for a fan is asked for: at level fan, or already at level passive.

    The general setting `fan_room_from` says from which level on.
    """
    level = ask.measure("soil_gas_level", next(iter(ask.house.subjects("building"))))
    wanted = {"fan"} if ask.house.settings.get("fan_room_from", "fan") == "fan" else {"fan", "passive"}
    return truth(level.known and level.words <= wanted, *level.evidence, rung=level.rung)


@measure("truth", "fan", example="false for a bathroom fan")
def fan_on_vent(fan: Part, ask: Ask) -> Quantity:
    """Whether the fan is part of a soil-gas vent."""
    run = piping_of(ask.house).run_of.get(fan.key)
    return truth(run is not None, rung=run.rung if run is not None else Rung.DECLARED)


@measure("choice", "fan", words=USES, example="living space for a fan in a closet of the ground storey")
def fan_stands_in(fan: Part, ask: Ask) -> Quantity:
    """In what kind of place a fan stands, by the attic storey, the roof and the rooms drawn round it.

    A garage with living space above it counts as living space.
    """
    run = piping_of(ask.house).run_of.get(fan.key)
    if run is None or fan.box is None or not usable(fan.box.corners):
        return unknown(
            "choice", Missing("place of the fan", fan.name, "draw the fan and the rooms"), words=frozenset(USES)
        )
    places, point = places_of(ask.house, run), np.asarray(fan.box.centre)
    kind, room = places.kind(point), places.room_at(point)
    if kind == "garage" and places.lived_above(point) is not None:
        kind = "living space"
    if not kind:
        return unknown("choice", Missing("space", f"round {fan.name}", "draw the rooms"), words=frozenset(USES))
    where = f" {room.name}" if room is not None else ""
    seen = Evidence(f"{fan.name} stands in the {kind}{where}", kind, "", Rung.INFERRED, fan.element.global_id)
    return word(kind, seen, rung=Rung.INFERRED)


# --- access -------------------------------------------------------------------------------------------------


_KNOWN: WeakKeyDictionary[Model, list[tuple[str, Element]]] = WeakKeyDictionary()


def _hatches(model: Model) -> list[tuple[str, Element]]:
    """Elements that are named for a way into an attic, by key, looked up once however many buildings there are."""
    if model not in _KNOWN:
        _KNOWN[model] = [
            (key, element)
            for key, element in sorted(model.elements.items())
            if _HATCH.search(f"{element.name} {element.type_name}")
        ]
    return _KNOWN[model]


@named_set("vent_run", gives="part")
def attic_hatches(run: VentRun, ask: Ask) -> Members:
    """Hatches, ladders and doors into the attic that the vent passes; never complete without one."""
    floor = places_of(ask.house, run).attic
    keys = {part.element.key: part for part in ask.house.parts.values()}
    found = []
    for key, element in _hatches(ask.house.model):
        if floor is None or not _at_floor(element, floor):
            continue
        found.append(ask.part(keys[key]) if key in keys else Part(key, element, solids=element.solids))
    missing = () if found else (Missing("attic hatch", ask.house.name, "draw the way into the attic, or note it"),)
    return Members(tuple(found), bool(found), missing)


def _at_floor(element: Element, floor: float) -> bool:
    """Whether it is drawn at the attic's floor, or is not drawn."""
    boxes = [solid.box for solid in element.solids if usable(solid.box.corners)]
    return not boxes or any(box.low[2] - 0.6 <= floor <= box.high[2] + 1.2 for box in boxes)


@measure("truth", "vent_run", item="part", example="false where a wall stands in the attic between hatch and vent")
def hatch_leads_to_vent(run: VentRun, hatch: Part, ask: Ask) -> Quantity:
    """Whether no wall in the attic stands straight between a hatch and the vent's pipe there.

    A wall with a door in it counts as no wall. The way may be blocked by what nobody drew: rung inferred.
    """
    places = places_of(ask.house, run)
    pipes = [
        piece.line
        for piece in run.network.pieces.values()
        if piece.kind == "pipe"
        and piece.line is not None
        and usable(piece.line)
        and places.attic is not None
        and float(piece.line[:, 2].max()) > places.attic
        and run.network.colour_of.get(piece.part.key) != "plumbing"
    ]
    solids = [solid for solid in hatch.solids if usable(solid.box.corners)]
    if not pipes or not solids or places.attic is None:
        return unknown("truth", Missing("shape", hatch.name, "draw the hatch and the vent in the attic"))
    start = np.asarray(solids[0].box.centre)
    for wall in ask.house.with_role("other_wall", "shear_wall"):
        if all(_crosses(wall, start, line.mean(axis=0), places.attic) for line in pipes) and not _door_in(
            wall, ask.house
        ):
            ask.part(wall)
            seen = Evidence(
                f"{wall.name} stands between {hatch.name} and the vent", None, "", Rung.INFERRED, wall.element.global_id
            )
            return truth(False, seen, rung=Rung.INFERRED)
    seen = Evidence(
        f"no wall is drawn between {hatch.name} and the vent", None, "", Rung.INFERRED, hatch.element.global_id
    )
    return truth(True, seen, rung=Rung.INFERRED)


def _crosses(wall: Part, start: Array, end: Array, floor: float) -> bool:
    """Whether a wall that stands in the attic lies across a straight way in plan."""
    from modellint.contacts.boxes import clip_line

    if wall.box is None or not usable(wall.box.corners) or float(wall.box.high[2]) < floor + 0.3:
        return False
    level = min(max(floor + 0.2, float(wall.box.low[2]) + 0.01), float(wall.box.high[2]) - 0.01)
    a, b = np.array([*start[:2], level]), np.array([*end[:2], level])
    return clip_line(wall.box, a, b) is not None


def _door_in(wall: Part, house: House) -> bool:
    from modellint.contacts.boxes import box_gap

    return wall.box is not None and any(
        door.box is not None and box_gap(wall.box, door.box) <= 0.0 for door in house.with_role("door")
    )


@measure("truth", "vent_run", example="true where a storey named attic has some of the pipe")
def passes_attic(run: VentRun, ask: Ask) -> Quantity:
    """Whether the vent passes an attic, by the names of the storeys."""
    attic = places_of(ask.house, run).attic
    return truth(attic is not None, rung=min(run.rung, Rung.INFERRED))
