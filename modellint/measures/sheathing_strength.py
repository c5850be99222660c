"""Measures of what the sheathing of a segment takes: panel, nail, spacing, species and aspect ratio."""

from __future__ import annotations

from modellint.engineering.aspect_ratio import aspect_ratio, maximum_aspect_ratio, strength_factor
from modellint.engineering.framing_width import wide_framing_triggers
from modellint.engineering.load_levels import hazard_of, holds_for, load_level, method_of
from modellint.engineering.sheathing_capacity import Factor, unit_shear_capacity
from modellint.engineering.sheathing_table import SPACING_TOLERANCE
from modellint.engineering.source import Source
from modellint.graph.wall_nodes import WallSegment
from modellint.measures.ask import Ask, measure
from modellint.measures.opening_walls import PERFORATED, PORTAL
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.measures.schedule_rows import wall_row
from modellint.measures.sheathing_facts import edge_spacing_of, edition, face_of, faces, nail_of
from modellint.measures.wall_loads import LoadCase, method_of_wall
from modellint.measures.wood import gravity_range
from modellint.roles.part import Rung

PANEL = "wood_structural_panel"


@measure("ratio", of="wall_segment", example="1.9 for a 2.44 m wall 1.3 m long")
def height_to_length(segment: WallSegment, ask: Ask) -> Quantity:
    """Height of the segment over its length with today's openings."""
    height, length = segment.top - segment.sole, segment.length
    if height <= 0 or length <= 0:
        return unknown("ratio", Missing("shape", segment.name, "draw the wall with its plates"), low=0.0)
    value = aspect_ratio(height, length)
    return exact(
        value,
        "ratio",
        Evidence("height of the wall", height, "length"),
        Evidence("full-height length", length, "length"),
    )


def aspect_factor(segment: WallSegment, load: str, year: str) -> Factor | None:
    """Strength factor of a narrow segment; None where the segment is too narrow to count."""
    ratio = aspect_ratio(segment.top - segment.sole, segment.length)
    if ratio > maximum_aspect_ratio(PANEL) * (1 + 1e-9):
        return None
    return Factor(
        "height to length",
        strength_factor(min(ratio, maximum_aspect_ratio(PANEL)), load, year, PANEL),
        Source("standard", f"SDPWS {year}", "4.3.4.2 (2021: 4.3.3.2)"),
    )


@measure("force_per_length", of="wall_segment", item="load_case",
         example="7.1 kN/m for 11 mm OSB, 8d common at 4 in, ASD wind")
def sheathing_capacity_in(segment: WallSegment, case: LoadCase, ask: Ask) -> Quantity:
    """Unit shear that the nailing as modelled takes in one load case, newtons per metre.

    The engineer's value of the schedule counts where the modelled edge nails are no wider apart than
    scheduled; else SDPWS Table 4.3A of the edition set, by panel, nail, spacing and species, reduced above a
    height of twice the length (in a perforated wall the length is reduced instead, SDPWS 2021 4.3.3.4). Two sheathed
    faces count twice (SDPWS 2021 4.3.5.4.1, a restatement: same panels and nailing). A thinner panel does not claim
    a thicker one's value, since the stud spacing under it is not known. For a portal frame only the engineer's value
    counts.
    """
    level, method = case.level, method_of_wall(segment.line, ask)
    load, year = hazard_of(level), edition(ask)
    if method == PORTAL:
        given = _engineers(segment, level, Factor("portal frame", 1.0, Source("arithmetic")), ask)
        lacking = Missing("unit shear", f"schedule row of {segment.line.said}", "give what the portal frame takes")
        return given if given is not None else unknown("force_per_length", lacking, low=0.0)
    if not load or not year:
        return unknown(
            "force_per_length",
            Missing(
                "load level",
                f"wall {segment.line.name}, {segment.line.storey}",
                "state ASD or LRFD, wind or seismic, and an SDPWS edition of 2008, 2015 or 2021",
            ),
            low=0.0,
        )
    factor = aspect_factor(segment, load, year)
    if factor is None:
        return exact(
            0.0, "force_per_length", Evidence("too narrow for its height to count", None), level=level
        )
    if method == PERFORATED:
        factor = Factor("height to length in the counted length", 1.0, factor.source)
    given = _engineers(segment, level, factor, ask)
    return given if given is not None else _by_table(segment, level, year, factor, ask)


