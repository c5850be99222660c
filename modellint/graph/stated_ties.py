"""Ties that a wall property or the wall-end schedule names but nobody drew: stated, not drawn.

They count only where the model does not draw ties as a matter of course: where it does, what is not drawn is
absent, whatever a table says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import numpy as np

from modellint.graph.absence import Absence
from modellint.graph.house import House
from modellint.graph.wall_ends import outer_wall
from modellint.graph.wall_nodes import WallEnd, WallLine
from modellint.roles.part import Part, Rung

NO_TIE = frozenset({"", "none", "no", "n/a", "-"})
_COMPASS = ("north", "east", "south", "west")


def state_ties(house: House, absence: Absence, ends: Iterable[WallEnd]) -> None:
    """Fill in `stated_tie` of every end that holds no drawn tie and is not known to lack one."""
    for end in ends:
        drawn = end.base_ties or end.straps or end.bearing_plates
        if not drawn and not absence.complete("base tie", end):
            scheduled = _scheduled(house, end)
            end.stated_tie = scheduled if scheduled is not None else _on_the_wall(house, end)


def stated_part(house: House, end: WallEnd) -> Part:
    """The tie that is stated for an end and not drawn: a tie-down without shape or place, pointing to its wall."""
    wall = end.line.walls[0]
    rung = Rung.DECLARED if _scheduled(house, end) is None else Rung.SCHEDULED
    element = replace(wall.element, name=f"tie {end.stated_tie} (stated, not drawn)", solids=(), axis_line=None)
    return Part(f"{end.key}/stated tie", element, roles={"hold_down": rung})


def _scheduled(house: House, end: WallEnd) -> str | None:
    """Tie mark by the wall-end schedule's row for this end: "" where it says `none`, None without a row."""
    table = house.schedules.get("wall_ends")
    if table is None:
        return None
    marks = _marks(house, end.line)
    for row in table.rows:
        if _low(row.get("wall")) in marks and _low(row.get("storey")) == _low(end.line.storey) \
                and _low(row.get("end")) in {_low(end.word), end.side}:
            return _tie(row.get("tie"))
    return None


def _marks(house: House, line: WallLine) -> frozenset[str]:
    """Marks a wall may be scheduled under: mapped property, tag, type name, name and words of its name."""
    texts: list[str] = []
    for wall in line.walls:
        stated, element = house.stated(wall, "shear_wall_mark"), wall.element
        texts += [str(stated.value) if stated is not None else "", element.mark, element.name, element.type_name]
        texts += element.name.replace(",", " ").split()
    return frozenset(_low(text) for text in texts) - {""}


def _on_the_wall(house: House, end: WallEnd) -> str:
    """What the wall's own property says for this end.

    A property named by a compass word speaks of the line's direction, one named start or end of the wall's own
    axis. Without an axis it cannot be told which end is which: then only a property for both ends counts. Ends
    at an opening are not spoken of.
    """
    if not end.outer:
        return ""
    wall = outer_wall(end.line, end.side)
    start, finish = _stated(house, wall, "tie_at_start"), _stated(house, wall, "tie_at_end")
    here, there = (start, finish) if end.side == "start" else (finish, start)
    if here[1]:
        return here[0]
    if there[1] and not here[0]:
        return ""
    same = _same_way(end.line, wall)
    if same is None:
        both = list(dict.fromkeys(tie for tie, _ in (start, finish)))
        return " or ".join(both) if all(both) else ""
    return here[0] if same else there[0]


def _stated(house: House, wall: Part, quantity: str) -> tuple[str, bool]:
    """Tie mark, and whether the property's name holds a compass word."""
    reading = house.stated(wall, quantity)
    if reading is None:
        return "", False
    name = reading.where.partition(" = ")[0].lower()
    return _tie(reading.value), any(word in name for word in _COMPASS)


def _same_way(line: WallLine, wall: Part) -> bool | None:
    """Whether the wall's own axis runs as its line does; None without an axis."""
    axis = wall.element.axis_line
    if axis is None or len(axis) < 2:
        return None
    along = float((np.asarray(axis[-1])[:2] - np.asarray(axis[0])[:2]) @ line.direction)
    return along > 0 if np.isfinite(along) and along != 0 else None


def _tie(value: Any) -> str:
    text = str(value if value is not None else "").strip()
    return "" if text.lower() in NO_TIE else text


def _low(value: Any) -> str:
    return str(value or "").strip().lower()
