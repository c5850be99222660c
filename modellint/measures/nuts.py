"""Measures of nuts and take-ups: does the thread reach through them, and can a wrench reach them?"""

from __future__ import annotations

import numpy as np

from modellint.contacts.boxes import line_gap
from modellint.graph.boxed import boxed
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Part, Rung
from modellint.roles.shapes import radius_of

NUTS = ("nut", "take_up")
# a rod is the nut's when its axis passes the nut's middle within this in plan, metres (common practice, no source)
THROUGH = 0.010
# a rod that ends within this of the nut is meant for it, metres; one further off does not meet its device at all, which
# is another rule's finding (common practice, no source)
SHORT = 0.050
# pipes further than this from a nut are not looked at, metres (common practice, no source)
AROUND = 0.300


def rod_of(nut: Part, ask: Ask) -> Part | None:
    """The rod or bolt that the nut sits on, the nearest in height if several are in line."""
    box = nut.box
    if box is None:
        return None
    x, y = float(box.centre[0]), float(box.centre[1])
    rows = []
    for part in boxed(ask.house, "rod", "anchor_bolt").over(x, y, THROUGH):
        axis = part.axis
        if axis is None or part.box is None:
            continue
        low, high = float(axis[:, 2].min()), float(axis[:, 2].max())
        gap = max(low - float(box.centre[2]), float(box.centre[2]) - high, 0.0)
        if gap > SHORT or high - low < 1e-6:
            continue
        start, end = (axis[0], axis[-1]) if axis[0][2] <= axis[-1][2] else (axis[-1], axis[0])
        share = min(max((float(box.centre[2]) - low) / (high - low), 0.0), 1.0)
        at = start + share * (end - start)
        if float(np.hypot(*(at[:2] - box.centre[:2]))) <= THROUGH:
            rows.append((round(gap, 4), part.key, part))
    return min(rows)[2] if rows else None


@measure("truth", of=NUTS, example="true for a nut drawn on a threaded rod")
def nut_on_rod(nut: Part, ask: Ask) -> Quantity:
    """Whether a rod or bolt is drawn that the nut is meant for."""
    rod = rod_of(nut, ask)
    return truth(rod is not None, *([Evidence(f"{nut.name} on {rod.name}", global_id=rod.element.global_id)]
                                    if rod is not None else []))


@measure("length", of=NUTS, example="6 mm of thread above the nut, -12 mm where the rod ends inside it")
def thread_past_nut(nut: Part, ask: Ask) -> Quantity:
    """How far the rod reaches past the nut's outer face, metres; negative where it ends short of it.

    The shorter of both sides counts, since the drawing does not say from which side the nut is screwed on.
    """
    rod = rod_of(nut, ask)
    if rod is None or rod.axis is None or nut.box is None:
        return unknown("length", Missing("shape", nut.name, "draw the nut and its rod"))
    ask.part(rod)
    above = float(rod.axis[:, 2].max() - nut.box.high[2])
    below = float(nut.box.low[2] - rod.axis[:, 2].min())
    value = round(min(above, below), 6)
    return exact(
        value,
        "length",
        Evidence(f"end of {rod.name} past {nut.name}", value, "length", Rung.DECLARED, rod.element.global_id),
        rung=max(nut.roles.values()),
    )


@named_set(of=NUTS, gives="any_pipe")
def pipes_near_nut(nut: Part, ask: Ask) -> Members:
    """Pipes and ducts within 300 mm of the nut."""
    box = nut.box
    if box is None:
        return Members((), False, (Missing("shape", nut.name, "draw the nut"),))
    found = [
        pipe
        for pipe in boxed(ask.house, "any_pipe").over(float(box.centre[0]), float(box.centre[1]), AROUND)
        if pipe.axis is not None and pipe.box is not None
        and float(pipe.box.low[2]) <= box.high[2] + AROUND and float(pipe.box.high[2]) >= box.low[2] - AROUND
    ]
    for pipe in found:
        ask.part(pipe)
    return Members(tuple(found), True)


@measure("length", of=NUTS, item="any_pipe", example="40 mm between the nut and a drain")
def room_round_nut(nut: Part, pipe: Part, ask: Ask) -> Quantity:
    """Clear room between the nut and a pipe's surface, metres; 0 where they touch."""
    stated = ask.house.stated(pipe, "outside_diameter")
    radius = float(stated.value) / 2 if stated is not None else radius_of(pipe)
    if nut.box is None or pipe.axis is None or radius is None:
        return unknown("length", Missing("outside diameter", pipe.name, "draw the pipe"), low=0.0)
    value = max(line_gap(nut.box, pipe.axis) - radius, 0.0)
    rung = max(pipe.roles.values(), default=Rung.INFERRED)
    return exact(
        value,
        "length",
        Evidence(f"{nut.name} to {pipe.name}", value, "length", rung, pipe.element.global_id),
        rung=rung,
    )
