"""Measures of a vent's mouth: which way it points, what stands over it, the property line."""

from __future__ import annotations

from math import acos, inf, pi

import numpy as np

from modellint.contacts.polylines import direction_at, usable
from modellint.graph.pipe_nodes import Piece, VentOutlet
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.roles.part import Part, Rung
from modellint.roles.properties import Reading

# what can stand over a mouth, and how high above it is looked (common practice, no source)
OVER = (
    "roof",
    "other_wall",
    "shear_wall",
    "floor",
    "beam",
    "rafter",
    "truss",
    "joist",
    "duct",
    "vent_fitting",
)
LOOK = 3.0


@measure("angle", "vent_outlet", example="0° for a mouth that points up, 90° for one that points level")
def mouth_off_plumb(outlet: VentOutlet, ask: Ask) -> Quantity:
    """Angle between the way the gas leaves and straight up, by the pipe that ends at the mouth."""
    piece = _last_pipe(outlet, ask)
    point = outlet.end.point
    if piece is None or piece.line is None or point is None:
        lack = Missing("direction of the last pipe", outlet.name, "draw the last pipe")
        return Quantity("angle", 0.0, pi, missing=(lack,))
    ask.part(piece.part)
    last = np.linalg.norm(piece.line[-1] - point) <= np.linalg.norm(piece.line[0] - point)
    way = direction_at(piece.line, bool(last))
    if way is None:
        return Quantity("angle", 0.0, pi, missing=(Missing("direction", piece.part.name, "draw the pipe"),))
    angle = acos(float(np.clip(way[2], -1.0, 1.0)))
    return exact(
        angle,
        "angle",
        Evidence(
            f"direction of {piece.part.name} at the mouth",
            angle,
            "angle",
            outlet.rung,
            piece.part.element.global_id,
        ),
        rung=outlet.rung,
    )


def _last_pipe(outlet: VentOutlet, ask: Ask) -> Piece | None:
    """The pipe that ends at the mouth, through the terminal on it."""
    pieces = piping_of(ask.house).pieces
    own = pieces.get(outlet.end.part.key)
    if own is not None and own.kind == "pipe":
        return own
    network = piping_of(ask.house).network_of.get(outlet.end.part.key)
    for joint in network.joints if network is not None else ():
        ends = (joint.first.part.key, joint.second.part.key)
        if outlet.end.part.key in ends:
            other = pieces[ends[0] if ends[1] == outlet.end.part.key else ends[1]]
            if other.kind == "pipe" and other.line is not None:
                return other
    return None


@measure("length", "vent_outlet", example="100 mm under a board; more than 3 m in the open")
def clear_over_mouth(outlet: VentOutlet, ask: Ask) -> Quantity:
    """Height over the mouth up to the lowest part drawn straight above its circle, looked for up to 3 m.

    Roofs, walls, floors, beams, rafters, ducts and loose fittings count. Nothing drawn there reads "at least
    3 m", at rung inferred, as chimneys, aerials and trees are seldom drawn.
    """
    point = outlet.end.point
    if point is None or not usable(point):
        return unknown("length", Missing("place of the exit", outlet.name, "draw the last pipe"), low=0.0)
    reach = outlet.rim_radius or 0.0
    own = {part.key for part in outlet.run.parts} if outlet.run is not None else {outlet.end.part.key}
    found: list[tuple[float, str, Part]] = []
    for part in ask.house.with_role(*OVER):
        if part.box is None or part.key in own:
            continue
        low, high = part.box.low, part.box.high
        beside = low[0] > point[0] + reach or high[0] < point[0] - reach
        beside = beside or low[1] > point[1] + reach or high[1] < point[1] - reach
        if not beside and point[2] - 0.001 <= low[2] <= point[2] + LOOK:
            found.append((float(low[2] - point[2]), part.key, part))
    if not found:
        return between(
            LOOK,
            inf,
            "length",
            Evidence("nothing is drawn over the mouth", None, "", Rung.INFERRED),
            rung=min(outlet.rung, Rung.INFERRED),
        )
    gap, _, part = min(found, key=lambda row: row[:2])
    ask.part(part)
    rung = min(outlet.rung, max(part.roles.values(), default=Rung.GUESSED))
    return exact(
        max(gap, 0.0),
        "length",
        Evidence(f"{part.name} over the mouth", gap, "length", rung, part.element.global_id),
        rung=rung,
    )


@measure("truth", "vent_outlet", example="true where the last pipe carries a distance to the property line")
def property_line_given(outlet: VentOutlet, ask: Ask) -> Quantity:
    """Whether the model gives the exit's distance from the property line; it is never guessed."""
    return truth(bool(_line_rows(outlet, ask)))


@measure("length", "vent_outlet", example="1.8 m")
def distance_to_property_line(outlet: VentOutlet, ask: Ask) -> Quantity:
    """Distance from the exit to the property line, as a property of the exit or of the pipe below it says."""
    rows = _line_rows(outlet, ask)
    if not rows:
        hint = "state it as a property of the exit"
        return unknown("length", Missing("distance to the property line", outlet.name, hint), low=0.0)
    values = [float(row.value) for _, row in rows]
    seen = tuple(
        Evidence(row.where, float(row.value), "length", row.rung, part.element.global_id)
        for part, row in rows
    )
    rung = min(row.rung for _, row in rows)
    if max(values) - min(values) < 1e-6:
        return exact(values[0], "length", *seen, rung=rung)
    return between(
        min(values),
        max(values),
        "length",
        *seen,
        rung=rung,
        missing=(Missing("distance to the property line", outlet.name, "two properties disagree"),),
    )


def _line_rows(outlet: VentOutlet, ask: Ask) -> list[tuple[Part, Reading]]:
    facts = piping_of(ask.house).facts
    pipe = _last_pipe(outlet, ask)
    parts = [outlet.end.part, *([pipe.part] if pipe is not None and pipe.part is not outlet.end.part else [])]
    return [(part, row) for part in parts for row in facts.readings(part.element, "property_line_distance")]
