"""Measures of what a wall end can take: the weakest link and the break-even values."""

from __future__ import annotations

from math import inf

from modellint.engineering.load_levels import load_level
from modellint.graph.lever_arms import tension_line
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure
from modellint.measures.chain_links import Link, links_of
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, unknown, word
from modellint.measures.schedule_rows import tie_mark_of, tie_row
from modellint.roles.part import Rung


def level_at(end: WallEnd, ask: Ask) -> str:
    """Load level of the end's demand; without one, the level of the tie's row in the hold-down schedule."""
    demand = ask.measure("uplift_demand", end)
    if demand.level or demand.known:
        return demand.level
    tie = tension_line(end)
    row = tie_row(ask, tie_mark_of(tie, ask)) if tie is not None else None
    return load_level(row.get("level") or "") if row is not None else ""


def end_links(end: WallEnd, ask: Ask) -> tuple[Link, ...]:
    """Links of the end's tension path with their capacities."""
    return links_of(end, level_at(end, ask), ask)


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


@measure("force", of="wall_end", example="22 kN by its tie-down; 0 to 22 kN while the anchorage is not known")
def chain_capacity(end: WallEnd, ask: Ask) -> Quantity:
    """Pull that the weakest link from this end's post to the tie or concrete below takes, newtons.

    Links whose capacity is not known widen it down to zero. The weakest link's name is in `weakest_link`.
    """
    links = end_links(end, ask)
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
    above stay as they are.
    """
    demand, capacity, arm = (
        ask.measure(name, end) for name in ("uplift_demand", "chain_capacity", "lever_arm")
    )
    facts = (*demand.evidence, *arm.evidence)
    if not (demand.known and arm.known) or capacity.high == inf or demand.low <= 0:
        return unknown("length", *(demand.missing or arm.missing or capacity.missing))
    above = 0.0
    if not ask.measure("uplift_given", end).known:
        above = sum(
            ask.measure("net_uplift", upper).low for upper in end.above if upper.line.shear is not None
        )
    own = (demand.low - above) * arm.low
    ways = [
        arm.low - own / (limit - above) if limit > above else -inf for limit in (capacity.low, capacity.high)
    ]
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