@measure("force_per_length", of="wall_segment", example="7.1 kN/m for 11 mm OSB, 8d common at 4 in, ASD wind")
def sheathing_capacity(segment: WallSegment, ask: Ask) -> Quantity:
    """Unit shear that the nailing as modelled takes, newtons per metre, in the load case that governs."""
    return ask.measure("sheathing_capacity_in", segment, LoadCase(ask.measure("unit_shear", segment).level))


def _engineers(segment: WallSegment, level: str, factor: Factor, ask: Ask) -> Quantity | None:
    row = wall_row(ask, segment.line)
    if row is None or row.get("unit_shear") is None:
        return None
    modelled, asked = ask.measure("edge_nail_spacing", segment), row.get("edge_spacing")
    if modelled.known and (asked is None or modelled.low > asked + SPACING_TOLERANCE):
        return None
    own = load_level(row.get("level") or "")
    return exact(
        float(row.get("unit_shear")) * factor.value,
        "force_per_length",
        Evidence(
            f"shear-wall schedule, line {row.line}, times {factor.value:.3f} for height to length",
            float(row.get("unit_shear")),
            "force_per_length",
            Rung.SCHEDULED,
        ),
        rung=Rung.SCHEDULED,
        level=level if holds_for(own, level) else own,
    )


def _by_table(segment: WallSegment, level: str, year: str, factor: Factor, ask: Ask) -> Quantity:
    face, missing = face_of(segment, ask)
    if face is None:
        return unknown("force_per_length", *missing, low=0.0)
    studs = [
        part
        for part in ask.house.with_role("stud", "post")
        if part.element.storey == segment.line.walls[0].element.storey
    ]
    values = []
    for gravity, inside in zip(gravity_range(studs), (True, False), strict=True):
        try:
            values.append(
                unit_shear_capacity(
                    face,
                    level=method_of(level),
                    load=hazard_of(level),
                    edition=year,
                    gravity=gravity,
                    inside_face=inside,
                    aspect_factor=factor,
                )
            )
        except ValueError as error:
            return unknown(
                "force_per_length", Missing("a row of the table", segment.name, str(error)), low=0.0
            )
    count = faces(segment, ask)
    low, high = (count * row.value for row in values)
    words = "; ".join(f"{part.name} {part.value:.3f}" for part in values[0].factors)
    seen = Evidence(
        f"{values[0].source.words()}: nominal {values[0].nominal / 1e3:.2f} kN/m; {words}; "
        f"{count} face{'s' if count > 1 else ''}",
        None,
        "",
        Rung.SCHEDULED,
    )
    lacking = (
        ()
        if low == high
        else (Missing("wood species of the studs", "the building", "name the framing's material by species"),)
    )
    return Quantity(
        "force_per_length", low, high, rung=Rung.SCHEDULED, evidence=(seen,), missing=lacking, level=level
    )


@measure("truth", of="wall_segment", example="true for edge nails at 2 in, or 10d nails at 3 in")
def wants_wide_framing(segment: WallSegment, ask: Ask) -> Quantity:
    """Whether the nailing as modelled wants framing of 3 in nominal at adjoining panel edges (SDPWS 4.3.7.1).

    Close spacing decides without a nail size only at 2 in; seismic category and two-faced joints are not
    judged.
    """
    spacing, row, year = edge_spacing_of(segment, ask), wall_row(ask, segment.line), edition(ask)
    if not spacing.known or not year:
        return unknown("truth", *spacing.missing)
    nail = nail_of(str(row.get("nail") or "")) if row is not None else ""
    reasons = wide_framing_triggers(nail, spacing.low, year)
    seen = (*spacing.evidence, *(Evidence(reason) for reason in reasons))
    if not nail and wide_framing_triggers("10d common", spacing.low, year) and not reasons:
        return unknown("truth", Missing("nail", f"wall {segment.line.name}", "give the nail in the schedule"))
    return truth(bool(reasons), *seen, rung=spacing.rung)
