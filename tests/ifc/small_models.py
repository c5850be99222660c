"""Small IFC models, written with ifcopenshell 0.9 entity by entity, for the reader's tests."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.guid

UNITS = {
    "mm": ("MILLI", None),
    "m": (None, None),
    "ft": (None, ("foot", 0.3048)),
    "in": (None, ("inch", 0.0254)),
    "cm": ("CENTI", None),
}


class Writer:
    """A file with a project, one context, a site, a building and a storey."""

    def __init__(self, schema: str = "IFC4", unit: str = "mm", *, units: bool = True) -> None:
        self.f = ifcopenshell.file(schema=schema)
        self.history = self._history() if schema == "IFC2X3" else None
        self.context = self.make(
            "IfcGeometricRepresentationContext", None, "Model", 3, 1e-5, self.axes(), None
        )
        assignment = self.make("IfcUnitAssignment", self._units(unit)) if units else None
        self.project = self.root("IfcProject", "House", None, None, None, None, [self.context], assignment)
        self.site = self.root("IfcSite", "Lot", None, None, self.place(), None, None, "ELEMENT")
        self.building = self.root(
            "IfcBuilding", "House", None, None, self.place(above=self.site[5]), None, None, "ELEMENT"
        )
        self.storey = self.root(
            "IfcBuildingStorey",
            "Level 1",
            None,
            None,
            self.place(above=self.building[5]),
            None,
            None,
            "ELEMENT",
            0.0,
        )
        for whole, part in (
            (self.project, self.site),
            (self.site, self.building),
            (self.building, self.storey),
        ):
            self.root("IfcRelAggregates", None, None, whole, [part])

    def make(self, ifc_class: str, *values: Any) -> Any:
        row = self.f.create_entity(ifc_class)
        for at, value in enumerate(values):
            if value is not None:
                row[at] = value
        return row

    def root(self, ifc_class: str, name: str | None, *values: Any, guid: str | None = None) -> Any:
        return self.make(ifc_class, guid or ifcopenshell.guid.new(), self.history, name, *values)

    def _history(self) -> Any:
        person = self.make(
            "IfcPersonAndOrganization", self.make("IfcPerson"), self.make("IfcOrganization", None, "x")
        )
        application = self.make("IfcApplication", person[1], "1", "tests", "tests")
        return self.make("IfcOwnerHistory", person, application, None, "ADDED", None, None, None, 0)

    def _units(self, unit: str) -> list[Any]:
        prefix, named = UNITS[unit]
        length = self.make("IfcSIUnit", None, "LENGTHUNIT", prefix, "METRE")
        if named:
            factor = self.make(
                "IfcMeasureWithUnit", self.f.create_entity("IfcLengthMeasure", named[1]), length
            )
            powers = self.make("IfcDimensionalExponents", 1, 0, 0, 0, 0, 0, 0)
            length = self.make("IfcConversionBasedUnit", powers, "LENGTHUNIT", named[0], factor)
        return [
            length,
            self.make("IfcSIUnit", None, "PLANEANGLEUNIT", None, "RADIAN"),
            self.make("IfcSIUnit", None, "FORCEUNIT", "KILO", "NEWTON"),
            self.make("IfcSIUnit", None, "AREAUNIT", "MILLI", "SQUARE_METRE"),
        ]

    def point(self, *xyz: float) -> Any:
        return self.make("IfcCartesianPoint", [float(v) for v in xyz])

    def direction(self, *xyz: float) -> Any:
        return self.make("IfcDirection", [float(v) for v in xyz])

    def axes(
        self,
        at: tuple[float, ...] = (0, 0, 0),
        z: tuple[float, ...] | None = None,
        x: tuple[float, ...] | None = None,
    ) -> Any:
        return self.make(
            "IfcAxis2Placement3D",
            self.point(*at),
            self.direction(*z) if z else None,
            self.direction(*x) if x else None,
        )

    def axes2(self, at: tuple[float, float] = (0, 0), x: tuple[float, float] = (1, 0)) -> Any:
        return self.make("IfcAxis2Placement2D", self.point(*at), self.direction(*x))

    def place(
        self,
        at: tuple[float, ...] = (0, 0, 0),
        z: tuple[float, ...] | None = None,
        x: tuple[float, ...] | None = None,
        above: Any = None,
    ) -> Any:
        return self.make("IfcLocalPlacement", above, self.axes(at, z, x))

    def line(self, points: list[tuple[float, ...]]) -> Any:
        return self.make("IfcPolyline", [self.point(*p) for p in points])

    def body(self, *items: Any, kind: str = "SweptSolid", name: str = "Body") -> Any:
        shape = self.make("IfcShapeRepresentation", self.context, name, kind, list(items))
        return self.make("IfcProductDefinitionShape", None, None, [shape])

    def extruded(
        self, profile: Any, depth: float, position: Any = None, along: tuple[float, float, float] = (0, 0, 1)
    ) -> Any:
        return self.make(
            "IfcExtrudedAreaSolid", profile, position or self.axes(), self.direction(*along), float(depth)
        )

    def rectangle(self, x: float, y: float) -> Any:
        return self.make("IfcRectangleProfileDef", "AREA", None, self.axes2(), float(x), float(y))

    def element(
        self,
        ifc_class: str,
        shape: Any = None,
        placement: Any = None,
        name: str = "E",
        guid: str | None = None,
    ) -> Any:
        row = self.root(
            ifc_class, name, None, None, placement or self.place(above=self.storey[5]), shape, guid=guid
        )
        self.root("IfcRelContainedInSpatialStructure", None, None, [row], self.storey)
        return row

    def save(self, folder: Path, name: str = "model.ifc") -> Path:
        path = folder / name
        self.f.write(str(path))
        return path
