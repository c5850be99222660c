"""Measures of the pull at a wall end: lever arm as modelled, shear shared out, storeys added up."""

from __future__ import annotations

from math import inf
from typing import Any

from modellint.engineering.aspect_ratio import aspect_ratio, maximum_aspect_ratio
from modellint.engineering.load_levels import load_level
from modellint.engineering.overturning import dead_load_moment
from modellint.graph.house import BuildingSubject
from modellint.graph.lever_arms import compression_post, inset_in, opposite, tension_line
from modellint.graph.wall_nodes import WallEnd, WallLine, WallSegment
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.measures.schedule_rows import any_demand, demand_row, end_row, wall_row
from modellint.roles.part import Part, Rung

PANEL = "wood_structural_panel"
# methods whose pull at the ends is not shear times height over the lever arm of one segment
OTHER_METHODS = frozenset({"perforated", "force_transfer", "portal"})


def no_demand(ask: Ask, of: str, quantity: str = "wall demand") -> Missing:
    """What is missing: one question for the building while no demand is given at all, else this one."""
    if "true" in ask.measure("demand_given_anywhere", next(iter(ask.house.subjects("building")))).words:
        return Missing(quantity, of, "fill in the wall-demand or wall-end schedule")
    return Missing(
        "wall demand",
        "the building",
        "give the engineer's storey shears (schedule wall_demands) or "
        "the pull at each wall end (schedule wall_ends), with their load level",
    )


@measure("truth", of="building", example="true where one wall end's pull is given")
def demand_given_anywhere(building: BuildingSubject, ask: Ask) -> Quantity:
    """Whether the project or the model gives a demand for any shear wall or wall end at all."""
    return truth(any_demand(ask))


@measure("length", of="wall_end", example="2.15 m in a 2.4 m wall with a tie 115 mm in and a 76 mm post")
def lever_arm(end: WallEnd, ask: Ask) -> Quantity:
    """Distance along the wall from this end's tie to the post pressed at the other end, metres.

    The post is the one the other end's tie is fastened to. Undrawn parts leave a range up to the whole
    length.
    """
    other = opposite(end)
    tie, post = tension_line(end), compression_post(other)
    length = end.segment.length
    seen, lacking, taken = [], [], 0.0
    rung = Rung.DECLARED
    for part, where, role in ((tie, end, "hold_down"), (post, other, "post")):
        if part is None or part.box is None:
            lacking.append(Missing(role, where.name, "draw it where it stands"))
            continue
        ask.part(part)
        inset = inset_in(where, part)
        taken += inset
        rung = min(rung, max(part.roles.values(), default=Rung.INFERRED))
        seen.append(
            Evidence(
                f"{part.name} stands in from the {where.word} end",
                inset,
                "length",
                rung,
                part.element.global_id,
            )
        )
    arm = max(length - taken, 0.0)
    if lacking or arm <= 0:
        return between(0.0, arm, "length", *seen, missing=tuple(lacking), rung=rung)
    return exact(arm, "length", *seen, rung=rung)


def shear_of(line: WallLine, ask: Ask) -> tuple[float, float, str, Evidence] | None:
    """Storey shear [N], dead load that may be counted [N], load level and their source; None if not given."""
    row = demand_row(ask, line)
    if row is not None and row.get("shear") is not None:
        return (
            float(row.get("shear")),
            float(row.get("dead_load") or 0.0),
            load_level(row.get("level") or ""),
            Evidence(
                f"wall-demand schedule, line {row.line}", float(row.get("shear")), "force", Rung.SCHEDULED
            ),
        )
    for wall in line.walls:
        stated = ask.house.stated(wall, "shear_demand")
        if stated is not None:
            dead, level = ask.house.stated(wall, "dead_load_credited"), ask.house.stated(wall, "load_level")
            return (
                float(stated.value),
                float(dead.value) if dead else 0.0,
                load_level(str(level.value)) if level else "",
                Evidence(stated.where, float(stated.value), "force", stated.rung, wall.element.global_id),
            )
    return None


