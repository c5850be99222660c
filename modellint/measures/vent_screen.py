"""The screen in a vent's mouth: what the model says of its mesh."""

from __future__ import annotations

from modellint.graph.pipe_nodes import VentOutlet
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.roles.part import Part
from modellint.roles.properties import Reading


def _rows(outlet: VentOutlet, ask: Ask) -> list[tuple[Part, Reading]]:
    """Mesh as stated on the piece at the mouth, or on the one below it."""
    facts, own = piping_of(ask.house).facts, outlet.end.part
    parts = [own]
    for joint in outlet.run.network.joints if outlet.run is not None else ():
        keys = [end.part for end in (joint.first, joint.second)]
        if own in keys:
            parts += [part for part in keys if part is not own]
    return [(part, row) for part in parts for row in facts.readings(part.element, "screen_mesh")]


@measure("truth", "vent_outlet", example="true where the terminal's property set gives a mesh")
def screen_stated(outlet: VentOutlet, ask: Ask) -> Quantity:
    """Whether the model says that the mouth has a screen, with its mesh."""
    rows = _rows(outlet, ask)
    return truth(bool(rows), *(Evidence(row.where, None, "", row.rung, part.element.global_id) for part, row in rows))


@measure("truth", "vent_outlet", example="true under the British Columbia rule set")
def screen_asked(outlet: VentOutlet, ask: Ask) -> Quantity:
    """Whether a screen is asked for (general setting `exit_screen`)."""
    return truth(ask.house.settings.get("exit_screen", "not asked") == "asked")


@measure("length", "vent_outlet", example="12 mm")
def screen_mesh(outlet: VentOutlet, ask: Ask) -> Quantity:
    """Mesh opening of the screen in the mouth, as a property of the last pieces says."""
    rows = _rows(outlet, ask)
    if not rows:
        hint = "state the screen's mesh as a property of the terminal"
        return unknown("length", Missing("screen of the exit", outlet.name, hint), low=0.0)
    values = [float(row.value) for _, row in rows]
    seen = tuple(
        Evidence(row.where, float(row.value), "length", row.rung, part.element.global_id) for part, row in rows
    )
    rung = min(row.rung for _, row in rows)
    if max(values) - min(values) < 1e-6:
        return exact(values[0], "length", *seen, rung=rung)
    lack = Missing("screen of the exit", outlet.name, "two properties disagree")
    return between(min(values), max(values), "length", *seen, rung=rung, missing=(lack,))
