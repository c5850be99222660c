"""Measures of pipes and ducts that cross structural parts."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from modellint.contacts.boxes import apart, clip_line, line_gap, line_line_gap
from modellint.graph.boxed import lines_in_plan
from modellint.ifc.solid import Array
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, between, exact, truth, unknown
from modellint.roles.part import Part, Rung
from modellint.roles.shapes import radius_of

PIERCED = ("rod", "hold_down", "post", "anchor_bolt", "strap", "bearing_plate")
FRAMED = ("stud", "joist", "bottom_plate", "sill_plate", "top_plate", "plate")
PIPES = ("vent_pipe", "plumbing_pipe", "pipe", "duct", "collector")
# an overlap below 0.5 mm is noise of the drawing (common practice, no source)
NOISE = 0.0005


@named_set(of="any_pipe", gives="part")
def parts_pierced(pipe: Part, ask: Ask) -> Members:
    """Rods, tie-downs, posts and anchors whose bodies the pipe's outside overlaps."""
    radius = _outside(pipe, ask)
    if _axis(pipe) is None or radius is None:
        return Members(
            (), False, (Missing("outside diameter", pipe.name, "draw the pipe or give its diameter"),)
        )
    found = tuple(
        part
        for part in ask.house.crossings.of(pipe)
        if part.has(*PIERCED) and _overlap(pipe, radius, part) > NOISE
    )
    for part in found:
        ask.part(part)
    return Members(found, True)


@measure("length", of="any_pipe", item="part", example="16 mm into the rod")
def overlap_with(pipe: Part, part: Part, ask: Ask) -> Quantity:
    """How far the pipe's outside reaches into the part, metres; 0 if they are clear of each other."""
    radius = _outside(pipe, ask)
    if _axis(pipe) is None or radius is None or part.box is None:
        return unknown("length", Missing("shape", pipe.name, "draw the pipe"), low=0.0)
    value = max(_overlap(pipe, radius, part), 0.0)
    rung = max(part.roles.values(), default=Rung.INFERRED)
    return exact(
        value,
        "length",
        Evidence(
            f"{pipe.name} (outside radius {1000 * radius:.0f} mm) and {part.name}",
            value,
            "length",
            rung,
            part.element.global_id,
        ),
        rung=rung,
    )


def _axis(pipe: Part) -> Array | None:
    """The pipe's centre line; a piece too short to count as a bar has that of its round body."""
    if pipe.axis is not None:
        return pipe.axis
    return next((solid.axis for solid in pipe.solids if solid.axis is not None and solid.radius), None)


def _outside(pipe: Part, ask: Ask) -> float | None:
    stated = ask.house.stated(pipe, "outside_diameter")
    if stated is not None:
        return float(stated.value) / 2
    return radius_of(pipe)


def _overlap(pipe: Part, radius: float, part: Part) -> float:
    box, axis = part.box, _axis(pipe)
    if box is None or axis is None or pipe.box is None or apart(pipe.box, box, radius):
        return 0.0
    if part.has("rod", "anchor_bolt") and part.axis is not None:
        return radius + (radius_of(part) or 0.0) - line_line_gap(axis, part.axis)
    gap = line_gap(box, axis)
    return radius - gap if gap > 0 else radius + min(radius, float(box.half.min()))


@named_set(of=FRAMED, gives="any_pipe")
def pipes_through(member: Part, ask: Ask) -> Members:
    """Pipes and ducts whose axis or outside cuts into the member."""
    box = member.box
    if box is None:
        return Members((), False, (Missing("shape", member.name, "draw the member"),))
    found = []
    for pipe in ask.house.crossings.of(member):
        if not pipe.has(*PIPES):
            continue
        radius = _outside(pipe, ask)
        axis = _axis(pipe)
        if axis is None or radius is None:
            continue
        if radius - line_gap(box, axis) > NOISE:
            found.append(ask.part(pipe))
    return Members(tuple(found), True)


@measure("choice", of=FRAMED, item="any_pipe", words=("hole", "notch"),
         example="notch where the pipe breaks through a face of the stud")
def cut_kind(member: Part, pipe: Part, ask: Ask) -> Quantity:
    """Whether the cut the pipe needs is a bored hole or open at an edge (a notch)."""
    cut = _cut(member, pipe, ask)
    if cut is None:
        return unknown(
            "choice", Missing("shape", pipe.name, "draw the pipe"), words=frozenset({"hole", "notch"})
        )
    across, low, high, _ = cut
    kind = "notch" if low <= -across / 2 + NOISE or high >= across / 2 - NOISE else "hole"
    return Quantity("choice", words=frozenset({kind}), evidence=(
        Evidence(f"{pipe.name} through {member.name}", kind, "", Rung.DECLARED, pipe.element.global_id),))