def counts(segment: WallSegment) -> bool:
    """Whether the segment is long enough for its height to carry shear (SDPWS Table 4.3.4)."""
    ratio = aspect_ratio(segment.top - segment.sole, segment.length)
    return ratio <= maximum_aspect_ratio(PANEL) * (1 + 1e-9)


def method_of_wall(line: WallLine, ask: Ask) -> str:
    """`segmented` unless schedule or model say otherwise."""
    row = wall_row(ask, line)
    return str(row.get("method") or "" if row else "") or line.method or "segmented"


@measure("force_per_length", of="wall_segment", example="2.5 kN/m for 10 kN over 4 m of full-height wall")
def unit_shear(segment: WallSegment, ask: Ask) -> Quantity:
    """Shear per length that the wall must carry with today's openings, newtons per metre.

    The wall's storey shear over the lengths of its full-height segments no narrower than the aspect ratio
    allows; all segments of a line are taken to be equally stiff per length.
    """
    given = shear_of(segment.line, ask)
    if given is None:
        return unknown(
            "force_per_length", no_demand(ask, f"wall {segment.line.name}, {segment.line.storey}"), low=0.0
        )
    shear, _, level, source = given
    carrying = [row.length for row in segment.line.segments if counts(row)] or [segment.length]
    value = shear / sum(carrying)
    return exact(
        value,
        "force_per_length",
        source,
        Evidence(
            f"full-height lengths of wall {segment.line.name}: {len(carrying)}",
            sum(carrying),
            "length",
        ),
        rung=source.rung,
        level=level,
    )


def floor_height(end: WallEnd) -> float:
    """From the sole to the sole of the shear wall above, or to the top of the plates, metres."""
    uppers = [upper.segment.sole for upper in end.above if upper.line.shear is not None]
    return (min(uppers) if uppers else end.segment.top) - end.segment.sole


def own_moment(end: WallEnd, ask: Ask) -> tuple[float, float] | None:
    """Overturning moment that this storey adds, and that of its dead load about the pressed post [N·m]."""
    given = shear_of(end.line, ask)
    shear = ask.measure("unit_shear", end.segment)
    if given is None or not shear.known:
        return None
    post = compression_post(opposite(end))
    inset = inset_in(opposite(end), post) if post is not None else 0.0
    length = end.segment.length
    dead = dead_load_moment(given[1] / end.line.length, length, min(inset, length))
    return shear.low * length * floor_height(end), dead


@measure("force", of="wall_end", example="9.4 kN, of which 3.1 kN come from the storey above")
def net_uplift(end: WallEnd, ask: Ask) -> Quantity:
    """Net pull at the foot of this wall end by statics, storeys above included, newtons; below zero if held down.

    Per storey: storey shear shared by length, times height from floor to floor, less the moment of the dead
    load that the engineer lets count, over the lever arm as modelled. Storeys are added from the top (SDPWS
    2021 4.3.6.4.4). Not for perforated, force-transfer and portal walls: their pull must be given.
    """
    method = method_of_wall(end.line, ask)
    if method in OTHER_METHODS:
        return unknown("force", no_demand(ask, end.name, f"pull of the {method.replace('_', ' ')} wall"))
    moments = own_moment(end, ask)
    if moments is None:
        return unknown("force", no_demand(ask, f"wall {end.line.name}, {end.line.storey}"))
    arm, given = ask.measure("lever_arm", end), shear_of(end.line, ask)
    assert given is not None
    net = moments[0] - moments[1]
    ends = sorted(
        net / length if length > 0 else inf if net > 0 else -inf if net < 0 else 0.0
        for length in (arm.low, arm.high)
    )
    uppers = [ask.measure("net_uplift", upper) for upper in end.above if upper.line.shear is not None]
    low, high = ends[0] + sum(row.low for row in uppers), ends[1] + sum(row.high for row in uppers)
    levels = {given[2], *(row.level for row in uppers)}
    missing = tuple(dict.fromkeys([*arm.missing, *(fact for row in uppers for fact in row.missing)]))
    seen = (
        given[3],
        Evidence("lever arm as modelled", arm.high, "length", arm.rung),
        Evidence("height from floor to floor", floor_height(end), "length"),
    )
    rung = min([arm.rung, given[3].rung, *(row.rung for row in uppers)])
    return Quantity(
        "force",
        low,
        high,
        rung=rung,
        missing=missing,
        evidence=seen,
        level=levels.pop() if len(levels) == 1 else "",
    )


