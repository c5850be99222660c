"""Measures of where the engineer puts a tie: the place that was reckoned with, and how far the tie is off it."""

from __future__ import annotations

from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.measures.schedule_rows import end_rows
from modellint.roles.part import Rung


def _asked(end: WallEnd, ask: Ask) -> Evidence | None:
    row = next((row for row in end_rows(ask, end) if row.get("inset") is not None), None)
    if row is None:
        return None
    return Evidence(f"wall-end schedule, line {row.line}: inset of the tie", float(row.get("inset")), "length",
                    Rung.SCHEDULED)


@measure("truth", of="wall_end", example="true where the wall-end schedule gives an inset of 415 mm")
def tie_place_is_given(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the wall-end schedule says how far from the end the engineer reckons with the tie."""
    asked = _asked(end, ask)
    return truth(asked is not None, *([asked] if asked else []), rung=Rung.SCHEDULED if asked else Rung.DECLARED)


@measure("length", of="wall_end", example="8 mm for a tie at 415 mm where 423 mm was reckoned with")
def tie_off_its_place(end: WallEnd, ask: Ask) -> Quantity:
    """Distance along the wall between the tie and the place that the wall-end schedule gives it, metres."""
    asked, stands = _asked(end, ask), ask.measure("tie_distance_from_end", end)
    if asked is None or not stands.known:
        return unknown("length", *(stands.missing or (Missing("inset", end.name, "give it in the wall-end schedule"),)),
                       low=0.0)
    value = abs(stands.low - float(asked.value or 0.0))
    return exact(value, "length", asked, *stands.evidence, rung=stands.rung)
