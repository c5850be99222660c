"""Labels along a vent's pipe, where a code wants them at a distance and at each turn."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from modellint.contacts.boxes import line_gap
from modellint.contacts.polylines import usable
from modellint.graph.soil_gas import piping_of
from modellint.graph.vent_stretches import VentStretch
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth
from modellint.roles.part import Part, Rung

# two stretches whose ends come this near meet in one turn; a label this near to a turn is at it, metres
# (common practice, no source)
MEET, AT_TURN = 0.40, 0.60


@measure("truth", "vent_stretch", example="true under the British Columbia rule set")
def labels_along_pipe(stretch: VentStretch, ask: Ask) -> Quantity:
    """Whether labels are asked for along the pipe and at its turns (general setting `labels_along`)."""
    return truth(ask.house.settings.get("labels_along", "storey") == "pipe")


def _labels(stretch: VentStretch, ask: Ask) -> list[tuple[float, Part]]:
    """Labels on the stretch with their distance from its first end, metres."""
    reach = piping_of(ask.house).limits.label_reach
    start, length = stretch.line[0], stretch.length
    along = (stretch.line[-1] - start) / max(length, 1e-9)
    found = []
    for part in ask.house.with_role("label"):
        if part.box is not None and usable(part.box.corners) and line_gap(part.box, stretch.line) <= reach:
            found.append((float(np.clip((part.box.centre - start) @ along, 0.0, length)), part))
    return sorted(found, key=lambda row: (row[0], row[1].key))


def _known(stretch: VentStretch, ask: Ask) -> bool:
    """Labels are drawn as a matter of course where at least two stand on the vent."""
    nodes = [node for node in ask.house.nodes.get("vent_storey", ()) if node.run is stretch.run]
    return sum(len(node.labels) for node in nodes) >= 2


@measure("length", "vent_stretch", example="1.8 m (6 ft)")
def label_gap(stretch: VentStretch, ask: Ask) -> Quantity:
    """Widest distance along the stretch without a label, its two ends counted as labelled.

    Known where at least two labels are drawn on the vent; else there may be more of them.
    """
    rows = _labels(stretch, ask)
    widest = max(b - a for a, b in pairwise([0.0, *(at for at, _ in rows), stretch.length]))
    for _, part in rows:
        ask.part(part)
    rung = min([stretch.run.rung, *(part.rung_as("label") for _, part in rows)])
    host = stretch.pieces[0].element.global_id
    seen = Evidence(f"{len(rows)} labels drawn on {stretch.length:.2f} m", widest, "length", rung, host)
    if _known(stretch, ask):
        return exact(widest, "length", seen, rung=min(rung, Rung.INFERRED))
    lack = Missing("label", stretch.run.name, "draw the labels, or put them on the site list")
    return between(0.0, widest, "length", seen, rung=rung, missing=(lack,))


@measure("count", "vent_stretch", example="1 for an offset with a label at one of its two bends")
def turns_without_label(stretch: VentStretch, ask: Ask) -> Quantity:
    """Ends of the stretch at which the vent turns and no label stands within 600 mm."""
    others = [one for one in ask.house.nodes.get("vent_stretch", ()) if one.run is stretch.run and one is not stretch]
    labels = [part for part in ask.house.with_role("label") if part.box is not None and usable(part.box.corners)]
    bare = 0
    for end in (stretch.line[0], stretch.line[-1]):
        turns = any(float(np.linalg.norm(end - other)) <= MEET for one in others for other in one.line[[0, -1]])
        near = any(float(np.linalg.norm(part.box.centre - end)) <= AT_TURN for part in labels if part.box is not None)
        bare += turns and not near
    rung = min(stretch.run.rung, Rung.INFERRED)
    seen = Evidence(
        "turns at its ends without a label", float(bare), "count", rung, stretch.pieces[0].element.global_id
    )
    if _known(stretch, ask) or not bare:
        return exact(float(bare), "count", seen, rung=rung)
    lack = Missing("label", stretch.run.name, "draw the labels, or put them on the site list")
    return between(0.0, float(bare), "count", seen, rung=rung, missing=(lack,))
