"""Measures of a shear-wall segment: sheathing, nail pattern, schedule."""

from __future__ import annotations

import numpy as np

from modellint.graph.boxed import boxed
from modellint.graph.wall_nodes import WallSegment
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, truth, unknown
from modellint.measures.schedule_rows import wall_row
from modellint.roles.part import Part, Rung

# sheathing lies against the wall's face; gaps and furring stay within 30 mm (common practice, no source)
AGAINST = 0.030
# a panel counts for a segment when it covers at least this share of its length, or this many metres of it
# (common practice, no source)
COVERS, COVERS_STRIP = 0.05, 0.100


@measure("truth", of="wall_segment", example="true for a wall with predefined type SHEAR")
def segment_is_shear(segment: WallSegment, ask: Ask) -> Quantity:
    """Whether the segment belongs to a shear wall."""
    shear = segment.line.shear
    if shear == Rung.GUESSED:
        return unknown("truth", Missing("shear_wall", segment.line.name, "say whether this is a shear wall"))
    return truth(shear is not None, rung=shear if shear is not None else Rung.DECLARED)


@named_set(of="wall_segment", gives="sheathing")
def sheathing_panels(segment: WallSegment, ask: Ask) -> Members:
    """Structural panels on the segment's faces."""
    line, known = segment.line, boxed(ask.house, "sheathing")
    # no panel is thicker than its world-aligned box is anywhere
    room = line.thickness / 2 + (known.high - known.low).min(axis=1, initial=np.inf) + AGAINST + 1e-6
    near = np.flatnonzero(np.abs(line.across(known.centre)) <= room)
    found = tuple(part for part in (known.parts[k] for k in near) if _on(segment, part))
    for part in found:
        ask.part(part)
    complete = bool(found) or _drawn_elsewhere(segment, ask)
    return Members(found, complete, () if complete else (
        Missing("sheathing", "the building", "draw the sheathing or give it as a wall layer"),))


def _on(segment: WallSegment, part: Part) -> bool:
    box, line = part.box, segment.line
    if box is None or not segment.sole - 0.5 <= float(box.centre[2]) <= segment.top + 0.3:
        return False
    thin = int(np.argmin(box.half))
    if abs(float(box.axes[thin, :2] @ line.normal)) < 0.95:
        return False
    if abs(float(line.across(box.centre)[0])) > line.thickness / 2 + 2 * float(box.half[thin]) + AGAINST:
        return False
    reach = line.along(box.corners)
    overlap = min(float(reach.max()), segment.end) - max(float(reach.min()), segment.start)
    return overlap >= min(COVERS * segment.length, COVERS_STRIP)


def _drawn_elsewhere(segment: WallSegment, ask: Ask) -> bool:
    others = [row for row in ask.house.subjects("wall_segment")
              if row.line.shear is not None and row.line.key != segment.line.key]
    held = sum(any(_on(row, part) for part in ask.house.with_role("sheathing")) for row in others)
    return held >= ask.house.limit("complete_at_least", 2.0) and held >= ask.house.limit(
        "complete_share", 0.5
    ) * len(others)


@measure("ratio", of="wall_segment", example="1.0 for a segment sheathed from sole to top plate on one face")
def sheathed_share(segment: WallSegment, ask: Ask) -> Quantity:
    """Share of the segment's length that panels cover on the better face."""
    members = ask.members("sheathing_panels", segment)
    faces: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
    line = segment.line
    for part in members.items:
        assert isinstance(part, Part)
        assert part.box is not None
        reach = line.along(part.box.corners)
        side = float(line.across(part.box.centre)[0]) > 0
        faces[side].append((max(float(reach.min()), segment.start), min(float(reach.max()), segment.end)))
    best = max((_covered(rows) / segment.length for rows in faces.values() if rows), default=0.0)
    if not members.items and not members.complete:
        return unknown("ratio", *members.missing, low=0.0)
    rung = min(
        (max(part.roles.values()) for part in members.items if isinstance(part, Part)), default=Rung.INFERRED
    )
    return exact(min(best, 1.0), "ratio", Evidence(f"{len(members.items)} panels", best, "ratio"), rung=rung)


