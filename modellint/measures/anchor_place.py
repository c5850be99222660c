"""Measures of where a rod or bolt stands: in its plate, in its concrete, and what pipes lie beside it there."""

from __future__ import annotations

from math import cos, pi, sin
from weakref import WeakKeyDictionary

import numpy as np

from modellint.contacts.boxes import line_line_gap
from modellint.graph.boxed import boxed
from modellint.graph.foundation import embedment, foundations, reach_inside, reaches_inside
from modellint.graph.house import House
from modellint.graph.wall_nodes import PlatePiece
from modellint.ifc.solid import Array
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Part, Rung
from modellint.roles.shapes import radius_of

ANCHORS = ("rod", "anchor_bolt")
# edges and soil further away than this are not looked for, metres
FAR = 1.0
# pipes nearer than this in plan are looked at beside an anchor, metres; the cone of influence of common
# embedments lies within it (common practice, no source)
BESIDE = 1.5
_PIECES: WeakKeyDictionary[House, dict[str, PlatePiece]] = WeakKeyDictionary()


def piece_of(bolt: Part, ask: Ask) -> PlatePiece | None:
    """The piece of plate that the bolt goes through."""
    if ask.house not in _PIECES:
        _PIECES[ask.house] = {
            row.key: piece for piece in ask.house.subjects("plate_piece") for row, _ in piece.bolts
        }
    return _PIECES[ask.house].get(bolt.key)


@measure("truth", of="anchor_bolt", example="false for an anchor in a pad without a plate")
def bolt_in_plate(bolt: Part, ask: Ask) -> Quantity:
    """Whether the bolt goes through a sill or sole plate, drawn or assumed under its wall."""
    return truth(piece_of(bolt, ask) is not None)


@measure("ratio", of="anchor_bolt", example="0.14 for a bolt 20 mm off the middle of a 140 mm plate")
def plate_offset_share(bolt: Part, ask: Ask) -> Quantity:
    """Distance of the bolt from the middle of its plate's width, as a share of that width.

    1/6 is the border of the middle third, 1/2 the edge of the plate.
    """
    piece = piece_of(bolt, ask)
    if piece is None or piece.assumed or bolt.box is None:
        return unknown(
            "ratio", Missing("sill_plate", "the building", "draw the sill plates of the walls"), low=0.0
        )
    ask.part(piece.plate)
    plate = piece.plate.box
    assert plate is not None
    normal = np.array([-piece.direction[1], piece.direction[0]])
    off = abs(float((bolt.box.centre[:2] - plate.centre[:2]) @ normal))
    return exact(
        off / piece.width,
        "ratio",
        Evidence(
            f"{bolt.name} off the middle of a plate {1000 * piece.width:.0f} mm wide",
            off,
            "length",
            Rung.DECLARED,
            bolt.element.global_id,
        ),
    )


def _lowest(rod: Part) -> Array | None:
    if rod.axis is None:
        return None
    low: Array = rod.axis[int(np.argmin(rod.axis[:, 2]))]
    return low


def _undrawn(rod: Part, ask: Ask) -> Quantity:
    lacks = ("shape", rod.name, "draw the rod") if rod.axis is None else (
        "foundation", "the building", "draw the footings and stem walls")
    return unknown("length", Missing(*lacks), low=0.0)


@measure("length", of=ANCHORS, example="84 mm between a 16 mm rod and the face of a 200 mm stem wall")
def concrete_beside(rod: Part, ask: Ask) -> Quantity:
    """Concrete between the rod's surface and the nearest side of what it stands in, metres; at most 1 m.

    Looked for in eight directions at three depths of the embedded length; parts poured against each other
    count as one.
    """
    ground, foot = foundations(ask.house), _lowest(rod)
    if foot is None or not ground or rod.axis is None:
        return _undrawn(rod, ask)
    deep, holder = embedment(ground, rod.axis)
    if holder is None:
        return unknown("length", Missing("embedment", rod.name, "draw the rod into its concrete"), low=0.0)
    ask.part(holder)
    near = tuple(row for row in ground if row.box is not None
                 and (row.box.low[:2] <= foot[:2] + FAR).all() and (row.box.high[:2] >= foot[:2] - FAR).all())
    ways = [np.array([cos(k * pi / 4), sin(k * pi / 4), 0.0]) for k in range(8)]
    levels = [foot + np.array([0.0, 0.0, share * deep]) for share in (0.05, 0.5, 0.95)]
    side = min(reaches_inside(near, np.repeat(levels, len(ways), axis=0), np.tile(ways, (len(levels), 1)), FAR))
    value = max(side - (radius_of(rod) or 0.0), 0.0)
    return exact(
        value,
        "length",
        Evidence(f"{rod.name} to the side of {holder.name}", value, "length", Rung.DECLARED, holder.element.global_id),
    )


