"""An abstract house: its pieces, how they are joined, and ids that stay the same in every manner."""

from __future__ import annotations

import copy
import uuid
from dataclasses import dataclass, field
from typing import Any

from .shapes import Shape, Vec

_SPACE = uuid.UUID("6f1d0a52-8c1e-5a0b-9c35-2f6b7d6e4a11")
_DIGITS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz_$"


@dataclass(frozen=True)
class Measure:
    """A property value with its dimension: `length` (metres), `force` (newtons) or `area` (square metres)."""

    value: float
    dimension: str = "length"


@dataclass
class Piece:
    """One thing that is built.

    Attributes:
        key: unique within the house, e.g. `SW-1/L2/2a/base-tie`.
        kind: role word, e.g. `hold_down`; other words for what has no role.
        name: what a drafter would call it.
        storey: 1 for the ground storey; one above the highest for the attic; 0 for the site.
        shape: solid in house metres, or None if undrawn.
        wall: mark of the wall it belongs to, "".
        mark: tag on the drawings, e.g. `TD-2`.
        material: material name, "".
        props: canonical property name to value (str, bool, int or Measure).
        system: `soil-gas`, `drainage`, `plumbing-vent`, `ventilation`, "".
        parent: key of the piece that is made up of this one, "".
        variant: finer sort, e.g. `trimmer`, `bend`, `tee`, `cap`, `riser`.
        ports: places of its pipe ends.
        type_name: name of the product type; pieces with equal types and shapes share one.
        axis: plan line of a wall.
        more_shapes: further solids of the same piece, e.g. the branch of a tee.
        building: "" for the house itself, else the name of another building.
    """

    key: str
    kind: str
    name: str
    storey: int
    shape: Shape | None = None
    wall: str = ""
    mark: str = ""
    material: str = ""
    props: dict[str, Any] = field(default_factory=dict)
    system: str = ""
    parent: str = ""
    variant: str = ""
    ports: tuple[Vec, ...] = ()
    type_name: str = ""
    axis: tuple[Vec, Vec] | None = None
    building: str = ""
    more_shapes: tuple[Shape, ...] = ()


@dataclass(frozen=True)
class Joint:
    """A stated joint between two pieces.

    Attributes:
        kind: `fastened_to`, `threaded_into`, `embedded_in`, `rod` (two ties or a tie and concrete, by a
            rod), `covers` or `supports`.
        by: key of the realizing piece, "".
    """

    kind: str
    first: str
    second: str
    by: str = ""


@dataclass(frozen=True)
class PipeJoint:
    """Two pipe ends that are joined: keys of the pieces and which of their ports."""

    first: str
    first_port: int
    second: str
    second_port: int


@dataclass(frozen=True)
class Opening:
    """A hole in a wall or roof and what fills it (keys; `filling` may be "")."""

    key: str
    host: str
    filling: str


@dataclass(frozen=True)
class Storey:
    """A storey: number, name, elevation of its floor in metres."""

    number: int
    name: str
    elevation: float


@dataclass
class House:
    """An abstract house; dictionaries keep the order in which things are built."""

    name: str
    title: str
    storeys: list[Storey]
    pieces: dict[str, Piece] = field(default_factory=dict)
    joints: list[Joint] = field(default_factory=list)
    pipe_joints: list[PipeJoint] = field(default_factory=list)
    openings: dict[str, Opening] = field(default_factory=dict)
    north: tuple[float, float] = (0.0, 1.0)
    props: dict[str, Any] = field(default_factory=dict)
    facts: dict[str, Any] = field(default_factory=dict)
    schedules: dict[str, list[list[str]]] = field(default_factory=dict)
    salt: str = ""

    def add(self, piece: Piece) -> Piece:
        """Add a piece; its key must be new."""
        if piece.key in self.pieces:
            raise ValueError(f"two pieces with key {piece.key}")
        self.pieces[piece.key] = piece
        return piece

    def remove(self, *keys: str) -> None:
        """Take pieces out, with the joints and openings that name them."""
        gone = set(keys)
        for key in keys:
            del self.pieces[key]
        self.joints = [j for j in self.joints if not gone & {j.first, j.second, j.by}]
        self.pipe_joints = [j for j in self.pipe_joints if not gone & {j.first, j.second}]
        self.openings = {
            k: (Opening(o.key, o.host, "") if o.filling in gone else o)
            for k, o in self.openings.items()
            if k not in gone and o.host not in gone
        }

    def copy(self) -> House:
        """A house of its own that may be changed."""
        return copy.deepcopy(self)

    def guid(self, key: str) -> str:
        """GlobalId of a piece, a storey or a relation: the same in every manner of writing.

        Another `salt` gives other ids throughout, as an exporter does that renews them.
        """
        return compress(uuid.uuid5(_SPACE, f"{self.salt}{self.name}/{key}"))

    def storey(self, number: int) -> Storey:
        """Storey by number."""
        return next(s for s in self.storeys if s.number == number)

    def of_kind(self, *kinds: str) -> list[Piece]:
        """Pieces of some kinds in building order."""
        return [p for p in self.pieces.values() if p.kind in kinds]


def plan_of(piece: Piece) -> tuple[float, ...]:
    """Lower and upper corner of a drawn piece in plan, metres."""
    low, high = piece.shape.bounds()  # type: ignore[union-attr]
    return tuple(round(v, 6) for v in (*low[:2], *high[:2]))


def compress(identifier: uuid.UUID) -> str:
    """The 22-character form of a GlobalId (ISO 16739, IfcGloballyUniqueId)."""
    value = identifier.int
    digits = []
    for _ in range(22):
        value, rest = divmod(value, 64)
        digits.append(_DIGITS[rest])
    return "".join(reversed(digits))
