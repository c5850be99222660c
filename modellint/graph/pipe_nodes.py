"""Derived nodes of the soil-gas side: pipe ends, joints, networks, runs, outlets, pockets and pools."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from modellint.ifc.solid import Array
from modellint.roles.part import Part, Rung

if TYPE_CHECKING:
    from shapely import Polygon


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


@dataclass(eq=False)
class Joint:
    """Two ends that belong together.

    Attributes:
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


@dataclass(eq=False)
class VentRun:
    """One soil-gas network seen as a way from its suction points to its outlets.

    `kind` of subject: `vent_run`. Key: the network's.
    """

    key: str
    network: Network
    suction: tuple[PipeEnd, ...] = ()
    outlets: tuple[VentOutlet, ...] = ()
    rung: Rung = Rung.INFERRED
    pools: tuple[Pool, ...] = ()
    label: str = ""

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
        return f"low point in {self.part.name}"

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
