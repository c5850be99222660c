"""Measures of a straight stretch of a vent: how far apart its supports stand."""

from __future__ import annotations

from itertools import pairwise

from modellint.graph.vent_stretches import VentStretch
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth
from modellint.roles.part import Rung


@measure("truth", "vent_stretch", example="true for a riser; false for an attic offset")
def stretch_upright(stretch: VentStretch, ask: Ask) -> Quantity:
    """Whether the stretch is nearer to plumb than to level."""
    return truth(
        stretch.upright,
        Evidence(
            "rise of the stretch",
            abs(float(stretch.line[1][2] - stretch.line[0][2])),
            "length",
            stretch.run.rung,
        ),
        rung=stretch.run.rung,
    )


@measure("length", "vent_stretch", example="1.2 m (4 ft)")
def support_gap(stretch: VentStretch, ask: Ask) -> Quantity:
    """Widest distance along the stretch from support to support, its two ends counted as held.

    Supports are known where at least two are drawn on the vent and one of them on this stretch, or on half
    of its stretches; else there may be more of them, and the distance is at most the one drawn.
    """
    stations = [0.0, *stretch.stations, stretch.length]
    widest = max(after - before for before, after in pairwise(stations))
    all_stretches = [one for one in ask.house.nodes.get("vent_stretch", ()) if one.run is stretch.run]
    drawn = sum(len(one.holders) for one in all_stretches)
    held = sum(bool(one.holders) for one in all_stretches)
    for part in stretch.holders:
        ask.part(part)
    rungs = [part.rung_as("pipe_support") for part in stretch.holders]
    rung = min([stretch.run.rung, *rungs])
    host = stretch.pieces[0].element.global_id
    seen = (
        Evidence(
            f"{len(stretch.holders)} supports drawn on {stretch.length:.2f} m", widest, "length", rung, host
        ),
    )
    known = drawn >= 2 and (bool(stretch.holders) or 2 * held >= len(all_stretches))
    if known:
        return exact(widest, "length", *seen, rung=min(rung, Rung.INFERRED) if not stretch.holders else rung)
    missing = Missing("pipe_support", stretch.run.name, "draw the supports, or put them on the site list")
    return between(0.0, widest, "length", *seen, rung=rung, missing=(missing,))
