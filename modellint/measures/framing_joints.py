"""Measures of framing under panel joints, of edge nailing at posts, and of the top plates' laps."""

from __future__ import annotations

from itertools import pairwise

from modellint.graph.boxed import boxed
from modellint.graph.lever_arms import compression_post, tension_line
from modellint.graph.wall_nodes import WallEnd, WallLine, WallSegment
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.measures.sheathing_facts import panels_of
from modellint.roles.part import Part, Rung

# two panels meet when their edges lie within this of each other, metres (common practice, no source)
MEET = 0.010
# a gap between two lengths of plate wider than this parts them, metres (common practice, no source)
PARTED = 0.003
# a stud further than this from both ends of a length of wall stands in its field, metres (common practice, no source)
FIELD = 0.300
UPRIGHTS = ("stud", "post")


def _reach(line: WallLine, part: Part) -> tuple[float, float]:
    assert part.box is not None
    along = line.along(part.box.corners)
    return float(along.min()), float(along.max())


def joints_of(segment: WallSegment, ask: Ask) -> list[float]:
    """Places along the line where two panels of one face meet over an upright, metres."""
    faces: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
    line = segment.line
    for part in panels_of(segment, ask):
        if part.box is not None:
            faces[float(line.across(part.box.centre)[0]) > 0].append(_reach(line, part))
    found = set()
    for rows in faces.values():
        for _, high in rows:
            if any(abs(low - high) <= MEET for low, _ in rows) and segment.start < high < segment.end:
                found.add(round(high, 4))
    return sorted(found)


def uprights_of(segment: WallSegment, ask: Ask) -> list[tuple[float, float, Part]]:
    """Studs and posts of the segment as intervals along the line."""
    found: list[tuple[float, float, Part]] = ask.once("uprights_of", segment, _uprights_of)
    return found


def _uprights_of(segment: WallSegment, ask: Ask) -> list[tuple[float, float, Part]]:
    line, found = segment.line, []
    for part in boxed(ask.house, *UPRIGHTS).within(line, segment.sole - 0.1, segment.top):
        low, high = _reach(line, part)
        if high >= segment.start and low <= segment.end:
            found.append((low, high, part))
    return sorted(found, key=lambda row: (row[0], row[1], row[2].key))


@measure("count", of="wall_segment", example="3 joints in 4.2 m of panels 1.22 m wide")
def panel_joints(segment: WallSegment, ask: Ask) -> Quantity:
    """Upright joints between panels of one face within the segment."""
    members = ask.members("sheathing_panels", segment)
    if not members.items and not members.complete:
        return unknown("count", *members.missing)
    return exact(float(len(joints_of(segment, ask))), "count")


@measure("length", of="wall_segment", example="38 mm for a single stud under a joint")
def joint_framing_width(segment: WallSegment, ask: Ask) -> Quantity:
    """Width along the wall of the narrowest upright under a joint of two panels, metres.

    Two uprights face to face count as one; whether they are stitched together is not seen.
    """
    uprights = uprights_of(segment, ask)
    joints = joints_of(segment, ask)
    if not uprights or not joints:
        return unknown(
            "length", Missing("stud", "the building", "draw the studs under the panel joints"), low=0.0
        )
    widths = []
    for joint in joints:
        under = [row for row in uprights if row[0] - MEET <= joint <= row[1] + MEET]
        if under:
            low, high = min(row[0] for row in under), max(row[1] for row in under)
            widths.append((high - low, joint, under[0][2]))
    if not widths:
        return unknown("length", Missing("stud", segment.name, "draw a stud under each panel joint"), low=0.0)
    width, joint, part = min(widths, key=lambda row: (round(row[0], 4), row[1]))
    ask.part(part)
    return exact(
        width,
        "length",
        Evidence(
            f"{part.name} under the panel joint at {joint:.2f} m",
            width,
            "length",
            max(part.roles.values()),
            part.element.global_id,
        ),
        rung=max(part.roles.values()),
    )


