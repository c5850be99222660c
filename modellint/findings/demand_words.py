"""What a missing fact means for the model: a part to draw, a property to give, a shape to export, a question.

The facts are those that measures name in `Missing.quantity`; what is in no table here is a question for a person.
"""

from __future__ import annotations

from dataclasses import dataclass

from modellint.graph.house import GROUPS

# role (or derived node, or slot of a chain) to the role that has to be recognised for it
STANDS_FOR = {
    "wall_end": "shear_wall",
    "wall_segment": "shear_wall",
    "wall_line": "shear_wall",
    "tie": "hold_down",
    "base tie": "hold_down",
    "top tie": "hold_down",
    "place of the tie": "hold_down",
    "anchor rod": "rod",
    "floor rod": "rod",
    "rod piece": "rod",
    "bearing plate": "bearing_plate",
    "plate_piece": "sill_plate",
    "any_plate": "sill_plate",
    "any_collector": "collector",
    "vent_run": "vent_pipe",
    "vent_outlet": "vent_pipe",
    "any_pipe": "vent_pipe",
    "suction side": "vent_pipe",
    "way to a suction point": "vent_fitting",
    "joint": "vent_fitting",
    "foundation": "footing",
    "gravel_pocket": "permeable_layer",
    "permeable layer depth": "permeable_layer",
    "roof surface": "roof",
}
# facts under another name than their quantity in the property book
WRITTEN_AS = {
    "level of soil-gas control": "soil_gas_level",
    "bolt diameter": "rod_diameter",
    "diameter": "outside_diameter",
}
SHAPES = frozenset(
    {
        "shape",
        "shape of a part",
        "shape of the rod",
        "centre line",
        "place of the exit",
        "plan area",
        "extent",
    }
)
STOREYS = frozenset({"storey elevations", "ground level", "highest storey height", "lowest storey height"})
# the roles that an ordinary house of this kind has (common practice, no source): only these are asked for where
# a rule found nothing to be asked of
ORDINARY = frozenset(
    {
        "shear_wall",
        "hold_down",
        "rod",
        "post",
        "anchor_bolt",
        "sill_plate",
        "sheathing",
        "footing",
        "vent_pipe",
        "collector",
        "permeable_layer",
        "membrane",
        "foundation_slab",
        "roof",
        "stud",
    }
)


@dataclass(frozen=True)
class Need:
    """What a missing fact asks for.

    Attributes:
        kind: `part`, `property`, `shape`, `storey` or `answer`.
        name: role of a part, quantity of a property, else the fact itself.
    """

    kind: str
    name: str


def need_of(fact: str, roles: frozenset[str], quantities: frozenset[str]) -> Need:
    """What a fact named by a measure asks for.

    Args:
        fact: `Missing.quantity`.
        roles: names of all roles of the role book.
        quantities: names of all quantities of the property book.
    """
    if fact in SHAPES:
        return Need("shape", "shape")
    if fact in STOREYS:
        return Need("storey", "storey elevations")
    role = STANDS_FOR.get(fact, fact)
    if role in roles:
        return Need("part", role)
    if role in GROUPS:
        return Need("part", GROUPS[role][0])
    quantity = WRITTEN_AS.get(fact, fact.replace(" ", "_"))
    return Need("property", quantity) if quantity in quantities else Need("answer", fact)


def role_of_subject(kind: str, roles: frozenset[str]) -> str:
    """The role whose parts a subject kind is made of; "" for the building and kinds that nothing is drawn for."""
    role = STANDS_FOR.get(kind, kind)
    if role in roles:
        return role
    return GROUPS[role][0] if role in GROUPS else ""
