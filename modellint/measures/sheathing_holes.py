"""Measures of pipes and ducts that go through the panels of a shear wall."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from modellint.contacts.boxes import clip_line
from modellint.graph.boxed import boxed
from modellint.graph.house import House
from modellint.graph.segments import PENETRATION
from modellint.graph.wall_nodes import WallLine, WallSegment
from modellint.ifc.solid import Array
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, unknown
from modellint.measures.sheathing_facts import panels_of
from modellint.roles.part import Part, Rung
from modellint.roles.shapes import radius_of

TIES = ("hold_down", "strap")
FAR = 100.0


def _outside(pipe: Part, ask: Ask) -> float | None:
    stated = ask.house.stated(pipe, "outside_diameter")
    return float(stated.value) / 2 if stated is not None else radius_of(pipe)


def _hole(panel: Part, pipe: Part) -> Array | None:
    """Where the pipe's axis goes through the panel, world metres."""
    if panel.box is None or pipe.axis is None:
        return None
    thin = panel.box.axes[int(panel.box.half.argmin())]
    for start, end in pairwise(pipe.axis):
        run = end - start
        length = float(np.linalg.norm(run))
        # a pipe that runs along the panel's face makes no hole
        if length < 1e-9 or abs(float(run @ thin)) / length < 0.5:
            continue
        clip = clip_line(panel.box, start, end)
        if clip is not None:
            point: Array = start + (clip[0] + clip[1]) / 2 * run
            return point
    return None


def _holes(segment: WallSegment, pipe: Part, ask: Ask) -> list[tuple[Part, Array]]:
    rows = [(panel, _hole(panel, pipe)) for panel in panels_of(segment, ask)]
    return [(panel, point) for panel, point in rows if point is not None]


@named_set(of="wall_segment", gives="any_pipe")
def pipes_through_panels(segment: WallSegment, ask: Ask) -> Members:
    """Pipes and ducts that go through a panel of the segment."""
    panels = ask.members("sheathing_panels", segment)
    line, found = segment.line, []
    rows = boxed(ask.house, "any_pipe")
    plan = rows.centre[:, :2] - line.origin
    reach = (rows.high[:, :2] - rows.low[:, :2]) / 2
    across = np.abs(plan @ line.normal) - reach @ np.abs(line.normal)
    along, half = plan @ line.direction, reach @ np.abs(line.direction)
    near = ((across <= line.thickness) & (along + half >= segment.start) & (along - half <= segment.end)
            & (rows.high[:, 2] >= segment.sole) & (rows.low[:, 2] <= segment.top))
    for k in np.flatnonzero(near):
        pipe = rows.parts[k]
        if _holes(segment, pipe, ask):
            found.append(ask.part(pipe))
    # a wall without drawn panels has none to pierce here: another rule asks for the sheathing itself
    return Members(tuple(found), True, panels.missing)


def _unread(pipe: Part) -> Quantity:
    return unknown("length", Missing("outside diameter", pipe.name, "draw the pipe or give its diameter"), low=0.0)


@measure("length", of="wall_segment", item="any_pipe", example="102 mm for a dryer duct")
def panel_hole_size(segment: WallSegment, pipe: Part, ask: Ask) -> Quantity:
    """Diameter of the hole that the pipe needs in the panel: its outside, metres."""
    radius = _outside(pipe, ask)
    if radius is None:
        return _unread(pipe)
    rung = max(pipe.roles.values(), default=Rung.INFERRED)
    return exact(2 * radius, "length", Evidence(f"outside of {pipe.name}", 2 * radius, "length", rung,
                                                pipe.element.global_id), rung=rung)


