"""The warm and the cold side: how much of a vent lies in a cold place, and whether it is insulated there."""

from __future__ import annotations

import itertools

import numpy as np

from modellint.contacts.polylines import usable
from modellint.graph.pipe_nodes import Piece, VentRun
from modellint.graph.soil_gas import piping_of
from modellint.graph.vent_places import Places, places_of
from modellint.ifc.solid import Array
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, between, exact, truth, unknown
from modellint.roles.part import Part, Rung

# pipes are looked at every 50 mm of length; outdoors right over the roof counts up to this length as the exit
# itself, metres (judgement, no source)
STEP, EXIT = 0.05, 1.0
MOST_STEPS = 400  # along one straight: 20 m; in a house drawn a thousand times too large they are longer
COLD = ("outdoors", "garage", "crawl space")


def _pipes(run: VentRun) -> list[Piece]:
    return [
        piece
        for key, piece in sorted(run.network.pieces.items())
        if piece.kind == "pipe"
        and piece.line is not None
        and usable(piece.line)
        and run.network.colour_of.get(key) != "plumbing"
        and not piece.part.has("collector")
    ]


def _lengths(line: Array, places: Places) -> dict[str, float]:
    """Kind of place to metres of a line in it."""
    found: dict[str, float] = {}
    for a, b in itertools.pairwise(line):
        length = float(np.linalg.norm(b - a))
        count = min(max(round(length / STEP), 1), MOST_STEPS)
        for share in (np.arange(count) + 0.5) / count:
            kind = places.kind(a + share * (b - a))
            found[kind] = found.get(kind, 0.0) + length / count
    return found


@measure("length", "vent_run", example="2.6 m of riser in a garage")
def length_in_cold_place(run: VentRun, ask: Ask) -> Quantity:
    """Length of the vent below the attic that lies outdoors, in a garage or in a crawl space.

    What stands in outer walls is not told from what stands beside them. Without rooms drawn only outdoors is
    known, so it is a lower bound.
    """
    places = places_of(ask.house, run)
    pipes = _pipes(run)
    if not pipes:
        return unknown("length", Missing("shape", run.name, "draw the vent's pipes"), low=0.0)
    rows = []
    for piece in pipes:
        ask.part(piece.part)
        lengths = _lengths(_below(piece, places), places)
        rows += [(kind, piece.part, length) for kind, length in sorted(lengths.items()) if kind in COLD]
    total = sum(length for _, _, length in rows)
    rung = min(run.rung, Rung.INFERRED)
    seen = tuple(
        Evidence(f"{part.name}, {kind}", length, "length", rung, part.element.global_id) for kind, part, length in rows
    )
    if places.rooms:
        return exact(total, "length", *seen, rung=rung)
    all_of_it = sum(sum(_lengths(_below(piece, places), places).values()) for piece in pipes)
    lack = Missing("space", ask.house.name, "draw the rooms with their use, so that garages are known")
    return between(total, max(all_of_it, total), "length", *seen, rung=rung, missing=(lack,))


def _below(piece: Piece, places: Places) -> Array:
    """The pipe's line up to the attic's floor, or to the roof where no attic is named."""
    assert piece.line is not None
    line = piece.line if piece.line[0][2] <= piece.line[-1][2] else piece.line[::-1]
    limit = places.attic
    if limit is None and places.roof is not None and places.roof.drawn:
        limit = float(places.roof.triangles[:, :, 2].min())
    if limit is None or line[-1][2] <= limit:
        return line
    if line[0][2] >= limit:
        return line[:1]
    kept = [line[0]]
    for a, b in itertools.pairwise(line):
        if b[2] <= limit:
            kept.append(b)
            continue
        kept.append(a + (b - a) * (limit - a[2]) / (b[2] - a[2]))
        break
    return np.array(kept)


@named_set("vent_run", gives="vent_pipe")
def cold_pipes(run: VentRun, ask: Ask) -> Members:
    """Pipes of the vent with more than 150 mm in an attic, garage or crawl space, or over 1 m outdoors.

    An attic counts as cold unless a property of the pipe or the name of its room says otherwise.
    """
    places = places_of(ask.house, run)
    found: list[Part] = []
    for piece in _pipes(run):
        assert piece.line is not None
        lengths = _lengths(piece.line, places)
        inside = sum(lengths.get(kind, 0.0) for kind in ("attic", "garage", "crawl space"))
        if inside > 0.15 or lengths.get("outdoors", 0.0) > EXIT:
            found.append(ask.part(piece.part))
    return Members(tuple(found))


@measure("truth", "vent_pipe", example="false where the pipe's property set says it is not insulated")
def pipe_insulated(pipe: Part, ask: Ask) -> Quantity:
    """Whether the model says that the pipe is insulated; silence is not known.

    Read from a truth ("Insulated"), else from an insulation thickness above zero.
    """
    facts = piping_of(ask.house).facts
    stated = facts.flag(pipe, "insulated")
    rows = facts.readings(pipe.element, "insulated")
    if stated is not None:
        return truth(stated, Evidence(rows[0].where, None, "", rows[0].rung, pipe.element.global_id), rung=rows[0].rung)
    thick = facts.number(pipe, "insulation_thickness")
    if thick is not None:
        row = facts.readings(pipe.element, "insulation_thickness")[0]
        return truth(
            thick[0] > 0.0, Evidence(row.where, thick[0], "length", row.rung, pipe.element.global_id), rung=row.rung
        )
    hint = "say whether the vent's pipes in the attic are insulated, and how"
    return unknown("truth", Missing("insulation of cold pipe", ask.house.name, hint))
