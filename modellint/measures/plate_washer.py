"""Measures of the plate washers of sill bolts under shear walls (SDPWS 4.3.6.4.3)."""

from __future__ import annotations

import numpy as np

from modellint.engineering.plate_washer import edge_rule_applies
from modellint.graph.boxed import boxed, lines_in_plan
from modellint.graph.house import BuildingSubject
from modellint.graph.wall_nodes import WallLine, WallSegment
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.measures.sheathing_facts import nominal_of, panels_of
from modellint.roles.part import Part, Rung

# a washer belongs to the bolt that passes it, within this in plan, metres (common practice, no source)
AROUND = 0.020
# a bolt is a wall's when it stands under the wall's sole, within this in height, metres (common practice, no
# source)
AT_SOLE = 0.150


def line_over(bolt: Part, ask: Ask) -> WallLine | None:
    """The shear wall whose sole the bolt goes through."""
    box = bolt.box
    if box is None:
        return None
    for line in lines_in_plan(ask.house).over(float(box.centre[0]), float(box.centre[1]), AROUND):
        if box.low[2] <= line.bottom + AT_SOLE and box.high[2] >= line.bottom - AT_SOLE:
            return line
    return None


def washer_on(bolt: Part, ask: Ask) -> Part | None:
    """The plate washer that the bolt passes."""
    box = bolt.box
    if box is None:
        return None
    x, y = float(box.centre[0]), float(box.centre[1])
    near = [
        part
        for part in boxed(ask.house, "plate_washer").over(x, y, AROUND)
        if part.box is not None
        and part.box.contains(np.array([x, y, part.box.centre[2]]), AROUND)
        and float(part.box.high[2]) >= float(box.low[2])
        and float(part.box.low[2]) <= float(box.high[2]) + AROUND
    ]
    return min(near, key=lambda part: part.key, default=None)


@measure("truth", of="anchor_bolt", example="true for a sill bolt under a wall of predefined type SHEAR")
def bolt_under_shear_wall(bolt: Part, ask: Ask) -> Quantity:
    """Whether the bolt goes through the sole of a shear wall."""
    line = line_over(bolt, ask)
    if line is not None:
        for wall in line.walls:
            ask.part(wall)
    return truth(
        line is not None, rung=line.shear if line is not None and line.shear is not None else Rung.DECLARED
    )


@measure("truth", of="anchor_bolt", example="true where a plate washer lies round the bolt")
def washer_drawn(bolt: Part, ask: Ask) -> Quantity:
    """Whether a plate washer is drawn round the bolt."""
    washer = washer_on(bolt, ask)
    if washer is not None:
        ask.part(washer)
    return truth(washer is not None)


@measure("count", of="building", example="34 of 35 sill bolts")
def bolts_with_washers(building: BuildingSubject, ask: Ask) -> Quantity:
    """How many anchor bolts have a plate washer drawn round them."""
    bolts = ask.house.with_role("anchor_bolt")
    return exact(float(sum("true" in ask.measure("washer_drawn", bolt).words for bolt in bolts)), "count")


@measure(
    "truth", of="anchor_bolt", example="false where the other bolts have plate washers and this one has none"
)
def washer_present(bolt: Part, ask: Ask) -> Quantity:
    """Whether the bolt has a plate washer; it lacks one only where the others are drawn with theirs."""
    if "true" in ask.measure("washer_drawn", bolt).words:
        washer = washer_on(bolt, ask)
        return truth(True, rung=max(washer.roles.values()) if washer is not None else Rung.INFERRED)
    others = len(ask.house.with_role("anchor_bolt")) - 1
    held = ask.measure("bolts_with_washers", next(iter(ask.house.subjects("building")))).low
    least, share = ask.house.limit("complete_at_least", 2.0), ask.house.limit("complete_share", 0.5)
    if held >= least and held >= share * others:
        return truth(False, Evidence(f"{held:.0f} of {others} other sill bolts have one"), rung=Rung.INFERRED)
    return unknown(
        "truth", Missing("plate_washer", "the building", "draw the plate washers of the sill bolts")
    )


