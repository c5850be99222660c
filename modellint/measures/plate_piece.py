"""Measures of a piece of sill plate: its bolts, their spacing and end distances."""

from __future__ import annotations

import numpy as np

from modellint.graph.wall_nodes import PlatePiece
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, truth, unknown, word
from modellint.roles.part import Part, Rung
from modellint.roles.shapes import radius_of


def bolts_are_drawn(ask: Ask, without: PlatePiece) -> bool:
    """Whether anchor bolts are drawn as a matter of course: at two other pieces or more, at half of them."""
    others = [piece for piece in ask.house.subjects("plate_piece") if piece.key != without.key]
    held = sum(bool(piece.bolts) for piece in others)
    least = ask.house.limit("complete_at_least", 2.0)
    return held >= least and held >= ask.house.limit("complete_share", 0.5) * len(others)


def _lack(piece: PlatePiece) -> Missing:
    return Missing("anchor_bolt", "the building", "draw the sill anchor bolts")


@measure("length", of="plate_piece", example="3.66 m")
def plate_length(piece: PlatePiece, ask: Ask) -> Quantity:
    """Length of the piece, metres."""
    return exact(piece.length, "length", Evidence(f"length of {piece.plate.name}", piece.length, "length",
                                                  Rung.INFERRED if piece.assumed else Rung.DECLARED,
                                                  piece.plate.element.global_id))


@measure("truth", of="plate_piece", example="true under a shear wall")
def plate_under_shear_wall(piece: PlatePiece, ask: Ask) -> Quantity:
    """Whether the piece lies under a shear wall."""
    shear = piece.line is not None and piece.line.shear is not None
    return truth(
        shear,
        rung=piece.line.shear if shear and piece.line and piece.line.shear is not None else Rung.DECLARED,
    )


@measure("truth", of="plate_piece", example="true under an outer wall")
def plate_needs_bolts(piece: PlatePiece, ask: Ask) -> Quantity:
    """Whether the code asks for anchor bolts here: under shear walls and outer walls (IRC 2018 R403.1.6).

    A plate of another wall that has bolts all the same is judged, too.
    """
    if piece.line is None or piece.line.shear is not None or piece.bolts:
        return (
            ask.measure("plate_under_shear_wall", piece)
            if piece.line is not None and piece.line.shear is not None
            else truth(bool(piece.bolts))
        )
    stated = ask.house.stated(piece.line.walls[0], "exterior")
    outer = stated is not None and bool(stated.value)
    return truth(outer, *([Evidence(stated.where, rung=stated.rung)] if stated is not None else []))


@named_set(of="plate_piece", gives="anchor_bolt")
def sill_bolts(piece: PlatePiece, ask: Ask) -> Members:
    """Anchor bolts through the piece, from its start."""
    for bolt, _ in piece.bolts:
        ask.part(bolt)
    complete = bool(piece.bolts) or bolts_are_drawn(ask, piece)
    return Members(tuple(bolt for bolt, _ in piece.bolts), complete, () if complete else (_lack(piece),))


def _places(piece: PlatePiece, ask: Ask) -> list[float]:
    for bolt, _ in piece.bolts:
        ask.part(bolt)
    return [along for _, along in piece.bolts]


@measure("length", of="plate_piece", example="1.22 m between two bolts")
def widest_bolt_spacing(piece: PlatePiece, ask: Ask) -> Quantity:
    """Largest distance between neighbouring bolts, metres; 0 with fewer than two."""
    places = _places(piece, ask)
    if not places and not bolts_are_drawn(ask, piece):
        return unknown("length", _lack(piece), low=0.0)
    widest = float(np.diff(places).max()) if len(places) > 1 else 0.0
    return exact(widest, "length", Evidence("bolts at " + ", ".join(f"{1000 * place:.0f}" for place in places)
                                            + " mm from the piece's start", widest, "length"))


@measure("length", of="plate_piece", example="200 mm from the last bolt to the plate's end")
def largest_bolt_end_distance(piece: PlatePiece, ask: Ask) -> Quantity:
    """Distance from a plate end to its nearest bolt, the larger of both ends, metres."""
    places = _places(piece, ask)
    if not places:
        return unknown("length", _lack(piece), low=0.0)
    value = max(places[0], piece.length - places[-1])
    return exact(
        value,
        "length",
        Evidence(
            f"first bolt {1000 * places[0]:.0f} mm, last bolt "
            f"{1000 * (piece.length - places[-1]):.0f} mm from the ends",
            value,
            "length",
        ),
    )


@measure("choice", of="plate_piece", words=("north", "north-east", "east", "south-east", "south", "south-west", "west",
                                             "north-west", "start", "end"), example="east")
def end_furthest_from_a_bolt(piece: PlatePiece, ask: Ask) -> Quantity:
    """Which end of the piece is the further from its nearest bolt: by compass, else the wall's start or end."""
    places = _places(piece, ask)
    words = piece.line.compass if piece.line is not None else ("start", "end")
    if not places:
        return unknown("choice", _lack(piece), words=frozenset(words))
    return word(words[0] if places[0] >= piece.length - places[-1] else words[1])


@measure("ratio", of="plate_piece", example="7.9 for a 12.7 mm bolt 100 mm from the end")
def smallest_bolt_end_distance_in_diameters(piece: PlatePiece, ask: Ask) -> Quantity:
    """Smallest distance of a bolt from a plate end, in bolt diameters."""
    rows = []
    for bolt, along in piece.bolts:
        ask.part(bolt)
        diameter = _diameter(bolt, ask)
        if not diameter:
            return unknown(
                "ratio", Missing("bolt diameter", bolt.name, "draw the bolt or give its diameter"), low=0.0
            )
        rows.append(min(along, piece.length - along) / diameter)
    if not rows:
        return unknown("ratio", _lack(piece), low=0.0)
    return exact(min(rows), "ratio", Evidence("smallest end distance in bolt diameters", min(rows), "ratio"))


def _diameter(bolt: Part, ask: Ask) -> float | None:
    stated = ask.house.stated(bolt, "rod_diameter")
    if stated is not None:
        return float(stated.value)
    radius = radius_of(bolt)
    return 2 * radius if radius else None
