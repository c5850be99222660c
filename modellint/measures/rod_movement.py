"""Measures of how far a storey lifts on its continuous rod: stretch, shrinkage of the wood, take-up devices."""

from __future__ import annotations

from math import inf

from modellint.engineering.rod import elongation, stress_area
from modellint.engineering.shrinkage import storey_shrinkage
from modellint.graph.boxed import boxed
from modellint.graph.continuous_rod import is_continuous, plates_of, take_ups_of
from modellint.graph.foundation import embedment, foundations
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure
from modellint.measures.chain_links import rod_diameter
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.measures.rod_run import rods_of
from modellint.measures.schedule_rows import rod_run_row
from modellint.roles.part import Part, Rung

PLATES = ("sill_plate", "bottom_plate", "top_plate", "plate")
# joists and rims this near a rod shrink beside it, metres (common practice, no source)
BESIDE = 0.6
# joists of these words hardly shrink across their depth (common practice, no source)
ENGINEERED = ("i-joist", "i joist", "lvl", "lsl", "psl", "laminated", "glulam", "engineered", "truss", "steel")


def _levels(end: WallEnd, ask: Ask) -> tuple[float, float] | None:
    """Between which levels this storey's pull stretches the rod: the plate below or the concrete, and the plate."""
    plates = [part for part in plates_of(end) if part.box is not None]
    if not plates:
        return None
    top = min(float(part.box.low[2]) for part in plates if part.box is not None)
    if end.below is not None:
        lower = [part for part in plates_of(end.below) if part.box is not None]
        return (max(float(part.box.high[2]) for part in lower if part.box is not None), top) if lower else None
    rods = [rod for rod in rods_of(end) if rod.axis is not None]
    if not rods:
        return None
    lowest = min(rods, key=lambda rod: float(rod.axis[:, 2].min()) if rod.axis is not None else 0.0)
    assert lowest.axis is not None
    deep, _ = embedment(foundations(ask.house), lowest.axis)
    return (float(lowest.axis[:, 2].min()) + deep, top) if deep > 0 else None


def flexibility(end: WallEnd, ask: Ask) -> float | None:
    """Stretch of this storey's rod for each newton of pull [m/N], by the stress area of its thread; None if unknown."""
    levels = _levels(end, ask)
    if levels is None:
        return None
    total, covered = 0.0, 0.0
    for rod in rods_of(end):
        wide = rod_diameter(rod, ask)
        if rod.box is None or wide is None:
            continue
        ask.part(rod)
        length = max(min(float(rod.box.high[2]), levels[1]) - max(float(rod.box.low[2]), levels[0]), 0.0)
        try:
            total += elongation(1.0, length, stress_area(wide))
        except ValueError:
            return None
        covered += length
    return total if covered >= 0.9 * (levels[1] - levels[0]) > 0 else None


@measure("length", of="wall_end", example="1.4 mm for 14.5 kN in 2.8 m of a 5/8 in rod")
def rod_stretch(end: WallEnd, ask: Ask) -> Quantity:
    """Elastic stretch of a continuous rod over this storey at its pull, metres: P L / (A E) of each piece.

    From the plate below (or the concrete) to this storey's plate, by the stress area of the thread (common practice
    for fully threaded rod, no source) and E = 29,000 ksi (AISC 360).
    """
    give, pull = flexibility(end, ask), ask.measure("uplift_demand", end)
    if give is None:
        lacking = Missing("rod run", end.name, "draw rod pieces, plates and diameters of the run")
        return unknown("length", lacking, low=0.0)
    low, high = max(pull.low, 0.0) * give, max(pull.high, 0.0) * give if pull.high < inf else inf
    seen = Evidence("stretch of the rod for each kN, P L / (A E)", 1000.0 * give, "length")
    return Quantity("length", low, high, rung=min(pull.rung, Rung.INFERRED) if pull.known else pull.rung,
                    evidence=(*pull.evidence, seen), missing=pull.missing)


@measure("length", of="wall_end", example="3.6 mm for two storeys of 1.4 and 2.2 mm")
def rod_stretch_total(end: WallEnd, ask: Ask) -> Quantity:
    """Elastic stretch of a continuous rod from the foundation to this storey's plate, metres."""
    own = ask.measure("rod_stretch", end)
    if end.below is None or not is_continuous(end.below):
        return own
    return _sum(own, ask.measure("rod_stretch_total", end.below))


def _sum(one: Quantity, other: Quantity) -> Quantity:
    return Quantity("length", one.low + other.low, one.high + other.high, rung=min(one.rung, other.rung),
                    evidence=(*one.evidence, *other.evidence),
                    missing=tuple(dict.fromkeys((*one.missing, *other.missing))))


def _plates_at(end: WallEnd, ask: Ask) -> list[float]:
    point = end.bearing_plates[0].box.centre if end.bearing_plates and end.bearing_plates[0].box else end.point
    found = []
    for plate in boxed(ask.house, *PLATES).over(float(point[0]), float(point[1]), 0.0):
        if plate.box is not None and end.segment.sole - 0.02 <= float(plate.box.centre[2]) <= end.segment.top + 0.02:
            ask.part(plate)
            found.append(float(plate.box.high[2] - plate.box.low[2]))
    return found