@measure("length", of=ANCHORS, example="75 mm between the rod's foot and the soil")
def concrete_below(rod: Part, ask: Ask) -> Quantity:
    """Concrete between the lower end of the rod and the underside of what it stands in, metres; at most 1 m."""
    ground, foot = foundations(ask.house), _lowest(rod)
    if foot is None or not ground or rod.axis is None:
        return _undrawn(rod, ask)
    _, holder = embedment(ground, rod.axis)
    if holder is None:
        return unknown("length", Missing("embedment", rod.name, "draw the rod into its concrete"), low=0.0)
    ask.part(holder)
    value = reach_inside(ground, foot, np.array([0.0, 0.0, -1.0]), FAR)
    return exact(
        value,
        "length",
        Evidence(f"concrete below {rod.name}", value, "length", Rung.DECLARED, holder.element.global_id),
    )


@named_set(of=ANCHORS, gives="any_pipe")
def pipes_beside_anchor(rod: Part, ask: Ask) -> Members:
    """Pipes that pass within 1.5 m of the rod at or above its foot and below the top of its concrete."""
    ground, foot = foundations(ask.house), _lowest(rod)
    if foot is None or rod.axis is None or not ground:
        return Members((), False, (Missing("foundation", "the building", "draw the footings"),))
    deep, _ = embedment(ground, rod.axis)
    found = []
    for pipe in boxed(ask.house, "any_pipe").over(float(foot[0]), float(foot[1]), BESIDE):
        radius = radius_of(pipe) or 0.0
        if pipe.axis is None or pipe.box is None or float(pipe.box.low[2]) > foot[2] + deep \
                or float(pipe.box.high[2]) < foot[2] - radius:
            continue
        if embedment(ground, pipe.axis)[1] is not None:
            found.append(ask.part(pipe))
    return Members(tuple(found), True)


def _shank(rod: Part, ask: Ask) -> Array | None:
    """The rod's axis within the concrete, (2, 3)."""
    foot = _lowest(rod)
    if foot is None or rod.axis is None:
        return None
    deep, holder = embedment(foundations(ask.house), rod.axis)
    return None if holder is None else np.array([foot, foot + np.array([0.0, 0.0, deep])])


@measure("length", of=ANCHORS, item="any_pipe", example="55 mm of concrete between a drain and an anchor rod")
def concrete_to_pipe(rod: Part, pipe: Part, ask: Ask) -> Quantity:
    """Concrete between the surfaces of the embedded rod and of a pipe, metres; 0 where they touch."""
    shank, radius = _shank(rod, ask), _outside(pipe, ask)
    if shank is None or pipe.axis is None or radius is None:
        return unknown("length", Missing("outside diameter", pipe.name, "draw the pipe"), low=0.0)
    value = max(line_line_gap(shank, pipe.axis) - radius - (radius_of(rod) or 0.0), 0.0)
    return exact(
        value,
        "length",
        Evidence(f"{rod.name} to {pipe.name}", value, "length", Rung.DECLARED, pipe.element.global_id),
        rung=max(pipe.roles.values(), default=Rung.INFERRED),
    )


@measure("truth", of=ANCHORS, item="any_pipe", example="false for a sewer that passes under the footing")
def pipe_beside_foot(rod: Part, pipe: Part, ask: Ask) -> Quantity:
    """Whether the pipe passes the embedded rod at some level between its foot and the top of the concrete."""
    shank, radius = _shank(rod, ask), _outside(pipe, ask)
    if shank is None or pipe.axis is None or radius is None:
        return unknown("truth", Missing("outside diameter", pipe.name, "draw the pipe"))
    # where it comes nearest decides: a riser reaches all levels, a sewer only its own
    low, high = float(pipe.axis[:, 2].min()) - radius, float(pipe.axis[:, 2].max()) + radius
    return truth(high >= float(shank[0, 2]) and low <= float(shank[1, 2]))


@measure("ratio", of=ANCHORS, item="any_pipe", example="0.8 for a drain 280 mm from a rod that is 350 mm deep")
def pipe_distance_in_embedments(rod: Part, pipe: Part, ask: Ask) -> Quantity:
    """Distance between the rod's axis and the pipe's surface, in embedded lengths of the rod."""
    shank, radius = _shank(rod, ask), _outside(pipe, ask)
    if shank is None or pipe.axis is None or radius is None:
        return unknown("ratio", Missing("outside diameter", pipe.name, "draw the pipe"), low=0.0)
    deep = float(shank[1, 2] - shank[0, 2])
    gap = max(line_line_gap(shank, pipe.axis) - radius, 0.0)
    return exact(
        gap / deep,
        "ratio",
        Evidence(f"{rod.name} ({1000 * deep:.0f} mm deep) to {pipe.name}", gap, "length", Rung.DECLARED,
                 pipe.element.global_id),
        rung=max(pipe.roles.values(), default=Rung.INFERRED),
    )


def _outside(pipe: Part, ask: Ask) -> float | None:
    stated = ask.house.stated(pipe, "outside_diameter")
    return float(stated.value) / 2 if stated is not None else radius_of(pipe)
