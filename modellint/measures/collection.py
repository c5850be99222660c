"""Collection under the slab: perforated length, loops, sumps and footing drains."""

from __future__ import annotations

import re

from modellint.contacts.polylines import usable
from modellint.graph import collection
from modellint.graph.pipe_ends import words_of
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import (
    Evidence,
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


# --- short cuts ---------------------------------------------------------------------------------------------


@measure("truth", "sump", example="true for a sump pit that reaches down through the gravel")
def sump_in_layer(sump: Part, ask: Ask) -> Quantity:
    """Whether the pit stands in the permeable layer, so that the suction can draw through it."""
    return _in_layer(sump, ask)


@measure("truth", "sump", example="true for a pit whose lid takes the vent pipe")
def sump_draws_gas(sump: Part, ask: Ask) -> Quantity:
    """Whether the vent draws through the pit: a vent pipe is joined to it, at any rung."""
    run = piping_of(ask.house).run_of.get(sump.key)
    pipes = [part for part in run.parts if part.has("vent_pipe")] if run is not None else []
    if run is None or not pipes:
        said = Evidence("no vent pipe is joined to it", None, "", Rung.INFERRED, sump.element.global_id)
        return truth(False, said, rung=Rung.INFERRED)
    rung = min(run.rung, sump.rung_as("sump"))
    return truth(True, Evidence(f"part of {run.name}", None, "", rung, sump.element.global_id), rung=rung)


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
