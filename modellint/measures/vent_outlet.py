"""Measures of a vent's exit: height over the roof, and windows and doors round it."""

from __future__ import annotations

from math import inf, isfinite

from modellint.graph.openings_near import neighbours_within, straight_gap, string_between, surroundings_of
from modellint.graph.pipe_nodes import VentOutlet
from modellint.graph.roof_surface import height_above
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import (
    Evidence,
    Members,
    Missing,
    Quantity,
    between,
    exact,
    truth,
    unknown,
)
from modellint.roles.part import Part, Rung

# openings further from the exit than this are not listed; more than three times the 10 ft of the codes
SEARCH = 10.0


def _of(part: Part) -> str:
    return f"{part.name} ({part.element.global_id})"


def _no_place(outlet: VentOutlet, dimension: str) -> Quantity:
    return unknown(dimension, Missing("place of the exit", outlet.name, "draw the last pipe"))


@measure("length", "vent_outlet", example="305 mm; negative when the mouth lies under the roof")
def exit_above_roof(outlet: VentOutlet, ask: Ask) -> Quantity:
    """Vertical distance from the mouth down to the highest roof surface straight below the mouth's circle.

    Outside the roof's outline in plan it is the height over the nearest roof edge. Where no roof is drawn
    below,
    nothing is known.
    """
    point = outlet.end.point
    roof = next(iter(ask.house.nodes.get("roof_surface", ())), None)
    if point is None:
        return _no_place(outlet, "length")
    if roof is None or not roof.drawn:
        return unknown("length", Missing("roof surface", ask.house.name, "draw the roof"))
    found = height_above(roof, point, outlet.rim_radius or 0.0)
    if found.part is None:
        missing = Missing("roof surface", f"below the {outlet.name}", "draw the roof round the vent")
        return between(found.low, found.high, "length", missing=(missing,))
    ask.part(found.part)
    rung = min(outlet.rung, found.part.rung_as("roof"))
    where = (
        "straight below the mouth" if found.side == "over" else "at the nearest edge, the exit stands outside"
    )
    seen = (
        Evidence(
            f"highest roof surface {where}",
            float(point[2]) - found.low,
            "length",
            found.part.rung_as("roof"),
            found.part.element.global_id,
        ),
        Evidence(
            "mouth of the vent", float(point[2]), "length", outlet.rung, outlet.end.part.element.global_id
        ),
    )
    if isfinite(found.high):
        return exact(found.low, "length", *seen, rung=rung)
    missing = Missing(
        "roof surface", _of(found.part), "its cuts could not be carried out, the box may reach too high"
    )
    return between(found.low, inf, "length", *seen, missing=(missing,), rung=rung)


@measure("length", "vent_outlet", example="2 m above the ground under an exit on a low roof")
def exit_above_ground(outlet: VentOutlet, ask: Ask) -> Quantity:
    """Height of the mouth over the lowest storey's floor, which stands in for the ground."""
    from modellint.graph.storeys import storeys_of

    storeys = storeys_of(ask.house.model, ask.house.key)
    if outlet.end.point is None:
        return _no_place(outlet, "length")
    if not storeys:
        return unknown("length", Missing("ground level", ask.house.name, "give the storeys' elevations"))
    return exact(float(outlet.end.point[2]) - storeys[0].elevation, "length", rung=Rung.INFERRED)


@named_set("vent_outlet", gives="window")
def openings_near_exit(outlet: VentOutlet, ask: Ask) -> Members:
    """Windows and doors of the house within 10 m of the exit, nearest first.

    Complete when the model draws windows as a matter of course: at least two, all with a shape.
    """
    openings = surroundings_of(ask.house).openings
    if outlet.end.point is None:
        return Members((), False, (Missing("place of the exit", outlet.name, "draw the last pipe"),))
    near = _near(outlet, openings)
    undrawn = [part for part in openings if straight_gap(outlet, part) is None]
    stated = ask.house.completeness.get("window")
    missing = [Missing("shape", _of(part), "draw the opening") for part in undrawn]
    if not (stated.complete if stated is not None else len(openings) - len(undrawn) >= 2):
        missing.append(
            Missing("window", ask.house.name, "draw the windows and doors, or name the architect's model")
        )
    return Members(near, not missing, tuple(missing))