def _joist_depth(end: WallEnd, ask: Ask) -> tuple[float, float, str]:
    """Least and greatest depth of sawn wood in the floor under this storey, and what was seen."""
    if end.below is None:
        return 0.0, 0.0, "on the foundation"
    low, high = end.below.segment.top, end.segment.sole
    if high - low < 0.02:
        return 0.0, 0.0, "no floor between the plates"
    x, y = float(end.point[0]), float(end.point[1])
    near = [part for part in boxed(ask.house, "joist", "rim", "blocking").over(x, y, BESIDE)
            if part.box is not None and low - 0.02 <= float(part.box.centre[2]) <= high + 0.02]
    if not near:
        return 0.0, high - low, "no joist is drawn beside it"
    sawn = [part for part in near if not _engineered(part)]
    depth = max((float(part.box.high[2] - part.box.low[2]) for part in sawn if part.box is not None), default=0.0)
    for part in near:  # all of them: a choice by key would change with the next export
        ask.part(part)
    return depth, depth, min(part.name for part in sawn or near)


def _engineered(part: Part) -> bool:
    words = " ".join((part.name, part.element.type_name, *part.element.materials)).lower()
    return any(word in words for word in ENGINEERED)


@measure("length", of="wall_end", example="7.3 mm for three plates and a joist of 302 mm, from 19 to 12 % moisture")
def floor_shrinkage(end: WallEnd, ask: Ask) -> Quantity:
    """Shrinkage of the wood across the grain at this storey, metres: sole, top plates and the floor's sawn joists.

    By the general settings moisture_built and moisture_service, at 0.25 % for each point (West Coast lumber grading
    rules); studs, decks and engineered joists are left out.
    """
    plates, joist = _plates_at(end, ask), _joist_depth(end, ask)
    built, later = (
        min(100 * max(ask.house.limit(name, share), 0.0), 100.0)
        for name, share in (("moisture_built", 0.19), ("moisture_service", 0.12))
    )
    low, high = (storey_shrinkage([*plates, depth], built, min(later, built)) for depth in joist[:2])
    seen = (
        Evidence(f"{len(plates)} plates and {joist[2]}", sum(plates) + joist[1], "length"),
        Evidence(f"moisture from {built:g} to {later:g} %, 0.25 % of the depth for each point"),
    )
    if not plates:
        missing = Missing("plates", end.name, "draw sole and top plates")
        return between(low, inf, "length", *seen, missing=(missing,), rung=Rung.INFERRED)
    lacking = () if low == high else (Missing("joists", "the building", "draw the floor joists, named by their kind"),)
    return between(low, high, "length", *seen, missing=lacking, rung=Rung.INFERRED)


@measure("length", of="wall_end", example="14.6 mm at the second floor of a stack")
def shrinkage_below(end: WallEnd, ask: Ask) -> Quantity:
    """Shrinkage from the foundation up to this storey's plate, metres: what a take-up device there must follow."""
    own = ask.measure("floor_shrinkage", end)
    if end.below is None:
        return own
    return _sum(own, ask.measure("shrinkage_below", end.below))


@measure("length", of="wall_end", example="1.4 mm with a take-up device, 8.7 mm without")
def rod_movement(end: WallEnd, ask: Ask) -> Quantity:
    """How far the storey can lift on its continuous rod before it holds, metres: stretch and slack of this storey.

    Slack is this storey's shrinkage, unless a take-up device stands on its plate: then what the shrinkage from the
    foundation up exceeds the device's travel, which the rod-run schedule gives. Device and nut count as rigid.
    """
    stretch, own = ask.measure("rod_stretch", end), ask.measure("floor_shrinkage", end)
    devices, row = take_ups_of(end), rod_run_row(ask, end.line)
    low, high, seen, lacking = own.low, own.high, list(own.evidence), list(own.missing)
    if devices:
        ask.part(devices[0])
        travel = row.get("take_up_travel") if row is not None else None
        if travel is None:
            low, high = 0.0, own.high
            lacking.append(Missing("take-up travel", "the continuous rods", "give take_up_travel (rod-run schedule)"))
        else:
            below = ask.measure("shrinkage_below", end)
            low, high = (min(max(depth - travel, 0.0), most) for depth, most in ((below.low, own.low),
                                                                                  (below.high, own.high)))
            lacking = list(below.missing) if low < high else []
        seen.append(Evidence(f"{devices[0].name} on the plate", travel, "length" if travel is not None else "",
                             Rung.SCHEDULED, devices[0].element.global_id))
    missing = tuple(dict.fromkeys((*stretch.missing, *(lacking if low < high else ()))))
    return Quantity("length", stretch.low + low, stretch.high + high, rung=min(stretch.rung, own.rung),
                    evidence=(*stretch.evidence, *seen), missing=missing)


@measure("truth", of="wall_end", example="true where the rod-run schedule gives a movement limit for this storey")
def movement_limit_given(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the rod-run schedule says how far this storey may move."""
    row = rod_run_row(ask, end.line)
    return truth(row is not None and row.get("movement_limit") is not None)


@measure("length", of="wall_end", example="5 mm in the rod-run schedule")
def movement_allowed(end: WallEnd, ask: Ask) -> Quantity:
    """How far this storey may move on its rod as the rod-run schedule says, metres."""
    row = rod_run_row(ask, end.line)
    value = row.get("movement_limit") if row is not None else None
    if row is None or value is None:
        return unknown("length", Missing("movement limit", end.name, "give movement_limit in the schedule"), low=0.0)
    seen = Evidence(f"rod-run schedule, line {row.line}", float(value), "length", Rung.SCHEDULED)
    return exact(float(value), "length", seen, rung=Rung.SCHEDULED)
