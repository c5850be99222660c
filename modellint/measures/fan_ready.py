"""Power and labels for a later fan."""

from __future__ import annotations

import numpy as np

from modellint.contacts.boxes import line_gap
from modellint.contacts.polylines import usable
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.soil_gas import piping_of
from modellint.ifc.solid import Array
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Part, Rung


@measure("length", "vent_run", example="0.5 m from the attic pipe to the nearest outlet")
def power_distance(run: VentRun, ask: Ask) -> Quantity:
    """Distance from the vent to the nearest power outlet where a fan could stand.

    A fan could stand in the attic: where the vent passes one, only its pipes there count; else all its pipes
    above the gravel.
    """
    outlets = [
        part
        for part in ask.house.with_role("power_outlet")
        if part.box is not None and usable(part.box.corners)
    ]
    lines = _fan_lines(run, ask)
    if not outlets:
        hint = "draw the outlet or junction box for the fan"
        return unknown("length", Missing("power_outlet", run.name, hint), low=0.0)
    if not lines:
        return unknown("length", Missing("shape", run.name, "draw the vent's pipes"), low=0.0)
    rows = [
        (line_gap(part.box, line), part.key, part)
        for part in outlets
        for line in lines
        if part.box is not None
    ]
    gap, _, part = min(rows, key=lambda row: row[:2])
    rung = min(run.rung, ask.part(part).rung_as("power_outlet"))
    return exact(
        gap,
        "length",
        Evidence(f"{part.name} to the vent", gap, "length", rung, part.element.global_id),
        rung=rung,
    )


def _fan_lines(run: VentRun, ask: Ask) -> list[Array]:
    attics = [node for node in ask.house.nodes.get("vent_storey", ()) if node.run is run and node.attic]
    keys = {part.key for node in attics for part in node.pieces} or {part.key for part in run.parts}
    floor = min((node.low for node in attics), default=-np.inf)
    found = []
    for key in sorted(keys):
        piece = piping_of(ask.house).pieces.get(key)
        if piece is None or piece.line is None or not piece.part.has("vent_pipe") or not usable(piece.line):
            continue
        line = piece.line
        if np.isfinite(floor) and line[0][2] < floor < line[-1][2]:
            share = (floor - line[0][2]) / (line[-1][2] - line[0][2])
            line = np.vstack([line[0] + share * (line[-1] - line[0]), line[-1]])
        found.append(line)
    return found


@measure("truth", "label", example="true for 'Radon Reduction System', whatever its case")
def label_says_it(label: Part, ask: Ask) -> Quantity:
    """Whether the words on a vent's label hold the wording asked for (general setting `label_wording`).

    Read from a property with the label's text; without one, the wording within its name counts as said.
    """
    wanted = " ".join(str(ask.house.settings.get("label_wording", "Radon Reduction System")).lower().split())
    rows = piping_of(ask.house).facts.readings(label.element, "label_text")
    element = label.element
    for row in rows:
        said = " ".join(str(row.value).lower().split())
        return truth(
            wanted in said,
            Evidence(row.where, str(row.value), "", row.rung, element.global_id),
            rung=row.rung,
        )
    if wanted in " ".join(f"{element.name} {element.type_name}".lower().split()):
        return truth(
            True,
            Evidence(f"name {label.name}", None, "", Rung.INFERRED, element.global_id),
            rung=Rung.INFERRED,
        )
    return unknown(
        "truth", Missing("label_text", f"{label.name} ({element.global_id})", "give the label's words")
    )


@measure("truth", "label", example="false for a label on a drain")
def label_on_vent(label: Part, ask: Ask) -> Quantity:
    """Whether the label stands on a soil-gas vent, within the reach of its pipes."""
    on = [node for node in ask.house.nodes.get("vent_storey", ()) if label in node.labels]
    rung = min([label.rung_as("label"), *(node.run.rung for node in on)])
    return truth(
        bool(on),
        Evidence(f"on {on[0].name}" if on else "on no vent", None, "", rung, label.element.global_id),
        rung=rung,
    )