@measure("length", of="wall_segment", item="any_pipe", example="90 mm of panel beside the hole")
def panel_beside_hole(segment: WallSegment, pipe: Part, ask: Ask) -> Quantity:
    """Panel left between the hole and the nearest edge of its panel, metres; 0 where it breaks out."""
    radius = _outside(pipe, ask)
    if radius is None:
        return _unread(pipe)
    rows = []
    for panel, point in _holes(segment, pipe, ask):
        assert panel.box is not None
        ask.part(panel)
        thin = int(panel.box.half.argmin())
        room = panel.box.half - np.abs(panel.box.local(point)[0])
        rows.append(max(float(np.delete(room, thin).min()) - radius, 0.0))
    value = min(rows, default=FAR)
    return exact(value, "length", Evidence(f"panel beside {pipe.name}", value, "length"))


@measure("length", of="wall_segment", item="any_pipe", example="220 mm from a tie-down to the hole")
def hole_to_tie(segment: WallSegment, pipe: Part, ask: Ask) -> Quantity:
    """Distance along and up the wall from the hole's edge to the nearest tie or strap, metres.

    100 m where the wall has none.
    """
    radius = _outside(pipe, ask)
    if radius is None:
        return _unread(pipe)
    line, best, nearest = segment.line, FAR, None
    for _, point in _holes(segment, pipe, ask):
        at = float(line.along(point)[0])
        for tie in boxed(ask.house, *TIES).within(line, segment.sole - 0.3, segment.top + 0.3, 0.05):
            assert tie.box is not None
            along = line.along(tie.box.corners)
            aside = max(float(along.min()) - at, at - float(along.max()), 0.0)
            up = max(float(tie.box.low[2] - point[2]), float(point[2] - tie.box.high[2]), 0.0)
            gap = max(float(np.hypot(aside, up)) - radius, 0.0)
            if gap < best:
                best, nearest = gap, tie
    seen = [Evidence(f"{pipe.name} to {nearest.name}", best, "length", Rung.DECLARED, nearest.element.global_id)] \
        if nearest is not None else []
    if nearest is not None:
        ask.part(nearest)
    return exact(best, "length", *seen)




@measure("length", of="wall_line", example="150 mm for a vent hole cut through the sheathing")
def largest_cut_out(line: WallLine, ask: Ask) -> Quantity:
    """Larger side of the largest opening cut in the wall that is too small to part it, metres; 0 without any.

    Openings that part the wall are judged as such by the lengths of wall between them. An opening counts when it
    reaches through a drawn panel, or where no panel is drawn.
    """
    panels = [part for segment in line.segments for part in panels_of(segment, ask) if part.box is not None]
    rows = []
    for key, corners in _voids(line, ask.house):
        along = line.along(corners)
        size = max(float(np.ptp(along)), float(np.ptp(corners[:, 2])))
        if size <= ask.house.limit("opening_size", PENETRATION) and _reaches_panel(corners, panels, line):
            rows.append((round(size, 4), float(along.min()), key))
    if not rows:
        return exact(0.0, "length")
    size, start, key = max(rows)
    seen = Evidence(f"opening at {start:.2f} m from the {line.compass[0]} end", size, "length", Rung.DECLARED, key)
    return exact(size, "length", seen)


def _voids(line: WallLine, house: House) -> list[tuple[str, Array]]:
    """Openings that the model cuts out of the line's walls or their panels, by key, with their corners."""
    hosts = {element.key for wall in line.walls for element in wall.elements}
    elements = house.model.elements
    rows = {}
    for rel in house.relations:
        if rel.kind == "voids" and rel.first in hosts and rel.second in elements:
            solids = elements[rel.second].solids
            if solids:
                rows[rel.second] = np.vstack([solid.box.corners for solid in solids])
    return sorted(rows.items(), key=lambda row: row[0])


def _reaches_panel(corners: Array, panels: list[Part], line: WallLine) -> bool:
    low, high = float(line.across(corners).min()), float(line.across(corners).max())
    for panel in panels:
        assert panel.box is not None
        across = line.across(panel.box.corners)
        if low <= float(across.max()) - 0.001 and high >= float(across.min()) + 0.001:
            return True
    return not panels
