"""What the model states without drawing it: ties as wall properties, and hardware without a shape."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from modellint.graph.house import House
from modellint.graph.joints import Stated
from modellint.graph.wall_nodes import WallEnd
from modellint.ifc.model import Element

COMPASS_WORDS = ("east", "north", "south", "west")
NONE_WORDS = frozenset({"", "-", "0", "false", "n/a", "no", "none"})


def add_stated(house: House, ends: tuple[WallEnd, ...]) -> None:
    """Fill in `stated_tie` of outer ends, and give ends the shapeless hardware stated to be joined there."""
    for end in ends:
        if end.outer:
            end.stated_tie = _stated_tie(house, end)
    _shapeless(house, ends)


def _stated_tie(house: House, end: WallEnd) -> str:
    wall = next((wall for wall in end.line.walls if end.key.startswith(f"{wall.element.key}@")), None)
    if wall is None:
        return ""
    for quantity, side in (("tie_at_start", "start"), ("tie_at_end", "end")):
        stated = house.stated(wall, quantity)
        if stated is None or str(stated.value).strip().lower() in NONE_WORDS:
            continue
        by_compass = any(word in stated.where.split(" = ")[0].lower() for word in COMPASS_WORDS)
        if not by_compass and _runs_back(wall.element, end):
            side = "end" if side == "start" else "start"
        if side == end.side:
            return str(stated.value).strip()
    return ""


def _runs_back(element: Element, end: WallEnd) -> bool:
    """Whether the wall's own axis runs against its line, so that its start is the line's end."""
    axis = element.axis_line
    return axis is not None and float((np.asarray(axis[-1][:2]) - axis[0][:2]) @ end.line.direction) < 0


def _shapeless(house: House, ends: Iterable[WallEnd]) -> None:
    hidden = [part for part in house.with_role("hold_down", "strap", "rod") if part.box is None]
    if not hidden:
        return
    stated = Stated(house)
    for end in ends:
        for part in hidden:
            if part.has("hold_down", "strap") and any(stated.has(part, post) for post in end.posts):
                if part.has("strap"):
                    end.straps += (part,)
                elif not end.base_ties:
                    end.base_ties = (part,)
        for part in hidden:
            if part.has("rod") and any(stated.has(part, tie) for tie in end.base_ties):
                end.rods += (part,)
