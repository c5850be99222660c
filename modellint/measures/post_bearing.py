"""Measures of the push at a wall end: what presses its post, and what the plate under the post takes."""

from __future__ import annotations

from math import inf

from modellint.engineering.load_levels import load_level, method_of
from modellint.engineering.wood_bearing import bearing_strength
from modellint.graph.boxed import boxed
from modellint.graph.lever_arms import compression_post, post_thickness
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure
from modellint.measures.lever_arm import answering_end
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.measures.schedule_rows import end_rows
from modellint.measures.wood import species_of
from modellint.roles.part import Part, Rung

# a plate lies under a post when its top is this near the post's foot, metres (common practice, no source)
UNDER = 0.020
PLATES = ("sill_plate", "bottom_plate", "plate")


@measure("force", of="wall_end", example="31 kN in the wall-end schedule; at least 12 kN by statics")
def push_demand(end: WallEnd, ask: Ask) -> Quantity:
    """Push on the post of this end, newtons: the engineer's, else at least the pull that it answers.

    By statics the post is pressed by the net pull of the other end and by all dead and live load above it, which the
    schedules do not give; so without the engineer's value only a lower bound is known.
    """
    rows = [row for row in end_rows(ask, end) if row.get("compression") is not None]
    if rows:
        # what the wood takes is known at allowable level, so a push at that level is the one to judge
        row = max(rows, key=lambda one: (method_of(load_level(one.get("level") or "")) == "ASD",
                                         float(one.get("compression")), -one.line))
        value = float(row.get("compression"))
        return exact(value, "force", Evidence(f"wall-end schedule, line {row.line}", value, "force", Rung.SCHEDULED),
                     rung=Rung.SCHEDULED, level=load_level(row.get("level") or ""))
    pull = ask.measure("net_uplift", answering_end(end, ask))
    lacking = Missing("compression", end.name, "give the compression in the wall-end schedule")
    return Quantity("force", max(pull.low, 0.0), inf, rung=pull.rung, evidence=pull.evidence, missing=(lacking,),
                    level=pull.level)


@measure("force", of="wall_end", example="41 kN for a 76 by 140 mm post on southern pine")
def post_bearing(end: WallEnd, ask: Ask) -> Quantity:
    """Push that the plate under this end's post takes across its grain, newtons, ASD (NDS 2018 3.10.2).

    The bearing area factor is taken as 1, dry service; other levels than ASD stay unknown.
    """
    level = ask.measure("push_demand", end).level
    post = compression_post(end)
    plate = plate_under(post, ask) if post is not None else None
    thick = post_thickness(end, post) if post is not None else None
    if post is None or post.box is None or plate is None or not thick:
        return unknown("force", Missing("post", end.name, "draw the end post and the plate under it"), low=0.0)
    ask.part(post)
    ask.part(plate)
    wood = species_of([plate])
    if not wood or method_of(level) != "ASD":
        return unknown("force", Missing("wood species of the plates", "the building", "name the wood of the plates, "
                                        "and give the compression at allowable level"), low=0.0)
    reaches = [end.line.across(part.box.corners) for part in (post, plate) if part.box is not None]
    depth = min(float(row.max()) for row in reaches) - max(float(row.min()) for row in reaches)
    try:
        value = bearing_strength(thick * depth, wood)
    except ValueError:
        return unknown("force", Missing("bearing of the plate", plate.name, "give the engineer's value"), low=0.0)
    return exact(value, "force", Evidence(f"{post.name} on {plate.name} ({wood}), NDS 2018 3.10.2", value, "force",
                 Rung.INFERRED, plate.element.global_id), rung=Rung.INFERRED, level=level)


def plate_under(post: Part, ask: Ask) -> Part | None:
    """The plate that the post stands on."""
    if post.box is None:
        return None
    centre, foot = post.box.centre, float(post.box.low[2])
    point = centre.copy()
    for plate in boxed(ask.house, *PLATES).over(float(centre[0]), float(centre[1]), UNDER):
        box = plate.box
        if box is not None and abs(float(box.high[2]) - foot) <= UNDER:
            point[2] = box.centre[2]
            if box.contains(point, UNDER):
                return plate
    return None


@measure("truth", of="wall_end", example="true where the wall-end schedule gives a compression")
def push_is_told(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the push can be judged: it is given, or the pull that it answers is more than the plate takes."""
    push, bearing = ask.measure("push_demand", end), ask.measure("post_bearing", end)
    return truth(push.known or push.low > bearing.high, *push.evidence, rung=push.rung)
