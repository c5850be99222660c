"""Measures of how parts are filed: on which storey, and under which schedule row."""

from __future__ import annotations

from typing import Any

from modellint.graph.house import BuildingSubject
from modellint.graph.storeys import Storey, storeys_of
from modellint.graph.wall_nodes import WallLine, WallSegment
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.measures.schedule_rows import tie_mark_of, tie_row, wall_marks, wall_row
from modellint.measures.sheathing_facts import grade_of, nail_of
from modellint.roles.part import Part, Rung

# parts that stand on one storey; rods, straps, risers and floors legitimately cross from one to the next
ON_ONE_STOREY = ("hold_down", "post", "shear_wall", "anchor_bolt", "plate_washer", "sheathing", "stud",
                 "bottom_plate", "sill_plate")
# a part's middle may lie this far outside its storey's band, and levels nearer to each other than the second are no
# storeys of their own but heights of plates or footings, metres (common practice, no source)
SLACK, STOREY = 0.300, 2.2
NAMED = 3


def _bands(storeys: tuple[Storey, ...]) -> dict[str, tuple[float, float]]:
    """Storey key to the heights its parts may lie at: up to the next level that is a storey higher."""
    bands = {}
    for k, storey in enumerate(storeys):
        above = [row.elevation for row in storeys[k + 1:] if row.elevation - storey.elevation >= STOREY]
        lower = [row for row in storeys[:k] if storey.elevation - row.elevation >= STOREY]
        bands[storey.key] = (
            storey.elevation - SLACK if lower else float("-inf"),
            above[0] + SLACK if above else float("inf"),
        )
    return bands


@measure("count", of="building", example="3 tie-downs filed on Level 2 that stand on Level 1")
def misfiled_parts(building: BuildingSubject, ask: Ask) -> Quantity:
    """Parts of walls that are filed on another storey than the one they stand on; the text names the first few."""
    house = building.house
    storeys = storeys_of(house.model, house.key)
    if len(storeys) < 2:
        return unknown("count", Missing("storey elevations", building.name, "give the storeys and their elevations"))
    bands, found = _bands(storeys), []
    for part in house.with_role(*ON_ONE_STOREY):
        band = bands.get(part.element.storey)
        if band is None or part.box is None:
            continue
        middle = float(part.box.centre[2])
        if not band[0] <= middle <= band[1]:
            found.append((part, next(row.name for row in storeys if row.key == part.element.storey), middle))
    for part, _, _ in found:
        ask.part(part)
    seen = [Evidence(f"{part.name}, filed on {storey}, middle at this height", middle, "length", Rung.DECLARED,
                     part.element.global_id) for part, storey, middle in found[:10]]
    text = ", ".join(f"{part.name} (filed on {storey})" for part, storey, _ in found[:NAMED])
    more = f" and {len(found) - NAMED} more" if len(found) > NAMED else ""
    return exact(float(len(found)), "count", *seen, text=f"{len(found)}: {text}{more}" if found else "0")


def _tables(ask: Ask) -> dict[str, tuple[Any, ...]]:
    return {name: ask.house.schedules[name].rows for name in ("shear_walls", "wall_ends", "wall_demands")
            if name in ask.house.schedules}


@measure("truth", of=("building", "wall_line"), example="true where the project gives a shear-wall schedule")
def walls_are_scheduled(subject: BuildingSubject | WallLine, ask: Ask) -> Quantity:
    """Whether the project gives a shear-wall schedule."""
    return truth("shear_walls" in ask.house.schedules)


@measure("count", of="building", example="2 walls of the schedule that the model does not have")
def scheduled_walls_unfound(building: BuildingSubject, ask: Ask) -> Quantity:
    """Walls that a schedule names, by mark or by mark and storey, and the model does not show; the text names them."""
    lines = [(line, {mark.strip().lower() for mark in wall_marks(line, ask)})
             for line in ask.house.subjects("wall_line") if line.shear is not None]
    lost: dict[str, Evidence] = {}
    for table, rows in sorted(_tables(ask).items()):
        for row in rows:
            mark = str(row.get("mark" if table == "shear_walls" else "wall") or "").strip()
            storey = "" if table == "shear_walls" else str(row.get("storey") or "").strip()
            here = [line for line, marks in lines if mark.lower() in marks]
            if mark and not any(not storey or line.storey.strip().lower() == storey.lower() for line in here):
                said = f"{mark}, {storey}" if storey and here else mark
                lost.setdefault(said, Evidence(f"{table.replace('_', ' ')} schedule, line {row.line}: {said}",
                                               rung=Rung.SCHEDULED))
    text = "; ".join(sorted(lost)) or "none"
    return exact(float(len(lost)), "count", *(lost[key] for key in sorted(lost)), rung=Rung.SCHEDULED, text=text)


