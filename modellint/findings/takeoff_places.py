"""Where a piece of hardware belongs: its wall end, or the wall whose sill it holds."""

from __future__ import annotations

from modellint.graph.house import House
from modellint.graph.wall_nodes import WallEnd
from modellint.roles.part import Part

_SLOTS = ("posts", "base_ties", "top_ties", "rods", "column_rods", "straps", "bearing_plates", "nuts", "take_ups")


class Places:
    """Storey and place in words of the parts of a house."""

    def __init__(self, house: House) -> None:
        self._ends: dict[str, list[WallEnd]] = {}
        for end in house.nodes.get("wall_end", ()):
            caught = {part.key: part for slot in _SLOTS for part in getattr(end, slot)}
            caught.update(
                {
                    part.key: part
                    for step in end.steps
                    if step.kind == "coupled" and step.end is end
                    for part in step.pieces
                }
            )
            for key in caught:
                self._ends.setdefault(key, []).append(end)
        self._sills: dict[str, tuple[str, str]] = {}
        for piece in house.nodes.get("plate_piece", ()):
            if piece.line is not None:
                for bolt, _ in piece.bolts:
                    self._sills[bolt.key] = (piece.line.storey, f"sill of {piece.line.said}, {piece.line.storey}")

    def end_of(self, part: Part) -> WallEnd | None:
        """The wall end that a part belongs to: of several the one whose storey its middle lies in or nearest to."""
        ends = self._ends.get(part.key, ())
        middle = float(part.box.centre[2]) if part.box is not None else 0.0
        return min(
            ends,
            key=lambda end: (round(max(end.segment.sole - middle, middle - end.segment.top, 0.0), 3), end.key),
            default=None,
        )

    def of(self, part: Part) -> tuple[str, str]:
        """Storey and place; both "" for a part that belongs to no wall end and no sill."""
        end = self.end_of(part)
        if end is not None:
            return end.line.storey, end.name
        return self._sills.get(part.key, ("", ""))
