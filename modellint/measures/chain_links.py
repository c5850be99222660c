"""Capacity of each link of a wall end's way down: rated by the schedule, worked out, or unknown.

The row of a hold-down schedule is the engineer's set: device, rod, post and anchorage. A part is worth the
allowable tension of the best row whose demand on that part it meets; so a larger device on an old anchor is
worth the old anchor. A rod of stated grade and a bearing plate on wood of known species are worked out
instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf
from typing import Any

from modellint.engineering.concrete_breakout import Anchor, breakout, resistance_factor
from modellint.engineering.load_combinations import combination
from modellint.engineering.load_levels import hazard_of, holds_for, load_level, method_of
from modellint.engineering.rod import GRADES, tension_strength
from modellint.engineering.wood_bearing import bearing_strength, washer_area
from modellint.graph.foundation import embedment, foundations, reaches_inside
from modellint.graph.lever_arms import post_thickness, tension_line
from modellint.graph.wall_nodes import ChainStep, WallEnd
from modellint.measures.ask import Ask
from modellint.measures.given_twice import capacity_statements
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, unknown
from modellint.measures.schedule_rows import rod_run_row, tie_mark_of, tie_rows, tie_rows_of
from modellint.measures.wall_loads import LoadCase, supposed
from modellint.measures.wood import species_of
from modellint.roles.part import Part, Rung
from modellint.roles.shapes import radius_of

# how much smaller a drawn part may be than its schedule says: labels round 5/8 in to 15.9 mm and 3 in to 76
# mm
ROD_SLACK, WOOD_SLACK = 0.0003, 0.001
# two statements of one capacity this near each other differ by rounding (common practice, no source)
SAME = 0.02
# edges further away than this do not weaken an anchor in a house's footing, metres (common practice, no
# source)
FAR = 1.0


@dataclass(frozen=True)
class Link:
    """One link of the tension path at a wall end with what it takes."""

    name: str
    storey: str
    capacity: Quantity
    parts: tuple[Part, ...] = ()


def own_steps(end: WallEnd) -> tuple[ChainStep, ...]:
    """The steps of the chain that carry this storey's pull: down to the tie under its floor."""
    return tuple(
        step
        for step in end.steps
        if step.end is end or (step.end is end.below and step.slot in {"top tie", "post"})
    )


def links_of(end: WallEnd, level: str, ask: Ask) -> tuple[Link, ...]:
    """Links of this storey's tension path from the top, with capacities at a load level."""
    links: tuple[Link, ...] = ask.once(f"links at {level}", end, lambda end, ask: _links_of(end, level, ask))
    return links


def _links_of(end: WallEnd, level: str, ask: Ask) -> tuple[Link, ...]:
    found: dict[str, Link] = {}
    for step in own_steps(end):
        if step.state != "joined":
            found[step.key] = Link(
                step.slot,
                step.end.line.storey,
                unknown(
                    "force",
                    Missing(f"unbroken {step.slot}", step.end.name, f"draw or state the {step.slot}"),
                    low=0.0,
                ),
                step.pieces,
            )
        for part in step.pieces:
            if part.key not in found:
                made = _link(part, step, level, ask)
                if made is not None:
                    found[part.key] = made
    return tuple(found.values())


def _link(part: Part, step: ChainStep, level: str, ask: Ask) -> Link | None:
    makers: tuple[tuple[str, Callable[[Part, ChainStep, str, Ask], Quantity]], ...] = (
        ("hold_down", _device),
        ("strap", _device),
        ("coupler", _coupler),
        ("bearing_plate", _plate),
        ("rod", _rod),
        ("post", _post),
    )
    for role, maker in makers:
        if part.has(role):
            ask.part(part)
            return Link(part.name, step.end.line.storey, maker(part, step, level, ask), (part,))
    if step.kind == "embedded_in" and part is step.pieces[-1]:
        return Link(
            f"anchorage in {part.name}", step.end.line.storey, _anchorage(step, level, ask), step.pieces
        )
    return None


def _stated_capacity(part: Part, level: str, ask: Ask) -> Quantity | None:
    stated = ask.house.stated(part, "tension_capacity")
    if stated is None:
        return None
    said = ask.house.stated(part, "load_level")
    own = load_level(str(said.value)) if said is not None else ""
    return exact(
        float(stated.value),
        "force",
        Evidence(stated.where, float(stated.value), "force", stated.rung, part.element.global_id),
        rung=stated.rung,
        level=level if holds_for(own, level) else own,
    )


