"""What all manners of writing have in common: spatial structure, containment, properties, joints, systems."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from .pieces import House, Measure, Piece
from .shapes import Vec
from .step import WORLD, Frame, Step

SYSTEMS = {
    "soil-gas": ("Soil-gas vent SG-1", "EXHAUST"),
    "soil-gas-2": ("Soil-gas vent SG-2", "EXHAUST"),
    "drainage": ("Sanitary drainage", "DRAINAGE"),
    "plumbing-vent": ("Plumbing vent", "VENT"),
    "ventilation": ("Exhaust air", "VENTILATION"),
}


class Manner:
    """Writes one house; subclasses say which classes, shapes and properties stand for a piece."""

    name = ""
    schema = ""
    scale = 1.0
    digits = 9
    frame: Frame = WORLD

    def __init__(self, house: House, only: Iterable[str] | None = None) -> None:
        """`only`: keys of the pieces to write; all if not given."""
        self.house = house
        self.step = Step(house, self.schema, self.scale, self.digits)
        chosen = None if only is None else set(only)
        self.pieces = [p for p in house.pieces.values() if chosen is None or p.key in chosen]
        self.made: dict[str, Any] = {}
        self.inside: dict[Any, list[Any]] = {}
        self.made_of: dict[str, list[str]] = {}
        self.places: dict[Any, Any] = {}

    def write(self, path: Path | str) -> None:
        """Write the whole file."""
        self.spatial()
        for piece in self.pieces:
            self.element(piece)
        self.relations()
        self.step.save(path)

    # what subclasses say -------------------------------------------------------------------------------

    def units(self) -> list[Any]:
        """Units of the file."""
        raise NotImplementedError

    def north(self) -> Vec:
        """True north in project coordinates."""
        return (*self.house.north, 0.0)

    def element(self, piece: Piece) -> None:
        """Write one piece."""
        raise NotImplementedError

    def properties(self, piece: Piece) -> dict[str, dict[str, Any]]:
        """Property sets of a piece: set name to property name to IFC value."""
        raise NotImplementedError

    # shared steps --------------------------------------------------------------------------------------

    def spatial(self) -> None:
        """Project, site, building and storeys."""
        step, house = self.step, self.house
        project = step.project(self.units(), self.north(), 1e-5 * self.scale)
        site = self.node("IfcSite", "site", "Saltgrass Lane", step.placement(self.frame))
        building = self.node(
            "IfcBuilding", "building", house.title, step.placement(WORLD, site.ObjectPlacement)
        )
        self.places[0] = site
        levels = []
        for storey in house.storeys:
            place = step.placement(((0.0, 0.0, storey.elevation), *WORLD[1:]), building.ObjectPlacement)
            level = self.node("IfcBuildingStorey", f"storey-{storey.number}", storey.name, place)
            level.Elevation = step.size(storey.elevation)
            self.places[storey.number] = level
            levels.append(level)
        self.aggregate("project", project, [site])
        others = sorted({p.building for p in self.pieces if p.building})
        more = [self._other_building(name, site) for name in others]
        self.aggregate("site", site, [building, *more])
        self.aggregate("building", building, levels)
        self.building = building

    def _other_building(self, name: str, site: Any) -> Any:
        step = self.step
        building = self.node(
            "IfcBuilding", f"building/{name}", name, step.placement(WORLD, site.ObjectPlacement)
        )
        level = self.node(
            "IfcBuildingStorey",
            f"building/{name}/storey",
            f"{name} ground floor",
            step.placement(WORLD, building.ObjectPlacement),
        )
        level.Elevation = 0.0
        self.places[name] = level
        self.aggregate(f"building/{name}", building, [level])
        return building

    def node(self, ifc_class: str, key: str, name: str, placement: Any) -> Any:
        """A site, building or storey."""
        return self.step.rooted(
            ifc_class, key, Name=name, ObjectPlacement=placement, CompositionType="ELEMENT"
        )

    def place_of(self, piece: Piece) -> Any:
        """The storey (or other building's storey) a piece stands in."""
        return self.places[piece.building or piece.storey]

    def origin_of(self, piece: Piece) -> Frame:
        """Frame of the piece's storey in house coordinates."""
        z = 0.0 if piece.building or piece.storey == 0 else self.house.storey(piece.storey).elevation
        return ((0.0, 0.0, z), *WORLD[1:])

    def put(self, piece: Piece, element: Any) -> Any:
        """Remember a written element and where it belongs."""
        self.made[piece.key] = element
        if piece.kind == "space":
            self.inside.setdefault(("space", self.place_of(piece)), []).append(element)
        elif piece.kind == "opening":
            pass
        elif piece.parent in self.made:
            self.made_of.setdefault(piece.parent, []).append(piece.key)
        else:
            self.inside.setdefault(("contained", self.place_of(piece)), []).append(element)
        return element

    def aggregate(self, key: str, whole: Any, parts: list[Any]) -> None:
        """State what something is made up of."""
        self.step.rooted("IfcRelAggregates", f"aggregates/{key}", RelatingObject=whole, RelatedObjects=parts)

    def relations(self) -> None:
        """All relations between what was written."""
        for (how, place), elements in self.inside.items():
            if how == "space":
                self.aggregate(f"spaces/{place.GlobalId}", place, elements)
            else:
                self.step.rooted(
                    "IfcRelContainedInSpatialStructure",
                    f"contains/{place.GlobalId}",
                    RelatedElements=elements,
                    RelatingStructure=place,
                )
        for parent, keys in self.made_of.items():
            self.aggregate(parent, self.made[parent], [self.made[k] for k in keys])
        self.holes()
        self.joints()
        self.pipes()
        self.systems()
        self.materials()
        self.property_sets()

    def holes(self) -> None:
        """Voids and what fills them."""
        for opening in self.house.openings.values():
            hole, host, filling = (self.made.get(k) for k in (opening.key, opening.host, opening.filling))
            if hole is not None and host is not None:
                self.step.rooted(
                    "IfcRelVoidsElement",
                    f"voids/{opening.key}",
                    RelatingBuildingElement=host,
                    RelatedOpeningElement=hole,
                )
                if filling is not None:
                    self.step.rooted(
                        "IfcRelFillsElement",
                        f"fills/{opening.key}",
                        RelatingOpeningElement=hole,
                        RelatedBuildingElement=filling,
                    )

    def joints(self) -> None:
        """Stated joints; none unless a manner writes them."""

    def pipes(self) -> None:
        """Ports and their joints; none unless a manner writes them."""

    def systems(self) -> None:
        """Distribution systems."""
        for system, (label, sort) in SYSTEMS.items():
            members = [self.made[p.key] for p in self.pieces if p.system == system and p.key in self.made]
            if not members:
                continue
            if self.schema == "IFC2X3":
                group = self.step.rooted("IfcSystem", f"system/{system}", Name=label)
            else:
                group = self.step.rooted(
                    "IfcDistributionSystem", f"system/{system}", Name=label, PredefinedType=sort
                )
            self.step.rooted(
                "IfcRelAssignsToGroup", f"in-system/{system}", RelatedObjects=members, RelatingGroup=group
            )
            self.step.rooted(
                "IfcRelServicesBuildings",
                f"serves/{system}",
                RelatingSystem=group,
                RelatedBuildings=[self.building],
            )

    def materials(self) -> None:
        """One material per name."""
        by_name: dict[str, list[Any]] = {}
        for piece in self.pieces:
            if piece.material and piece.key in self.made and piece.kind != "opening":
                by_name.setdefault(piece.material, []).append(self.made[piece.key])
        for name, elements in by_name.items():
            material = self.step.once(("material", name), lambda name=name: self.material(name))
            self.step.rooted(
                "IfcRelAssociatesMaterial",
                f"material/{name}",
                RelatedObjects=elements,
                RelatingMaterial=material,
            )

    def material(self, name: str) -> Any:
        """A material."""
        return self.step.new("IfcMaterial", name)

    def property_sets(self) -> None:
        """Property sets; equal ones are shared."""
        shared: dict[tuple[Any, ...], list[Any]] = {}
        for piece in self.pieces:
            if piece.key not in self.made or piece.kind == "opening":
                continue
            for name, values in self.properties(piece).items():
                content = (name, tuple((k, *v) for k, v in values.items()))
                shared.setdefault(content, []).append(self.made[piece.key])
        for content, elements in shared.items():
            self._property_set(content, elements)
        level = self.house.props.get("soil_gas_level")
        if level:
            self._property_set(("Soil gas", (("RequirementLevel", "IfcLabel", level),)), [self.building])
        for node, key in ((self.building, "design_basis"), (self.places[0], "site_design_basis")):
            if basis := self.house.props.get(key):
                rows = tuple((name, "IfcLabel", value) for name, value in basis.items())
                self._property_set(("Design basis", rows), [node])

    def _property_set(self, content: tuple[Any, ...], elements: list[Any]) -> None:
        step = self.step
        name, values = content
        singles = [
            step.once(
                ("prop", *v),
                lambda v=v: step.new("IfcPropertySingleValue", v[0], None, step.new(v[1], v[2]), None),
            )
            for v in values
        ]
        key = f"{name}/{values}/{elements[0].GlobalId}"
        pset = step.rooted("IfcPropertySet", f"pset/{key}", Name=name, HasProperties=singles)
        step.rooted(
            "IfcRelDefinesByProperties",
            f"has-pset/{key}",
            RelatedObjects=elements,
            RelatingPropertyDefinition=pset,
        )

    def typed(self, value: Any) -> tuple[str, Any]:
        """An IFC measure type and the value in file units."""
        if isinstance(value, Measure):
            if value.dimension == "area":
                return ("IfcAreaMeasure", value.value)
            return ("IfcPositiveLengthMeasure", self.step.size(value.value))
        if isinstance(value, bool):
            return ("IfcBoolean", value)
        if isinstance(value, int):
            return ("IfcInteger", value)
        return ("IfcLabel", value)
