"""Derived nodes of the lateral side: wall lines, segments, ends, plate pieces and the steps of a chain."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from modellint.ifc.solid import Array
from modellint.roles.part import Part, Rung


@dataclass(frozen=True)
class LineOpening:
    """An opening in a wall line: interval along the line and in height, metres.

    Attributes:
        key: GlobalId of the opening's filling, else of the opening.
        is_door: it reaches down to the sole.
    """

    key: str
    start: float
    end: float
    bottom: float
    top: float
    is_door: bool = False


@dataclass(eq=False)
class WallLine:
    """Collinear walls of one storey and one shear role, seen as one straight strip in plan.

    Attributes:
        key: key of the lowest-sorted wall part.
        name: mark or name to say.
        storey: storey name, "" if unknown.
        origin: (2,) plan start point on the centre line, world metres.
        direction: (2,) unit vector from start to end.
        bottom, top: metres.
        shear: rung of the shear role, None for other walls.
        method: `segmented`, `perforated`, `force_transfer`, `portal`, or "" if not stated.
    """

    key: str
    name: str
    walls: tuple[Part, ...]
    storey: str
    origin: Array
    direction: Array
    length: float
    thickness: float
    bottom: float
    top: float
    shear: Rung | None
    compass: tuple[str, str] = ("start", "end")
    method: str = ""
    openings: tuple[LineOpening, ...] = ()
    segments: list[WallSegment] = field(default_factory=list)

    @property
    def said(self) -> str:
        """The name as a sentence says it: "wall S1", "SW-2 shear wall"."""
        return self.name if "wall" in self.name.lower() else f"wall {self.name}"

    @property
    def parts(self) -> tuple[Part, ...]:
        """The walls."""
        return self.walls

    @property
    def normal(self) -> Array:
        """(2,) unit vector across the line."""
        return np.array([-self.direction[1], self.direction[0]])

    def along(self, points: Array) -> Array:
        """Distance of points (n, 2+) from the start, along the line."""
        distance: Array = (np.atleast_2d(points)[:, :2] - self.origin) @ self.direction
        return distance

    def across(self, points: Array) -> Array:
        """Signed distance of points (n, 2+) from the centre line."""
        distance: Array = (np.atleast_2d(points)[:, :2] - self.origin) @ self.normal
        return distance

    def point(self, along: float, z: float) -> Array:
        """World point on the centre line."""
        plan = self.origin + self.direction * along
        return np.array([plan[0], plan[1], z])

    def rung_as(self, role: str) -> Rung:
        """Rung of the shear role."""
        return self.shear if self.shear is not None else Rung.DECLARED


@dataclass(eq=False)
class WallSegment:
    """A full-height length between openings. Subject kind `wall_segment`.

    Attributes:
        start, end: metres along the line.
        sole, top: bottom of the sole plate and top of the top plate, metres.
        opening_before, opening_after: keys of the openings it lies between; "" at an end of the line.
    """

    key: str
    line: WallLine
    start: float
    end: float
    sole: float
    top: float
    opening_before: str = ""
    opening_after: str = ""
    ends: list[WallEnd] = field(default_factory=list)

    @property
    def length(self) -> float:
        """Metres."""
        return self.end - self.start

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        whole = len(self.line.segments) == 1
        where = "" if whole else f", {self.start:.2f} to {self.end:.2f} m from its {self.line.compass[0]} end"
        return f"{self.line.said}, {self.line.storey}{where}".replace(", ,", ",")

    @property
    def parts(self) -> tuple[Part, ...]:
        """The walls of the line."""
        return self.line.walls

    def rung_as(self, role: str) -> Rung:
        """Rung of the shear role."""
        return self.line.rung_as(role)


@dataclass(eq=False)
class WallEnd:
    """One end of a shear-wall segment with all that its column of space catches. Subject kind `wall_end`.

    Attributes:
        key: `GlobalId@start|end` of the wall for outer ends, `openingGlobalId@before|after` for inner ones.
        side: `start` or `end` of the segment.
        word: compass word, or `start`/`end`.
        outer: it is an end of the whole line.
        below: the end it stands on, None for a ground end or one that does not stack.
        above: ends that stand on it.
        rods: rods that pass the level of its sole; column_rods: all rods in its column of space.
        on_foundation: the wall's sole stands on the foundation (or lower).
    """

    key: str
    segment: WallSegment
    side: str
    word: str
    outer: bool
    posts: tuple[Part, ...] = ()
    base_ties: tuple[Part, ...] = ()
    top_ties: tuple[Part, ...] = ()
    rods: tuple[Part, ...] = ()
    column_rods: tuple[Part, ...] = ()
    straps: tuple[Part, ...] = ()
    bearing_plates: tuple[Part, ...] = ()
    nuts: tuple[Part, ...] = ()
    take_ups: tuple[Part, ...] = ()
    below: WallEnd | None = None
    above: list[WallEnd] = field(default_factory=list)
    on_foundation: bool = False
    stated_tie: str = ""
    steps: tuple[ChainStep, ...] = ()

    @property
    def line(self) -> WallLine:
        """Its wall line."""
        return self.segment.line

    @property
    def position(self) -> float:
        """Metres along the line."""
        return self.segment.start if self.side == "start" else self.segment.end

    @property
    def inward(self) -> float:
        """+1 if the segment lies in the line's direction from here, else -1."""
        return 1.0 if self.side == "start" else -1.0

    @property
    def point(self) -> Array:
        """(3,) the end point at the sole, world metres."""
        return self.line.point(self.position, self.segment.sole)

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        line = self.line
        where = f"{self.word} end"
        if not self.outer:
            where = f"{self.word} end of the length {self.segment.start:.2f} to {self.segment.end:.2f} m"
        return ", ".join(text for text in (line.said, line.storey, where) if text)

    @property
    def parts(self) -> tuple[Part, ...]:
        """The walls it belongs to."""
        return self.line.walls

    def rung_as(self, role: str) -> Rung:
        """Rung of the wall's shear role."""
        return self.line.rung_as(role)