@measure("truth", of="wall_end", example="true where a panel's upright edge lies over the post of the tie")
def edge_nailing_meets_post(end: WallEnd, ask: Ask) -> Quantity:
    """Whether close edge nailing runs into the post that the tie holds.

    True where a panel's upright edge lies over the post or over an upright that stands face to face with it,
    or the model states it; elsewhere nobody can see it, so it stays open unless stated.
    """
    post = compression_post(end)
    for part in (*([post] if post is not None else ()), *end.line.walls):
        stated = ask.house.stated(part, "edge_nailing_at_post")
        if stated is not None:
            ask.part(part)
            return truth(
                bool(stated.value),
                Evidence(stated.where, None, "", stated.rung, part.element.global_id),
                rung=stated.rung,
            )
    panels = [part for part in panels_of(end.segment, ask) if part.box is not None]
    if not panels:
        return unknown(
            "truth", Missing("sheathing", "the building", "draw the sheathing or give it as a wall layer")
        )
    if post is None or post.box is None:
        return unknown("truth", Missing("post", end.name, "draw the end post"))
    ask.part(post)
    low, high = _with_neighbours(end, post, ask)
    for part in panels:
        for edge in _reach(end.line, part):
            if low - MEET <= edge <= high + MEET:
                ask.part(part)
                return truth(
                    True,
                    Evidence(
                        f"edge of {part.name} over {post.name}",
                        edge,
                        "length",
                        Rung.INFERRED,
                        part.element.global_id,
                    ),
                    rung=Rung.INFERRED,
                )
    return unknown(
        "truth",
        Missing(
            "edge nailing at the tie's post",
            end.name,
            "say whether the close edge nailing runs into this post",
        ),
    )


def _with_neighbours(end: WallEnd, post: Part, ask: Ask) -> tuple[float, float]:
    low, high = _reach(end.line, post)
    for near, far, part in uprights_of(end.segment, ask):
        if part is not post and near <= high + PARTED and far >= low - PARTED:
            low, high = min(low, near), max(high, far)
    return low, high


@measure("truth", of="wall_end", example="false at an end without any tie drawn")
def tie_holds_post(end: WallEnd, ask: Ask) -> Quantity:
    """Whether a tie or strap is drawn at this end whose pull a post must hand on."""
    part = tension_line(end)
    return truth(part is not None and part.has("hold_down", "strap"))


@measure("length", of="wall_line", example="610 mm where the joints of the two courses are 610 mm apart")
def top_plate_lap(line: WallLine, ask: Ask) -> Quantity:
    """Least distance along the wall between a joint in one course of top plates and one in the other, metres.

    0 where both courses are parted at one place. A wall whose plates run through has the wall's length.
    """
    courses: dict[int, list[tuple[float, float]]] = {}
    for part in boxed(ask.house, "top_plate", "plate").within(line, line.top - 0.15, line.top + 0.02):
        box = part.box
        if box is None or abs(float(box.axes[int(box.half.argmax()), :2] @ line.direction)) < 0.9:
            continue
        low, high = _reach(line, part)
        # a plate of the next wall in line only touches the end
        if high > MEET and low < line.length - MEET:
            ask.part(part)
            courses.setdefault(round(200 * float(box.centre[2])), []).append((low, high))
    if len(courses) < 2:
        return unknown(
            "length", Missing("top_plate", "the building", "draw both courses of the top plates"), low=0.0
        )
    breaks = [_breaks(sorted(rows)) for _, rows in sorted(courses.items())]
    apart = [
        max(a[0] - b[1], b[0] - a[1], 0.0) for one, other in pairwise(breaks) for a in one for b in other
    ]
    value = min(apart, default=line.length)
    return exact(
        value,
        "length",
        Evidence(f"joints of the top plates of wall {line.name}", value, "length", Rung.DECLARED),
    )


def _breaks(rows: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Joints and gaps between the lengths of one course."""
    found, reached = [], rows[0][1]
    for low, high in rows[1:]:
        if low > reached - PARTED:
            found.append((min(reached, low), max(reached, low)))
        reached = max(reached, high)
    return found


@measure("length", of="wall_segment", example="368 mm between studs at 406 mm")
def widest_stud_gap(segment: WallSegment, ask: Ask) -> Quantity:
    """Largest clear gap between neighbouring full-height studs and posts of the segment, metres.

    Uprights that reach over less than three quarters of the height, as under a window, do not count.
    """
    high = 0.75 * (segment.top - segment.sole)
    rows = [row for row in uprights_of(segment, ask) if row[2].box is not None
            and float(row[2].box.high[2] - row[2].box.low[2]) >= high]
    lack = Missing("stud", "the building", "draw the studs of the shear walls")
    if len(rows) < 2:
        return unknown("length", lack, low=0.0)
    gap, place, reached = 0.0, rows[0][0], rows[0][1]
    for low, far, _ in rows[1:]:
        if low - reached > gap + 1e-6:
            gap, place = low - reached, reached
        reached = max(reached, far)
    where = f"gap between studs at {place:.2f} m from the {segment.line.compass[0]} end"
    field = segment.start + FIELD, segment.end - FIELD
    if not any(part.has("stud") and field[0] < low and far < field[1] for low, far, part in rows):
        # only the end posts are drawn: how far apart the studs of the field stand is not known
        return between(0.0, gap, "length", Evidence(where, gap, "length", Rung.INFERRED), missing=(lack,))
    return exact(gap, "length", Evidence(where, gap, "length", Rung.INFERRED), rung=Rung.INFERRED)