@measure("force", of="wall_end", example="9.4 kN; 0 where dead load holds the end down")
def uplift_computed(end: WallEnd, ask: Ask) -> Quantity:
    """Pull at this wall end by statics from the storey shears, newtons, not below zero."""
    net = ask.measure("net_uplift", end)
    return Quantity(
        "force",
        max(net.low, 0.0),
        max(net.high, 0.0),
        rung=net.rung,
        evidence=net.evidence,
        missing=net.missing,
        level=net.level,
    )


@measure("force", of="wall_end", example="12 kN in the wall-end schedule")
def uplift_given(end: WallEnd, ask: Ask) -> Quantity:
    """Pull at this wall end as the engineer gives it, storeys above included, newtons."""
    row = end_row(ask, end)
    if row is not None and row.get("tension") is not None:
        value = float(row.get("tension"))
        return exact(
            value,
            "force",
            Evidence(f"wall-end schedule, line {row.line}", value, "force", Rung.SCHEDULED),
            rung=Rung.SCHEDULED,
            level=load_level(row.get("level") or ""),
        )
    found = _stated(end.line.walls, ask)
    if found is not None:
        return found
    return unknown("force", no_demand(ask, end.name), low=0.0)


def _stated(walls: tuple[Part, ...], ask: Ask) -> Quantity | None:
    for wall in walls:
        stated = ask.house.stated(wall, "tension_demand")
        if stated is not None:
            level: Any = ask.house.stated(wall, "load_level")
            return exact(
                float(stated.value),
                "force",
                Evidence(stated.where, float(stated.value), "force", stated.rung, wall.element.global_id),
                rung=stated.rung,
                level=load_level(str(level.value)) if level is not None else "",
            )
    return None


@measure("force", of="wall_end", example="12 kN given in the wall-end schedule, else by statics")
def uplift_demand(end: WallEnd, ask: Ask) -> Quantity:
    """Pull that the tie of this wall end must take, newtons: the engineer's, else the one from wall shear."""
    given = ask.measure("uplift_given", end)
    return given if given.known else ask.measure("uplift_computed", end)


@measure("truth", of="wall_end", example="true where the pull is given and the storey shear as well")
def demand_given_twice(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the pull is given for the end and can be worked out from the wall's shear, too."""
    return truth(ask.measure("uplift_given", end).known and ask.measure("uplift_computed", end).known)


@measure("ratio", of="wall_end", example="0.05 for 12.0 kN given and 11.4 kN by statics")
def demand_difference(end: WallEnd, ask: Ask) -> Quantity:
    """Difference between the given pull and the one from wall shear, over the larger of the two."""
    given, computed = ask.measure("uplift_given", end), ask.measure("uplift_computed", end)
    if not (given.known and computed.known):
        return unknown("ratio", *(given.missing or computed.missing), low=0.0)
    if given.level != computed.level:
        return unknown(
            "ratio", Missing("load level", end.name, "state the same load level for both"), low=0.0
        )
    larger = max(given.low, computed.low)
    return exact(
        abs(given.low - computed.low) / larger if larger > 0 else 0.0,
        "ratio",
        *given.evidence,
        *computed.evidence,
        rung=min(given.rung, computed.rung),
    )
