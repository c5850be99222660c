"""Measures of rods: lean, how they meet their devices, how deep they sit in concrete."""

from __future__ import annotations

from modellint.graph.foundation import embedment, foundations
from modellint.graph.joints import lean, thread_gap, thread_length
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, between, exact, truth, unknown
from modellint.measures.schedule_rows import tie_mark_of, tie_row
from modellint.roles.part import Part, Rung
from modellint.roles.shapes import radius_of


def _seen(rod: Part, what: str, value: float, dimension: str) -> Evidence:
    return Evidence(what, value, dimension, Rung.DECLARED, rod.element.global_id)


@measure("angle", of=("rod", "anchor_bolt"), example="2.3 deg for 98 mm over 2.44 m")
def rod_lean(rod: Part, ask: Ask) -> Quantity:
    """Angle between the rod's axis and the vertical, radians."""
    if rod.axis is None:
        return unknown("angle", Missing("shape", rod.name, "draw the rod with its axis"), low=0.0)
    value = lean(rod.axis)
    return exact(value, "angle", _seen(rod, "angle of the rod's axis against the vertical", value, "angle"))


@named_set(of="rod", gives="hold_down")
def rod_ties(rod: Part, ask: Ask) -> Members:
    """Devices that the rod serves: those whose chain has the rod threaded into them."""
    found: dict[str, Part] = {}
    for end in ask.house.subjects("wall_end"):
        for step in end.steps:
            if step.kind == "threaded_into" and rod in step.pieces:
                found.update({part.key: part for part in step.pieces if part.has("hold_down")})
    parts = tuple(found[key] for key in sorted(found))
    for part in parts:
        ask.part(part)
    return Members(parts, True)


@measure("length", of="rod", item="hold_down", example="0 where the rod's end lies within the device")
def rod_gap(rod: Part, tie: Part, ask: Ask) -> Quantity:
    """Distance from the rod's axis to the device's body, metres; 0 when it runs into it."""
    gap = thread_gap(rod, tie)
    if gap is None:
        return unknown(
            "length", Missing("shape", rod.name if rod.axis is None else tie.name, "draw it"), low=0.0
        )
    return exact(gap, "length", _seen(rod, f"gap between {rod.name} and {tie.name}", gap, "length"))


@measure("ratio", of="rod", item="hold_down", example="3.1 for 50 mm of a 16 mm rod")
def thread_engagement(rod: Part, tie: Part, ask: Ask) -> Quantity:
    """Length of the rod within the device, in rod diameters."""
    length, radius = thread_length(rod, tie), radius_of(rod)
    if length is None or not radius or thread_gap(rod, tie):
        return unknown("ratio", Missing("shape", rod.name, "draw rod and device so that they meet"), low=0.0)
    value = length / (2 * radius)
    return exact(value, "ratio", _seen(rod, f"length of {rod.name} within {tie.name}", length, "length"))


@measure(
    "truth", of=("rod", "anchor_bolt"), example="true for an anchor rod, false for a rod between storeys"
)
def reaches_concrete(rod: Part, ask: Ask) -> Quantity:
    """Whether the rod is one that should end in the foundation: an anchor bolt, or its chain says so."""
    if rod.has("anchor_bolt"):
        return truth(True)
    for end in ask.house.subjects("wall_end"):
        if end.below is None and end.on_foundation and rod in end.rods and any(
                rod in step.pieces and step.slot in {"anchor rod", "foundation"} for step in end.steps):
            return truth(True)
    return truth(False)


@measure("length", of=("rod", "anchor_bolt"), example="250 mm of a rod cast into a footing")
def embedded_length(rod: Part, ask: Ask) -> Quantity:
    """Length of the rod's axis inside concrete, metres; several parts poured together count as one."""
    ground = foundations(ask.house)
    if not ground:
        return unknown("length", Missing("foundation", "the building", "draw the footings"), low=0.0)
    if rod.axis is None:
        return unknown("length", Missing("shape", rod.name, "draw the rod with its axis"), low=0.0)
    length, holder = embedment(ground, rod.axis)
    if holder is not None:
        ask.part(holder)
    where = f"length of {rod.name} inside {holder.name}" if holder else f"{rod.name} does not reach concrete"
    return exact(length, "length", _seen(rod, where, length, "length"))


@measure("truth", of=("rod", "anchor_bolt"), example="true when the hold-down schedule gives an embedment")
def embedment_is_given(rod: Part, ask: Ask) -> Quantity:
    """Whether the schedule or a property says how deep the rod must sit."""
    asked = ask.measure("embedment_asked_for", rod)
    return truth(asked.known, *asked.evidence, rung=asked.rung if asked.known else Rung.DECLARED)


@measure("length", of=("rod", "anchor_bolt"), example="250 mm by the hold-down schedule")
def embedment_asked_for(rod: Part, ask: Ask) -> Quantity:
    """Least embedment that the schedule or a property asks for; not known if neither does."""
    stated = ask.house.stated(rod, "min_embedment")
    if stated is not None:
        return exact(stated.value, "length", Evidence(stated.where, stated.value, "length", stated.rung,
                                                      rod.element.global_id), rung=stated.rung)
    for tie in ask.members("rod_ties", rod).items if rod.has("rod") else ():
        assert isinstance(tie, Part)
        row = tie_row(ask, tie_mark_of(tie, ask))
        if row is not None and row.get("anchor_embedment") is not None:
            value = float(row.get("anchor_embedment"))
            return exact(value, "length", Evidence(f"hold-down schedule, line {row.line}", value, "length",
                                                   Rung.SCHEDULED), rung=Rung.SCHEDULED)
    return between(0.0, float("inf"), "length", missing=(
        Missing("min_embedment", rod.name, "give the embedment in the hold-down schedule or as a property"),))
