"""Measures of the shear in a wall and the pull at its ends: shared out, storeys added up, per load case."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from modellint.engineering.load_levels import load_level
from modellint.engineering.overturning import dead_load_moment
from modellint.engineering.perforated_wall import maximum_unit_shear
from modellint.graph.house import BuildingSubject
from modellint.graph.lever_arms import compression_post, inset_in
from modellint.graph.loose_ends import is_loose, loose_above
from modellint.graph.wall_nodes import WallEnd, WallSegment
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.governing import governing
from modellint.measures.lever_arm import answering_end, insets
from modellint.measures.opening_walls import (
    FORCE_TRANSFER,
    PERFORATED,
    PORTAL,
    WHOLE_LINE,
    counted,
    counts,
)
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, between, exact, truth, unknown
from modellint.measures.schedule_rows import any_demand, end_rows
from modellint.measures.wall_loads import (
    LineLoad,
    LoadCase,
    end_cases,
    line_cases,
    load_in,
    method_of_wall,
    no_demand,
    supposed,
)
from modellint.roles.part import Rung


@measure("truth", of="building", example="true where one wall end's pull is given")
def demand_given_anywhere(building: BuildingSubject, ask: Ask) -> Quantity:
    """Whether the project or the model gives a demand for any shear wall or wall end at all."""
    return truth(any_demand(ask))


def _where(of: WallEnd | WallSegment, case: LoadCase, ask: Ask) -> str:
    line = of.line
    at = f" at {case.name}" if len(line_cases(line, ask)) > 0 else ""
    return f"wall {line.name}, {line.storey}{at}"


@measure("force_per_length", of="wall_segment", item="load_case", example="2.5 kN/m for 10 kN over 4 m")
def unit_shear_in(segment: WallSegment, case: LoadCase, ask: Ask) -> Quantity:
    """Shear per length that the wall must carry in one load case with today's openings, newtons per metre.

    The wall's storey shear over the lengths of its full-height segments no narrower than the aspect ratio allows;
    all segments of a line are taken to be equally stiff per length. In a perforated wall it is v_max = V / (C_o
    Σb) (SDPWS 2021 4.3.6.4.1.1). In a force-transfer wall the mean is the least: how much more the piers beside
    the openings get follows from the engineer's calculation. In a portal frame all lengths count.
    """
    line = segment.line
    given = load_in(line, case, ask)
    if given is None:
        return unknown("force_per_length", no_demand(ask, _where(segment, case, ask)), low=0.0)
    method = method_of_wall(line, ask)
    if method == PERFORATED:
        return _perforated(segment, given, ask)
    carrying = [row.length for row in line.segments if method == PORTAL or counts(row)] or [segment.length]
    value = given.shear / sum(carrying)
    seen = (
        given.source,
        Evidence(f"full-height lengths of wall {line.name}: {len(carrying)}", sum(carrying), "length"),
    )
    if method == FORCE_TRANSFER and len(line.segments) > 1:
        lacking = Missing("force-transfer calculation", f"wall {line.name}, {line.storey}",
                          "ask the engineer for the shear in the piers and the straps at the openings")
        return Quantity("force_per_length", value, inf, rung=given.source.rung, evidence=seen, missing=(lacking,),
                        level=given.level)
    return exact(value, "force_per_length", *seen, rung=given.source.rung, level=given.level)


def _perforated(segment: WallSegment, given: LineLoad, ask: Ask) -> Quantity:
    factor, total = ask.measure("opening_factor_of_wall", segment.line), counted(segment.line)
    if factor.high == inf or factor.low <= 0 or total <= 0:
        return unknown("force_per_length", *factor.missing, low=0.0)
    low, high = (maximum_unit_shear(given.shear, share, total) for share in (factor.high, factor.low))
    return between(low, high, "force_per_length", given.source, *factor.evidence, missing=factor.missing,
                   rung=min(given.source.rung, factor.rung), level=given.level)


@measure("force_per_length", of="wall_segment", example="2.5 kN/m for 10 kN over 4 m of full-height wall")
def unit_shear(segment: WallSegment, ask: Ask) -> Quantity:
    """Shear per length that the wall must carry, newtons per metre, in the load case that governs its sheathing.

    Of several load cases that with the largest share of what the sheathing takes governs; see `unit_shear_in`.
    """
    cases = line_cases(segment.line, ask)
    return governing(segment, cases, "unit_shear_in", "sheathing_capacity_in", ask).demand if cases else (
        ask.measure("unit_shear_in", segment, LoadCase("")))


@dataclass(frozen=True)
class Pull:
    """What one storey adds to the pull at an end: overturning moment [N m] over the lever arm, less `held` [N]."""

    moment: float
    held: float


def floor_height(end: WallEnd) -> float:
    """From the sole to the sole of the shear wall above, or to the top of the plates, metres."""
    uppers = [upper.segment.sole for row in end.segment.ends for upper in row.above if upper.line.shear is not None]
    return (min(uppers) if uppers else end.segment.top) - end.segment.sole


def own_pull(end: WallEnd, case: LoadCase, ask: Ask) -> Pull | None:
    """What this storey adds; None if no shear is given, or the wall's method leaves its pull to the engineer.

    Segmented: the segment's share of the shear and of the dead load. Perforated and force-transfer walls, at the
    ends of the line only: all of the shear. A perforated wall's dead load holds by statics over the whole line,
    since C_o is no lever arm of the dead load (arithmetic).
    """
    given, line = load_in(end.line, case, ask), end.line
    method = method_of_wall(line, ask)
    if given is None or method == PORTAL or (method in WHOLE_LINE and not end.outer):
        return None
    answer = answering_end(end, ask)
    post = compression_post(answer)
    inset = inset_in(answer, post) if post is not None else 0.0
    load = given.dead / line.length
    if method in WHOLE_LINE:
        dead = dead_load_moment(load, line.length, min(inset, line.length))
        moment, taken = given.shear * floor_height(end), sum(insets(end, ask)[:2])
        held = dead / max(line.length - taken, line.length / 2)
        return Pull(moment, held) if method == PERFORATED else Pull(moment - dead, 0.0)
    shear, length = ask.measure("unit_shear_in", end.segment, case), end.segment.length
    if not shear.known:
        return None
    dead = dead_load_moment(load, length, min(inset, length))
    return Pull(shear.low * length * floor_height(end) - dead, 0.0)


@named_set(of="building", gives="wall_end")
def loose_ends(building: BuildingSubject, ask: Ask) -> Members:
    """Ends of upper shear walls that stand on no end below and have no other way down."""
    return Members(tuple(end for end in ask.house.nodes.get("wall_end", ()) if is_loose(end)), True)


@measure("force", of="wall_end", item="load_case", example="9.4 kN, of which 3.1 kN come from the storey above")
def net_uplift_in(end: WallEnd, case: LoadCase, ask: Ask) -> Quantity:
    """Net pull at the foot of this wall end by statics in one load case, newtons; below zero if held down.

    Per storey: storey shear shared by length, times height from floor to floor, less the moment of the dead
    load that the engineer lets count, over the lever arm as modelled. Storeys are added from the top (SDPWS
    2021 4.3.6.4.4). At the ends of a perforated wall V h / (C_o Σb) (SDPWS 2021 4.3.6.1.3), see `lever_arm`; at
    those of a force-transfer wall the whole line turns as one (statics). Not for portal frames and not beside the
    openings of the other two: there the engineer's pull is needed.
    """
    pull, given = own_pull(end, case, ask), load_in(end.line, case, ask)
    if pull is None or given is None:
        method = method_of_wall(end.line, ask)
        if given is not None and method != "segmented":
            return unknown("force", no_demand(ask, end.name, f"pull of the {method.replace('_', ' ')} wall"))
        return unknown("force", no_demand(ask, _where(end, case, ask)))
    arm = ask.measure("lever_arm", end)
    ends = sorted(
        (pull.moment / length if length > 0 else inf if pull.moment > 0 else -inf if pull.moment < 0 else 0.0)
        - pull.held
        for length in (arm.low, arm.high)
    )
    uppers = [ask.measure("net_uplift_in", upper, case) for upper in end.above if upper.line.shear is not None]
    low, high = ends[0] + sum(row.low for row in uppers), ends[1] + sum(row.high for row in uppers)
    missing = tuple(dict.fromkeys([*arm.missing, *(fact for row in uppers for fact in row.missing)]))
    adrift = ask.members("loose_ends", next(iter(ask.house.subjects("building")))).items
    loose = loose_above(end, [row for row in adrift if isinstance(row, WallEnd)])
    if loose:  # nobody knows how much of it comes down here
        high = inf
        missing += tuple(Missing("way down of the pull", row.name, "say which end below takes it") for row in loose)
    seen = (
        given.source,
        Evidence("lever arm as modelled", arm.high, "length", arm.rung),
        Evidence("height from floor to floor", floor_height(end), "length"),
    )
    rung = min([arm.rung, given.source.rung, *(row.rung for row in uppers)])
    return Quantity("force", low, high, rung=rung, missing=missing, evidence=seen, level=case.level)


@measure("force", of="wall_end", item="load_case", example="9.4 kN; 0 where dead load holds the end down")
def uplift_computed_in(end: WallEnd, case: LoadCase, ask: Ask) -> Quantity:
    """Pull at this wall end by statics from the storey shears in one load case, newtons, not below zero."""
    net = ask.measure("net_uplift_in", end, case)
    return replace(net, low=max(net.low, 0.0), high=max(net.high, 0.0))


@measure("force", of="wall_end", item="load_case", example="12 kN in the wall-end schedule")
def uplift_given_in(end: WallEnd, case: LoadCase, ask: Ask) -> Quantity:
    """Pull at this wall end as the engineer gives it for one load case, storeys above included, newtons.

    The schedule's before a property of the wall; the larger one where two rows disagree.
    """
    rows = [row for row in end_rows(ask, end)
            if row.get("tension") is not None and load_level(row.get("level") or "") == case.level]
    if rows and not any(supposed(ask.house.stated(wall, "tension_demand")) for wall in end.line.walls):
        row = max(rows, key=lambda one: (float(one.get("tension")), -one.line))
        value = float(row.get("tension"))
        seen = Evidence(f"wall-end schedule, line {row.line}", value, "force", Rung.SCHEDULED)
        return exact(value, "force", seen, rung=Rung.SCHEDULED, level=case.level)
    for wall in end.line.walls:
        stated = ask.house.stated(wall, "tension_demand")
        level = ask.house.stated(wall, "load_level") if stated is not None else None
        own = load_level(str(level.value)) if level is not None else ""
        if stated is not None and (case.level == own or (supposed(stated) and not own)):
            seen = Evidence(stated.where, float(stated.value), "force", stated.rung, wall.element.global_id)
            return exact(float(stated.value), "force", seen, rung=stated.rung, level=case.level)
    return unknown("force", no_demand(ask, end.name), low=0.0)


@measure("force", of="wall_end", item="load_case", example="12 kN given in the wall-end schedule, else by statics")
def uplift_demand_in(end: WallEnd, case: LoadCase, ask: Ask) -> Quantity:
    """Pull that the tie of this wall end must take in one load case, newtons: the engineer's, else by statics."""
    given = ask.measure("uplift_given_in", end, case)
    return given if given.known else ask.measure("uplift_computed_in", end, case)


