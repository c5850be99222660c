"""Measures of how far a shear wall leans at its top under the shear it must carry."""

from __future__ import annotations

from math import inf

from modellint.engineering.sheathing_table import apparent_stiffness
from modellint.engineering.wall_deflection import SOURCES, three_term_deflection
from modellint.engineering.wood_species import SPECIES
from modellint.graph.continuous_rod import is_continuous
from modellint.graph.lever_arms import compression_post, post_thickness, tension_line
from modellint.graph.wall_nodes import WallEnd, WallSegment
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.measures.schedule_rows import tie_mark_of, tie_row, wall_row
from modellint.measures.sheathing_facts import face_of, faces
from modellint.measures.wall_loads import line_loads, method_of_wall
from modellint.measures.wood import species_of
from modellint.roles.part import Rung


@measure("truth", of="wall_segment", example="true where the wall-demand schedule gives the wall's storey shear")
def wall_shear_given(segment: WallSegment, ask: Ask) -> Quantity:
    """Whether a storey shear is given for the wall."""
    return truth(bool(line_loads(segment.line, ask)))


@measure("length", of="wall_end", example="2.4 mm for a device that gives 3 mm at 22 kN and is pulled by 17.6 kN")
def anchorage_slip(end: WallEnd, ask: Ask) -> Quantity:
    """How far the pulled end lifts at its pull, metres: the device's own give, or a continuous rod's movement.

    The give of a device at its allowable tension comes from the hold-down schedule (device_slip) and is taken in
    proportion to the pull (arithmetic). Crushing of plates and shrinkage beside a device are not in it.
    """
    if is_continuous(end):
        return ask.measure("rod_movement", end)
    tie, pull = tension_line(end), ask.measure("uplift_demand", end)
    row = tie_row(ask, tie_mark_of(tie, ask)) if tie is not None else None
    slip, rated = (row.get("device_slip"), row.get("allowable_tension")) if row is not None else (None, None)
    if row is None or slip is None or not rated:
        lacking = Missing("device slip", "the tie-downs", "give device_slip in the hold-down schedule")
        return unknown("length", lacking, low=0.0)
    seen = Evidence(f"hold-down schedule, line {row.line}: gives at its allowable tension", float(slip), "length",
                    Rung.SCHEDULED)
    low, high = (max(bound, 0.0) * float(slip) / float(rated) for bound in (pull.low, pull.high))
    return Quantity("length", low, high, rung=min(pull.rung, Rung.SCHEDULED), evidence=(seen, *pull.evidence),
                    missing=pull.missing)


@measure("length", of="wall_segment", example="5.5 mm, of which 0.3 mm bending, 2.1 mm shear and 3.1 mm slip")
def wall_deflection(segment: WallSegment, ask: Ask) -> Quantity:
    """Deflection at the top of a segmented wall at its unit shear, metres (SDPWS Eq. 4.3-1, from memory).

    8 v h3 / (E A b) + v h / (1000 G_a) + h D_a / b: bending of the end posts, shear of panels and nails, and the slip
    of the anchorage. What is not known of the slip leaves the total open upward. The load level is that of the shear:
    a limit for seismic drift asks for strength level.
    """
    shear, method = ask.measure("unit_shear", segment), method_of_wall(segment.line, ask)
    if method != "segmented":
        lacking = Missing(f"deflection of the {method.replace('_', ' ')} wall", segment.line.said, "ask the engineer")
        return unknown("length", lacking, low=0.0)
    stiffness, missing = _stiffness(segment, ask)
    post, wood = _post(segment, ask)
    modulus = SPECIES[wood].modulus if wood else None
    if segment.top <= segment.sole or segment.length <= 0:
        return unknown("length", Missing("shape", segment.name, "draw the wall with its plates"), low=0.0)
    if not shear.known or stiffness is None or post is None or modulus is None:
        facts = shear.missing if not shear.known else missing if stiffness is None else (
            Missing("wood species of the posts", "the building", "name the wood of the end posts"),)
        return unknown("length", *facts, low=0.0)
    slips = [ask.measure("anchorage_slip", end) for end in segment.ends]
    low, high = (max(bounds) for bounds in zip(*((slip.low, slip.high) for slip in slips), strict=True))
    parts = three_term_deflection(shear.low, segment.top - segment.sole, segment.length, modulus=modulus,
                                  post_area=post, stiffness=stiffness, anchorage_slip=max(low, 0.0))
    turned = (segment.top - segment.sole) / segment.length
    least = parts.bending + parts.shear + turned * max(low, 0.0)
    most = inf if high == inf else parts.bending + parts.shear + turned * high
    seen = (
        *shear.evidence,
        Evidence("bending of the end posts", parts.bending, "length"),
        Evidence("shear of panels and nails", parts.shear, "length"),
        Evidence("by slip of the anchorage, at least", turned * max(low, 0.0), "length"),
        Evidence(SOURCES["three_term_deflection"].words()),
    )
    facts = tuple(dict.fromkeys(fact for slip in slips for fact in slip.missing)) if least < most else ()
    return between(least, most, "length", *seen, missing=facts, rung=min(shear.rung, Rung.INFERRED))


def _stiffness(segment: WallSegment, ask: Ask) -> tuple[float | None, tuple[Missing, ...]]:
    """G_a of all sheathed faces [N/m], or what is missing."""
    face, missing = face_of(segment, ask)
    row = wall_row(ask, segment.line)
    words = str(row.get("sheathing_grade") or "").lower() if row is not None else ""
    panel = "osb" if "osb" in words or "oriented strand" in words else "plywood" if "plywood" in words else ""
    if face is None or not panel:
        return None, missing or (Missing("sheathing grade", segment.line.said, "say OSB or plywood in the schedule"),)
    try:
        return faces(segment, ask) * apparent_stiffness(face, panel), ()
    except ValueError as error:
        return None, (Missing("a row of the table", segment.name, str(error)),)


def _post(segment: WallSegment, ask: Ask) -> tuple[float | None, str]:
    """Least section of the end posts [m2] and their wood; None where one is not drawn."""
    areas, woods = [], set()
    for end in segment.ends:
        post = compression_post(end)
        thick = post_thickness(end, post) if post is not None else None
        if post is None or post.box is None or not thick:
            return None, ""
        ask.part(post)
        across = end.line.across(post.box.corners)
        areas.append(thick * (float(across.max()) - float(across.min())))
        woods.add(species_of([post]))
    return min(areas), woods.pop() if len(woods) == 1 else ""


@measure("length", of="wall_segment", example="12 mm in the shear-wall schedule")
def deflection_limit(segment: WallSegment, ask: Ask) -> Quantity:
    """Largest deflection at the top of the wall as the shear-wall schedule gives it, metres."""
    row = wall_row(ask, segment.line)
    value = row.get("deflection_limit") if row is not None else None
    if row is None or value is None:
        lacking = Missing("deflection limit", "the shear walls", "give deflection_limit in the shear-wall schedule")
        return unknown("length", lacking, low=0.0)
    seen = Evidence(f"shear-wall schedule, line {row.line}", float(value), "length", Rung.SCHEDULED)
    return exact(float(value), "length", seen, rung=Rung.SCHEDULED)
