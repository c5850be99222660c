"""Facts about the sheathing of a segment as the strength tables know it: panel, nail, spacing, faces."""

from __future__ import annotations

import re

from modellint import units
from modellint.engineering.nails import NAILS, nail_names
from modellint.engineering.sheathing_table import EDITIONS, Sheathing, nominal_unit_shear
from modellint.errors import UnitProblem
from modellint.graph.wall_nodes import WallSegment
from modellint.measures.ask import Ask
from modellint.measures.quantity import Missing, Quantity
from modellint.measures.schedule_rows import wall_row
from modellint.roles.part import Part

SHIPPED_EDITION = "SDPWS 2021"
_SIZE = re.compile(r"([\d./]+\s*(?:mm|in|\")?)\s*x\s*([\d./]+\s*(?:mm|in|\"))", re.IGNORECASE)


def edition(ask: Ask) -> str:
    """Year of the shear-wall standard; "" if the setting names an edition whose tables are not here."""
    year = str(ask.house.settings.get("sdpws_edition", SHIPPED_EDITION)).split()[-1]
    return year if year in EDITIONS else ""


def nail_of(text: str) -> str:
    """A nail of the tables from words such as "8d common" or "3.33 x 63 mm"; "" if none or several fit."""
    low = " ".join(text.lower().split())
    named = [name for name in NAILS if name in low]
    if named:
        return named[0] if len(named) == 1 else ""
    found = _SIZE.search(low)
    if found is None:
        return ""
    length = found[2].replace('"', " in").strip()
    diameter = found[1].replace('"', " in").strip()
    if diameter[-1].isdigit():
        diameter += " " + length.lstrip("0123456789./ ")
    try:
        names = nail_names(units.parse(diameter, "length"), units.parse(length, "length"))
    except (UnitProblem, ValueError):
        return ""
    return names[0] if len(names) == 1 else ""


def grade_of(text: str) -> str:
    """Panel grade of the table from the schedule's words; "" if they name no wood panel."""
    low = text.lower()
    if re.search(r"structural\s*(1|i)\b", low):
        return "structural_1"
    if "siding" in low:
        return "plywood_siding"
    return (
        "sheathing" if any(word in low for word in ("osb", "plywood", "sheathing", "oriented strand")) else ""
    )


def panels_of(segment: WallSegment, ask: Ask) -> list[Part]:
    """Panels on the segment's faces."""
    return [part for part in ask.members("sheathing_panels", segment).items if isinstance(part, Part)]


def faces(segment: WallSegment, ask: Ask) -> int:
    """Sheathed faces as drawn; one where no panel is drawn."""
    line = segment.line
    sides = {
        float(line.across(part.box.centre)[0]) > 0 for part in panels_of(segment, ask) if part.box is not None
    }
    return max(len(sides), 1)


def edge_spacing_of(segment: WallSegment, ask: Ask) -> Quantity:
    """Edge nail spacing as modelled, else as scheduled, metres."""
    modelled = ask.measure("edge_nail_spacing", segment)
    return modelled if modelled.known else ask.measure("scheduled_edge_spacing", segment)


def _thickness(segment: WallSegment, ask: Ask) -> float | None:
    for part in (*segment.line.walls, *panels_of(segment, ask)):
        stated = ask.house.stated(part, "sheathing_thickness")
        if stated is not None:
            ask.part(part)
            return float(stated.value)
    row = wall_row(ask, segment.line)
    drawn = [2 * float(part.box.half.min()) for part in panels_of(segment, ask) if part.box is not None]
    return (
        row.get("sheathing_thickness")
        if row is not None and row.get("sheathing_thickness")
        else min(drawn, default=None)
    )


def face_of(segment: WallSegment, ask: Ask) -> tuple[Sheathing | None, tuple[Missing, ...]]:
    """The face as the table knows it, or what is missing."""
    line, row = segment.line, wall_row(ask, segment.line)
    nail = nail_of(str(row.get("nail") or "")) if row is not None else ""
    grade = grade_of(str(row.get("sheathing_grade") or "")) if row is not None else ""
    thick, spacing = _thickness(segment, ask), edge_spacing_of(segment, ask)
    where = f"schedule row of wall {line.name}"
    lacking = [
        Missing(name, where, "fill in the shear-wall schedule")
        for name, value in (("nail", nail), ("sheathing grade", grade), ("sheathing thickness", thick))
        if not value
    ]
    lacking += [] if spacing.known else list(spacing.missing)
    if lacking or thick is None:
        return None, tuple(lacking)
    return Sheathing(grade, thick, nail, spacing.low), ()


def nominal_of(segment: WallSegment, ask: Ask) -> float | None:
    """Nominal unit shear of the heavier hazard for one face, None if the face is not in the table [N/m]."""
    face, _ = face_of(segment, ask)
    year = edition(ask)
    if face is None or not year:
        return None
    try:
        return max(nominal_unit_shear(face, load, year) for load in ("wind", "seismic"))
    except ValueError:
        return None