def _device(part: Part, _step: ChainStep, level: str, ask: Ask) -> Quantity:
    found = _stated_or_scheduled(part, level, ask)
    if found is not None:
        return found
    return unknown("force", Missing("tension capacity", part.name, "fill in the hold-down schedule"), low=0.0)


def _stated_or_scheduled(part: Part, level: str, ask: Ask) -> Quantity | None:
    """What schedule rows and properties say of a device; a range where two of them disagree."""
    said = capacity_statements(part, ask)
    fitting = [row for row in said if holds_for(row[1], level)]
    if not fitting:
        return exact(said[0][0], "force", said[0][2], rung=said[0][2].rung, level=said[0][1]) if said else None
    low, high = min(row[0] for row in fitting), max(row[0] for row in fitting)
    facts, rung = tuple(row[2] for row in fitting), min(row[2].rung for row in fitting)
    if high - low <= SAME * high:
        return exact(fitting[0][0], "force", fitting[0][2], rung=fitting[0][2].rung, level=level)
    lacking = Missing("tension capacity", part.name, "two sources disagree; say which one holds")
    return between(low, high, "force", *facts, missing=(lacking,), rung=rung, level=level)


def _coupler(part: Part, step: ChainStep, level: str, ask: Ask) -> Quantity:
    """What a coupler takes: as the rod-run schedule or a property gives it. No source lets it count as the rod."""
    found = None if supposed(ask.house.stated(part, "tension_capacity")) else (
        run_value(step.end, "coupler_tension", level, ask))
    found = found or _stated_or_scheduled(part, level, ask)
    return found if found is not None else unknown(
        "force", Missing("coupler capacity", "the continuous rods",
                         "give coupler_tension in the rod-run schedule, or the coupler's tension capacity"), low=0.0)


def run_value(end: WallEnd, column: str, level: str, ask: Ask) -> Quantity | None:
    """A force of the rod-run schedule for the continuous rods of this wall and storey, None if not given."""
    row = rod_run_row(ask, end.line)
    if row is None or row.get(column) is None:
        return None
    value, own = float(row.get(column)), load_level(row.get("level") or "")
    seen = Evidence(f"{column.replace('_', ' ')}; rod-run schedule, line {row.line}", value, "force", Rung.SCHEDULED)
    return exact(value, "force", seen, rung=Rung.SCHEDULED, level=level if holds_for(own, level) else own)


def _of_row(row: Any, level: str, what: str = "") -> Quantity:
    value, own = float(row.get("allowable_tension")), load_level(row.get("level") or "")
    about = f"{what} as row {row.get('mark')} asks" if what else f"allowable tension of {row.get('mark')}"
    return exact(
        value,
        "force",
        Evidence(f"{about}; hold-down schedule, line {row.line}", value, "force", Rung.SCHEDULED),
        rung=Rung.SCHEDULED,
        level=level if holds_for(own, level) else own,
    )


def rated(level: str, what: str, meets: Callable[[Any], bool], ask: Ask) -> Quantity | None:
    """The allowable tension of the best row of the hold-down schedule whose demand on one part is met."""
    rows = [
        row
        for row in tie_rows(ask)
        if row.get("allowable_tension") is not None
        and meets(row)
        and (not level or holds_for(load_level(row.get("level") or ""), level))
    ]
    best = max(rows, key=lambda row: (float(row.get("allowable_tension")), -row.line), default=None)
    return _of_row(best, level, what) if best is not None else None


def rod_diameter(rod: Part, ask: Ask) -> float | None:
    """Stated diameter of a rod, else the drawn one, metres."""
    stated = ask.house.stated(rod, "rod_diameter")
    if stated is not None:
        return float(stated.value)
    radius = radius_of(rod)
    return 2 * radius if radius else None


def grade_of(text: str) -> str:
    """A key of `rod.GRADES` from words such as "ASTM F1554 Gr. 36"; "" if none."""
    numbers = re.findall(r"[AF]\d+|\d+", text.upper())
    joined = "-".join(number for number in numbers if number in {"F1554", "36", "55", "105"})
    return joined if joined in GRADES else next((number for number in numbers if number in GRADES), "")


