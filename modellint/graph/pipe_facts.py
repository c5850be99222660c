"""Sizes and facts of pipes: from the property book, else from the shape, else from the pipe tables."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, cast

from modellint.ifc.model import Element, SpatialNode
from modellint.roles.part import Part

if TYPE_CHECKING:
    from modellint.roles.properties import PropertyBook, Reading


# Schedule 40 PVC pipe, ASTM D1785, as restated in public tables: outside and average inside diameter, metres,
# by nominal size in inches. The standard itself has not been seen.
SCHEDULE_40 = {2: (0.060325, 0.051994), 3: (0.0889, 0.077267), 4: (0.1143, 0.101549), 6: (0.168275, 0.153187)}
INCH = 0.0254
# Metric nominal sizes (DN) that the trade treats as the inch size: common practice, no source.
DN = {50: 2, 75: 3, 80: 3, 90: 3.5, 100: 4, 125: 5, 150: 6}


class PipeFacts:
    """The property book as the pipe stages ask it; without a book nothing is stated."""

    def __init__(self, book: PropertyBook | None = None) -> None:
        self._book = book

    def readings(self, holder: Element | SpatialNode, quantity: str) -> list[Reading]:
        """Readable properties of the best rung that give the quantity."""
        if self._book is None or quantity not in self._book.entries or not holder.properties:
            return []
        found = [
            row
            for row in self._book.read(cast("Element", holder), quantity)
            if not row.unread and row.value is not None
        ]
        return [row for row in found if row.rung == found[0].rung]

    def number(self, part: Part, quantity: str) -> tuple[float, float] | None:
        """Least and greatest stated value in SI, None if nothing is stated."""
        values = [float(row.value) for row in self.readings(part.element, quantity)]
        values = [value for value in values if isfinite(value)]
        return (min(values), max(values)) if values else None

    def flag(self, part: Part, quantity: str) -> bool | None:
        """A stated truth, None if it is not stated or stated both ways."""
        values = {bool(row.value) for row in self.readings(part.element, quantity)}
        return values.pop() if len(values) == 1 else None


def outside_diameter(facts: PipeFacts, part: Part, radius: float | None) -> float | None:
    """Outside diameter, metres: stated, else drawn; None if neither."""
    stated = facts.number(part, "outside_diameter")
    if stated and stated[0] == stated[1] and stated[0] > 0:
        return stated[0]
    return 2 * radius if radius else None


def bore(facts: PipeFacts, part: Part, radius: float | None) -> tuple[float, float] | None:
    """Possible inside diameter, metres.

    In order: stated inside diameter; drawn bore; Schedule 40 table by the outside diameter; else between
        eight
    tenths of the outside diameter and all of it (no plastic drain pipe has a thicker wall; common
    practice, no
    source). None if no size is known.
    """
    stated = facts.number(part, "inside_diameter")
    if stated and stated[0] > 0:
        return stated
    if part.inner_radius:
        return 2 * part.inner_radius, 2 * part.inner_radius
    outside = outside_diameter(facts, part, radius)
    if outside is not None:
        for od, inside in SCHEDULE_40.values():
            if abs(od - outside) <= 0.001:
                return inside, inside
        return 0.8 * outside, outside
    size = facts.number(part, "nominal_diameter")
    if size and size[0] > 0:
        return 0.9 * size[0], 1.1 * size[1]
    return None


def nominal(facts: PipeFacts, part: Part, radius: float | None) -> tuple[float, float] | None:
    """Possible nominal diameter, metres, in whole inch sizes where the size is one of the trade's.

    In order: stated nominal size; Schedule 40 table by the outside diameter; the bore itself.
    """
    stated = facts.number(part, "nominal_diameter")
    if stated and stated[0] > 0:
        return _trade(stated[0]), _trade(stated[1])
    outside = outside_diameter(facts, part, radius)
    if outside is not None:
        for inches, (od, _) in SCHEDULE_40.items():
            if abs(od - outside) <= 0.001:
                return inches * INCH, inches * INCH
    return bore(facts, part, radius)


def _trade(size: float) -> float:
    for millimetres, inches in DN.items():
        if abs(size - millimetres / 1000) <= 0.0002:
            return inches * INCH
    return size