@measure("truth", of="wall_line", example="false for a wall drawn as a shear wall that the schedule does not name")
def wall_has_row(line: WallLine, ask: Ask) -> Quantity:
    """Whether the shear-wall schedule names the wall."""
    row = wall_row(ask, line)
    where = f"shear-wall schedule, line {row.line}" if row is not None else f"no row for {line.name}"
    return truth(row is not None, Evidence(where, rung=Rung.SCHEDULED), rung=Rung.SCHEDULED)


@measure("count", of="wall_line", example="1 for a row that says '8d': that is two different nails")
def blanks_of_sheathing(line: WallLine, ask: Ask) -> Quantity:
    """Facts that the wall's schedule row leaves open on panel and nail; the text names them.

    Looked at: grade, thickness, nail, edge and field spacing, and sides. What the model itself states counts as
    said. A nail that fits several of the tables (box, common) counts as open.
    """
    row = wall_row(ask, line)
    if row is None:
        return unknown("count", Missing("shear-wall schedule", line.name, "add the wall to the shear-wall schedule"))
    segment = line.segments[0] if line.segments else None
    blank = []
    if not grade_of(str(row.get("sheathing_grade") or "")):
        blank.append("panel grade")
    if not row.get("sheathing_thickness") and not any(
            ask.house.stated(wall, "sheathing_thickness") for wall in line.walls):
        blank.append("panel thickness")
    nail = str(row.get("nail") or "").strip()
    if not nail_of(nail):
        blank.append(f"nail ('{nail}' may be more than one)" if nail else "nail")
    blank += [words for name, words in (("edge", "edge spacing"), ("field", "field spacing"))
              if not row.get(f"{name}_spacing") and not _modelled(segment, name, ask)]
    if row.get("sides") is None:
        blank.append("sheathed sides")
    return exact(float(len(blank)), "count", Evidence(f"shear-wall schedule, line {row.line}", rung=Rung.SCHEDULED),
                 rung=Rung.SCHEDULED, text=", ".join(blank) or "none")


def _modelled(segment: WallSegment | None, name: str, ask: Ask) -> bool:
    return segment is not None and any(
        ask.house.stated(wall, f"{name}_nail_spacing") is not None for wall in segment.line.walls)



@measure("truth", of="wall_line", example="true for a line of walls of predefined type SHEAR")
def line_is_shear(line: WallLine, ask: Ask) -> Quantity:
    """Whether the walls of the line are shear walls."""
    if line.shear is None:
        return truth(False)
    return truth(True, Evidence(f"shear role of wall {line.name}", rung=line.shear), rung=line.shear)


@measure("count", of="building", example="2 ends that are both called 'wall S1, Level 1, east end'")
def ends_of_one_name(building: BuildingSubject, ask: Ask) -> Quantity:
    """Ends of shear walls that share their name with another end; the text names the first few."""
    names: dict[str, list[Any]] = {}
    for end in ask.house.subjects("wall_end"):
        if end.line.shear is not None:
            names.setdefault(end.name, []).append(end)
    shared = {name: rows for name, rows in sorted(names.items()) if len(rows) > 1}
    seen = [Evidence(f"{name}, wall {row.line.key}", global_id=row.line.walls[0].element.global_id)
            for name, rows in shared.items() for row in rows][:10]
    text = "; ".join(f"'{name}' {len(rows)} times" for name, rows in list(shared.items())[:NAMED])
    more = f" and {len(shared) - NAMED} more" if len(shared) > NAMED else ""
    return exact(float(sum(map(len, shared.values()))), "count", *seen, text=f"{text}{more}" if shared else "none")


@measure("count", of="hold_down", example="1 for a row that gives 60 kN but no post")
def blanks_of_device(tie: Part, ask: Ask) -> Quantity:
    """Conditions that the device's schedule row leaves open beside its allowable tension; the text names them.

    Looked at: load level, rod diameter, and the post that the value is meant for. 0 where the row gives no tension.
    """
    row = tie_row(ask, tie_mark_of(tie, ask))
    if row is None:
        return unknown("count", Missing("hold-down schedule", tie.name, "add the device to the hold-down schedule"))
    seen = Evidence(f"hold-down schedule, line {row.line}", rung=Rung.SCHEDULED)
    if row.get("allowable_tension") is None:
        return exact(0.0, "count", seen, rung=Rung.SCHEDULED, text="none")
    blank = [words for words, names in (("load level", ("level",)), ("rod diameter", ("rod_diameter",)),
                                        ("post", ("minimum_post", "minimum_post_thickness")))
             if not any(row.get(name) for name in names)]
    return exact(float(len(blank)), "count", seen, rung=Rung.SCHEDULED, text=", ".join(blank) or "none")


@measure("truth", of="hold_down", example="true where the hold-down schedule has a row TD-2")
def device_is_scheduled(tie: Part, ask: Ask) -> Quantity:
    """Whether the hold-down schedule has a row for the device's mark."""
    row = tie_row(ask, tie_mark_of(tie, ask))
    return truth(row is not None, rung=Rung.SCHEDULED if row is not None else Rung.DECLARED)