@measure("ratio", of=FRAMED, item="any_pipe", example="0.43 for a 60.3 mm pipe in a 140 mm stud")
def cut_share(member: Part, pipe: Part, ask: Ask) -> Quantity:
    """Width of the hole or depth of the notch the pipe needs, as a share of the member's width.

    The hole is taken as the pipe's outside up to 6 mm more (common practice, no source).
    """
    cut = _cut(member, pipe, ask)
    if cut is None:
        return unknown("ratio", Missing("shape", pipe.name, "draw the pipe"), low=0.0)
    across, low, high, spare = cut
    inside_low, inside_high = max(low, -across / 2), min(high, across / 2)
    least = (inside_high - inside_low) / across
    most = (min(high + spare, across / 2) - max(low - spare, -across / 2)) / across
    return between(
        least,
        most,
        "ratio",
        Evidence(
            f"{pipe.name}: {1000 * (inside_high - inside_low):.0f} mm of {1000 * across:.0f} mm",
            least,
            "ratio",
            Rung.DECLARED,
            pipe.element.global_id,
        ),
        missing=(Missing("size of the hole", member.name, "say how large the hole is bored"),)
        if most > least
        else (),
    )


@measure("length", of=FRAMED, item="any_pipe", example="40 mm of wood left beside the hole")
def wood_beside_hole(member: Part, pipe: Part, ask: Ask) -> Quantity:
    """Wood left between the hole and the nearer edge of the member, metres; 0 for a notch."""
    cut = _cut(member, pipe, ask)
    if cut is None:
        return unknown("length", Missing("shape", pipe.name, "draw the pipe"), low=0.0)
    across, low, high, spare = cut
    most = max(min(low + across / 2, across / 2 - high), 0.0)
    return between(max(most - spare, 0.0), most, "length", Evidence(
        f"wood beside {pipe.name}", most, "length", Rung.DECLARED, pipe.element.global_id))


def _cut(member: Part, pipe: Part, ask: Ask) -> tuple[float, float, float, float] | None:
    """Width of the member, the pipe's interval across it from its middle, and the spare of the hole."""
    box, axis, radius = member.box, _axis(pipe), _outside(pipe, ask)
    if box is None or axis is None or radius is None:
        return None
    order = np.argsort(box.half)
    width_axis = int(order[1])
    inside = [(a + clip[0] * (b - a), a + clip[1] * (b - a)) for a, b in pairwise(axis)
              for clip in [clip_line(box, a, b)] if clip is not None]
    if not inside:
        nearest = min(axis, key=lambda point: float(np.linalg.norm(point - box.centre)))
        inside = [(nearest, nearest)]
    reaches = [_reach(box.local(np.array(ends))[:, width_axis], ends, radius) for ends in inside]
    low, high = min(row[0] for row in reaches), max(row[1] for row in reaches)
    return 2 * float(box.half[width_axis]), low, high, 0.003


def _reach(places: Array, ends: tuple[Array, Array], radius: float) -> tuple[float, float]:
    """Interval that a straight pipe covers across a member; one that runs across it takes the whole width."""
    length = float(np.linalg.norm(ends[1] - ends[0]))
    slant = abs(float(places[1] - places[0])) / length if length > 1e-9 else 0.0
    wide = radius * float(np.sqrt(max(1.0 - slant * slant, 0.0)))
    return float(places.min()) - wide, float(places.max()) + wide


@measure("truth", of=("bottom_plate", "sill_plate", "top_plate", "plate"),
         example="true for a top plate of a wall of predefined type SHEAR")
def plate_in_shear_wall(plate: Part, ask: Ask) -> Quantity:
    """Whether the plate is one of a shear wall's: within its thickness, between its sole and its top."""
    box = plate.box
    if box is None:
        return unknown("truth", Missing("shape", plate.name, "draw the plate"))
    for line in lines_in_plan(ask.house).over(float(box.centre[0]), float(box.centre[1]), 0.0):
        if line.shear is not None and line.bottom - 0.1 <= box.centre[2] <= line.top + 0.1:
            for wall in line.walls:
                ask.part(wall)
            return truth(True, Evidence(f"plate of wall {line.name}"), rung=line.shear)
    return truth(False)
