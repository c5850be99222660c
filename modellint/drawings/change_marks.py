"""Marks of changes on the drawings of one revision: where each changed part is, or was."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import cos, sin
from typing import Any

from modellint.drawings.elevation import draw_elevation
from modellint.drawings.marks import Mark
from modellint.drawings.plan import draw_plan
from modellint.drawings.riser import draw_riser
from modellint.drawings.svg import Sheet

Data = Mapping[str, Any]
OUTCOME = "changed"
MOST_MARKS = 60


def drawing_of(scene: Data, kind: str, k: int) -> Data:
    """One drawing of a scene: `plans`, `elevations` or `risers`."""
    found: Data = scene[kind][k]
    return found


def spots(drawing: Data, kind: str, scene: Data, changes: Iterable[Data], side: str,
          origin: tuple[float, ...]) -> list[tuple[Data, tuple[float, float]]]:
    """Changes that this drawing shows, each with its place in the drawing's metres.

    Args:
        side: `before` or `after`: which key and place of a change counts.
        origin: what was subtracted from world coordinates, metres.
    """
    find = {"elevations": _in_elevation, "risers": _in_riser}.get(kind)
    found = []
    for change in changes:
        at = find(drawing, change[side]) if find is not None else _in_plan(drawing, scene, change, side, origin)
        if at is not None:
            found.append((change, at))
    return found


def draw(drawing: Data, kind: str, scene: Data, ident: str, shown: Iterable[tuple[Data, tuple[float, float]]],
         side: str, display: str) -> Sheet:
    """A drawing with its changed parts highlighted and numbered.

    Args:
        shown: `(change with its `number` and `anchor`, place)` rows as `spots` gives them.
    """
    rows = list(shown)
    marks: list[Mark] = []
    seen: set[tuple[int, float, float]] = set()
    for change, at in rows:
        spot = (change["number"], round(at[0], 1), round(at[1], 1))
        if spot in seen or len(marks) >= MOST_MARKS:
            continue
        seen.add(spot)
        turn = sum(other[0] == change["number"] for other in seen) - 1
        marks.append(Mark(ident, at, change["number"], OUTCOME, change["anchor"], change["text"], turn, turn > 0))
    if kind == "plans":
        return draw_plan(drawing, scene["frame"], ident, marks)
    if kind == "elevations":
        return draw_elevation(drawing, ident, marks, {change[side] for change, _ in rows})
    return draw_riser(drawing, ident, marks, display)


def _in_elevation(drawing: Data, key: str) -> tuple[float, float] | None:
    for part in drawing["parts"]:
        if key and part["id"] == key:
            low, floor, high, top = part["box"]
            return (low + high) / 2, (floor + top) / 2
    for storey in drawing["storeys"]:
        for hole in storey["openings"]:
            if key and hole["id"] == key:
                return (hole["from"] + hole["to"]) / 2, (hole["bottom"] + hole["top"]) / 2
        if key and key in storey["ids"]:
            return (storey["from"] + storey["to"]) / 2, (storey["bottom"] + storey["top"]) / 2
    return None


def _in_riser(drawing: Data, key: str) -> tuple[float, float] | None:
    for piece in drawing["pieces"]:
        if key and piece["id"] == key:
            a, b = piece["line"][0], piece["line"][-1]
            return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    return None


def _in_plan(drawing: Data, scene: Data, change: Data, side: str, origin: tuple[float, ...]
             ) -> tuple[float, float] | None:
    place = change[f"at_{side}"]
    if place is None or not change[side] or change[f"storey_{side}"] != drawing["name"]:
        return None
    x, y, angle = place[0] - origin[0], place[1] - origin[1], scene["frame"]["angle"]
    return x * cos(angle) + y * sin(angle), y * cos(angle) - x * sin(angle)
