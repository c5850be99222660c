"""Derived nodes of the soil-gas side: pipe ends, joints, networks, runs, outlets, pockets and pools."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from modellint.graph.pipe_facts import PipeFacts
from modellint.ifc.solid import Array
from modellint.roles.part import Part, Rung

if TYPE_CHECKING:
    from shapely import Polygon

VENT_ROLES = ("vent_pipe", "vent_fitting", "vent_terminal", "collector", "suction_point", "fan", "sump")


@dataclass(frozen=True)
class PipeLimits:
    """Limits of the joints, metres; common practice, no source.

    Attributes:
        port_gap: a stated joint drawn further apart is broken.
        end_gap: ends closer than this meet without a statement; a quarter of the outside diameter if larger.
        facing_gap: two open ends in line across a gap up to this are named as one broken joint.
        vertical: a stretch shorter than this in plan counts as vertical.
        pool: water shallower than this is noise of the arithmetic.
        pocket_area: smaller pieces of gravel are dropped, square metres.
        label_reach: a label this near to the vent belongs to it.
    """

    port_gap: float = 0.020
    end_gap: float = 0.025
    facing_gap: float = 1.0
    vertical: float = 0.025
    pool: float = 0.001
    pocket_area: float = 1.0
    label_reach: float = 0.6


@dataclass(eq=False)
class PipeEnd:
    """One end (or mouth) of a pipe or fitting.

    Attributes:
        key: `part key#k`.
        point: (3,) world metres, None if it has no place.
        port: GlobalId of the port it stands for, "".
    """

    key: str
    part: Part
    point: Array | None
    port: str = ""

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        return f"end of {self.part.name}"

    @property
    def parts(self) -> tuple[Part, ...]:
        """The piece it belongs to."""
        return (self.part,)

    def rung_as(self, role: str) -> Rung:
        """Rung of the piece as a vent part."""
        return max(
            (self.part.rung_as(role) for role in VENT_ROLES if role in self.part.roles), default=Rung.INFERRED
        )


@dataclass(eq=False)
class Joint:
    """Two ends that belong together.

    Attributes:
        key: both ends' keys.
        origin: `stated` (ports) or `inferred` (geometry).
        gap: metres; None if a side has no place.
        state: `joined`, `broken` (stated, but drawn apart beyond the limit) or `unknown`.
        rung: lowest rung behind it.
        point: where.
    """

    first: PipeEnd
    second: PipeEnd
    origin: str
    gap: float | None
    state: str
    rung: Rung
    point: Array | None = None
    key: str = ""

    def __post_init__(self) -> None:
        self.key = f"{self.first.key}|{self.second.key}"

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        return f"joint between {self.first.part.name} and {self.second.part.name}"

    @property
    def parts(self) -> tuple[Part, ...]:
        """The two pieces."""
        return (self.first.part, self.second.part)

    def rung_as(self, role: str) -> Rung:
        """Rung of the joint."""
        return self.rung


@dataclass(eq=False)
class Span:
    """A stretch of a pipe between two neighbouring joints or ends.

    Attributes:
        line: (n, 3) centre line from `first` to `second`.
        toward: `first`, `second` or `both`: the end or ends from which a suction point is reached without
            passing
            the stretch; "" if not known.
        reason: why that side, in words.
    """

    first: PipeEnd
    second: PipeEnd
    line: Array
    toward: str = ""
    reason: str = ""


@dataclass(eq=False)
class Piece:
    """A pipe or fitting with its ends.

    Attributes:
        kind: `pipe` or `fitting` (fans, pits and terminals, too).
        line: (n, 3) centre line, None if it has none.
        radius: outer radius as drawn, metres; None if not known.
        outside: outside diameter, metres; None if not known.
        bore, nominal: possible inside and nominal diameter, metres; None if nothing is known.
        needs: ends that its type has (an elbow 2, a tee 3, a cap 1); 0 if not known.
        along: end key to arc length on the line.
        perforated: lets gas in along its length; None if not known.
        caps: it closes the end it sits on.
    """

    part: Part
    kind: str
    line: Array | None = None
    radius: float | None = None
    outside: float | None = None
    bore: tuple[float, float] | None = None
    nominal: tuple[float, float] | None = None
    needs: int = 0
    ends: list[PipeEnd] = field(default_factory=list)
    along: dict[str, float] = field(default_factory=dict)
    perforated: bool | None = None
    caps: bool = False
    spans: tuple[Span, ...] = ()

    def add_end(self, point: Array | None, port: str = "", along: float | None = None) -> PipeEnd:
        """A further end of this piece."""
        end = PipeEnd(f"{self.part.key}#{len(self.ends)}", self.part, point, port)
        self.ends.append(end)
        if along is not None:
            self.along[end.key] = along
        return end


@dataclass(eq=False)
class Network:
    """Pipes and fittings that hang together.

    Attributes:
        key: key of its lowest-sorted part.
        parts: members sorted by key.
        joints: between members.
        open_ends: ends with nothing on them (mouths), caps excluded.
        colours: `soil-gas`, `plumbing`, `other` as marked by systems, properties, names; may be two.
        complete: drawn with its fittings, so that what it lacks is absent and not merely undrawn.
    """

    key: str
    parts: tuple[Part, ...]
    joints: tuple[Joint, ...]
    open_ends: tuple[PipeEnd, ...] = ()
    colours: frozenset[str] = frozenset()
    complete: bool = False
    pieces: dict[str, Piece] = field(default_factory=dict, repr=False)
    colour_of: dict[str, str] = field(default_factory=dict, repr=False)

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        return f"pipe network of {self.parts[0].name}" if self.parts else "pipe network"

    def rung_as(self, role: str) -> Rung:
        """Lowest rung among its joints."""
        return min((joint.rung for joint in self.joints), default=Rung.INFERRED)


@dataclass(eq=False)
class VentRun:
    """One soil-gas network seen as a way from its suction points to its outlets.

    `kind` of subject: `vent_run`. Key: the network's.

    Attributes:
        ends: free end's key to its use: `outlet`, `suction`, `capped`, `open` or `unknown`.
        order: part keys from suction to outlet along the way, the first break included.
        cut_off: keys of pieces from which no water finds a suction point.
    """

    key: str
    network: Network
    suction: tuple[PipeEnd, ...] = ()
    outlets: tuple[VentOutlet, ...] = ()
    rung: Rung = Rung.INFERRED
    pools: tuple[Pool, ...] = ()
    label: str = ""
    ends: dict[str, str] = field(default_factory=dict, repr=False)
    order: tuple[str, ...] = ()
    cut_off: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        return self.label or "soil-gas vent"

    @property
    def parts(self) -> tuple[Part, ...]:
        """Members of the network."""
        return self.network.parts

    def rung_as(self, role: str) -> Rung:
        """Lowest rung among what makes it a vent."""
        return self.rung

    def free_ends(self) -> tuple[PipeEnd, ...]:
        """Ends with nothing on them, by key; caps, outlets and suction points included."""
        found = [end for piece in self.network.pieces.values() for end in piece.ends if end.key in self.ends]
        return tuple(sorted(found, key=lambda end: end.key))


@dataclass(eq=False)
class VentOutlet:
    """The free upper end of a vent run. Subject kind `vent_outlet`."""

    key: str
    end: PipeEnd
    rim_radius: float | None
    run: VentRun | None = None
    rung: Rung = Rung.INFERRED

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        return "exit of " + (self.run.name if self.run else "the vent")

    @property
    def parts(self) -> tuple[Part, ...]:
        """The piece that ends there."""
        return (self.end.part,)

    def rung_as(self, role: str) -> Rung:
        """Rung of the run."""
        return self.rung


@dataclass(eq=False)
class Pool:
    """Standing water: a low point of a run. Subject kind `pool`.

    Attributes:
        point: (3,) invert at the deepest point, world metres.
        depth: metres of water above the invert, at most the bore.
        volume: cubic metres.
        closed: share of the bore's area that is under water at the deepest point, 0 to 1.
        lift: smallest rise of one joint that drains it, metres; None if no single rise does.
        lift_at: key of the end to lift.
    """

    key: str
    point: Array
    depth: float
    volume: float
    closed: float
    lift: float | None
    lift_at: str
    part: Part
    rung: Rung = Rung.INFERRED

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        closes = f" and closes {self.closed:.0%} of the bore" if self.closed else ""
        return f"low point in {self.part.name} that holds {self.volume * 1000:.2f} L{closes}"

    @property
    def parts(self) -> tuple[Part, ...]:
        """The piece it stands in."""
        return (self.part,)

    def rung_as(self, role: str) -> Rung:
        """Rung of the pieces."""
        return self.rung


@dataclass(eq=False)
class GravelPocket:
    """A connected piece of the permeable layer in plan. Subject kind `gravel_pocket`."""

    key: str
    layer: Part
    plan: Polygon = field(repr=False)
    bottom: float = 0.0
    top: float = 0.0
    served_by: tuple[str, ...] = ()
    rung: Rung = Rung.INFERRED

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        middle = self.plan.representative_point()
        return f"gravel pocket of {self.plan.area:.1f} m² round ({middle.x:.1f}, {middle.y:.1f})"

    @property
    def parts(self) -> tuple[Part, ...]:
        """The layer it is cut from."""
        return (self.layer,)

    def rung_as(self, role: str) -> Rung:
        """Rung of the layer."""
        return self.rung


@dataclass(eq=False)
class VentStorey:
    """A vent run on one storey: where a label is due. Subject kind `vent_storey`.

    Attributes:
        low, high: z interval of the storey, metres.
        pieces: parts of the run seen there.
        labels: label parts on that stretch.
        attic: it is an attic or roof storey, where only an accessible one needs a label.
    """

    key: str
    run: VentRun
    storey: str
    low: float
    high: float
    pieces: tuple[Part, ...]
    labels: tuple[Part, ...] = ()
    attic: bool = False

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        return f"{self.run.name} on {self.storey}"

    @property
    def parts(self) -> tuple[Part, ...]:
        """Pieces on that storey, then labels."""
        return (*self.pieces, *self.labels)

    def rung_as(self, role: str) -> Rung:
        """Rung of the run."""
        return self.run.rung


@dataclass(eq=False)
class Piping:
    """All pipes of a building: what measures look pieces up in.

    Attributes:
        pieces: part key to piece.
        network_of: part key to network.
        run_of: part key to vent run.
        facts: the property book.
    """

    pieces: dict[str, Piece] = field(default_factory=dict)
    network_of: dict[str, Network] = field(default_factory=dict)
    run_of: dict[str, VentRun] = field(default_factory=dict)
    limits: PipeLimits = field(default_factory=PipeLimits)
    facts: PipeFacts = field(default_factory=PipeFacts)