def governing_case(end: WallEnd, ask: Ask) -> LoadCase:
    """The load case that uses up the largest share of the weakest link; that without a level if none is given."""
    cases = end_cases(end, ask)
    return governing(end, cases, "uplift_demand_in", "chain_capacity_in", ask).case if cases else LoadCase("")


@measure("force", of="wall_end", example="12 kN given in the wall-end schedule, else by statics")
def uplift_demand(end: WallEnd, ask: Ask) -> Quantity:
    """Pull that the tie of this wall end must take, newtons: the engineer's, else the one from wall shear.

    Of several load cases, wind beside seismic, that with the largest share of the weakest link governs.
    """
    cases = end_cases(end, ask)
    return governing(end, cases, "uplift_demand_in", "chain_capacity_in", ask).demand if cases else (
        ask.measure("uplift_demand_in", end, LoadCase("")))


@measure("choice", of="wall_end", example="ASD wind where it uses up more of the weakest link than seismic load")
def load_case(end: WallEnd, ask: Ask) -> Quantity:
    """Name of the load case that governs the pull at this end."""
    case = governing_case(end, ask)
    return Quantity("choice", words=frozenset({case.name}), evidence=ask.measure("uplift_demand", end).evidence)


@measure("force", of="wall_end", example="9.4 kN, of which 3.1 kN come from the storey above")
def net_uplift(end: WallEnd, ask: Ask) -> Quantity:
    """Net pull by statics in the governing load case, newtons; below zero if held down. See `net_uplift_in`."""
    return ask.measure("net_uplift_in", end, governing_case(end, ask))


@measure("force", of="wall_end", example="9.4 kN; 0 where dead load holds the end down")
def uplift_computed(end: WallEnd, ask: Ask) -> Quantity:
    """Pull at this wall end by statics in the governing load case, newtons, not below zero."""
    return ask.measure("uplift_computed_in", end, governing_case(end, ask))


@measure("force", of="wall_end", example="12 kN in the wall-end schedule")
def uplift_given(end: WallEnd, ask: Ask) -> Quantity:
    """Pull at this wall end as the engineer gives it for the governing load case, newtons."""
    return ask.measure("uplift_given_in", end, governing_case(end, ask))
