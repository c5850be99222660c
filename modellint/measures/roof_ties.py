"""Measures of the ties between rafters or trusses and the walls they stand on."""

from __future__ import annotations

import numpy as np

from modellint.contacts.boxes import box_gap
from modellint.graph.boxed import boxed
from modellint.graph.house import House
from modellint.ifc.solid import Array
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Part, Rung

FRAMES = ("rafter", "truss")
PLATES = ("top_plate", "plate", "shear_wall", "other_wall")
# a tie is a rafter's when their bodies lie within this of each other, metres (common practice, no source)
TOUCH = 0.020
# a rafter bears on a plate when its body passes within this of it, metres (common practice, no source)
BEARS = 0.150
# a tie holds the bearing that lies within this of it along the rafter, metres (common practice, no source)
BESIDE = 0.300

Interval = tuple[float, float]


def _near(frame: Part, house: House, *roles: str, reach: float) -> list[Part]:
    assert frame.box is not None
    rows = boxed(house, *roles)
    hit = ((rows.low <= frame.box.high + reach) & (rows.high >= frame.box.low - reach)).all(axis=1)
    near = [rows.parts[k] for k in np.flatnonzero(hit)]
    return [part for part in near if part.box is not None and box_gap(part.box, frame.box) <= reach]


def _way(frame: Part) -> Array:
    """Unit vector of the frame in plan, from its lower end upwards."""
    assert frame.box is not None
    axis = frame.box.axes[int(frame.box.half.argmax())]
    axis = axis if axis[2] >= 0 else -axis
    plan: Array = axis[:2] / max(float(np.linalg.norm(axis[:2])), 1e-9)
    return plan


def _span(part: Part, way: Array) -> Interval:
    assert part.box is not None
    return part.box.extent(np.append(way, 0.0))


def _bearings(frame: Part, ask: Ask) -> list[Interval]:
    """Where the frame comes down on walls, along itself: of a truss the outermost two, of a rafter the lowest."""
    found: list[Interval] = ask.once("bearings", frame, lambda frame, ask: _found_bearings(frame, ask.house))
    return found


def _found_bearings(frame: Part, house: House) -> list[Interval]:
    way = _way(frame)
    assert frame.box is not None
    spans = sorted(
        _span(part, way)
        for part in _near(frame, house, *PLATES, reach=BEARS)
        if part.box is not None and float(part.box.low[2]) < float(frame.box.centre[2])
    )
    merged: list[Interval] = []
    for low, high in spans:
        if merged and low <= merged[-1][1] + BESIDE:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    if not frame.has("truss"):
        return merged[:1]
    return merged if len(merged) < 2 else [merged[0], merged[-1]]


@measure("count", of=FRAMES, example="1 for a rafter, 2 for a truss between two outer walls")
def wall_bearings(frame: Part, ask: Ask) -> Quantity:
    """How many times the rafter or truss comes down on a wall that should hold it: a truss twice, a rafter once."""
    if frame.box is None:
        return unknown("count", Missing("shape", frame.name, "draw the roof framing"))
    value = len(_bearings(frame, ask))
    return exact(float(value), "count", Evidence(f"walls under {frame.name}", value, "count"))


@measure("truth", of=FRAMES, example="true where any roof tie touches the rafter")
def roof_tie_drawn(frame: Part, ask: Ask) -> Quantity:
    """Whether any roof tie touches the rafter or truss."""
    found = [] if frame.box is None else _near(frame, ask.house, "roof_tie", reach=TOUCH)
    for part in found:
        ask.part(part)
    return truth(bool(found))


@measure("count", of=FRAMES, example="1 for a truss tied at one of its two walls")
def untied_bearings(frame: Part, ask: Ask) -> Quantity:
    """Bearings of the rafter or truss without a tie; told only where other rafters or trusses are drawn with theirs."""
    if frame.box is None:
        return unknown("count", Missing("shape", frame.name, "draw the roof framing"))
    way = _way(frame)
    ties = [_span(part, way) for part in _near(frame, ask.house, "roof_tie", reach=TOUCH)]
    loose = [
        span
        for span in _bearings(frame, ask)
        if not any(low <= span[1] + BESIDE and high >= span[0] - BESIDE for low, high in ties)
    ]
    if not loose:
        return exact(0.0, "count", Evidence(f"ties at {frame.name}", len(ties), "count"))
    others = [row for row in ask.house.with_role(*FRAMES) if row.key != frame.key and row.box is not None]
    held = sum("true" in ask.measure("roof_tie_drawn", row).words for row in others)
    least, share = ask.house.limit("complete_at_least", 2.0), ask.house.limit("complete_share", 0.5)
    if held >= least and held >= share * len(others):
        return exact(
            float(len(loose)),
            "count",
            Evidence(f"{held} of {len(others)} other rafters and trusses have ties", held, "count", Rung.INFERRED),
            rung=Rung.INFERRED,
        )
    return unknown(
        "count", Missing("roof_tie", "the building", "draw the roof ties, or say what uplift is reckoned with")
    )
