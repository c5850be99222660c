"""Pairs of pipes and structural parts whose boxes come close: candidates for what crosses what."""

from __future__ import annotations

from collections import defaultdict

from modellint.contacts.touching import near_pairs
from modellint.graph.house import House
from modellint.roles.part import Part

PIPES = ("vent_pipe", "plumbing_pipe", "pipe", "duct", "collector")
STRUCTURE = (
    "rod",
    "hold_down",
    "post",
    "anchor_bolt",
    "strap",
    "bearing_plate",
    "stud",
    "joist",
    "bottom_plate",
    "sill_plate",
    "top_plate",
    "plate",
)
# room for a stated outside diameter that is larger than the drawn one, metres (common practice, no source)
SPARE = 0.1


class Crossings:
    """For each part the pipes near it, and for each pipe the parts near it, in key order."""

    def __init__(self, house: House) -> None:
        parts = [part for part in house.with_role(*PIPES, *STRUCTURE) if part.box is not None]
        self._near: dict[str, list[Part]] = defaultdict(list)
        pipes = {part.key for part in house.with_role(*PIPES)}
        for a, b in near_pairs([part.box for part in parts], SPARE).tolist():
            one, other = parts[a], parts[b]
            if (one.key in pipes) != (other.key in pipes):
                self._near[one.key].append(other)
                self._near[other.key].append(one)

    def of(self, part: Part) -> tuple[Part, ...]:
        """What comes near the part from the other side."""
        return tuple(sorted(self._near.get(part.key, ()), key=lambda row: row.key))
