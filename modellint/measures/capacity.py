"""Measures of what a wall end can take: the weakest link and the break-even values."""

from __future__ import annotations

from math import inf

from modellint.engineering.load_levels import load_level
from modellint.graph.lever_arms import tension_line
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure
from modellint.measures.chain_links import Link, links_of
from modellint.measures.demand import governing_case, own_pull
from modellint.measures.opening_walls import PERFORATED
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, unknown, word
from modellint.measures.schedule_rows import rod_run_row, tie_mark_of, tie_row
from modellint.measures.wall_loads import LoadCase, end_cases, method_of_wall
from modellint.roles.part import Rung


def case_at(end: WallEnd, ask: Ask) -> LoadCase:
    """The governing load case; without any demand the level of the tie's row in the hold-down schedule."""
    if end_cases(end, ask):
        return governing_case(end, ask)
    tie = tension_line(end)
    row = tie_row(ask, tie_mark_of(tie, ask)) if tie is not None else None
    row = row or rod_run_row(ask, end.line)
    return LoadCase(load_level(row.get("level") or "") if row is not None else "")


def end_links(end: WallEnd, ask: Ask) -> tuple[Link, ...]:
    """Links of the end's tension path with their capacities in the governing load case."""
    return links_of(end, case_at(end, ask).level, ask)


def weakest(links: tuple[Link, ...]) -> Link | None:
    """The link that may give way first: least upper bound, lower bound, devices first, chain order."""
    return min(
        links,
        key=lambda link: (
            link.capacity.high,
            link.capacity.low,
            not any(part.has("hold_down") for part in link.parts),
        ),
        default=None,
    )


@measure("force", of="wall_end", item="load_case", example="22 kN by its tie-down; 0 to 22 kN while one is not known")
def chain_capacity_in(end: WallEnd, case: LoadCase, ask: Ask) -> Quantity:
    """Pull that the weakest link from this end's post to the tie or concrete below takes in one load case, newtons.

    Links whose capacity is not known widen it down to zero.
    """
    links = links_of(end, case.level, ask)
    if not links:
        return unknown(
            "force", Missing("hold_down", end.name, "draw the tie-down and what it holds to"), low=0.0
        )
    low, high = min(row.capacity.low for row in links), min(row.capacity.high for row in links)
    levels = {row.capacity.level for row in links if row.capacity.high < inf}
    evidence = tuple(dict.fromkeys(fact for row in links for fact in row.capacity.evidence))
    missing = (
        tuple(dict.fromkeys(fact for row in links for fact in row.capacity.missing)) if low < high else ()
    )
    return Quantity(
        "force",
        low,
        high,
        rung=min(row.capacity.rung for row in links),
        evidence=evidence,
        missing=missing,
        level=levels.pop() if len(levels) == 1 else "",
    )


@measure("force", of="wall_end", example="22 kN by its tie-down; 0 to 22 kN while the anchorage is not known")
def chain_capacity(end: WallEnd, ask: Ask) -> Quantity:
    """Pull that the weakest link from this end's post to the tie or concrete below takes, newtons.

    In the load case that governs. The weakest link's name is in `weakest_link`.
    """
    return ask.measure("chain_capacity_in", end, case_at(end, ask))


@measure("choice", of="wall_end", example="Tie-down TD-2")
def weakest_link(end: WallEnd, ask: Ask) -> Quantity:
    """Name of the link of this end with the least known capacity."""
    link = weakest(end_links(end, ask))
    if link is None or link.capacity.high == inf:
        return Quantity("choice", missing=(Missing("capacity", end.name, "fill in the hold-down schedule"),))
    return word(link.name, *link.capacity.evidence, rung=link.capacity.rung)


@measure("moment", of="wall_end", example="47 kN m for 22 kN at a lever arm of 2.15 m")
def break_even_moment(end: WallEnd, ask: Ask) -> Quantity:
    """Overturning moment that uses up the weakest link at the lever arm as modelled, newton metres."""
    capacity, arm = ask.measure("chain_capacity", end), ask.measure("lever_arm", end)
    high = capacity.high * arm.high if arm.high > 0 else 0.0
    return Quantity(
        "moment",
        capacity.low * arm.low,
        high,
        rung=min(capacity.rung, arm.rung),
        evidence=(*capacity.evidence, *arm.evidence),
        missing=(*capacity.missing, *arm.missing),
        level=capacity.level,
    )


@measure("length", of="wall_end", example="340 mm further in before its pull reaches 22 kN")
def tie_may_move(end: WallEnd, ask: Ask) -> Quantity:
    """How far the tie could move from its end until the pull equals the weakest link, metres.

    Below zero where the pull is larger already: so much nearer to the end it would have to stand. The storeys
    above stay as they are, and so does what the dead load of a perforated wall holds.
    """
    demand, capacity, arm = (
        ask.measure(name, end) for name in ("uplift_demand", "chain_capacity", "lever_arm")
    )
    facts = (*demand.evidence, *arm.evidence)
    if not (demand.known and arm.known) or capacity.high == inf or demand.low <= 0:
        return unknown("length", *(demand.missing or arm.missing or capacity.missing))
    above = held = 0.0
    case = case_at(end, ask)
    if not ask.measure("uplift_given_in", end, case).known:
        pull = own_pull(end, case, ask)
        held = pull.held if pull is not None else 0.0
        uppers = [upper for upper in end.above if upper.line.shear is not None]
        above = sum((ask.measure("net_uplift_in", upper, case).low for upper in uppers), 0.0)
    moment = (demand.low - above + held) * arm.low
    share = _arm_per_length(end, ask)
    ways = [
        (arm.low - moment / (limit - above + held)) / share if limit > above - held else -inf
        for limit in (capacity.low, capacity.high)
    ]
    if ways[1] == -inf:
        seen = Evidence("no place will do: what comes from above is more than the weakest link takes", above, "force")
        return unknown("length", *capacity.missing, evidence=(*facts, seen))
    if ways[0] == ways[1]:
        return exact(ways[0], "length", *facts, rung=min(demand.rung, arm.rung))
    return between(
        min(ways),
        max(ways),
        "length",
        Evidence("capacity of the weakest link", capacity.high, "force", Rung.INFERRED),
        *facts,
        missing=capacity.missing,
        rung=min(demand.rung, arm.rung, capacity.rung),
    )


def _arm_per_length(end: WallEnd, ask: Ask) -> float:
    """How much lever arm a length of inset takes: C_o in a perforated wall, else all of it."""
    if not end.outer or method_of_wall(end.line, ask) != PERFORATED:
        return 1.0
    factor = ask.measure("opening_factor_of_wall", end.line)
    return factor.low if factor.known and factor.low > 0 else 1.0
