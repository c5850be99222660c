"""Rows of the project's schedules that speak of a wall, an end or a tie."""

from __future__ import annotations

from typing import Any
from weakref import WeakKeyDictionary

from modellint.graph.wall_nodes import WallEnd, WallLine
from modellint.measures.ask import Ask
from modellint.roles.part import Part


def _rows(ask: Ask, table: str) -> tuple[Any, ...]:
    schedule = ask.house.schedules.get(table)
    return schedule.rows if schedule is not None else ()


def _same(text: Any, *names: str) -> bool:
    wanted = str(text or "").strip().lower()
    return bool(wanted) and any(wanted == name.strip().lower() for name in names if name)


_MARKS: WeakKeyDictionary[Ask, dict[str, tuple[str, ...]]] = WeakKeyDictionary()


def wall_marks(line: WallLine, ask: Ask) -> tuple[str, ...]:
    """Marks a wall may be scheduled under, looked up once: mapped property, tag, type name, name and its words."""
    kept = _MARKS.setdefault(ask, {})
    if line.key not in kept:
        kept[line.key] = _wall_marks(line, ask)
    return kept[line.key]


def _wall_marks(line: WallLine, ask: Ask) -> tuple[str, ...]:
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
    marks = wall_marks(line, ask) if _rows(ask, "shear_walls") else ()
    return next((row for row in _rows(ask, "shear_walls") if _same(row.get("mark"), *marks)), None)


def end_row(ask: Ask, end: WallEnd) -> Any | None:
    """The wall-end schedule's row for this end that names its tie, else its first row; None if there is none.

    An end of the whole wall is named by its compass word or side; one beside an opening has the number of its
    full-height length behind it, counted from the wall's start: "west 2".
    """
    rows = end_rows(ask, end)
    return next((row for row in rows if row.get("tie")), rows[0] if rows else None)


def end_rows(ask: Ask, end: WallEnd) -> tuple[Any, ...]:
    """All rows of the wall-end schedule for this end: one per load level."""
    if not _rows(ask, "wall_ends"):
        return ()
    return rows_naming(end, _rows(ask, "wall_ends"), ask)


def rows_naming(end: WallEnd, rows: tuple[Any, ...], ask: Ask) -> tuple[Any, ...]:
    """Those of the rows whose wall, storey and end are this wall end's."""
    marks = wall_marks(end.line, ask)
    number = end.line.segments.index(end.segment) + 1
    names = [f"{word} {number}" for word in (end.word, end.side)]
    names += [end.word, end.side] if end.outer else []
    return tuple(row for row in rows
                 if _same(row.get("wall"), *marks) and _same(row.get("storey"), end.line.storey)
                 and _same(row.get("end"), *names))


def demand_rows(ask: Ask, line: WallLine) -> tuple[Any, ...]:
    """All rows of the wall-demand schedule for this wall and storey that give a shear: one per load level."""
    return tuple(row for row in _wall_rows(ask, line, "wall_demands") if row.get("shear") is not None)


def rod_run_row(ask: Ask, line: WallLine) -> Any | None:
    """The rod-run schedule's row for the continuous rods of this wall and storey, None if there is none."""
    return next(iter(_wall_rows(ask, line, "rod_runs")), None)


def _wall_rows(ask: Ask, line: WallLine, table: str) -> tuple[Any, ...]:
    marks = wall_marks(line, ask) if _rows(ask, table) else ()
    return tuple(row for row in _rows(ask, table) if _same(row.get("wall"), *marks)
                 and _same(row.get("storey"), line.storey))


def any_demand(ask: Ask) -> bool:
    """Whether the project or the model gives a demand for any wall end at all."""
    stated = (ask.house.stated(wall, name) for wall in ask.house.with_role("shear_wall")
              for name in ("tension_demand", "shear_demand"))
    return any(row.get("shear") is not None for row in _rows(ask, "wall_demands")) \
        or any(row.get("tension") is not None for row in _rows(ask, "wall_ends")) or any(stated)


def tie_rows(ask: Ask) -> tuple[Any, ...]:
    """All rows of the hold-down schedule."""
    return _rows(ask, "hold_downs")


def tie_row(ask: Ask, mark: str) -> Any | None:
    """The hold-down schedule's row for a tie's mark."""
    return next((row for row in _rows(ask, "hold_downs") if _same(row.get("mark"), mark)), None)


def tie_rows_of(ask: Ask, mark: str) -> tuple[Any, ...]:
    """All rows of the hold-down schedule for a tie's mark: one per load level, or several that disagree."""
    return tuple(row for row in _rows(ask, "hold_downs") if _same(row.get("mark"), mark))


def tie_mark_of(tie: Part, ask: Ask) -> str:
    """A tie's mark: mapped property, tag, or the last word of its type name or name."""
    stated = ask.house.stated(tie, "tie_mark")
    element = tie.element
    if stated is not None:
        return str(stated.value)
    if element.mark:
        return element.mark
    words = (element.type_name or element.name).split()
    return words[-1] if words else ""
