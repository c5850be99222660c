"""Pipes through the slab and the membrane: which, and whether the gap round them is sealed."""

from __future__ import annotations

from modellint.graph.collection import pipes_through_sheet
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, truth, unknown
from modellint.roles.part import Part

SHEETS = ("foundation_slab", "membrane")


@named_set(SHEETS, gives="any_pipe")
def pipes_through_floor(sheet: Part, ask: Ask) -> Members:
    """Pipes and ducts that pass through a slab on the ground or the membrane under it.

    Complete when any pipe is drawn through it; else other trades' models may hold them.
    """
    found = pipes_through_sheet(ask.house, sheet, piping_of(ask.house).pieces)
    for part in found:
        ask.part(part)
    missing = (
        () if found else (Missing("pipes through it", sheet.name, "draw the pipes that pass through it"),)
    )
    return Members(found, bool(found), missing)


@measure("truth", SHEETS, item="any_pipe", example="false where the gap round the pipe is left open")
def gap_sealed(sheet: Part, pipe: Part, ask: Ask) -> Quantity:
    """Whether the model says that the gap round a pipe through the slab or membrane is sealed.

    Read from the pipe: a property about a seal at the slab, or at the membrane. Nothing said is not known.
    """
    quantity = "membrane_seal" if sheet.has("membrane") else "slab_seal"
    facts = piping_of(ask.house).facts
    rows = facts.readings(pipe.element, quantity)
    stated = facts.flag(pipe, quantity)
    if stated is None:
        what = "seals at the membrane" if quantity == "membrane_seal" else "seals at the slab"
        return unknown("truth", Missing(what, ask.house.name, "note for each pipe how the gap is closed"))
    return truth(
        stated, Evidence(rows[0].where, None, "", rows[0].rung, pipe.element.global_id), rung=rows[0].rung
    )
