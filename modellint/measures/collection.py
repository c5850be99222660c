"""Collection under the slab: perforated length, loops, area for each exit, sumps and footing drains."""

from __future__ import annotations

import re

from modellint.contacts.polylines import usable
from modellint.graph import collection
from modellint.graph.house import BuildingSubject
from modellint.graph.pipe_ends import words_of
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import (
    FALSE,
    TRUE,
    Evidence,
    Members,
    Missing,
    Quantity,
    between,
    exact,
    truth,
    unknown,
)
from modellint.roles.part import Part, Rung

_DRAIN = re.compile(r"\b(drain tile|tile drain|footing drain|foundation drain|weeping tile|perforated)\b")


def _of(part: Part) -> str:
    return f"{part.name} ({part.element.global_id})"


@measure("length", "suction_point", example="1.5 m (5 ft) on the shorter side of a tee")
def perforated_length(tee: Part, ask: Ask) -> Quantity:
    """Perforated pipe on the side of the suction fitting that has less of it.

    Each level mouth of the fitting counts with all perforated pipe reached from it without passing the
    fitting. With one level mouth the other side has none; a pipe that does not say whether it is perforated
    widens the range.
    """
    network = piping_of(ask.house).network_of.get(tee.key)
    missing = Missing("collector", _of(tee), "draw the perforated pipe on both sides of it")
    if network is None:
        return unknown("length", missing, low=0.0)
    undrawn = tee.box is None or any(
        piece.line is None and piece.kind == "pipe" and piece.perforated is not False
        for piece in network.pieces.values()
    )
    if undrawn:
        return unknown("length", Missing("shape", _of(tee), "draw the fitting and its pipes"), low=0.0)
    sides = collection.sides_of(network, tee)
    for side in sides:
        for part in side.pieces:
            ask.part(part)
    rung = min([tee.rung_as("suction_point"), *(_rung(side.first) for side in sides)])
    seen = tuple(
        Evidence(
            f"perforated pipe from {side.first.name} on",
            side.sure,
            "length",
            rung,
            side.first.element.global_id,
        )
        for side in sides
    )
    if len(sides) < 2:
        if not network.complete:
            return Quantity("length", 0.0, rung=rung, evidence=seen, missing=(missing,))
        return exact(
            0.0, "length", *seen, rung=min(rung, Rung.INFERRED), text="0 mm, on one side there is none"
        )
    low = sorted(side.sure for side in sides)[-2]
    high = sorted(side.possible for side in sides)[-2]
    if high > low:
        what = Missing("perforation", _of(tee), "say which pipes under the slab are perforated")
        return between(low, high, "length", *seen, rung=rung, missing=(what,))
    if not network.complete:
        return Quantity("length", low, rung=rung, evidence=seen, missing=(missing,))
    return exact(low, "length", *seen, rung=rung)


def _rung(part: Part) -> Rung:
    return max(part.roles.values(), default=Rung.GUESSED)


@measure("truth", "collector", example="true for a pipe laid round the whole inside perimeter")
def collector_in_loop(part: Part, ask: Ask) -> Quantity:
    """Whether the collector is part of a closed loop of pipe."""
    network = piping_of(ask.house).network_of.get(part.key)
    found = network is not None and collection.in_loop(network, part)
    said = "its ends hang together without it" if found else "its ends do not hang together without it"
    return truth(found, Evidence(said, None, "", Rung.INFERRED, part.element.global_id), rung=Rung.INFERRED)


@measure("length", "collector", example="400 mm")
def distance_from_wall(part: Part, ask: Ask) -> Quantity:
    """Least distance in plan from the collector's outside to the nearest foundation wall beside it."""
    piece = piping_of(ask.house).pieces.get(part.key)
    found = collection.wall_distance(ask.house, piece) if piece is not None else None
    if found is None:
        hint = "draw the collector and the foundation walls"
        return unknown("length", Missing("foundation wall", _of(part), hint), low=0.0)
    wall = ask.part(found[1])
    rung = min(_rung(part), _rung(wall))
    return exact(
        found[0],
        "length",
        Evidence(f"from {part.name} to {wall.name}", found[0], "length", rung, wall.element.global_id),
        rung=rung,
    )


@named_set("building", gives="vent_outlet")
def vent_exits(building: BuildingSubject, ask: Ask) -> Members:
    """Exits of all soil-gas vents; never complete without one, as another model may draw it."""
    exits = ask.house.nodes.get("vent_outlet", ())
    missing = () if exits else (Missing("vent_outlet", building.name, "draw the vent up to its exit"),)
    return Members(exits, bool(exits), missing)


