"""Measures of the pockets into which foundations cut the permeable layer."""

from __future__ import annotations

from modellint.graph.pipe_nodes import GravelPocket
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Rung


@measure("truth", "gravel_pocket", example="false for the 38 m2 beyond a thickened footing without a pipe")
def pocket_served(pocket: GravelPocket, ask: Ask) -> Quantity:
    """Whether a suction point or perforated pipe lies in the pocket, or a pipe with an open end in it
    joins one.

    Without any suction drawn in the building it is not known; an unserved pocket counts as such only where
    the
    vent is drawn with its fittings.
    """
    pieces = piping_of(ask.house).pieces
    runs = ask.house.nodes.get("vent_run", ())
    if pocket.served_by:
        parts = [ask.part(pieces[key].part) for key in pocket.served_by]
        seen = tuple(
            Evidence(f"{part.name} opens into it", None, "", Rung.DECLARED, part.element.global_id)
            for part in parts
        )
        return truth(True, *seen, rung=min(pocket.rung, *(_rung(part.roles) for part in parts)))
    area = Evidence(
        "area of the pocket", pocket.plan.area, "area", pocket.rung, pocket.layer.element.global_id
    )
    whole = [run for run in runs if run.network.complete and run.suction]
    if not whole:
        missing = Missing("collector", pocket.name, "draw the collector and its pipes")
        return unknown("truth", missing, evidence=(area,))
    return truth(False, area, rung=min(Rung.INFERRED, pocket.rung))


def _rung(roles: dict[str, Rung]) -> Rung:
    return max(roles.values(), default=Rung.GUESSED)


@measure("area", "gravel_pocket", example="38 m2")
def pocket_area(pocket: GravelPocket, ask: Ask) -> Quantity:
    """Plan area of the pocket."""
    return exact(
        pocket.plan.area,
        "area",
        Evidence(
            "layer less foundations", pocket.plan.area, "area", pocket.rung, pocket.layer.element.global_id
        ),
        rung=pocket.rung,
    )
