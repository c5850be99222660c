"""Measures of electrical boxes that are set into the parts that hold a house down."""

from __future__ import annotations

import numpy as np

from modellint.contacts.boxes import box_gap
from modellint.graph.boxed import boxed
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, unknown
from modellint.roles.part import Part, Rung

HELD = ("rod", "hold_down", "strap", "post", "anchor_bolt", "bottom_plate", "sill_plate", "top_plate", "plate",
        "sheathing")
NOISE = 0.0005


@named_set(of="any_electrical_box", gives="part")
def parts_cut_by_box(case: Part, ask: Ask) -> Members:
    """Rods, tie-downs, straps, posts, anchors, plates and sheathing that the electrical box cuts into."""
    if case.box is None:
        return Members((), False, (Missing("shape", case.name, "draw the electrical box"),))
    rows = boxed(ask.house, *HELD)
    near = (rows.low <= case.box.high).all(axis=1) & (rows.high >= case.box.low).all(axis=1)
    found = [part for part in (rows.parts[k] for k in np.flatnonzero(near))
             if part.box is not None and box_gap(case.box, part.box) < -NOISE]
    return Members(tuple(ask.part(part) for part in found), True)


@measure("length", of="any_electrical_box", item="part", example="40 mm into the end post")
def box_cut_depth(case: Part, part: Part, ask: Ask) -> Quantity:
    """How deep the electrical box reaches into the part, metres: the shallowest overlap of both boxes, 0 if clear."""
    if case.box is None or part.box is None:
        return unknown("length", Missing("shape", case.name, "draw the electrical box"), low=0.0)
    value = max(-box_gap(case.box, part.box), 0.0)
    rung = max(part.roles.values(), default=Rung.INFERRED)
    seen = Evidence(f"{case.name} into {part.name}", value, "length", rung, case.element.global_id)
    return exact(value, "length", seen, rung=rung)
