"""What would cure a pipe that falls the wrong way or holds water: which fitting to lift, and by how much."""

from __future__ import annotations

import numpy as np

from modellint.graph.fall import fall_of
from modellint.graph.pipe_nodes import Network, Piece, PipeEnd, Pool
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, unknown, word
from modellint.roles.part import Part, Rung

# 1/8 in per foot, where no settings were loaded
AIM = 1 / 96


@measure("slope", "vent_pipe", example="1/8 in/ft")
def fall_aimed_at(pipe: Part, ask: Ask) -> Quantity:
    """Fall that the cures named in messages bring about (general setting `fall_to_build`)."""
    return exact(ask.house.limit("fall_to_build", AIM), "slope")


@measure("length", "vent_pipe", example="32.5 mm for 1.2 m that lies 20 mm too low at its far end")
def lift_to_fall(pipe: Part, ask: Ask) -> Quantity:
    """How much the end away from the suction side must rise for the pipe to fall as much as aimed at.

    Plan length times the fall aimed at, less the drop that is drawn; at least 0.
    """
    piece = piping_of(ask.house).pieces.get(pipe.key)
    fall = fall_of(piece, piping_of(ask.house).limits.vertical) if piece is not None else None
    if fall is None or fall.low != fall.high or fall.upright:
        return unknown("length", Missing("suction side", pipe.name, "draw the pipe's way to the collector"), low=0.0)
    lift = max(fall.run * ask.house.limit("fall_to_build", AIM) - fall.drop, 0.0)
    said = f"{fall.run:.3f} m in plan, drop of {fall.drop * 1000:.1f} mm toward the suction side"
    return exact(lift, "length", Evidence(said, fall.drop, "length", Rung.DECLARED, pipe.element.global_id))


@measure("choice", "vent_pipe", example="the Bend 90 between attic offset and exit pipe")
def joint_away_from_suction(pipe: Part, ask: Ask) -> Quantity:
    """The fitting or joint at the pipe's end away from the suction side, which is the one to lift."""
    piping = piping_of(ask.house)
    piece, network = piping.pieces.get(pipe.key), piping.network_of.get(pipe.key)
    ends = [
        span.second if span.toward == "first" else span.first
        for span in (piece.spans if piece is not None else ())
        if span.toward in {"first", "second"}
    ]
    toward = {
        (span.first if span.toward == "first" else span.second).key
        for span in (piece.spans if piece is not None else ())
    }
    last = [end for end in ends if end.key not in toward]
    if network is None or not last:
        return unknown(
            "choice",
            Missing("suction side", pipe.name, "draw the pipe's way to the collector"),
            words=frozenset({"one end", "the other end"}),
        )
    return _named(last[0], network)


@measure("choice", "pool", example="the Bend 90 between attic offset and exit pipe")
def joint_to_lift(pool: Pool, ask: Ask) -> Quantity:
    """The fitting or joint whose rise by `lift_to_drain` drains the low point."""
    piping = piping_of(ask.house)
    network = piping.network_of.get(pool.part.key)
    ends = [
        end
        for piece in (network.pieces.values() if network is not None else ())
        for end in piece.ends
        if end.key == pool.lift_at
    ]
    if network is None or not ends:
        return unknown(
            "choice",
            Missing("single rise", pool.name, "more than one joint must be raised"),
            words=frozenset({"one joint", "several joints"}),
        )
    return _named(ends[0], network)


def _named(end: PipeEnd, network: Network) -> Quantity:
    """The fitting on an end (or the end itself) with the pipes it joins, as words."""
    own = network.pieces[end.part.key]
    fitting = own if own.kind == "fitting" else _fitting_on(end, network)
    if fitting is None:
        text = f"the end of {end.part.name}{_beside(end, network)}"
        part = end.part
    else:
        part = fitting.part
        pipes = [piece.part.name for piece in _joined(part.key, network) if piece.kind == "pipe"]
        between = f" between {pipes[0]} and {pipes[1]}" if len(pipes) == 2 else f" on {pipes[0]}" if pipes else ""
        text = f"the {part.name}{between}"
    seen = Evidence(text, None, "", Rung.DECLARED, part.element.global_id)
    return word(text, seen, text=text)


def _fitting_on(end: PipeEnd, network: Network) -> Piece | None:
    for joint in network.joints:
        for here, there in ((joint.first, joint.second), (joint.second, joint.first)):
            if here.key == end.key and network.pieces[there.part.key].kind == "fitting":
                return network.pieces[there.part.key]
    return None


def _joined(key: str, network: Network) -> list[Piece]:
    found = {
        there.part.key
        for joint in network.joints
        for here, there in ((joint.first, joint.second), (joint.second, joint.first))
        if here.part.key == key
    }
    return [network.pieces[other] for other in sorted(found)]


def _beside(end: PipeEnd, network: Network) -> str:
    """ " at NAME": the pipe joined to the end, "" where nothing is or the end has no place."""
    others = [
        there.part.name
        for joint in network.joints
        for here, there in ((joint.first, joint.second), (joint.second, joint.first))
        if here.key == end.key
    ]
    if others:
        return f" at {others[0]}"
    return "" if end.point is None or not np.all(np.isfinite(end.point)) else " that is free"
