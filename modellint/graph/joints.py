"""Links of the lateral chain: stated relations, measured gaps, and what the two together mean."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from modellint.contacts.boxes import box_gap, line_gap
from modellint.graph.house import House
from modellint.ifc.solid import Array
from modellint.roles.part import Part, Rung

# faces of wood and steel within 5 mm, and a rod's axis within 5 mm of the device it is threaded into
# (shipped value of the setting contact_gap; common practice, no source)
FACES = 0.005


def contact_gap(house: House) -> float:
    """Largest gap of a joint that counts as touching, metres."""
    return house.limit("contact_gap", FACES)


@dataclass(frozen=True)
class Link:
    """How two parts are linked: `state` joined, broken or unknown; gap and limit in metres."""

    state: str
    origin: str
    gap: float | None
    limit: float
    rung: Rung


class Stated:
    """Pairs of elements that the model says are connected."""

    def __init__(self, house: House) -> None:
        pairs = set()
        for rel in house.relations:
            if rel.kind not in {"connects", "realizes"}:
                continue
            chain = [rel.first, *rel.realizing, rel.second]
            pairs |= {frozenset(pair) for pair in pairwise(chain)}
            pairs.add(frozenset((rel.first, rel.second)))
        self._pairs = pairs

    def has(self, one: Part, other: Part) -> bool:
        """Whether any element of one part is stated to be connected to one of the other."""
        return any(frozenset((a.key, b.key)) in self._pairs for a in one.elements for b in other.elements)


def link(stated: Stated, one: Part, other: Part, gap: float | None, limit: float) -> Link:
    """Judge a link: beyond the limit it is broken, stated or not; without shapes its gap stays unknown."""
    said = stated.has(one, other)
    rung = min(best_rung(one), best_rung(other), Rung.DECLARED if said else Rung.INFERRED)
    origin = "stated" if said else "inferred"
    if gap is None:
        return Link("joined" if said else "unknown", origin, None, limit, rung)
    rounded = round(gap, 4)
    return Link("joined" if rounded <= limit else "broken", origin, max(rounded, 0.0), limit, rung)


def best_rung(part: Part) -> Rung:
    """The best rung among a part's roles."""
    return max(part.roles.values(), default=Rung.GUESSED)


def faces_gap(one: Part, other: Part) -> float | None:
    """Gap between two parts' bodies (solid by solid), metres; None if a shape is missing."""
    if one.box is None or other.box is None:
        return None
    if len(one.solids) <= 1 and len(other.solids) <= 1:
        return box_gap(one.box, other.box)
    return min(box_gap(a.box, b.box) for a in one.solids for b in other.solids)


def thread_gap(rod: Part, tie: Part) -> float | None:
    """How far a rod's end stays from the device: 0 if its axis enters the device's body; None if undrawn."""
    if rod.axis is None or tie.box is None:
        return None
    return line_gap(tie.box, rod.axis)


def thread_length(rod: Part, tie: Part) -> float | None:
    """Length of the rod's axis within the device's height, metres; None if undrawn."""
    if rod.axis is None or tie.box is None:
        return None
    low, high = float(tie.box.low[2]), float(tie.box.high[2])
    top, bottom = float(rod.axis[:, 2].max()), float(rod.axis[:, 2].min())
    return max(min(top, high) - max(bottom, low), 0.0)


def lean(axis: Array) -> float:
    """Angle between a straight axis and the vertical, radians."""
    along = axis[-1] - axis[0]
    return float(np.arctan2(np.hypot(along[0], along[1]), abs(along[2])))
