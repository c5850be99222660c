"""A thin layer over the IFC library: cached points, placements and solids, fixed ids and dates."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ifcopenshell

from .pieces import House
from .shapes import Extrusion, Shape, Tube, Vec, add, cross, sub, times, unit

STAMP = "2026-01-01T00:00:00"
SECONDS = 1767225600
Frame = tuple[Vec, Vec, Vec]
WORLD: Frame = ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def dot(a: Vec, b: Vec) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def into(frame: Frame, shape: Shape) -> Shape:
    """A shape in the coordinates of a frame (origin, x, z)."""
    if frame == WORLD:
        return shape
    origin, x, z = frame
    y = cross(z, x)

    def vector(v: Vec) -> Vec:
        return (dot(v, x), dot(v, y), dot(v, z))

    return shape.mapped(lambda p: vector(sub(p, origin)), vector, False)


def frame_of(shape: Shape) -> Frame:
    """The frame in which a shape starts at the origin and runs along z."""
    if isinstance(shape, Extrusion):
        return (shape.origin, shape.x, shape.z)
    z = unit(sub(shape.points[1], shape.points[0]))
    helper = (1.0, 0.0, 0.0) if abs(z[0]) < 0.9 else (0.0, 1.0, 0.0)
    return (shape.points[0], unit(cross(helper, z)), z)


class Step:
    """One file being written."""

    def __init__(self, house: House, schema: str, scale: float, digits: int) -> None:
        """`scale`: file units per metre; `digits`: decimals kept for lengths."""
        self.house, self.schema, self.scale, self.digits = house, schema, scale, digits
        self.file = ifcopenshell.file(schema=schema)
        self._known: dict[Any, Any] = {}
        self.owner = self._owner() if schema == "IFC2X3" else None
        self.body: Any = None
        self.axis: Any = None

    def new(self, ifc_class: str, *args: Any) -> Any:
        """A new instance with positional attributes."""
        return self.file.create_entity(ifc_class, *args)

    def rooted(self, ifc_class: str, key: str, **attributes: Any) -> Any:
        """A new instance with a GlobalId of its key."""
        return self.file.create_entity(
            ifc_class, GlobalId=self.house.guid(key), OwnerHistory=self.owner, **attributes
        )

    def once(self, key: Any, make: Any) -> Any:
        """The instance made earlier for this key, else a new one."""
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = make()
        return found

    def size(self, metres: float) -> float:
        """A length in file units."""
        return round(metres * self.scale, self.digits) + 0.0

    def point(self, p: tuple[float, ...]) -> Any:
        """A point."""
        scaled = tuple(self.size(v) for v in p)
        return self.once(("p", scaled), lambda: self.new("IfcCartesianPoint", scaled))

    def direction(self, v: tuple[float, ...]) -> Any:
        """A direction."""
        ratios = tuple(round(c, 12) + 0.0 for c in v)
        return self.once(("d", ratios), lambda: self.new("IfcDirection", ratios))

    def position(self, frame: Frame) -> Any:
        """An axis placement."""
        origin, x, z = frame
        key = ("a", tuple(round(c, 9) for v in frame for c in v))
        if frame[1:] == WORLD[1:]:
            return self.once(key, lambda: self.new("IfcAxis2Placement3D", self.point(origin), None, None))
        return self.once(
            key,
            lambda: self.new("IfcAxis2Placement3D", self.point(origin), self.direction(z), self.direction(x)),
        )

    def placement(self, frame: Frame, within: Any = None) -> Any:
        """A local placement."""
        return self.new("IfcLocalPlacement", within, self.position(frame))

    def profile(self, shape: Extrusion | Tube) -> Any:
        """The profile of an extrusion or of a straight tube."""
        flat = self.once("flat", lambda: self.new("IfcAxis2Placement2D", self.point((0.0, 0.0)), None))
        if isinstance(shape, Tube):
            if shape.inner is None:
                return self.once(
                    ("c", shape.radius),
                    lambda: self.new("IfcCircleProfileDef", "AREA", None, flat, self.size(shape.radius)),
                )
            wall = shape.radius - shape.inner
            return self.once(
                ("h", shape.radius, shape.inner),
                lambda: self.new(
                    "IfcCircleHollowProfileDef", "AREA", None, flat, self.size(shape.radius), self.size(wall)
                ),
            )
        if shape.size is not None:
            sides = (self.size(shape.size[0]), self.size(shape.size[1]))
            return self.once(
                ("r", sides), lambda: self.new("IfcRectangleProfileDef", "AREA", None, flat, *sides)
            )
        corners = [self.point(p) for p in shape.outline or ()]
        return self.new(
            "IfcArbitraryClosedProfileDef", "AREA", None, self.new("IfcPolyline", [*corners, corners[0]])
        )

    def extrusion(self, shape: Extrusion | Tube) -> Any:
        """An extruded solid in the coordinates the shape is given in."""
        depth = (
            shape.depth
            if isinstance(shape, Extrusion)
            else dot(sub(shape.points[1], shape.points[0]), frame_of(shape)[2])
        )
        return self.new(
            "IfcExtrudedAreaSolid",
            self.profile(shape),
            self.position(frame_of(shape)),
            self.direction((0.0, 0.0, 1.0)),
            self.size(depth),
        )

    def sweep(self, tube: Tube) -> Any:
        """A swept disk."""
        line = self.new("IfcPolyline", [self.point(p) for p in tube.points])
        ends = (0.0, float(len(tube.points) - 1)) if self.schema == "IFC2X3" else (None, None)
        inner = None if tube.inner is None else self.size(tube.inner)
        return self.new("IfcSweptDiskSolid", line, self.size(tube.radius), inner, *ends)

    def legs(self, tube: Tube) -> list[Any]:
        """A bent tube as one extrusion per straight leg."""
        pairs = zip(tube.points, tube.points[1:], strict=False)
        return [self.extrusion(Tube(pair, tube.radius, tube.inner)) for pair in pairs]

    def shape(self, kind: str, items: list[Any]) -> Any:
        """A body representation of one kind, e.g. `SweptSolid`."""
        return self.new("IfcShapeRepresentation", self.body, "Body", kind, items)

    def product(self, *representations: Any) -> Any:
        """A product shape."""
        return self.new("IfcProductDefinitionShape", None, None, list(representations))

    def save(self, path: Path | str) -> None:
        """Write the file with a fixed header."""
        header = self.file.header
        header.file_description.description = ("ViewDefinition [ReferenceView]",)
        name = header.file_name
        name.name, name.time_stamp = Path(path).name, STAMP
        name.author, name.organization = ("Saltgrass drafting room",), ("Invented for demonstration",)
        name.preprocessor_version, name.originating_system, name.authorization = (
            "generator",
            "generator",
            "none",
        )
        self.file.write(str(path))

    def project(self, units: list[Any], north: Vec, precision: float) -> Any:
        """The project with its units and contexts."""
        world = self.position(WORLD)
        context = self.new(
            "IfcGeometricRepresentationContext", None, "Model", 3, precision, world, self.direction(north[:2])
        )
        self.body = self.new(
            "IfcGeometricRepresentationSubContext",
            "Body",
            "Model",
            None,
            None,
            None,
            None,
            context,
            None,
            "MODEL_VIEW",
            None,
        )
        self.axis = self.new(
            "IfcGeometricRepresentationSubContext",
            "Axis",
            "Model",
            None,
            None,
            None,
            None,
            context,
            None,
            "GRAPH_VIEW",
            None,
        )
        return self.rooted(
            "IfcProject",
            "project",
            Name=self.house.title,
            RepresentationContexts=[context],
            UnitsInContext=self.new("IfcUnitAssignment", units),
        )

    def si(self, kind: str, prefix: str | None, name: str) -> Any:
        """An SI unit."""
        return self.new("IfcSIUnit", None, kind, prefix, name)

    def _owner(self) -> Any:
        person = self.new("IfcPerson", None, "Drafter", None, None, None, None, None, None)
        firm = self.new("IfcOrganization", None, "Saltgrass drafting room", None, None, None)
        both = self.new("IfcPersonAndOrganization", person, firm, None)
        tool = self.new("IfcApplication", firm, "1", "generator", "generator")
        return self.new("IfcOwnerHistory", both, tool, None, "NOCHANGE", None, None, None, SECONDS)


__all__ = ["WORLD", "Frame", "Step", "add", "frame_of", "into", "times"]
