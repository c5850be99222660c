"""One revision as rows of numbers: what each element is, how large it is and where it stands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from modellint.contacts.boxes import union_box
from modellint.findings.identity import middle_of, millimetres, sides_of
from modellint.graph.house import House
from modellint.graph.storeys import storey_at, storeys_of
from modellint.ifc.model import Element, Model
from modellint.ifc.solid import Array, Box
from modellint.roles.part import Part


@dataclass(eq=False)
class Thing:
    """One element of a revision.

    Attributes:
        kind: its strongest role, else its IFC class.
        box: None if it is undrawn.
        part: the part it became, None for openings and what was not judged.
        storey: name of the storey it stands in by height, "".
    """

    key: str
    element: Element
    kind: str
    box: Box | None = None
    part: Part | None = None
    storey: str = ""

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        element = self.element
        return element.name or element.type_name or element.object_type or element.ifc_class.removeprefix("Ifc")

    @property
    def type(self) -> str:
        """What sort it is, in the exporter's words."""
        return self.element.type_name or self.element.object_type or self.element.predefined

    @cached_property
    def sizes(self) -> tuple[float, ...]:
        """Sides in metres, the longest first; of each body in turn where it has several; () if undrawn."""
        if self.part is not None and self.box is not None:
            return sides_of(self.part)
        return () if self.box is None else tuple(sorted((2 * float(half) for half in self.box.half), reverse=True))

    @cached_property
    def middle(self) -> Array:
        """Its middle in world metres; it must be drawn."""
        assert self.box is not None
        return middle_of(self.part) if self.part is not None else self.box.centre

    @cached_property
    def shape(self) -> tuple[object, ...]:
        """Kind and sides in whole millimetres."""
        return (self.kind, *(millimetres(size) for size in self.sizes))


@dataclass(eq=False)
class Revision:
    """All elements of one model, sorted by key, with their places as arrays.

    Attributes:
        centre, low, high: (n, 3) of the drawn things, metres, in the order of `drawn`.
    """

    model: Model
    houses: tuple[House, ...]
    things: dict[str, Thing]

    @cached_property
    def drawn(self) -> tuple[Thing, ...]:
        """Things with a box, by key."""
        return tuple(thing for thing in self.things.values() if thing.box is not None)

    @cached_property
    def row(self) -> dict[str, int]:
        """Key to the row in the arrays."""
        return {thing.key: k for k, thing in enumerate(self.drawn)}

    @cached_property
    def centre(self) -> Array:
        """Middles."""
        return np.array([thing.middle for thing in self.drawn]).reshape(-1, 3)

    @cached_property
    def low(self) -> Array:
        """Lower corners."""
        return np.array([thing.box.low for thing in self.drawn if thing.box is not None]).reshape(-1, 3)

    @cached_property
    def high(self) -> Array:
        """Upper corners."""
        return np.array([thing.box.high for thing in self.drawn if thing.box is not None]).reshape(-1, 3)


def revision(model: Model, houses: Iterable[House]) -> Revision:
    """Rows for all elements of a model; those of houses that were judged carry their roles."""
    judged = tuple(houses)
    parts: dict[str, tuple[Part, House]] = {}
    for house in judged:
        parts.update({key: (part, house) for key, part in house.parts.items() if "/" not in key})
    storeys = {id(house): storeys_of(house.model, house.key) for house in judged}
    things = {}
    for key, element in model.elements.items():
        if element.ifc_class.startswith("IfcVirtual"):
            continue
        known = parts.get(key)
        part = known[0] if known is not None else None
        solids = part.solids if part is not None else element.solids
        box = part.box if part is not None else (union_box([row.box for row in solids]) if solids else None)
        if box is not None and not bool(np.all(np.isfinite(box.centre)) and np.all(np.isfinite(box.half))):
            box = None
        rows = storeys[id(known[1])] if known is not None else ()
        storey = storey_at(rows, float(box.low[2])) if box is not None else None
        things[key] = Thing(key, element, kind_of(part, element), box, part, storey.name if storey else "")
    return Revision(model, judged, dict(sorted(things.items())))


def kind_of(part: Part | None, element: Element) -> str:
    """Strongest role, the first by name among equals; the IFC class without a role."""
    if part is not None and part.roles:
        return min(part.roles, key=lambda role: (-part.roles[role], role))
    return element.ifc_class.removesuffix("StandardCase")


def near_rows(one: Array, other_low: Array, other_high: Array, reach: float) -> NDArray[np.int64]:
    """Pairs (row of `one`, row of `other`) where a point comes within `reach` metres of a box, sorted."""
    import shapely

    if not len(one) or not len(other_low):
        return np.empty((0, 2), dtype=np.int64)
    boxes = shapely.box(other_low[:, 0] - reach, other_low[:, 1] - reach, other_high[:, 0] + reach,
                        other_high[:, 1] + reach)
    first, second = shapely.STRtree(boxes).query(shapely.points(one[:, 0], one[:, 1]), predicate="intersects")
    keep = (one[first, 2] >= other_low[second, 2] - reach) & (one[first, 2] <= other_high[second, 2] + reach)
    pairs = np.column_stack([first[keep], second[keep]]).astype(np.int64)
    ordered: NDArray[np.int64] = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    return ordered
