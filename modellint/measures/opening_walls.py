"""Measures of walls that are tied at the ends of the whole line only: perforated and force-transfer walls."""

from __future__ import annotations

from dataclasses import dataclass

from modellint.engineering.aspect_ratio import aspect_ratio, maximum_aspect_ratio
from modellint.engineering.load_levels import hazard_of, holds_for, load_level
from modellint.engineering.perforated_wall import counted_length, eligibility, opening_area, opening_factor
from modellint.graph.boxed import boxed
from modellint.graph.wall_nodes import WallEnd, WallLine, WallSegment
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.measures.schedule_rows import wall_row
from modellint.measures.sheathing_facts import edition, nominal_of
from modellint.measures.wall_loads import line_cases, method_of_wall
from modellint.roles.part import Rung

PANEL = "wood_structural_panel"
PERFORATED, FORCE_TRANSFER, PORTAL = "perforated", "force_transfer", "portal"
# walls tied at the ends of the line only, whose pull follows from the whole line
WHOLE_LINE = frozenset({PERFORATED, FORCE_TRANSFER})
# a panel stands over or under an opening when it covers this share of its width (common practice, no source)
COVERED = 0.5
# plates and wall ends this near each other lie at one level or edge, metres (common practice, no source)
LEVEL = 0.02


@dataclass(frozen=True)
class Bay:
    """A length of wall that is not full height: an opening with what is over and under it, metres."""

    start: float
    end: float
    height: float


def counts(segment: WallSegment) -> bool:
    """Whether the segment is long enough for its height to carry shear (SDPWS Table 4.3.4)."""
    if segment.top <= segment.sole or segment.length <= 0:
        return False
    ratio = aspect_ratio(segment.top - segment.sole, segment.length)
    return ratio <= maximum_aspect_ratio(PANEL) * (1 + 1e-9)


def height_of(line: WallLine) -> float:
    """Bottom of the soles to top of the top plates, metres."""
    return max(row.top for row in line.segments) - min(row.sole for row in line.segments)


def bays(line: WallLine) -> tuple[Bay, ...]:
    """What lies between the segments that count, from the start; a too narrow one counts as open in full."""
    height, found, reached = height_of(line), [], 0.0
    sole, top = min(row.sole for row in line.segments), max(row.top for row in line.segments)
    for segment in (*(row for row in line.segments if counts(row)), None):
        start = segment.start if segment is not None else line.length
        if start - reached > 1e-3:
            inside = [row for row in line.openings if row.start < start - 1e-3 and row.end > reached + 1e-3]
            narrow = any(reached - 1e-3 <= row.start < start - 1e-3 for row in line.segments)
            tall = max((min(row.top, top) - max(row.bottom, sole) for row in inside), default=height)
            found.append(Bay(reached, start, height if narrow else min(max(tall, 1e-3), height)))
        reached = segment.end if segment is not None else reached
    return tuple(found)


def _sheathed(line: WallLine, bay: Bay, ask: Ask) -> bool | None:
    """Whether panels stand over or under a bay's opening; None where no panel of the wall is drawn."""
    panels = boxed(ask.house, "sheathing").within(line, line.bottom, line.top, 0.05)
    if not panels:
        return None
    covered = 0.0
    for panel in panels:
        if panel.box is not None:
            ask.part(panel)
            along = line.along(panel.box.corners)
            covered += max(min(float(along.max()), bay.end) - max(float(along.min()), bay.start), 0.0)
    return covered >= COVERED * (bay.end - bay.start)


@measure("ratio", of="wall_line", example="0.82 for 9.8 m of full-height sheathing in 12.2 m with one window")
def opening_factor_of_wall(line: WallLine, ask: Ask) -> Quantity:
    """Factor C_o by which openings lower the strength of a perforated wall (SDPWS 2015 Eq. 4.3-5, 2021 Eq. 4.3-6).

    Openings count at least a third of the wall height, and all of it where nothing is sheathed over and under
    them. Where no sheathing is drawn both are possible.
    """
    sheathed = sum(row.length for row in line.segments if counts(row))
    year, height = edition(ask), height_of(line) if line.segments else 0.0
    if not sheathed or not year or height <= 0:
        return unknown("ratio", Missing("full-height length", line.said, "draw the wall with its openings"), low=0.0)
    areas, told = [0.0, 0.0], True
    for bay in bays(line):
        found = _sheathed(line, bay, ask)
        told = told and found is not None
        for side, as_sheathed in enumerate((found is not False, found is True)):
            areas[side] += opening_area(bay.end - bay.start, bay.height, height, as_sheathed)
    high, low = (opening_factor(line.length, sheathed, area, height, year) for area in areas)
    seen = (
        Evidence("full-height sheathing", sheathed, "length"),
        Evidence(f"openings counted at {areas[0]:.2f} to {areas[1]:.2f} m2, C_o of SDPWS {year}", high, "ratio"),
    )
    lacking = () if told else (
        Missing("sheathing over and under openings", "the building", "draw the panels over and under openings"),)
    return between(low, high, "ratio", *seen, missing=lacking, rung=Rung.INFERRED if low < high else Rung.DECLARED)


