"""The result of one check before it is written: what every report writer starts from (as its JSON form)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from modellint.findings.finding import Finding

if TYPE_CHECKING:
    from modellint.ifc.model import Note, SourceFile


@dataclass(frozen=True)
class RoleCoverage:
    """How a role was found in one building.

    Attributes:
        found: rung word to number of parts.
        drawn, places: drawn at n of m like places (0 of 0 where no place is defined for the role).
        complete: what is absent is absent, not merely undrawn; `ground` says why.
        storeys: storey name to number of parts.
    """

    role: str
    building: str
    found: dict[str, int]
    drawn: int
    places: int
    complete: bool
    ground: str
    storeys: dict[str, int] = field(default_factory=dict)


@dataclass
class RuleCount:
    """Outcomes of one rule over all its subjects."""

    rule: str
    group: str
    title: str
    stage: str
    passed: int = 0
    failed: int = 0
    open: int = 0
    not_applicable: int = 0


@dataclass(frozen=True)
class PathSlot:
    """One place in a chain, filled or not. `state`: `joined`, `broken`, `unknown` (as its worst link)."""

    name: str
    storey: str
    state: str
    parts: tuple[tuple[str, str], ...]
    rung: str
    text: str


@dataclass(frozen=True)
class PathLink:
    """One link of a chain. `first` and `second` are `(name, GlobalId)`; gap in metres, None if unknown."""

    kind: str
    first: tuple[str, str]
    second: tuple[str, str]
    origin: str
    state: str
    gap: float | None
    gap_limit: float | None
    rung: str
    text: str


@dataclass(frozen=True)
class PathLoad:
    """One link of the tension path of a wall end beside the pull there.

    Attributes:
        link: name of the link.
        storey: storey whose pull it carries.
        demand, capacity: lowest and highest possible value in newtons; None for an end that is open.
        level: load level of the demand, "" if not stated.
        weakest: it has the least known capacity of this storey's links.
    """

    link: str
    storey: str
    demand: tuple[float | None, float | None]
    capacity: tuple[float | None, float | None]
    level: str
    weakest: bool


@dataclass(frozen=True)
class PathNumber:
    """One reckoned number of a wall end on the way of an uplift chain, or of the length of wall it belongs to.

    Attributes:
        name: what it is, e.g. "lever arm", "pull".
        storey: storey of the wall end.
        low, high: lowest and highest possible value in SI; None for an end that is open.
        dimension: dimension word.
        level: load level of a force, "" if it has none.
    """

    name: str
    storey: str
    low: float | None
    high: float | None
    dimension: str
    level: str = ""


@dataclass(frozen=True)
class Path:
    """One chain: `kind` is `uplift`, `compression` or `vent`; `verdict` is `joined`, `broken` or `unknown`."""

    kind: str
    subject_key: str
    name: str
    storey: str
    verdict: str
    slots: tuple[PathSlot, ...] = ()
    links: tuple[PathLink, ...] = ()
    text: str = ""
    loads: tuple[PathLoad, ...] = ()
    numbers: tuple[PathNumber, ...] = ()


@dataclass
class Report:
    """Everything one check says. `today` is "" when nothing with a date was read.

    Attributes:
        origin: what was subtracted from the file's world coordinates, metres.
        incomplete: sentences that say why the check is incomplete (exit status 3), [] if it is not.
        drawings: one drawings.scene per building judged, if asked for.
        shapes: one drawings.scene_shapes per building judged, if asked for.
    """

    files: tuple[SourceFile, ...]
    origin: tuple[float, float, float]
    notes: list[Note]
    coverage: list[RoleCoverage]
    rules: list[RuleCount]
    findings: list[Finding]
    paths: list[Path]
    estimates: list[dict[str, Any]] = field(default_factory=list)
    passes: list[dict[str, Any]] = field(default_factory=list)
    buildings: list[dict[str, Any]] = field(default_factory=list)
    incomplete: list[str] = field(default_factory=list)
    settings: list[dict[str, Any]] = field(default_factory=list)
    drawings: list[dict[str, Any]] = field(default_factory=list)
    shapes: list[dict[str, Any]] = field(default_factory=list)
    today: str = ""