@named_set("vent_outlet", gives="window")
def neighbour_openings_near_exit(outlet: VentOutlet, ask: Ask) -> Members:
    """Windows and doors of other buildings in the model within 10 m of the exit; complete only if there
    are any."""
    around = surroundings_of(ask.house)
    near = _near(outlet, neighbours_within(ask.house, outlet, SEARCH))
    if around.neighbours:
        return Members(near)
    missing = Missing(
        "neighbouring buildings", ask.house.name, "say whether another building or dwelling stands near"
    )
    return Members(near, False, (missing,))


def _near(outlet: VentOutlet, openings: tuple[Part, ...]) -> tuple[Part, ...]:
    rows = [
        (round(gap, 4), part.key, part)
        for part in openings
        if (gap := straight_gap(outlet, part)) is not None and gap <= SEARCH
    ]
    return tuple(row[2] for row in sorted(rows, key=lambda row: row[:2]))


@measure(
    "length",
    "vent_outlet",
    item=("window", "door"),
    example="505 mm for an exit at 11.505 m over a top at 11.0 m",
)
def exit_above_opening_top(outlet: VentOutlet, opening: Part, ask: Ask) -> Quantity:
    """Height of the mouth over the top of an opening; negative when the opening reaches higher."""
    if outlet.end.point is None:
        return _no_place(outlet, "length")
    if opening.box is None:
        return unknown("length", Missing("shape", _of(opening), "draw the opening"))
    top = float(opening.box.high[2])
    rung = min(outlet.rung, _rung(opening))
    return exact(
        float(outlet.end.point[2]) - top,
        "length",
        Evidence(f"top of {opening.name}", top, "length", _rung(opening), opening.element.global_id),
        rung=rung,
    )


@measure("length", "vent_outlet", item=("window", "door"), example="2.45 m")
def string_distance(outlet: VentOutlet, opening: Part, ask: Ask) -> Quantity:
    """Shortest stretched string from the mouth's rim to the opening, not through roofs or walls.

    Straight where that is clear; else between the shortest way over any one edge and the shortest clear
    way over
    one edge. Roofs and walls that are not drawn are not in the way, so the true string may be longer.
    """
    found = string_between(ask.house, outlet, opening)
    if found is None:
        return unknown("length", Missing("shape", _of(opening), "draw the opening and the exit"), low=0.0)
    rung = min(outlet.rung, _rung(opening))
    seen = Evidence(
        f"string from the {outlet.name} to {opening.name}",
        found[0],
        "length",
        rung,
        opening.element.global_id,
    )
    if round(found[0], 4) == round(found[1], 4):
        return exact(found[0], "length", seen, rung=rung)
    missing = Missing("way round the roof", _of(opening), "measure the string over the ridge or edge")
    return between(*found, "length", seen, missing=(missing,), rung=rung)


@measure("truth", "vent_outlet", item=("window", "door"), example="false for fixed glazing")
def opening_opens(outlet: VentOutlet, opening: Part, ask: Ask) -> Quantity:
    """Whether the window or door opens; one that does not say so counts as opening, at rung inferred."""
    facts = piping_of(ask.house).facts
    rows = facts.readings(opening.element, "operable")
    stated = facts.flag(opening, "operable")
    if stated is not None:
        return truth(
            stated,
            Evidence(rows[0].where, None, "", rows[0].rung, opening.element.global_id),
            rung=rows[0].rung,
        )
    # the code counts "any window or other opening", so silence is read the cautious way
    return truth(
        True,
        Evidence(
            f"{opening.name} does not say whether it opens; counted as one that does",
            None,
            "",
            Rung.INFERRED,
            opening.element.global_id,
        ),
        rung=Rung.INFERRED,
    )


@measure("truth", "vent_outlet", item=("window", "door"), example="false for a window of the next house")
def same_dwelling(outlet: VentOutlet, opening: Part, ask: Ask) -> Quantity:
    """Whether the opening belongs to the vent's own building."""
    own = not opening.element.building or opening.element.building == ask.house.key or not ask.house.key
    return truth(
        own,
        Evidence(
            f"building of {opening.name}",
            opening.element.building or "not stated",
            "",
            Rung.DECLARED,
            opening.element.global_id,
        ),
    )


def _rung(opening: Part) -> Rung:
    return max(
        (opening.roles[role] for role in ("window", "door") if role in opening.roles), default=Rung.GUESSED
    )
