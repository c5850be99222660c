"""Measures of one piece of vent pipe: where it lies, how it falls, what size it has."""

from __future__ import annotations

from modellint.graph.fall import UPRIGHT, fall_of
from modellint.graph.pipe_nodes import Piece
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.roles.part import Part, Rung

_LEVEL = 0.001  # metres


def _piece(pipe: Part, ask: Ask) -> Piece | None:
    return piping_of(ask.house).pieces.get(pipe.key)


def _of(pipe: Part) -> str:
    return f"{pipe.name} ({pipe.element.global_id})"


def _no_line(pipe: Part, dimension: str) -> Quantity:
    why = pipe.element.undrawn or "no centre line could be read"
    return unknown(dimension, Missing("centre line", _of(pipe), f"draw the pipe with an axis ({why})"))


@measure("truth", "vent_pipe", example="true for a riser that leaves the gravel; false for a leg lying in it")
def above_permeable_layer(pipe: Part, ask: Ask) -> Quantity:
    """Whether any of the pipe lies above the gas-permeable layer.

    Without a drawn layer the underside of the lowest slab stands in for the layer's top, at rung inferred.
    """
    piece = _piece(pipe, ask)
    if piece is None or piece.line is None:
        return _no_line(pipe, "truth")
    top = float(piece.line[:, 2].max())
    layers = ask.house.nodes.get("gravel_layer", ())
    if layers:
        level = max(layer.top for layer in layers)
        for layer in layers:
            ask.part(layer.part)
        rung = min(layer.part.rung_as("permeable_layer") for layer in layers)
        return truth(
            top > level + _LEVEL,
            Evidence("top of the permeable layer", level, "length", rung, layers[0].part.element.global_id),
            Evidence(
                "highest point of the pipe's axis", top, "length", Rung.DECLARED, pipe.element.global_id
            ),
            rung=rung,
        )
    slabs = [part for part in ask.house.with_role("foundation_slab") if part.box is not None]
    if not slabs:
        return unknown("truth", Missing("permeable_layer", ask.house.name, "draw the gravel under the slab"))
    slab = ask.part(min(slabs, key=lambda part: (float(part.box.low[2]), part.key)))  # type: ignore[union-attr]
    level = float(slab.box.low[2])  # type: ignore[union-attr]
    return truth(
        top > level + _LEVEL,
        Evidence("underside of the lowest slab", level, "length", Rung.INFERRED, slab.element.global_id),
        rung=Rung.INFERRED,
    )


@measure(
    "slope", "vent_pipe", example="1/8 in/ft for a leg of 1.2 m whose end at the riser lies 12.5 mm lower"
)
def fall_to_suction(pipe: Part, ask: Ask) -> Quantity:
    """Drop of the invert toward the suction side over the length in plan; negative where it falls away.

    The least over the pipe's stretches. A stretch shorter than 25 mm in plan is upright and counts as
    steepest
    when its suction side is lower. A stated gradient never replaces what is drawn.
    """
    piece = _piece(pipe, ask)
    if piece is None:
        return _no_line(pipe, "slope")
    fall = fall_of(piece, piping_of(ask.house).limits.vertical)
    if fall is None:
        return _no_line(pipe, "slope")
    drawn = Evidence(
        f"drop of {fall.drop * 1000:.1f} mm over {fall.run:.3f} m in plan, suction side by: "
        f"{fall.reason or 'not known'}",
        fall.drop,
        "length",
        Rung.DECLARED,
        pipe.element.global_id,
    )
    rung = min(
        (ask.part(part).rung_as(role) for part in (pipe,) for role in ("vent_pipe",)), default=Rung.INFERRED
    )
    if fall.low == fall.high:
        text = (
            "upright"
            if fall.low == UPRIGHT
            else "upright, suction side above"
            if fall.low == -UPRIGHT
            else ""
        )
        return exact(fall.low, "slope", drawn, rung=rung, text=text)
    missing = Missing("suction side", _of(pipe), "draw the pipe's way to the collector and to the exit")
    return between(fall.low, fall.high, "slope", drawn, missing=(missing,), rung=rung)