def _size(bolt: Part, ask: Ask, which: int, example: str) -> Quantity:
    washer = washer_on(bolt, ask)
    if washer is None or washer.box is None:
        return unknown(
            "length",
            Missing("plate_washer", "the building", "draw the plate washers of the sill bolts"),
            low=0.0,
        )
    ask.part(washer)
    value = sorted(2 * float(half) for half in washer.box.half)[which]
    return exact(
        value,
        "length",
        Evidence(f"{example} of {washer.name}", value, "length", Rung.DECLARED, washer.element.global_id),
        rung=max(washer.roles.values()),
    )


@measure("length", of="anchor_bolt", example="76 mm for a washer of 3 by 4-1/2 in")
def washer_side(bolt: Part, ask: Ask) -> Quantity:
    """Shorter side of the bolt's plate washer, metres."""
    return _size(bolt, ask, 1, "shorter side")


@measure("length", of="anchor_bolt", example="5.8 mm")
def washer_thickness(bolt: Part, ask: Ask) -> Quantity:
    """Thickness of the bolt's plate washer, metres."""
    return _size(bolt, ask, 0, "thickness")


def _segment_over(bolt: Part, ask: Ask) -> WallSegment | None:
    line = line_over(bolt, ask)
    if line is None or bolt.box is None:
        return None
    along = float(line.along(bolt.box.centre)[0])
    return min(
        line.segments, key=lambda row: (max(row.start - along, along - row.end, 0.0), row.key), default=None
    )


@measure("truth", of="anchor_bolt", example="true for a wall of more than 400 plf nominal")
def washer_must_reach_edge(bolt: Part, ask: Ask) -> Quantity:
    """Whether the washer must come to the sheathed edge of the plate: nominal unit shear above 400 plf."""
    segment = _segment_over(bolt, ask)
    if segment is None:
        return truth(False)
    nominal = nominal_of(segment, ask)
    if nominal is None:
        of = (
            f"schedule row of wall {segment.line.name}"
            if "shear_walls" in ask.house.schedules
            else "the building"
        )
        return unknown(
            "truth", Missing("shear-wall schedule", of, "give panel, nail and spacing of the shear walls")
        )
    return truth(
        edge_rule_applies(nominal),
        Evidence("nominal unit shear of the sheathing", nominal, "force_per_length", Rung.SCHEDULED),
        rung=Rung.SCHEDULED,
    )


def _plate_under(bolt: Part, line: WallLine, ask: Ask) -> Part | None:
    """The sill or sole plate that the bolt goes through."""
    assert bolt.box is not None
    x, y = float(bolt.box.centre[0]), float(bolt.box.centre[1])
    return next(
        (
            plate
            for plate in boxed(ask.house, "sill_plate", "bottom_plate", "plate").over(x, y, AROUND)
            if plate.box is not None
            and abs(float(plate.box.low[2]) - line.bottom) <= AT_SOLE
            and plate.box.contains(np.array([x, y, plate.box.centre[2]]), AROUND)
        ),
        None,
    )


@measure("length", of="anchor_bolt", example="32 mm for a 76 mm washer in the middle of a 140 mm plate")
def washer_edge_gap(bolt: Part, ask: Ask) -> Quantity:
    """Distance from the washer's edge to the sheathed edge of the plate, metres; the larger of two."""
    segment, washer = _segment_over(bolt, ask), washer_on(bolt, ask)
    if segment is None or washer is None or washer.box is None:
        return unknown(
            "length",
            Missing("plate_washer", "the building", "draw the plate washers of the sill bolts"),
            low=0.0,
        )
    line = segment.line
    sides = {
        1.0 if float(line.across(part.box.centre)[0]) > 0 else -1.0
        for part in panels_of(segment, ask)
        if part.box is not None
    }
    if not sides:
        return unknown(
            "length",
            Missing("sheathing", "the building", "draw the sheathing or give it as a wall layer"),
            low=0.0,
        )
    ask.part(washer)
    across, plate = line.across(washer.box.corners), _plate_under(bolt, line, ask)
    edges = line.across(plate.box.corners) if plate is not None and plate.box is not None else None
    value = max(
        (line.thickness / 2 if edges is None else float((side * edges).max())) - float((side * across).max())
        for side in sorted(sides)
    )
    return exact(
        max(value, 0.0),
        "length",
        Evidence(
            f"edge of {washer.name} to the sheathed edge",
            value,
            "length",
            Rung.DECLARED,
            washer.element.global_id,
        ),
        rung=max(washer.roles.values()),
    )
