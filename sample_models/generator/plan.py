"""What a house is built from: walls with openings, in plan, and how each storey is held down."""

from __future__ import annotations

from dataclasses import dataclass, field

from .pieces import House, Storey
from .shapes import Extrusion, Vec, box
from .sizes import DEPTH, PLY, STEP, WALL


@dataclass(frozen=True)
class Hole:
    """An opening: from start to end along the wall, sill and head above the floor, `window` or `door`."""

    start: float
    end: float
    sill: float
    head: float
    what: str
    name: str = ""
    operable: bool = True


@dataclass(frozen=True)
class Segment:
    """A full-height length between openings; `cut_a`, `cut_b`: an opening bounds it there."""

    number: int
    start: float
    end: float
    cut_a: bool
    cut_b: bool


@dataclass(frozen=True)
class WallPlan:
    """One wall on one storey.

    Attributes:
        mark: e.g. `SW-1`.
        origin: plan point where the outer face starts.
        along: 0 when it runs east, 1 when it runs north.
        inward: +1 or -1, direction of the thickness along the other axis.
        length: metres.
        shear: whether it is a shear wall.
        exterior: whether it stands on a stem wall.
        holes: openings from start to end.
        hold: `ties`, `continuous` or `straps` (how its ends cross the floor below it).
        post: width of the end posts along the wall.
    """

    mark: str
    storey: int
    origin: tuple[float, float]
    along: int
    inward: int
    length: float
    shear: bool
    exterior: bool
    holes: tuple[Hole, ...] = ()
    hold: str = "ties"
    post: float = 2 * PLY
    straps: bool = False

    @property
    def key(self) -> str:
        """Key of the wall piece."""
        return f"{self.mark}/L{self.storey}"

    @property
    def base(self) -> float:
        """Elevation of the floor it stands on."""
        return (self.storey - 1) * STEP

    @property
    def top(self) -> float:
        """Elevation of the top of its plates."""
        return self.base + WALL

    def point(self, s: float, t: float, z: float) -> Vec:
        """House coordinates of a point: s along, t inward from the outer face, z up."""
        x, y = self.origin
        if self.along == 0:
            return (x + s, y + self.inward * t, z)
        return (x + self.inward * t, y + s, z)

    def box(
        self, s: tuple[float, float], t: tuple[float, float], z: tuple[float, float], sweep: str = ""
    ) -> Extrusion:
        """A box in wall coordinates; `sweep` is `s`, `t`, `z` or "" for the longest side."""
        axis = {"s": self.along, "t": 1 - self.along, "z": 2}.get(sweep)
        return box(self.point(s[0], t[0], z[0]), self.point(s[1], t[1], z[1]), axis)

    def segments(self) -> list[Segment]:
        """Full-height lengths between openings."""
        edges = [0.0, *(edge for hole in self.holes for edge in (hole.start, hole.end)), self.length]
        pairs = list(zip(edges[::2], edges[1::2], strict=True))
        last = len(pairs) - 1
        return [Segment(k + 1, a, b, k > 0, k < last) for k, (a, b) in enumerate(pairs) if b - a > 1e-9]

    def ends(self) -> list[End]:
        """Both ends of every segment."""
        return [End(self, seg, side) for seg in self.segments() for side in "ab"]

    def compass(self, side: str) -> str:
        """`west`, `east`, `south` or `north` for side a (start) or b (end)."""
        return (("west", "east"), ("south", "north"))[self.along]["ab".index(side)]


@dataclass(frozen=True)
class End:
    """One end of a segment with the places of its post, tie and rod along the wall."""

    wall: WallPlan
    segment: Segment
    side: str

    @property
    def key(self) -> str:
        """Key prefix of the end's hardware."""
        return f"{self.wall.key}/{self.segment.number}{self.side}"

    @property
    def _edge(self) -> tuple[float, int]:
        if self.side == "a":
            return self.segment.start + (PLY if self.segment.cut_a else 0.0), 1
        return self.segment.end - (PLY if self.segment.cut_b else 0.0), -1

    def reach(self, near: float, far: float) -> tuple[float, float]:
        """Interval along the wall between two distances from the post's outer face."""
        edge, sign = self._edge
        a, b = edge + sign * near, edge + sign * far
        return (min(a, b), max(a, b))

    @property
    def post(self) -> tuple[float, float]:
        """Interval of the post along the wall."""
        return self.reach(0.0, self.wall.post)

    @property
    def rod(self) -> float:
        """Place of the rod along the wall."""
        near = self.wall.post + 0.038
        return self.reach(near, near)[0]


@dataclass
class Plan:
    """A house as it is planned.

    Attributes:
        length, breadth: outer faces of the framing, metres east and north.
        storeys: number of storeys.
        walls: all walls on all storeys.
        riser: plan place of the soil-gas riser; `exit_at` of its end above the roof.
    """

    house: House
    length: float
    breadth: float
    storeys: int
    walls: list[WallPlan] = field(default_factory=list)
    riser: tuple[float, float] = (0.0, 0.0)
    offset: float = 1.2
    stack: tuple[float, float] = (0.0, 0.0)

    def on(self, storey: int, shear: bool | None = None) -> list[WallPlan]:
        """Walls of a storey."""
        return [w for w in self.walls if w.storey == storey and shear in (None, w.shear)]

    def wall(self, mark: str, storey: int) -> WallPlan | None:
        """A wall by mark and storey."""
        return next((w for w in self.walls if w.mark == mark and w.storey == storey), None)

    @property
    def exit_at(self) -> tuple[float, float]:
        """Plan place where the soil-gas vent goes through the roof."""
        return (self.riser[0] + self.offset, self.riser[1])

    @property
    def roof_base(self) -> float:
        """Top of the highest wall plates."""
        return (self.storeys - 1) * STEP + WALL


def storeys(count: int) -> list[Storey]:
    """Storeys and the attic."""
    levels = [Storey(n, f"Level {n}", (n - 1) * STEP) for n in range(1, count + 1)]
    return [*levels, Storey(count + 1, "Attic", (count - 1) * STEP + WALL)]


__all__ = ["DEPTH", "End", "Hole", "Plan", "Segment", "WallPlan", "storeys"]