def counted(line: WallLine) -> float:
    """Σb: lengths of the full-height segments, those higher than twice their length at b times 2 b/h, metres."""
    height = height_of(line)
    return sum(counted_length(row.length, height) for row in line.segments if counts(row))


def equal_arm(line: WallLine, ask: Ask) -> tuple[float, float]:
    """C_o Σb: the lever arm at which V h makes the pull of a perforated wall (SDPWS 2021 4.3.6.1.3), metres."""
    factor = ask.measure("opening_factor_of_wall", line)
    if factor.high == float("inf"):
        return 0.0, line.length
    return factor.low * counted(line), factor.high * counted(line)


def far_end(end: WallEnd) -> WallEnd:
    """The other end of the whole line."""
    segment = end.line.segments[-1 if end.side == "start" else 0]
    return next(row for row in segment.ends if row.side != end.side)


@measure("choice", of=("wall_segment", "wall_line"), words=("segmented", "perforated", "force_transfer", "portal"),
         example="perforated where the schedule says so")
def wall_method(subject: WallSegment | WallLine, ask: Ask) -> Quantity:
    """How the wall was designed: segmented unless the shear-wall schedule says otherwise."""
    line = subject.line if isinstance(subject, WallSegment) else subject
    method, row = method_of_wall(line, ask), wall_row(ask, line)
    seen = (Evidence(f"shear-wall schedule, line {row.line}", method, "", Rung.SCHEDULED),) if row is not None else ()
    return Quantity("choice", words=frozenset({method}), evidence=seen)


@measure("force_per_length", of="wall_segment", example="4.45 kN/m between the ends of a perforated wall")
def plate_uplift(segment: WallSegment, ask: Ask) -> Quantity:
    """Uniform uplift t that the sole plate of a perforated wall must be held down against, newtons per metre.

    It equals the largest unit shear and acts on every full-height length, beside the shear itself (SDPWS 2021
    4.3.6.4.2.1); 0 for walls designed in another way.
    """
    if method_of_wall(segment.line, ask) != PERFORATED:
        return exact(0.0, "force_per_length")
    return ask.measure("unit_shear", segment)


@measure("force_per_length", of="wall_segment", example="6 kN/m in the shear-wall schedule")
def plate_uplift_capacity(segment: WallSegment, ask: Ask) -> Quantity:
    """Uplift per length that the sole plate's anchorage takes, newtons per metre, as the schedule gives it."""
    row, level = wall_row(ask, segment.line), ask.measure("plate_uplift", segment).level
    value = row.get("plate_uplift") if row is not None else None
    if row is None or value is None:
        return unknown("force_per_length", Missing(
            "plate uplift", segment.line.said, "give in the shear-wall schedule (plate_uplift) what uplift per "
            "length the sole plate's fasteners take between the ends"), low=0.0)
    own = load_level(row.get("level") or "")
    return exact(float(value), "force_per_length",
                 Evidence(f"shear-wall schedule, line {row.line}", float(value), "force_per_length", Rung.SCHEDULED),
                 rung=Rung.SCHEDULED, level=level if holds_for(own, level) else own)



@measure("truth", of="wall_line", example="false where a door stands at the very end of the wall")
def perforated_conditions_met(line: WallLine, ask: Ask) -> Quantity:
    """Whether a wall may be designed as perforated (SDPWS 2021 4.3.2.3; 2015 4.3.5.3 from memory).

    A full-height length at each end, height of at most 20 ft, plates at one elevation and a nominal unit shear
    within the limit of the method; one line of walls has no offset in plan. What the model does not show stays open.
    """
    year = edition(ask)
    if not year or not line.segments:
        return unknown("truth", Missing("full-height length", line.said, "draw the wall with its openings"))
    given = [case.level for case in line_cases(line, ask)]
    loads = sorted({hazard_of(level) for level in given} - {""}) or ["wind"]
    first, last = line.segments[0], line.segments[-1]
    edges = all(counts(row) for row in (first, last)) and first.start < LEVEL and line.length - last.end < LEVEL
    soles, tops = [row.sole for row in line.segments], [row.top for row in line.segments]
    rows = [
        row
        for load in loads
        for row in eligibility(edition=year, load=load, nominal=nominal_of(first, ask), height=height_of(line),
                               segment_at_each_end=edges, no_plan_offset=True, one_sheathing=True,
                               plates_level=max(soles) - min(soles) < LEVEL and max(tops) - min(tops) < LEVEL)
    ]
    unmet = list(dict.fromkeys(row.name for row in rows if row.holds is False))
    seen = Evidence(f"SDPWS {year}, conditions of a perforated wall", "; ".join(unmet) or "no condition is broken")
    if unmet:
        return truth(False, seen, text="it does not meet: " + "; ".join(unmet))
    if any(row.holds is None for row in rows):
        lacking = Missing("sheathing and nailing", line.said, "give them in the shear-wall schedule")
        return unknown("truth", lacking, evidence=(seen,))
    return truth(True, seen)