@measure("length", "vent_pipe", example="3 in (76.2 mm) for Schedule 40 pipe of 88.9 mm outside diameter")
def vent_size(pipe: Part, ask: Ask) -> Quantity:
    """Nominal diameter; metric nominal sizes (DN) count as the inch size the trade sells them for."""
    piece = _piece(pipe, ask)
    size = piece.nominal if piece is not None else None
    if size is None or piece is None:
        return unknown("length", Missing("nominal diameter", _of(pipe), "give the pipe's size"), low=0.0)
    outside = f", outside diameter {piece.outside * 1000:.1f} mm" if piece.outside else ""
    seen = Evidence(
        f"nominal size of {pipe.name}{outside}", size[0], "length", Rung.DECLARED, pipe.element.global_id
    )
    if size[0] == size[1]:
        return exact(size[0], "length", seen)
    missing = Missing("nominal diameter", _of(pipe), "give the pipe's nominal or inside diameter")
    return between(*size, "length", seen, missing=(missing,))


@measure("length", "vent_pipe", example="25.4 mm for a 3 in pipe above a 4 in one; 0 where the size is kept")
def size_lost_upward(pipe: Part, ask: Ask) -> Quantity:
    """How much smaller the nominal diameter is than that of the pipe before it on the suction side, at
    least 0.

    Collectors in the gravel do not count as the pipe before. Where several pipes join, the largest counts.
    """
    own = ask.measure("vent_size", pipe)
    before = _pipes_before(pipe, ask)
    if not before:
        return exact(
            0.0,
            "length",
            Evidence(
                "no vent pipe lies before it on the suction side",
                None,
                "",
                Rung.DECLARED,
                pipe.element.global_id,
            ),
        )
    sizes = [ask.measure("vent_size", other) for other in before]
    evidence = tuple(item for size in (own, *sizes) for item in size.evidence)
    missing = tuple(dict.fromkeys(item for size in (own, *sizes) for item in size.missing))
    if missing and _drawn_no_smaller(pipe, before, ask):
        return exact(0.0, "length", *evidence)
    low = max(max(size.low for size in sizes) - own.high, 0.0)
    high = max(max(size.high for size in sizes) - own.low, 0.0)
    return Quantity("length", low, high, evidence=evidence, missing=missing if low != high else ())


def _drawn_no_smaller(pipe: Part, before: list[Part], ask: Ask) -> bool:
    """Pipes of unknown bore keep their size if they are drawn with the same outside diameter (within 0.5
    mm)."""
    pieces = piping_of(ask.house).pieces
    own = pieces[pipe.key].outside
    others = [pieces[other.key].outside for other in before]
    return own is not None and all(other is not None and other <= own + 0.0005 for other in others)


def _pipes_before(pipe: Part, ask: Ask) -> list[Part]:
    """Vent pipes met first on the suction side, through fittings."""
    piping = piping_of(ask.house)
    piece, network = piping.pieces.get(pipe.key), piping.network_of.get(pipe.key)
    if piece is None or network is None:
        return []
    starts = {
        end.key
        for span in piece.spans
        for side, end in (("first", span.first), ("second", span.second))
        if span.toward == side
    }
    inner = {span.first.key for span in piece.spans} & {span.second.key for span in piece.spans}
    near: dict[str, list[str]] = {}
    for joint in network.joints:
        near.setdefault(joint.first.key, []).append(joint.second.part.key)
        near.setdefault(joint.second.key, []).append(joint.first.part.key)
    queue = sorted({key for start in starts - inner for key in near.get(start, [])})
    seen, found = {pipe.key, *queue}, []
    while queue:
        other = piping.pieces[queue.pop(0)]
        if other.kind == "pipe":
            if other.part.has("vent_pipe") and not other.part.has("collector"):
                found.append(ask.part(other.part))
            continue
        fresh = sorted({key for end in other.ends for key in near.get(end.key, [])} - seen)
        seen |= set(fresh)
        queue += fresh
    return sorted(found, key=lambda part: part.key)
