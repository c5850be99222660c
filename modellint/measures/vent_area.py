"""Area of slab that one vent draws from: its own pockets where a house has several vents."""

from __future__ import annotations

from typing import TYPE_CHECKING

from modellint.contacts.surfaces import plan_of
from modellint.graph.pipe_nodes import GravelPocket, VentRun
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import FALSE, TRUE, Evidence, Missing, Quantity, between, exact, unknown
from modellint.roles.part import Part

if TYPE_CHECKING:
    from shapely import Geometry


@measure("area", "vent_run", example="62 m2 of a slab of 100 m2 that a footing parts and two vents serve")
def area_served(run: VentRun, ask: Ask) -> Quantity:
    """Area in plan of the slabs under living space that this vent draws from.

    With one vent in the building it is the whole area. With several, each has the pockets of gravel that its
    suction points lie in; vents in one pocket share it evenly. Where no gravel is drawn all share alike.
    """
    slabs = [part for part in ask.house.with_role("foundation_slab") if part.box is not None]
    if not slabs:
        return unknown("area", Missing("foundation_slab", run.name, "draw the slab"), low=0.0)
    runs = ask.house.nodes.get("vent_run", ())
    areas = [_share(run, plan_of(ask.part(slab).solids), len(runs), ask) for slab in slabs]
    lived = [ask.measure("slab_under_living_space", slab).words for slab in slabs]
    most = sum(area for area, words in zip(areas, lived, strict=True) if words != FALSE)
    least = sum(area for area, words in zip(areas, lived, strict=True) if words == TRUE)
    rung = min([run.rung, *(slab.rung_as("foundation_slab") for slab in slabs)])
    of = "" if len(runs) == 1 else f", one of {len(runs)} vents"
    seen = (Evidence(f"area of slab that {run.name} draws from{of}", most, "area", rung, _first(slabs)),)
    if least == most:
        return exact(most, "area", *seen, rung=rung)
    what = Missing("space", run.name, "say which slabs lie under living space")
    return between(least, most, "area", *seen, rung=rung, missing=(what,))


def _first(slabs: list[Part]) -> str:
    return slabs[0].element.global_id


def _share(run: VentRun, slab: Geometry, runs: int, ask: Ask) -> float:
    """What of one slab falls to a vent, square metres."""
    pockets = [pocket for pocket in ask.house.nodes.get("gravel_pocket", ()) if pocket.plan.intersects(slab)]
    if runs == 1 or not pockets:
        return float(slab.area) / runs
    area = 0.0
    for pocket in pockets:
        served = _runs_in(pocket, ask)
        if run.key in served:
            area += float(pocket.plan.intersection(slab).area) / len(served)
    return area


def _runs_in(pocket: GravelPocket, ask: Ask) -> set[str]:
    run_of = piping_of(ask.house).run_of
    return {run_of[key].key for key in pocket.served_by if key in run_of}
