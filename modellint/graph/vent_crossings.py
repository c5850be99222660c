"""Walls and floors that a vent passes through and that keep fire or a dwelling apart: rated, party, garage."""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass

import numpy as np

from modellint.contacts.boxes import clip_line
from modellint.contacts.polylines import usable
from modellint.graph.house import House
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.soil_gas import piping_of
from modellint.graph.vent_places import Places, places_of
from modellint.ifc.solid import Array
from modellint.roles.part import Part, Rung

PARTITIONS = ("other_wall", "shear_wall", "floor")
_PARTY = re.compile(r"\b(party ?wall|fire ?wall|separation wall|separating wall|demising)\b", re.IGNORECASE)
_NO_RATING = {"", "0", "none", "no", "n/a", "na", "-", "not rated", "unrated", "nil"}
# how far from a crossing the rooms on both sides are looked for, metres: beyond a floor's joists and ceiling
# (judgement, no source)
BESIDE = 0.60


@dataclass(eq=False)
class VentCrossing:
    """One pipe of a vent through one wall or floor. Item kind `vent_crossing`.

    Attributes:
        reason: why it matters, in words.
        point: (3,) middle of the pipe within it.
    """

    key: str
    run: VentRun
    pipe: Part
    through: Part
    reason: str
    point: Array
    rung: Rung

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        return f"{self.pipe.name} through {self.through.name}"

    @property
    def parts(self) -> tuple[Part, ...]:
        """The pipe, then what it passes through."""
        return (self.pipe, self.through)

    def rung_as(self, role: str) -> Rung:
        """Lowest rung behind it."""
        return self.rung


def fire_crossings_of(house: House, run: VentRun) -> tuple[VentCrossing, ...]:
    """Crossings of rated parts, party walls and the walls and ceilings of garages, by key."""
    places = places_of(house, run)
    found = []
    for part in house.with_role(*PARTITIONS):
        if part.box is None or not usable(part.box.corners):
            continue
        for pipe, line in _pipes(run):
            middle = _middle(part, line)
            if middle is None:
                continue
            reason, rung = _reason(house, part, places, middle, line)
            if reason:
                key = f"{pipe.key}|{part.key}"
                found.append(VentCrossing(key, run, pipe, part, reason, middle, min(rung, run.rung)))
    return tuple(sorted(found, key=lambda crossing: crossing.key))


def ratings_stated(house: House) -> bool:
    """Whether any wall or floor of the building says anything about its fire rating."""
    facts = piping_of(house).facts
    return any(facts.readings(part.element, "fire_rating") for part in house.with_role(*PARTITIONS))


def _pipes(run: VentRun) -> list[tuple[Part, Array]]:
    return [
        (piece.part, piece.line)
        for key, piece in sorted(run.network.pieces.items())
        if piece.kind == "pipe"
        and piece.line is not None
        and usable(piece.line)
        and run.network.colour_of.get(key) != "plumbing"
    ]


def _middle(part: Part, line: Array) -> Array | None:
    """Middle of the first length of a line within a part's box, None if it misses it."""
    assert part.box is not None
    for a, b in itertools.pairwise(line):
        clip = clip_line(part.box, a, b)
        if clip is not None:
            return np.asarray(a + (b - a) * (clip[0] + clip[1]) / 2)
    return None


def _reason(house: House, part: Part, places: Places, point: Array, line: Array) -> tuple[str, Rung]:
    """Why a crossing matters, and the rung of that; "" if nothing says so."""
    rows = piping_of(house).facts.readings(part.element, "fire_rating")
    ratings = [row for row in rows if str(row.value).strip().lower() not in _NO_RATING]
    if ratings:
        return f"fire rating {str(ratings[0].value).strip()}", ratings[0].rung
    if _PARTY.search(f"{part.element.name} {part.element.type_name} {part.element.object_type}"):
        return "a wall between dwellings or fire areas, by its name", Rung.INFERRED
    return _garage(places, point, line)


def _garage(places: Places, point: Array, line: Array) -> tuple[str, Rung]:
    step = line[-1] - line[0]
    along = step / max(float(np.linalg.norm(step)), 1e-9)
    rooms = [places.room_at(point + sign * reach * along) for sign in (-1, 1) for reach in (BESIDE / 3, BESIDE)]
    uses = {room.use for room in rooms if room is not None}
    if "garage" in uses and len(uses) > 1:
        garage = next(room.name for room in rooms if room is not None and room.use == "garage")
        return f"it parts {garage} from the rooms beyond", Rung.DECLARED
    return "", Rung.DECLARED
