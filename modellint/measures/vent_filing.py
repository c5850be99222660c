"""Measures of how a soil-gas vent is filed: under its own system, or under a plumbing one."""

from __future__ import annotations

from modellint.graph.pipe_networks import GAS, PLUMBING
from modellint.graph.pipe_nodes import VentRun
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Quantity, exact
from modellint.roles.part import Rung

NAMED = 3


@measure("count", of="vent_run", example="4 pieces in the system 'Sanitary vent'")
def pieces_filed_as_plumbing(run: VentRun, ask: Ask) -> Quantity:
    """Pieces of the vent that the model files under a plumbing system; the text names the first few.

    A piece in no system counts as not filed; one in a soil-gas system and a plumbing one counts as filed under both.
    """
    found = []
    for part in run.parts:
        systems = [text for text in part.element.systems if PLUMBING.search(text) and not GAS.search(text)]
        if systems:
            ask.part(part)
            found.append((part, systems[0]))
    seen = [Evidence(f"{part.name} is in the system '{system}'", system, "", Rung.DECLARED, part.element.global_id)
            for part, system in found[:10]]
    text = ", ".join(f"{part.name} in '{system}'" for part, system in found[:NAMED])
    more = f" and {len(found) - NAMED} more" if len(found) > NAMED else ""
    return exact(float(len(found)), "count", *seen, text=f"{len(found)}: {text}{more}" if found else "0")