@measure("area", "building", example="93 m2 (1,000 ft2)")
def area_per_exit(building: BuildingSubject, ask: Ask) -> Quantity:
    """Area of the slabs under living space, in plan, divided by the number of vent exits."""
    from modellint.contacts.surfaces import plan_of

    slabs = [part for part in ask.house.with_role("foundation_slab") if part.box is not None]
    exits = vent_exits(building, ask)
    lived = [ask.measure("slab_under_living_space", slab).words for slab in slabs]
    if not slabs or not exits.items:
        lack = exits.missing or (Missing("foundation_slab", building.name, "draw the slab"),)
        return unknown("area", *lack, low=0.0)
    areas = [float(plan_of(ask.part(slab).solids).area) for slab in slabs]
    most = sum(area for area, words in zip(areas, lived, strict=True) if words != FALSE)
    least = sum(area for area, words in zip(areas, lived, strict=True) if words == TRUE)
    count = len(exits.items)
    rung = min(
        [outlet.rung_as("vent_outlet") for outlet in exits.items]
        + [slab.rung_as("foundation_slab") for slab in slabs]
    )
    seen = (
        Evidence("area of the slabs on the ground", most, "area", rung, slabs[0].element.global_id),
        Evidence("exits of soil-gas vents", float(count), "count", rung),
    )
    if least == most:
        return exact(most / count, "area", *seen, rung=rung)
    what = Missing("space", building.name, "say which slabs lie under living space")
    return between(least / count, most / count, "area", *seen, rung=rung, missing=(what,))


@measure("length", "building", example="4 in (101.6 mm)")
def smallest_exit_size(building: BuildingSubject, ask: Ask) -> Quantity:
    """Nominal size of the narrowest vent pipe that leads to an exit."""
    sizes = []
    for run in ask.house.nodes.get("vent_run", ()):
        pipes = [part for part in run.parts if part.has("vent_pipe") and run.outlets]
        sizes += [
            ask.measure("vent_size", part)
            for part in pipes
            if run.network.colour_of.get(part.key) != "plumbing"
        ]
    if not sizes:
        return unknown("length", Missing("vent_pipe", building.name, "draw the vent"), low=0.0)
    least = min(sizes, key=lambda size: size.low)
    return Quantity(
        "length",
        least.low,
        min(size.high for size in sizes),
        rung=min(s.rung for s in sizes),
        evidence=least.evidence,
        missing=least.missing,
    )


# --- short cuts ---------------------------------------------------------------------------------------------


@measure("truth", "sump", example="true for a sump pit that reaches down through the gravel")
def sump_in_layer(sump: Part, ask: Ask) -> Quantity:
    """Whether the pit stands in the permeable layer, so that the suction can draw through it."""
    return _in_layer(sump, ask)


@measure("truth", "sump", example="false where the lid is loose")
def sump_lid_sealed(sump: Part, ask: Ask) -> Quantity:
    """Whether the model says that the pit's lid is gasketed or sealed."""
    return _flag(
        sump, "lid_seal", Missing("seal of the lid", _of(sump), "say whether the lid is gasketed"), ask
    )


@measure("truth", "plumbing_pipe", example="true for a footing drain laid in the gravel")
def drain_opens_in_layer(pipe: Part, ask: Ask) -> Quantity:
    """Whether a drain that lets water in along its length lies in the permeable layer.

    By a stated perforation, else by the words footing drain, drain tile and the like in its name.
    """
    stated = piping_of(ask.house).facts.flag(pipe, "perforated")
    named = _DRAIN.search(words_of(pipe))
    if not (stated or (named and stated is None)):
        return truth(
            False,
            Evidence("not said to be perforated", None, "", Rung.INFERRED, pipe.element.global_id),
            rung=Rung.INFERRED,
        )
    inside = _in_layer(pipe, ask)
    return inside if stated else inside.at(Rung.INFERRED)


@measure("truth", "plumbing_pipe", example="false for a drain that runs open to daylight")
def drain_shut_to_air(pipe: Part, ask: Ask) -> Quantity:
    """Whether the model says that a trap or check valve keeps air from coming up the drain."""
    lack = Missing("trap or check valve", _of(pipe), "say what keeps air out where the drain ends")
    return _flag(pipe, "air_trap", lack, ask)


def _in_layer(part: Part, ask: Ask) -> Quantity:
    from modellint.contacts.surfaces import plan_of

    layers = ask.house.nodes.get("gravel_layer", ())
    if not layers or part.box is None or not usable(part.box.corners):
        what = "permeable_layer" if not layers else "shape"
        return unknown("truth", Missing(what, _of(part), "draw the gravel and this part"))
    for layer in layers:
        deep = part.box.low[2] <= layer.top and part.box.high[2] >= layer.bottom
        if deep and plan_of(part.solids).intersects(layer.plan):
            ask.part(layer.part)
            rung = min(_rung(part), layer.part.rung_as("permeable_layer"))
            return truth(
                True,
                Evidence(
                    f"{part.name} stands in {layer.part.name}", None, "", rung, layer.part.element.global_id
                ),
                rung=rung,
            )
    return truth(
        False,
        Evidence(f"{part.name} lies outside the gravel", None, "", _rung(part), part.element.global_id),
        rung=_rung(part),
    )


def _flag(part: Part, quantity: str, missing: Missing, ask: Ask) -> Quantity:
    facts = piping_of(ask.house).facts
    rows = facts.readings(part.element, quantity)
    stated = facts.flag(part, quantity)
    if stated is None:
        return unknown("truth", missing)
    # a sentence in words is one ground, the part it is written on is the other
    return truth(
        stated, Evidence(rows[0].where, None, "", rows[0].rung, part.element.global_id), rung=rows[0].rung
    )
