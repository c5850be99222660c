"""Measures of the building as a whole: is there anything to judge, are heights and names believable?"""

from __future__ import annotations

from itertools import pairwise

from modellint.graph.house import SIGHT, BuildingSubject
from modellint.graph.storeys import storeys_of
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Part, Rung


@measure("count", of="building", example="42 parts")
def parts_in_sight(building: BuildingSubject, ask: Ask) -> Quantity:
    """Number of shear walls, ties, rods, straps and vent pipes at rung inferred or better."""
    seen = [part for part in building.house.with_role(*SIGHT)
            if any(part.rung_as(role) >= Rung.INFERRED for role in SIGHT)]
    return exact(
        float(len(seen)),
        "count",
        Evidence("shear walls, ties, rods, straps and vent pipes", len(seen), "count"),
    )


@measure("length", of="building", example="2.78 m")
def lowest_storey_height(building: BuildingSubject, ask: Ask) -> Quantity:
    """Smallest distance between the elevations of neighbouring storeys, metres."""
    return _storey_height(building, smallest=True)


@measure("length", of="building", example="2.78 m")
def highest_storey_height(building: BuildingSubject, ask: Ask) -> Quantity:
    """Largest distance between the elevations of neighbouring storeys, metres."""
    return _storey_height(building, smallest=False)


def _storey_height(building: BuildingSubject, *, smallest: bool) -> Quantity:
    storeys = storeys_of(building.house.model, building.house.key)
    if len(storeys) < 2:
        return unknown(
            "length",
            Missing("storey elevations", building.name, "give the storeys and their elevations"),
            low=0.0,
        )
    rows = [(upper.elevation - lower.elevation, lower.name, upper.name)
            for lower, upper in pairwise(storeys)]
    height, low, high = min(rows) if smallest else max(rows)
    return exact(height, "length", Evidence(f"{high} lies above {low}", height, "length"))


@measure("length", of="building", example="12 m")
def widest_extent(building: BuildingSubject, ask: Ask) -> Quantity:
    """Largest extent in plan over all walls and slabs, metres."""
    import numpy as np

    boxes = [
        part.box
        for part in building.house.with_role("shear_wall", "other_wall", "foundation_slab", "roof", "floor")
        if part.box is not None
    ]
    if not boxes:
        return unknown(
            "length", Missing("shape", "walls and slabs", "export the bodies of walls and slabs"), low=0.0
        )
    low = np.min([box.low for box in boxes], axis=0)
    high = np.max([box.high for box in boxes], axis=0)
    size = float((high - low)[:2].max())
    return exact(size, "length", Evidence("extent of walls and slabs", size, "length"))


@measure("truth", of="shear_wall", example="false for a wall without any body")
def wall_is_drawn(wall: Part, ask: Ask) -> Quantity:
    """Whether the wall has a body of its own or members that have."""
    return truth(
        wall.box is not None,
        Evidence(wall.element.undrawn or "no body in the file")
        if wall.box is None
        else Evidence("body read"),
    )


@named_set(of="building", gives="part")
def unnamed_hardware(building: BuildingSubject, ask: Ask) -> Members:
    """Proxies and accessories without name, type name or object type: nothing says what they are."""
    found = tuple(part for part in building.house.parts.values() if not part.roles and _nameless(part))
    for part in found:
        ask.part(part)
    return Members(found, True)


def _nameless(part: Part) -> bool:
    element = part.element
    anonymous = {
        "IfcBuildingElementProxy",
        "IfcDiscreteAccessory",
        "IfcMechanicalFastener",
        "IfcFastener",
        "IfcProxy",
    }
    words = (element.name, element.type_name, element.object_type)
    return (
        element.ifc_class in anonymous
        and not part.key.count("/")
        and not any(_says_something(word) for word in words)
    )


def _says_something(word: str) -> bool:
    return any(letter.isalpha() for letter in word) and word.lower() not in {
        "proxy",
        "undefined",
        "unnamed",
        "generic",
    }
