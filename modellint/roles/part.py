"""A part: the unit of recognition, with its roles and why it has them."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any

from modellint.ifc.model import Element
from modellint.ifc.solid import Array, Box, Solid


class Rung(IntEnum):
    """How well a fact is evidenced; higher is better."""

    GUESSED = 0
    INFERRED = 1
    SCHEDULED = 2
    DECLARED = 3

    @property
    def word(self) -> str:
        """The rung as it is spelled in reports."""
        return self.name.lower()


@dataclass(frozen=True)
class Ground:
    """One reason for a role.

    Attributes:
        kind: `declared`, `schedule`, `name`, `class`, `shape`, `place`, `material` or `property`. Grounds
            of the same kind count once.
        text: what was seen, e.g. "type name 'Tie-down TD-2'".
    """

    kind: str
    text: str


@dataclass(eq=False)
class Part:
    """An element, an assembly, one material layer of an element or one item of a group.

    Attributes:
        key: `GlobalId`, `GlobalId/layer:k` or `GlobalId/item:k`.
        element: the host element.
        members: other elements whose shape this part takes in (leaves of an assembly).
        roles: role to rung.
        grounds: role to the grounds behind it.
        solids: body; () if undrawn.
        box: oriented box over all solids, None if undrawn.
        axis: (n, 3) centre line of a long part (rod, pipe, post, plate), lowest or first point first.
        radius: outer radius of a round part, metres.
        inner_radius: bore radius of a hollow round part, metres.
        thickness: of a layer part, metres.
        look: what shape tests remember about box and axis (see shapes.look_at).
    """

    key: str
    element: Element
    members: tuple[Element, ...] = ()
    roles: dict[str, Rung] = field(default_factory=dict)
    grounds: dict[str, tuple[Ground, ...]] = field(default_factory=dict)
    solids: tuple[Solid, ...] = ()
    box: Box | None = None
    axis: Array | None = None
    radius: float | None = None
    inner_radius: float | None = None
    thickness: float | None = None
    look: Any = field(default=None, repr=False)

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        element = self.element
        return (
            element.name or element.type_name or element.object_type or element.ifc_class.removeprefix("Ifc")
        )

    @property
    def parts(self) -> tuple[Part, ...]:
        """Itself: parts are subjects like the derived nodes."""
        return (self,)

    @property
    def elements(self) -> tuple[Element, ...]:
        """Host element first, then the members."""
        return (self.element, *self.members)

    def rung_as(self, role: str) -> Rung:
        """Rung of the role asked for; GUESSED if it does not have it. `part` asks for any role."""
        if role == "part":
            return max(self.roles.values(), default=Rung.DECLARED)
        return self.roles.get(role, Rung.GUESSED)

    def has(self, *roles: str) -> bool:
        """Whether it has any of the roles, at any rung."""
        return any(role in self.roles for role in roles)
