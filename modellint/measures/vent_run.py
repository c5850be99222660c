"""Measures and sets of a whole vent: is it joined, where does it end, where does water stand in it."""

from __future__ import annotations

from typing import Any

from modellint.graph.pipe_nodes import Joint, PipeEnd, Pool, VentRun
from modellint.graph.soil_gas import piping_of
from modellint.graph.vent_ways import end_graph, reached_through
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import (
    FALSE,
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


@measure("truth", "vent_run", example="false, 'gap of 150 mm between riser and elbow'")
def vent_joined(run: VentRun, ask: Ask) -> Quantity:
    """Whether gas can go from every suction point to an exit, and every exit is reached, without a break.

    A break counts where the network is drawn with its fittings; else what is not drawn leaves it open.
    """
    breaks = [joint for joint in run.network.joints if joint.state != "joined" and _gas_joint(run, joint)]
    broken = [joint for joint in breaks if joint.state == "broken"]
    rung = min([run.rung, *(joint.rung for joint in run.network.joints)], default=Rung.INFERRED)
    certain = end_graph(run.network, frozenset({"joined"}))
    possible = end_graph(run.network, frozenset({"joined", "unknown"}))
    suction = {end.key for end in run.suction}
    exits = {outlet.end.key for outlet in run.outlets if run.ends.get(outlet.end.key) == "outlet"}
    doubtful = {key for key, use in run.ends.items() if use == "unknown"}
    seen = tuple(_joint_evidence(joint) for joint in breaks)
    if suction and exits and _all_reach(certain, suction, exits):
        return truth(
            True, Evidence("way from suction point to exit", " - ".join(run.order), "", rung), rung=rung
        )
    if broken and not _all_reach(possible, suction, exits | doubtful):
        return truth(False, *seen, rung=min(rung, broken[0].rung), text=_words(broken[0]))
    lacks = _lacks(run, bool(suction), bool(exits))
    if run.network.complete and not doubtful and not any(joint.state == "unknown" for joint in breaks):
        ends = tuple(
            Evidence(f"{end.name} is {run.ends[end.key]}", None, "", rung, end.part.element.global_id)
            for end in run.free_ends()
            if run.ends[end.key] == "open"
        )
        text = lacks[0].hint if lacks else "part of it is cut off"
        return Quantity(
            "truth", words=FALSE, rung=min(rung, Rung.INFERRED), evidence=(*seen, *ends), text=text
        )
    more = tuple(Missing("joint", joint.name, "draw the piece between") for joint in breaks)
    return unknown("truth", *lacks, *more, evidence=seen)


def _gas_joint(run: VentRun, joint: Joint) -> bool:
    return all(run.network.colour_of.get(part.key) != "plumbing" for part in joint.parts)


def _all_reach(graph: Any, suction: set[str], exits: set[str]) -> bool:
    if not suction or not exits:
        return False
    reached = reached_through(graph, suction)
    back = reached_through(graph, exits)
    return exits <= reached and suction <= back


def _joint_evidence(joint: Joint) -> Evidence:
    return Evidence(
        f"{joint.origin} {joint.name}: {joint.state}",
        joint.gap,
        "length",
        joint.rung,
        joint.first.part.element.global_id,
    )


def _words(joint: Joint) -> str:
    said = "the model says joined, the drawing leaves a " if joint.origin == "stated" else ""
    gap = "" if joint.gap is None else f"gap of {joint.gap * 1000:.0f} mm "
    return f"{said}{gap}between {joint.first.part.name} and {joint.second.part.name}"


def _lacks(run: VentRun, suction: bool, exits: bool) -> list[Missing]:
    found = []
    if not suction:
        found.append(Missing("collector", run.name, "it does not reach a collector or the permeable layer"))
    if not exits:
        ends = [end for end in run.free_ends() if run.ends[end.key] in {"open", "unknown", "capped"}]
        where = f"it ends at {ends[-1].part.name}" if ends else "its upper end is not drawn"
        capped = ", closed by a cap" if ends and run.ends[ends[-1].key] == "capped" else ""
        found.append(Missing("vent_outlet", run.name, f"{where}{capped}, not above the roof"))
    return found


@measure("count", "vent_run", example="2 for soil-gas pipe and a sanitary vent in one network")
def systems_joined(run: VentRun, ask: Ask) -> Quantity:
    """How many kinds of piping hang together with this vent, itself included (soil gas, plumbing)."""
    first: dict[str, Part] = {}
    for part in run.network.parts:
        first.setdefault(run.network.colour_of.get(part.key, ""), part)
    seen = tuple(
        Evidence(
            f"{colour} piping: {first[colour].name}", None, "", Rung.DECLARED, first[colour].element.global_id
        )
        for colour in sorted(run.network.colours)
    )
    sure = Rung.INFERRED if any(joint.rung < Rung.DECLARED for joint in run.network.joints) else Rung.DECLARED
    others = [
        run.network.pieces[key].part
        for key, colour in sorted(run.network.colour_of.items())
        if colour == "plumbing"
    ]
    text = f"joined to {others[0].name}" if others else ""
    return exact(float(len(run.network.colours)), "count", *seen, rung=min(run.rung, sure), text=text)


@named_set("vent_run", gives="vent_pipe")
def vent_pieces(run: VentRun, ask: Ask) -> Members:
    """Pipes of the vent, by key."""
    pipes = tuple(part for part in run.network.parts if part.has("vent_pipe"))
    return Members(
        pipes,
        run.network.complete,
        ()
        if run.network.complete
        else (Missing("vent_fitting", run.name, "draw the vent with its fittings"),),
    )


@named_set("vent_run", gives="vent_joint")
def vent_joints(run: VentRun, ask: Ask) -> Members:
    """Joints of the vent's own pieces."""
    return Members(tuple(joint for joint in run.network.joints if _gas_joint(run, joint)))


@named_set("vent_run", gives="vent_joint")
def vent_breaks(run: VentRun, ask: Ask) -> Members:
    """Where the way from suction point to exit breaks off: broken joints, else free ends open to the house."""
    broken = tuple(joint for joint in run.network.joints if joint.state == "broken" and _gas_joint(run, joint))
    ends = tuple(end for end in run.free_ends() if run.ends[end.key] == "open")
    # without a broken joint the run stops at the open end that lies nearest to its way's last piece
    order = {key: k for k, key in enumerate(run.order)}
    last = sorted(ends, key=lambda end: (-order.get(end.part.key, -1), end.key))[:1]
    return Members(broken or tuple(last))


@measure("truth", "vent_joint", example="true for a joint whose gap keeps the vent from being joined")
def break_counts(joint: Joint | PipeEnd, ask: Ask) -> Quantity:
    """Whether the vent of this joint (or open end) is not joined from suction point to exit."""
    run = piping_of(ask.house).run_of.get(joint.parts[0].key)
    if run is None:
        return truth(False)
    joined = ask.measure("vent_joined", run)
    words = frozenset({"true": "false", "false": "true"}[one] for one in joined.words)
    return Quantity("truth", words=words, rung=joined.rung, evidence=joined.evidence, missing=joined.missing)


@named_set("vent_run", gives="vent_end")
def vent_ends(run: VentRun, ask: Ask) -> Members:
    """Free ends of the vent: exits, suction ends, caps and mouths that lead nowhere."""
    return Members(run.free_ends())


@named_set("vent_run", gives="pool")
def pools(run: VentRun, ask: Ask) -> Members:
    """Low points where water would stand; complete only if every pipe has a centre line and a way to a
    drain."""
    bare = [
        piece.part
        for piece in run.network.pieces.values()
        if piece.kind == "pipe"
        and piece.line is None
        and run.network.colour_of.get(piece.part.key) != "plumbing"
    ]
    missing = [
        Missing("centre line", f"{part.name} ({part.element.global_id})", "draw the pipe") for part in bare
    ]
    if not run.suction:
        missing.append(Missing("collector", run.name, "draw the vent down to its suction point"))
    missing += [Missing("way to a suction point", key, "join the piece to the vent") for key in run.cut_off]
    return Members(run.pools, not missing, tuple(missing))


@measure(
    "choice",
    "vent_run",
    item="vent_end",
    words=("outlet", "suction", "capped", "open", "unknown"),
    example="open for a tee whose branch has no pipe and no cap",
)
def end_use(run: VentRun, end: PipeEnd, ask: Ask) -> Quantity:
    """What a free end is for: exit, suction in the layer, closed by a cap, or open to the house."""
    use = run.ends.get(end.key, "unknown")
    seen = Evidence(f"free {end.name}", None, "", run.rung, end.part.element.global_id)
    doubt = not run.network.complete and use == "open"
    if use == "unknown" or doubt:
        missing = Missing(
            "what follows", f"{end.name} ({end.part.element.global_id})", "draw the next piece or the cap"
        )
        words = frozenset({"outlet", "suction", "capped", "open"})
        return unknown("choice", missing, words=words, evidence=(seen,))
    return word(use, seen, rung=run.rung)


@measure("length", "pool", example="20 mm")
def water_depth(pool: Pool, ask: Ask) -> Quantity:
    """Depth of standing water above the invert, at most the bore."""
    seen = [Evidence("spill level less invert", pool.depth, "length", pool.rung, pool.part.element.global_id)]
    if pool.lift is not None:
        seen.append(
            Evidence(
                "lifting one joint by this drains it",
                pool.lift,
                "length",
                pool.rung,
                pool.part.element.global_id,
            )
        )
    return exact(pool.depth, "length", *seen, rung=pool.rung)


@measure("volume", "pool", example="0.55 L")
def water_volume(pool: Pool, ask: Ask) -> Quantity:
    """Water that stands in the low point, by circular segments along its pipes."""
    return exact(pool.volume, "volume", rung=pool.rung)


@measure("ratio", "pool", example="14 %")
def bore_closed(pool: Pool, ask: Ask) -> Quantity:
    """Share of the bore under water at the deepest point; the range follows the pipe's possible bore."""
    from math import pi

    from modellint.graph.pools import segment_area

    piece = piping_of(ask.house).pieces.get(pool.part.key)
    if piece is None or piece.bore is None:
        return unknown("ratio", Missing("inside diameter", pool.part.name, "give the pipe's size"), low=0.0)
    shares = [segment_area(pool.depth, bore / 2) / (pi * bore * bore / 4) for bore in piece.bore]
    if shares[0] == shares[1]:
        return exact(shares[0], "ratio", rung=pool.rung)
    return between(
        min(shares),
        max(shares),
        "ratio",
        rung=pool.rung,
        missing=(Missing("inside diameter", pool.part.name, "give the pipe's inside diameter"),),
    )


@measure("length", "pool", example="20 mm")
def lift_to_drain(pool: Pool, ask: Ask) -> Quantity:
    """Smallest rise of one joint that drains the low point."""
    if pool.lift is None:
        return unknown(
            "length", Missing("single rise", pool.name, "more than one joint must be raised"), low=0.0
        )
    at = next(
        (
            end
            for piece in piping_of(ask.house).pieces.values()
            for end in piece.ends
            if end.key == pool.lift_at
        ),
        None,
    )
    name = at.name if at is not None else pool.part.name
    return exact(
        pool.lift,
        "length",
        Evidence(f"raise the {name}", pool.lift, "length", pool.rung, pool.part.element.global_id),
        rung=pool.rung,
    )
