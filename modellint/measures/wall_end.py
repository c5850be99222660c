"""Measures of a wall end: what it is, what holds it, what it stands on."""

from __future__ import annotations

import numpy as np

from modellint.graph.boxed import boxed
from modellint.graph.foundation import foundations, under_point
from modellint.graph.lever_arms import tension_line
from modellint.graph.stated_ties import stated_part
from modellint.graph.wall_ends import inset_of
from modellint.graph.wall_nodes import ChainStep, WallEnd
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import (
    EITHER,
    Evidence,
    Members,
    Missing,
    Quantity,
    exact,
    truth,
    unknown,
    word,
)
from modellint.measures.schedule_rows import end_row, wall_row
from modellint.roles.part import Part, Rung

# methods whose walls are tied at the ends of the whole line only (SDPWS 4.3.6.1.3, 4.3.6.4.2)
THICK_SLAB = 0.200
LINE_ENDS_ONLY = frozenset({"perforated", "force_transfer", "portal"})


@measure("truth", of="wall_end", example="true for an end of a wall with predefined type SHEAR")
def wall_is_shear(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the wall counts as a shear wall: by declaration, schedule mark or two grounds."""
    rung = end.line.shear
    for wall in end.line.walls:
        ask.part(wall)
    if rung is None:
        return truth(False)
    wall = end.line.walls[0]
    grounds = "; ".join(ground.text for ground in wall.grounds.get("shear_wall", ()))
    seen = Evidence(f"shear wall by {grounds}", None, "", rung, wall.element.global_id)
    if rung == Rung.GUESSED:
        return Quantity("truth", words=EITHER, rung=rung, evidence=(seen,),
                        missing=(Missing("shear_wall", wall.name, "say whether this is a shear wall"),))
    return truth(True, seen, rung=rung)


@measure("truth", of="wall_end", example="false at a window inside a perforated shear wall")
def tie_needed(end: WallEnd, ask: Ask) -> Quantity:
    """Whether this end needs a tie of its own by the wall's method.

    Segmented walls (the default) need one at each end of each full-height length; perforated, force-transfer
    and portal walls at the ends of the line only. Where ties stand at the line's ends only and no method is
    stated, it cannot be told for the inner ends.
    """
    if end.outer:
        return truth(True)
    row = wall_row(ask, end.line)
    method = str(row.get("method", "") if row else "") or end.line.method
    if method in LINE_ENDS_ONLY:
        return truth(False, Evidence(f"method {method}", method))
    if method:
        return truth(True, Evidence(f"method {method}", method))
    ends = [other for segment in end.line.segments for other in segment.ends]
    inner, outer = [e for e in ends if not e.outer], [e for e in ends if e.outer]
    if all(_held(e) for e in outer) and not any(_held(e) for e in inner):
        return unknown("truth", Missing("shear-wall method", f"{end.line.said}, {end.line.storey}",
                                        "say whether the wall is segmented or perforated"))
    return truth(True)


def _held(end: WallEnd) -> bool:
    return bool(end.base_ties or end.straps or end.bearing_plates or end.stated_tie)


@measure("truth", of="wall_end", example="true where the wall-end schedule says 'none' with a reason")
def tie_waived_by_schedule(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the wall-end schedule says that no tie is needed here."""
    row = end_row(ask, end)
    waived = row is not None and str(row.get("tie", "")).strip().lower() == "none"
    reason = str(row.get("reason", "")) if row is not None and waived else ""
    return truth(waived, *([Evidence(f"schedule: no tie, {reason}", reason)] if waived else []),
                 rung=Rung.SCHEDULED if waived else Rung.DECLARED)


@named_set(of="wall_end", gives="tie")
def ties(end: WallEnd, ask: Ask) -> Members:
    """What ties this end down at its base: tie-downs, a strap to the storey below, or a rod's bearing plate.

    A tie that a wall property or schedule states but nobody drew counts as one, unless ties are drawn at the
    other ends as a matter of course (see docs/evidence.md).
    """
    found = end.base_ties or end.straps or end.bearing_plates or tuple(
        rod for rod in end.column_rods if not end.base_ties and _runs_through(rod, end))
    for part in found:
        ask.part(part)
    complete = ask.house.absence.complete("base tie", end) if ask.house.absence is not None else False
    if not found and end.stated_tie:
        return Members((stated_part(ask.house, end),), True)
    missing = (
        () if complete else (Missing("hold_down", end.name, "draw the tie-downs, or name them per wall end"),)
    )
    return Members(found, complete or bool(found), missing)


def _runs_through(rod: Part, end: WallEnd) -> bool:
    box = rod.box
    height = end.segment.top - end.segment.sole
    return (
        box is not None
        and float(min(box.high[2], end.segment.top) - max(box.low[2], end.segment.sole)) > 0.6 * height
    )


@named_set(of="wall_end", gives="post")
def end_posts(end: WallEnd, ask: Ask) -> Members:
    """Posts in the end's column of space."""
    for part in end.posts:
        ask.part(part)
    complete = ask.house.absence.complete("post", end) if ask.house.absence is not None else False
    missing = () if complete else (Missing("post", end.name, "draw the framing with its end posts"),)
    return Members(end.posts, complete or bool(end.posts), missing)


@measure("truth", of="wall_end", example="true at the top end of a stack")
def chain_starts_here(end: WallEnd, ask: Ask) -> Quantity:
    """Whether no other shear-wall end stands on this one, so that its chain is not part of a longer one."""
    return truth(not any(upper.line.shear is not None for upper in end.above))


@named_set(of="wall_end", gives="uplift_step")
def uplift_links(end: WallEnd, ask: Ask) -> Members:
    """Slots and links of the uplift chain from this end's post down to the foundation, from the top."""
    for step in end.steps:
        for part in step.pieces:
            ask.part(part)
    return Members(end.steps, True)


@measure("choice", of=("uplift_step", "wall_end"), item="uplift_step", words=("joined", "broken", "unknown"),
         example="broken where the model says joined and the drawing leaves 150 mm")
def link_state(subject: WallEnd | ChainStep, step: ChainStep, ask: Ask) -> Quantity:
    """State of one slot or link: joined, or broken; both are possible while it is unknown."""
    seen = Evidence(step.text, step.gap, "length" if step.gap is not None else "", step.rung,
                    step.pieces[0].element.global_id if step.pieces else "")
    if step.state == "unknown":
        return Quantity(
            "choice",
            words=frozenset({"joined", "broken"}),
            rung=step.rung,
            evidence=(seen,),
            missing=(Missing(step.missing or step.slot, step.end.name, f"draw or state the {step.slot}"),),
        )
    return word(step.state, seen, rung=step.rung)


@measure("length", of="wall_end", example="115 mm for a tie against a 76 mm end post")
def tie_distance_from_end(end: WallEnd, ask: Ask) -> Quantity:
    """Straight distance along the wall from the segment's end face to the tie's (or rod's) centre line."""
    part = tension_line(end)
    if part is None or part.box is None:
        return unknown("length", Missing("hold_down", end.name, "draw the tie-down"), low=0.0)
    ask.part(part)
    value = inset_of(end, part)
    rung = max(part.roles.values(), default=Rung.INFERRED)
    return exact(
        value,
        "length",
        Evidence(f"centre of {part.name}", value, "length", rung, part.element.global_id),
        rung=rung,
    )


@measure("choice", of="wall_end", words=("foundation", "wall end", "beam", "nothing"),
         example="wall end where it stacks on the end of the wall below")
def end_support(end: WallEnd, ask: Ask) -> Quantity:
    """What the end stands on: foundation, the end of a shear wall below, a beam, or nothing found."""
    if end.below is not None:
        for part in end.below.parts:
            ask.part(part)
        return word("wall end", Evidence(f"stands on {end.below.name}"))
    if end.on_foundation:
        return word("foundation")
    step = next((step for step in end.steps if step.slot == "transfer"), None)
    if step is None:
        return word("nothing", rung=Rung.INFERRED)
    for part in step.pieces:
        ask.part(part)
    seen = Evidence(step.text, rung=Rung.INFERRED)
    if step.state == "unknown":
        return Quantity(
            "choice",
            words=frozenset({"beam", "nothing"}),
            rung=Rung.INFERRED,
            evidence=(seen,),
            missing=(
                Missing("transfer", end.name, "the engineer's word that this transfer takes push and pull"),
            ),
        )
    return word("nothing", seen, rung=Rung.INFERRED)


@measure("truth", of="wall_end", example="false where an interior wall ends on a slab without a footing")
def foundation_below(end: WallEnd, ask: Ask) -> Quantity:
    """Whether a footing, stem wall, pile or thickened slab lies under the end (at the tie, else its face).

    A slab counts where it is at least 200 mm deep (common practice, no source).
    """
    if not end.on_foundation:
        return truth(True)
    part = tension_line(end)
    point = part.box.centre if part is not None and part.box is not None else end.point
    under = under_point(foundations(ask.house), float(point[0]), float(point[1]), end.segment.sole)
    thick = [row for row in under if not row.part.has("foundation_slab") or row.top - row.bottom >= THICK_SLAB]
    if thick:
        ask.part(thick[0].part)
        return truth(True, Evidence(f"on {thick[0].part.name}", global_id=thick[0].part.element.global_id))
    thin = f", only {under[0].part.name}" if under else ""
    state, rung = ask.house.absence.state("foundation", end)
    if state == "broken":
        return truth(False, Evidence(f"no footing under it{thin}; other ends have one"), rung=rung)
    return unknown("truth", Missing("foundation", "the building", "draw the footings"))


@measure("length", of="wall_end", item="post", example="2210 mm for a full-height stud post in a 2.44 m wall")
def post_shortfall(end: WallEnd, post: Part, ask: Ask) -> Quantity:
    """How much of the clear height between sole plate and top plate the post does not fill, metres.

    The clear height is that of the tallest stud or post of the segment's own wall; a post spliced from pieces
    in one line counts as one.
    """
    box = post.box
    if box is None:
        return unknown("length", Missing("shape", post.name, "draw the post"), low=0.0)
    tallest = _tallest_upright(end, ask)
    if tallest is None:
        return unknown("length", Missing("stud", end.name, "draw the wall's studs"), low=0.0)
    stack = [p for p in end.posts if p.box is not None and abs(inset_of(end, p) - inset_of(end, post)) < 0.02]
    filled = sum(_height(part) for part in stack)
    short = max(tallest - filled, 0.0)
    return exact(short, "length", Evidence(f"{post.name} is {1000 * filled:.0f} mm high, the wall's studs "
                                           f"{1000 * tallest:.0f} mm", short, "length", Rung.INFERRED,
                                           post.element.global_id), rung=Rung.INFERRED)


def _height(part: Part) -> float:
    return float(part.box.high[2] - part.box.low[2]) if part.box is not None else 0.0


def _tallest_upright(end: WallEnd, ask: Ask) -> float | None:
    """Height of the tallest stud or post of the segment's own wall, metres."""
    line, known = end.line, boxed(ask.house, "stud", "post")
    across, along, middle = line.across(known.centre), line.along(known.centre), known.centre[:, 2]
    mine = ((np.abs(across) <= line.thickness / 2) & (along >= -0.05) & (along <= line.length + 0.05)
            & (middle >= end.segment.sole - 0.1) & (middle <= end.segment.top))
    return float((known.high[mine, 2] - known.low[mine, 2]).max()) if mine.any() else None