def rod_grade_of(rod: Part, end: WallEnd, ask: Ask) -> tuple[str, str, Rung]:
    """Grade of a rod as a key of `rod.GRADES`, where it is said and how well: its own, else the rod-run schedule's."""
    stated, row = ask.house.stated(rod, "rod_grade"), rod_run_row(ask, end.line)
    if stated is not None and grade_of(str(stated.value)):
        return grade_of(str(stated.value)), stated.where, stated.rung
    if row is not None and grade_of(str(row.get("rod_grade") or "")):
        return grade_of(str(row.get("rod_grade"))), f"rod-run schedule, line {row.line}", Rung.SCHEDULED
    return "", "", Rung.GUESSED


def _rod(rod: Part, step: ChainStep, level: str, ask: Ask) -> Quantity:
    diameter, row = rod_diameter(rod, ask), rod_run_row(ask, step.end.line)
    grade, where, rung = rod_grade_of(rod, step.end, ask)
    if diameter and grade and method_of(level):
        value = tension_strength(diameter, grade, method_of(level))
        said = f"{rod.name}: {where}, {1000 * diameter:.1f} mm, AISC 360 J3.6"
        seen = Evidence(said, value, "force", rung, rod.element.global_id)
        return exact(value, "force", seen, rung=rung, level=level)
    asked = row.get("rod_diameter") if row is not None else None
    if diameter and asked is not None and diameter >= asked - ROD_SLACK:
        of_run = run_value(step.end, "rod_tension", level, ask)
        if of_run is not None:
            return of_run
    hint = "state the rod's diameter and grade, or the rod in the hold-down schedule"
    what, missing = f"rod of {1000 * (diameter or 0):.1f} mm", Missing("rod grade", rod.name, hint)
    return _rated_by(step, level, what, "rod_diameter", diameter, ROD_SLACK, missing, ask)


def _post(post: Part, step: ChainStep, level: str, ask: Ask) -> Quantity:
    thick = post_thickness(step.end, post)
    missing = Missing("post of the tie", post.name, "give the least post in the hold-down schedule")
    what = f"post of {1000 * (thick or 0):.0f} mm"
    return _rated_by(step, level, what, "minimum_post_thickness", thick, WOOD_SLACK, missing, ask)


def _rated_by(step: ChainStep, level: str, what: str, column: str, size: float | None, slack: float,
              missing: Missing, ask: Ask) -> Quantity:
    """What the best row of the hold-down schedule whose least size a part has is worth; else not known.

    Only a least value where the row of the tie-down at this end gives more and does not say the size for it.
    """

    def meets(row: Any) -> bool:
        return size is not None and row.get(column) is not None and size >= row.get(column) - slack

    found, tie = rated(level, what, meets, ask), tension_line(step.end)
    if found is None:
        return unknown("force", missing, low=0.0)
    own = tie_rows_of(ask, tie_mark_of(tie, ask)) if tie is not None and tie.has("hold_down") else ()
    if any(row.get(column) is None and (row.get("allowable_tension") or 0.0) > found.high for row in own):
        return replace(found, high=inf, missing=(missing,))
    return found


def _plate(plate: Part, step: ChainStep, level: str, ask: Ask) -> Quantity:
    """What a rod's plate holds, with the pull of the storeys above, which their own plates put into the rod.

    Scheduled or stated, else bearing across the grain of the top plates (NDS 2018 3.10.2) with C_b taken as 1, ASD
    only.
    """
    own = run_value(step.end, "plate_bearing", level, ask) or _stated_capacity(plate, level, ask)
    if own is None:
        own = _bearing(plate, step, level, ask)
    uppers = [ask.measure("uplift_demand_in", upper, LoadCase(level))
              for upper in step.end.above if upper.line.shear is not None]
    return replace(
        own, low=own.low + sum(row.low for row in uppers), high=own.high + sum(row.high for row in uppers)
    )


