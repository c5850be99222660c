"""Rows of the project's schedules that speak of a wall, an end or a tie."""

from __future__ import annotations

from typing import Any

from modellint.graph.wall_nodes import WallEnd, WallLine
from modellint.measures.ask import Ask


def _rows(ask: Ask, table: str) -> tuple[Any, ...]:
    schedule = ask.house.schedules.get(table)
    return schedule.rows if schedule is not None else ()


def _same(text: Any, *names: str) -> bool:
    wanted = str(text or "").strip().lower()
    return bool(wanted) and any(wanted == name.strip().lower() for name in names if name)


def wall_marks(line: WallLine, ask: Ask) -> tuple[str, ...]:
    """Marks a wall may be scheduled under: mapped property, tag, type name, name and words of its name."""
    marks: list[str] = []
    for wall in line.walls:
        stated = ask.house.stated(wall, "shear_wall_mark")
        element = wall.element
        marks += [
            str(stated.value) if stated is not None else "",
            element.mark,
            element.name,
            element.type_name,
            *element.name.replace(",", " ").split(),
        ]
    return tuple(dict.fromkeys(mark for mark in marks if mark))


def wall_row(ask: Ask, line: WallLine) -> Any | None:
    """The shear-wall schedule's row for the wall, None if there is none."""
    marks = wall_marks(line, ask)
    return next((row for row in _rows(ask, "shear_walls") if _same(row.get("mark"), *marks)), None)


def end_row(ask: Ask, end: WallEnd) -> Any | None:
    """The wall-end schedule's row for this end, None if there is none."""
    if not _rows(ask, "wall_ends"):
        return None
    marks = wall_marks(end.line, ask)
    for row in _rows(ask, "wall_ends"):
        if _same(row.get("wall"), *marks) and _same(row.get("storey"), end.line.storey) \
                and _same(row.get("end"), end.word, end.side):
            return row
    return None


def tie_row(ask: Ask, mark: str) -> Any | None:
    """The hold-down schedule's row for a tie's mark."""
    return next((row for row in _rows(ask, "hold_downs") if _same(row.get("mark"), mark)), None)
