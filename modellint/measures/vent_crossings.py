"""Crossings of rated walls and floors, party walls and garages by a vent, and whether they are closed."""

from __future__ import annotations

import re

import numpy as np

from modellint.contacts.boxes import point_gap
from modellint.contacts.polylines import usable
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.soil_gas import piping_of
from modellint.graph.vent_crossings import VentCrossing, fire_crossings_of, ratings_stated
from modellint.graph.vent_places import rooms_of
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, truth, unknown, word
from modellint.roles.part import Rung

_FIRESTOP = re.compile(r"\b(fire ?stop(ping)?|fire ?collar|fire ?seal|intumescent)\b", re.IGNORECASE)
# a firestop drawn this near to a crossing belongs to it, metres (common practice, no source)
NEAR = 0.15


@named_set("vent_run", gives="vent_crossing")
def fire_crossings(run: VentRun, ask: Ask) -> Members:
    """Where the vent passes through a fire-rated wall or floor, a party wall, or a garage's wall or ceiling.

    Complete where rooms are drawn or fire ratings are stated; else nobody can tell from the model.
    """
    found = fire_crossings_of(ask.house, run)
    for crossing in found:
        for part in crossing.parts:
            ask.part(part)
    told = bool(found) or ratings_stated(ask.house) or bool(rooms_of(ask.house))
    hint = "state the fire ratings of walls and floors, and draw the rooms with their use"
    return Members(found, told, () if told else (Missing("fire_rating", ask.house.name, hint),))


@measure("choice", "vent_crossing", example="fire rating 60")
def crossing_reason(crossing: VentCrossing, ask: Ask) -> Quantity:
    """Why the crossing has to be closed: a stated fire rating, a party wall, or a garage on one side."""
    seen = Evidence(
        f"{crossing.through.name}: {crossing.reason}",
        crossing.reason,
        "",
        crossing.rung,
        crossing.through.element.global_id,
    )
    return word(crossing.reason, seen, rung=crossing.rung, text=crossing.reason)


@measure("truth", "vent_crossing", example="false where the pipe's property set says no firestop")
def crossing_firestopped(crossing: VentCrossing, ask: Ask) -> Quantity:
    """Whether a firestop is stated on the pipe or on what it passes through, or drawn within 150 mm by its name."""
    facts = piping_of(ask.house).facts
    for part in crossing.parts:
        stated = facts.flag(part, "firestop")
        if stated is not None:
            row = facts.readings(part.element, "firestop")[0]
            return truth(stated, Evidence(row.where, None, "", row.rung, part.element.global_id), rung=row.rung)
    stops = [row for row in ask.house.model.elements.items() if _FIRESTOP.search(f"{row[1].name} {row[1].type_name}")]
    for key, element in sorted(stops, key=lambda row: row[0]):
        gaps = [
            point_gap(solid.box, np.asarray(crossing.point)) for solid in element.solids if usable(solid.box.corners)
        ]
        if gaps and min(gaps) <= NEAR:
            return truth(
                True, Evidence(f"{element.name} drawn at it", None, "", Rung.INFERRED, key), rung=Rung.INFERRED
            )
    hint = "name the firestop at the crossing, or draw it"
    return unknown("truth", Missing("firestop", f"{crossing.name} ({crossing.reason})", hint))
