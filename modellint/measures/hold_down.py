"""Measures of tie-downs."""

from __future__ import annotations

from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, truth, unknown
from modellint.roles.part import Part


@measure("truth", of="hold_down", example="false for a tie in the middle of a wall")
def caught_by_wall_end(tie: Part, ask: Ask) -> Quantity:
    """Whether a shear-wall end catches the tie in its column of space."""
    if tie.box is None:
        return unknown("truth", Missing("shape", tie.name, "draw the tie-down"))
    for end in ask.house.subjects("wall_end"):
        if tie in end.base_ties or tie in end.top_ties:
            return truth(True, Evidence(f"belongs to {end.name}"))
    if _on_transfer(tie, ask):
        return truth(True, Evidence("ties a transfer beam"))
    return truth(False, Evidence("no shear-wall end within reach"))


def _on_transfer(tie: Part, ask: Ask) -> bool:
    return any(tie in step.pieces for end in ask.house.subjects("wall_end") for step in end.steps)