def _covered(rows: list[tuple[float, float]]) -> float:
    total, reached = 0.0, -1e9
    for low, high in sorted(rows):
        total += max(high - max(low, reached), 0.0)
        reached = max(reached, high)
    return total


def _nailing(segment: WallSegment, ask: Ask, quantity: str, plain: str) -> Quantity:
    for part in (*segment.line.walls, *_panels(segment, ask)):
        stated = ask.house.stated(part, quantity)
        if stated is not None:
            ask.part(part)
            return exact(
                float(stated.value),
                "length",
                Evidence(stated.where, float(stated.value), "length", stated.rung, part.element.global_id),
                rung=stated.rung,
            )
    return unknown("length", Missing(quantity, f"{segment.line.said}, {segment.line.storey}",
                                     f"give the {plain} as a property of the wall or its sheathing"), low=0.0)


def _panels(segment: WallSegment, ask: Ask) -> list[Part]:
    return [part for part in ask.members("sheathing_panels", segment).items if isinstance(part, Part)]


@measure("length", of="wall_segment", example="102 mm (4 in)")
def edge_nail_spacing(segment: WallSegment, ask: Ask) -> Quantity:
    """Spacing of the nails along panel edges as the model states it, metres."""
    return _nailing(segment, ask, "edge_nail_spacing", "edge nail spacing")


@measure("length", of="wall_segment", example="305 mm (12 in)")
def field_nail_spacing(segment: WallSegment, ask: Ask) -> Quantity:
    """Spacing of the nails away from panel edges as the model states it, metres."""
    return _nailing(segment, ask, "field_nail_spacing", "field nail spacing")


@measure(
    "truth",
    of="wall_segment",
    example="true when other shear walls state their nailing and this one does not",
)
def nailing_left_out(segment: WallSegment, ask: Ask) -> Quantity:
    """Whether other shear walls state their nail pattern as a matter of course, but this one does not."""
    if ask.measure("edge_nail_spacing", segment).known:
        return truth(False)
    others = [row for row in ask.house.subjects("wall_segment")
              if row.line.shear is not None and row.line.key != segment.line.key]
    said = sum(ask.measure("edge_nail_spacing", row).known for row in others)
    if said >= ask.house.limit("complete_at_least", 2.0) and said >= ask.house.limit(
        "complete_share", 0.5
    ) * len(others):
        return truth(True, Evidence(f"{said} of {len(others)} other segments state their edge nailing"),
                     rung=Rung.INFERRED)
    return unknown("truth", Missing("edge_nail_spacing", "the shear walls", "give nail size and spacing"))


@measure("truth", of="wall_segment", example="true when the shear-wall schedule has a row for this wall")
def has_schedule_row(segment: WallSegment, ask: Ask) -> Quantity:
    """Whether a shear-wall schedule has a row for this wall."""
    row = wall_row(ask, segment.line)
    return truth(
        row is not None, *([Evidence(f"shear-wall schedule, line {row.line}")] if row is not None else [])
    )


def _scheduled(segment: WallSegment, ask: Ask, column: str) -> Quantity:
    row = wall_row(ask, segment.line)
    value = row.get(column) if row is not None else None
    if row is None or value is None:
        return unknown(
            "length",
            Missing(column, f"schedule row of {segment.line.said}", "fill in the schedule"),
            low=0.0,
        )
    return exact(
        float(value),
        "length",
        Evidence(f"shear-wall schedule, line {row.line}", float(value), "length", Rung.SCHEDULED),
        rung=Rung.SCHEDULED,
    )


@measure("length", of="wall_segment", example="102 mm in the schedule")
def scheduled_edge_spacing(segment: WallSegment, ask: Ask) -> Quantity:
    """Edge nail spacing that the schedule asks for, metres."""
    return _scheduled(segment, ask, "edge_spacing")


@measure("length", of="wall_segment", example="305 mm in the schedule")
def scheduled_field_spacing(segment: WallSegment, ask: Ask) -> Quantity:
    """Field nail spacing that the schedule asks for, metres."""
    return _scheduled(segment, ask, "field_spacing")