def _bearing(plate: Part, step: ChainStep, level: str, ask: Ask) -> Quantity:
    rod = next((part for part in step.pieces if part.has("rod")), None)
    wood = species_of(
        part
        for part in ask.house.with_role("top_plate")
        if part.box is not None and step.end.segment.sole <= float(part.box.centre[2]) <= step.end.segment.top
    )
    if rod is None or plate.box is None or not wood or method_of(level) != "ASD":
        return unknown(
            "force",
            Missing("wood species of the plates", plate.name, "name the wood of the top plates"),
            low=0.0,
        )
    sides = sorted(2 * float(half) for half in plate.box.half)[1:]
    try:
        area = washer_area(sides[0], (rod_diameter(rod, ask) or 0.0) + 0.0016, sides[1])
        value = bearing_strength(area, wood)
    except ValueError:
        return unknown("force", Missing("bearing of the plate", plate.name, "give its capacity"), low=0.0)
    return exact(
        value,
        "force",
        Evidence(
            f"bearing of {plate.name} on {wood}, NDS 2018 3.10.2",
            value,
            "force",
            Rung.INFERRED,
            plate.element.global_id,
        ),
        rung=Rung.INFERRED,
        level=level,
    )


def anchor_edges(rod: Part, end: WallEnd, ask: Ask) -> tuple[float, float, float, float] | None:
    """Distances from the rod to the edges of its concrete: along, across, back along, back across."""
    import numpy as np

    ground = foundations(ask.house)
    if rod.axis is None or not ground:
        return None
    foot = rod.axis[int(np.argmin(rod.axis[:, 2]))]
    length, holder = embedment(ground, rod.axis)
    if holder is not None:
        ask.part(holder)
    point = np.array([foot[0], foot[1], foot[2] + min(length, 0.3) / 2])
    along, across = np.append(end.line.direction, 0.0), np.append(end.line.normal, 0.0)
    ways = np.array([along, across, -along, -across])
    found = reaches_inside(ground, np.broadcast_to(point, (4, 3)), ways, FAR)
    return (found[0], found[1], found[2], found[3])


def _anchorage(step: ChainStep, level: str, ask: Ask) -> Quantity:
    rod = step.pieces[0]
    if not rod.has("rod") or rod.axis is None:
        return unknown("force", Missing("anchorage", rod.name, "draw the anchor"), low=0.0)
    deep, holder = embedment(foundations(ask.house), rod.axis)
    if holder is not None:
        ask.part(holder)
    edges, diameter = anchor_edges(rod, step.end, ask), rod_diameter(rod, ask)
    edge = min(edges) if edges else 0.0

    def meets(row: Any) -> bool:
        asked, near = row.get("anchor_embedment"), row.get("anchor_edge_distance")
        wide = row.get("rod_diameter")
        return (
            asked is not None
            and deep >= asked - 1e-4
            and (near is None or edge >= near - 1e-4)
            and (wide is None or (diameter is not None and diameter >= wide - ROD_SLACK))
        )

    found = rated(
        level, f"anchorage {1000 * deep:.0f} mm deep, {1000 * edge:.0f} mm from the edge", meets, ask
    )
    if found is not None:
        return found
    missing = Missing(
        "anchorage", rod.name, "give the engineer's embedment and edge distance in the hold-down schedule"
    )
    limit = _screening(step, deep, edges, level, ask)
    if limit is None:
        return unknown("force", missing, low=0.0)
    return between(0.0, limit[0], "force", limit[1], missing=(missing,), rung=Rung.INFERRED, level=level)


def _screening(
    step: ChainStep, deep: float, edges: tuple[float, float, float, float] | None, level: str, ask: Ask
) -> tuple[float, Evidence] | None:
    """Most that concrete breakout of one cast-in anchor lets through: screening only, an upper bound.

    ACI 318-19 17.6.2 gives strength; at allowable level it is cut by the factor on the lateral load (ASCE 7),
    which any dead load that is counted could only lower further.
    """
    holder = step.pieces[-1]
    stated = ask.house.stated(holder, "concrete_strength")
    if stated is None or edges is None or deep <= 0 or min(edges) <= 0 or not hazard_of(level):
        return None
    open_edges = tuple(inf if edge >= FAR else edge for edge in edges)
    strength = resistance_factor("cast_in") * breakout(
        Anchor(deep, (open_edges[0], open_edges[1], open_edges[2], open_edges[3]), float(stated.value))
    )
    factor = (
        1.0 if method_of(level) == "LRFD" else combination("uplift", "ASD", hazard_of(level), 0.0).lateral
    )
    return strength * factor, Evidence(
        f"screening of concrete breakout, ACI 318-19 17.6.2, {stated.where}",
        strength * factor,
        "force",
        Rung.INFERRED,
        holder.element.global_id,
    )
