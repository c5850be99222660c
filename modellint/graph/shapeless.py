"""Hardware that the file states to be joined at a wall end but gives no shape."""

from __future__ import annotations

from collections.abc import Iterable

from modellint.graph.house import House
from modellint.graph.joints import Stated
from modellint.graph.wall_nodes import WallEnd


def add_shapeless(house: House, ends: Iterable[WallEnd]) -> None:
    """Give ends the ties, straps and rods without a shape that are stated to be joined to their parts."""
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
