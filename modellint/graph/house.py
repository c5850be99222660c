"""One building with its parts and derived nodes: what rules and measures are asked of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from modellint.ifc.model import Model, Relation
from modellint.roles.part import Part, Rung
from modellint.roles.properties import PropertyBook, Reading

GROUPS = {
    "foundation": ("footing", "stem_wall", "pile", "foundation_slab"),
    "any_collector": ("collector", "suction_point"),
    "tie": ("hold_down", "strap", "bearing_plate", "rod"),
    "any_pipe": ("vent_pipe", "plumbing_pipe", "pipe", "duct"),
    "any_plate": ("bottom_plate", "sill_plate", "top_plate", "plate"),
    "anchor": ("rod", "anchor_bolt"),
    "any_nut": ("nut", "take_up"),
    "roof_frame": ("rafter", "truss"),
    "any_electrical_box": ("electrical_box", "power_outlet"),
}


# roles of which at least one must be recognised for a check of the building to mean anything
SIGHT = ("shear_wall", "hold_down", "rod", "strap", "vent_pipe", "collector")


@dataclass(frozen=True)
class Completeness:
    """Whether the model draws a role as a matter of course (see docs/evidence.md, Absence).

    Attributes:
        drawn, places: drawn at n of m like places.
        complete: then what is absent is absent, not merely undrawn.
        rung: rung of that conclusion.
        ground: `stated number`, `drawn elsewhere`, `network drawn with fittings`, or "".
    """

    role: str
    drawn: int
    places: int
    complete: bool
    rung: Rung = Rung.INFERRED
    ground: str = ""


@dataclass(eq=False)
class House:
    """One building. `nodes` maps a derived kind (`wall_end`, `vent_run`, …) to its subjects, sorted by key.

    Attributes:
        key: key of the IfcBuilding, or "" if the file has none.
        model: the model it was read from.
        parts: key to part, in key order.
        completeness: role to its completeness in this building.
        schedules: tables of the project (see rulebook/schedules.py), {} if none.
        properties: the property book that `stated` reads with.
        settings: general settings (rules/settings.yaml and the project's), SI.
        absence: the graph's Absence once the lateral side is connected.
        crossings: pipes near structural parts (crossings.Crossings).
        relations: the model's stated relations, less those between other buildings' elements.
        bearings: wall end key to its compression chain (compression.Bearing).
        progress: what is marked as ordered or built (measures.build_state), None until it is asked for.
        dwelling: it is one dwelling unit of a building (see dwellings.py).
        within: key of that building, "" if it has none or the house is no unit.
        guests: keys of another unit's parts at a wall that both share: seen by measures, not judged here.
    """

    key: str
    name: str
    model: Model
    parts: dict[str, Part]
    nodes: dict[str, tuple[Any, ...]] = field(default_factory=dict)
    completeness: dict[str, Completeness] = field(default_factory=dict)
    schedules: dict[str, Any] = field(default_factory=dict)
    properties: PropertyBook = field(default_factory=lambda: PropertyBook({}))
    settings: dict[str, Any] = field(default_factory=dict)
    absence: Any = None
    crossings: Any = None
    bearings: dict[str, Any] = field(default_factory=dict)
    progress: Any = None
    dwelling: bool = False
    within: str = ""
    guests: frozenset[str] = frozenset()
    relations: Sequence[Relation] = ()
    _by_role: dict[tuple[str, ...], tuple[Part, ...]] = field(default_factory=dict)
    _rows: dict[str, dict[int, Part]] = field(default_factory=dict)
    _stated: dict[tuple[str, str], Reading | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """A house that is alone in its model takes all relations."""
        self.relations = self.relations or self.model.relations

    @property
    def roles(self) -> dict[str, Rung]:
        """A building is a subject of kind `building`, always declared."""
        return {"building": Rung.DECLARED}

    def rung_as(self, role: str) -> Rung:
        """Always declared."""
        return Rung.DECLARED

    def with_role(self, *roles: str) -> tuple[Part, ...]:
        """Parts with any of the roles or role groups, in key order."""
        if roles not in self._by_role:
            wanted = {member for role in roles for member in GROUPS.get(role, (role,))}
            rows = self._rows_by_role()
            found = {row: part for role in wanted for row, part in rows.get(role, {}).items()}
            self._by_role[roles] = tuple(found[row] for row in sorted(found))
        return self._by_role[roles]

    def _rows_by_role(self) -> dict[str, dict[int, Part]]:
        """Role to its parts by their row in `parts`."""
        if not self._rows:
            for row, part in enumerate(self.parts.values()):
                for role in part.roles:
                    self._rows.setdefault(role, {})[row] = part
        return self._rows

    def roles_changed(self) -> None:
        """Forget what was remembered by role; call after giving parts further roles."""
        self._by_role.clear()
        self._rows.clear()

    def in_sight(self) -> bool:
        """Whether anything of the lateral or soil-gas side was recognised at rung inferred or better."""
        return any(part.rung_as(role) >= Rung.INFERRED for role in SIGHT for part in self.with_role(role))

    def limit(self, name: str, default: float) -> float:
        """A general setting in SI, or its shipped value where no settings were loaded."""
        value: float = self.settings.get(name, default)
        return value

    def stated(self, part: Part, quantity: str) -> Reading | None:
        """What the part's elements state for a quantity of the property book, the best readable one; else None."""
        asked = (part.key, quantity)
        if asked not in self._stated:
            self._stated[asked] = self._read(part, quantity) if quantity in self.properties.entries else None
        return self._stated[asked]

    def _read(self, part: Part, quantity: str) -> Reading | None:
        for element in part.elements:
            if not element.properties:
                continue
            for reading in self.properties.read(element, quantity):
                if not reading.unread:
                    return reading
        return None

    def subjects(self, kind: str) -> Iterable[Any]:
        """All subjects of a kind: derived nodes, `building` itself, or parts with a role."""
        if kind == "building":
            return (BuildingSubject(self),)
        if kind in self.nodes:
            return self.nodes[kind]
        return self.with_role(kind)


@dataclass(eq=False)
class BuildingSubject:
    """The building as the subject of a rule."""

    house: House

    @property
    def key(self) -> str:
        """Key of the building, `building` if the file names none."""
        return self.house.key or "building"

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        return self.house.name or "the building"

    @property
    def parts(self) -> tuple[Part, ...]:
        """None: measures record what they read."""
        return ()

    def rung_as(self, role: str) -> Rung:
        """Always declared."""
        return Rung.DECLARED
