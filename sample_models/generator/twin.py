"""Two dwelling units in one building: the sample house and its mirror image beside it, stated in several ways."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from . import transform
from .house import two_storey
from .pieces import House
from .sizes import DEPTH
from .styles import write_pair

PARTY = "SW-4"
GAP = 0.025  # between the two leaves of the party wall
NAMES = ("Unit A", "Unit B")
WAYS = ("zones", "spatial-zones", "parts", "nothing")


def twins(*, one_party_wall: bool = False) -> tuple[House, House]:
    """The two units; the second's key of a piece is the first's, its ids are others.

    Each has its own leaf of the party wall, or with `one_party_wall` the first's wall serves both.
    """
    first = two_storey()
    east = max(piece.shape.bounds()[1][0] for piece in first.pieces.values()
               if piece.shape is not None and piece.kind == "shear_wall")
    apart = -DEPTH if one_party_wall else GAP
    second = transform.move(transform.mirror(two_storey()), (2 * east + apart, 0.0, 0.0))
    second.salt, second.title = "second", NAMES[1]
    for house, letter in ((first, "A"), (second, "B")):
        for piece in house.pieces.values():
            piece.name = f"{letter} {piece.name}" if piece.kind == "space" else piece.name
    for key in [key for key, piece in second.pieces.items() if one_party_wall and piece.wall == PARTY]:
        if key in second.pieces:
            second.remove(key)
    return first, second


def write_twins(first: House, second: House, path: Path, way: str) -> None:
    """Write both units as one building; `way` is one of WAYS, how the file says that they are two."""
    import ifcopenshell

    write_pair(first, second, path)
    model = ifcopenshell.open(str(path))
    if way == "parts":
        _as_parts(model, first)
    else:
        spaces = [_spaces(model, building) for building in _buildings(model)]
        _into_one(model)
        if way != "nothing":
            for name, house, rows in zip(NAMES, (first, second), spaces, strict=True):
                _zone(model, house, name, rows, way)
    model.write(str(path))


def _buildings(model: Any) -> list[Any]:
    return sorted(model.by_type("IfcBuilding"), key=lambda row: int(row.id()))


def _spaces(model: Any, building: Any) -> list[Any]:
    storeys = [part for relation in building.IsDecomposedBy for part in relation.RelatedObjects]
    return [part for storey in storeys for relation in storey.IsDecomposedBy for part in relation.RelatedObjects
            if part.is_a("IfcSpace")]


def _into_one(model: Any) -> None:
    """The second building's storeys handed to the first's of the same name; the second removed."""
    first, second = _buildings(model)

    def storeys(building: Any) -> dict[str, Any]:
        return {one.Name: one for relation in building.IsDecomposedBy for one in relation.RelatedObjects}

    kept, gone = storeys(first), storeys(second)
    instead = {gone[name].id(): kept[name] for name in gone} | {second.id(): first}
    for relation in model.by_type("IfcRelContainedInSpatialStructure"):
        relation.RelatingStructure = instead.get(relation.RelatingStructure.id(), relation.RelatingStructure)
    for relation in model.by_type("IfcRelAggregates"):
        if relation.RelatingObject == second:
            model.remove(relation)
        elif any(part == second for part in relation.RelatedObjects):
            relation.RelatedObjects = [part for part in relation.RelatedObjects if part != second] or [first]
        elif relation.RelatingObject.id() in instead:
            relation.RelatingObject = instead[relation.RelatingObject.id()]
    for row in (*gone.values(), second):
        model.remove(row)


def _as_parts(model: Any, house: House) -> None:
    """Both buildings as parts of a third."""
    parts = _buildings(model)
    site = model.by_type("IfcSite")[0]
    whole = model.create_entity("IfcBuilding", GlobalId=house.guid("twin"), OwnerHistory=site.OwnerHistory,
                                Name="Semi-detached house", ObjectPlacement=parts[0].ObjectPlacement,
                                CompositionType="COMPLEX")
    for part, name in zip(parts, NAMES, strict=True):
        part.CompositionType, part.Name = "PARTIAL", name
    for relation in model.by_type("IfcRelAggregates"):
        if any(part in parts for part in relation.RelatedObjects):
            model.remove(relation)
    for key, one, rows in (("twin/site", site, [whole]), ("twin/parts", whole, parts)):
        model.create_entity("IfcRelAggregates", GlobalId=house.guid(key), OwnerHistory=site.OwnerHistory,
                            RelatingObject=one, RelatedObjects=rows)


def _zone(model: Any, house: House, name: str, spaces: list[Any], way: str) -> None:
    owner = spaces[0].OwnerHistory
    if way == "zones":
        zone = model.create_entity("IfcZone", GlobalId=house.guid("zone"), OwnerHistory=owner, Name=name,
                                   ObjectType="dwelling")
        model.create_entity("IfcRelAssignsToGroup", GlobalId=house.guid("zone/spaces"), OwnerHistory=owner,
                            RelatedObjects=spaces, RelatingGroup=zone)
        return
    zone = model.create_entity("IfcSpatialZone", GlobalId=house.guid("zone"), OwnerHistory=owner, Name=name,
                               LongName="Dwelling", PredefinedType="OCCUPANCY")
    model.create_entity("IfcRelReferencedInSpatialStructure", GlobalId=house.guid("zone/spaces"), OwnerHistory=owner,
                        RelatedElements=spaces, RelatingStructure=zone)