@dataclass(eq=False)
class ChainStep:
    """One slot or one link of a chain, in order from the top. Subject kind `uplift_step`.

    Attributes:
        kind: `slot` (an absent or undrawn part) or a link kind: `fastened_to`, `threaded_into`,
            `embedded_in`, `bears_on`, `coupled`.
        slot: slot name below (or of) this step, e.g. `base tie`.
        state: `joined`, `broken`, `unknown`.
        origin: `stated`, `inferred`, "" for a slot.
        gap: metres, None if unknown or a slot.
        limit: largest gap allowed, metres.
        text: what was seen, a phrase that can follow the place.
        missing: what the model lacks, when unknown.
    """

    key: str
    kind: str
    slot: str
    end: WallEnd
    state: str
    pieces: tuple[Part, ...] = ()
    origin: str = ""
    gap: float | None = None
    limit: float | None = None
    rung: Rung = Rung.DECLARED
    text: str = ""
    missing: str = ""
    roles: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        where = f" at {self.end.line.storey}" if self.end.line.storey else ""
        return f"{self.text}{where}"

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts of the step."""
        return self.pieces

    def rung_as(self, role: str) -> Rung:
        """A step always exists; how sure its state is, link_state says."""
        return Rung.DECLARED


@dataclass(eq=False)
class PlatePiece:
    """One length of sole or sill plate on the foundation. Subject kind `plate_piece`.

    Attributes:
        plate: the drawn plate, or the wall it is assumed under.
        bolts: anchor bolts through it with their distance from the piece's start, metres, ascending.
        assumed: the plate is not drawn; the wall's sole was taken as one piece.
    """

    key: str
    plate: Part
    line: WallLine | None
    start: Array
    direction: Array
    length: float
    width: float
    bottom: float
    top: float
    bolts: tuple[tuple[Part, float], ...] = ()
    assumed: bool = False

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        where = f"{self.line.said}, {self.line.storey}" if self.line else self.plate.name
        return f"sill plate of {where}, piece of {self.length:.2f} m"

    @property
    def parts(self) -> tuple[Part, ...]:
        """The plate."""
        return (self.plate,)

    def rung_as(self, role: str) -> Rung:
        """Lowest rung of the plate's roles."""
        return min(self.plate.roles.values(), default=Rung.INFERRED)
