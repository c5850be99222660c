"""Manner `plain`: IFC2X3, feet, telling names, text properties, far from the origin and turned."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import cos, radians, sin
from typing import Any

from .manner import Manner
from .pieces import House, Piece, plan_of
from .plain_text import TEXT, inches
from .shapes import Extrusion, Shape, Tube, Vec
from .step import WORLD, frame_of, into

TURN = radians(23.0)
FAR: Vec = (412_345.0, 287_650.0, 12.0)
FOOT = 0.3048

CLASSES = {
    "shear_wall": "IfcWallStandardCase",
    "other_wall": "IfcWallStandardCase",
    "stem_wall": "IfcWallStandardCase",
    "sheathing": "IfcPlate",
    "header": "IfcBeam",
    "joist": "IfcBeam",
    "beam": "IfcBeam",
    "floor": "IfcSlab",
    "foundation_slab": "IfcSlab",
    "roof": "IfcSlab",
    "footing": "IfcFooting",
    "membrane": "IfcCovering",
    "anchor_bolt": "IfcMechanicalFastener",
    "collector": "IfcFlowSegment",
    "vent_pipe": "IfcFlowSegment",
    "plumbing_pipe": "IfcFlowSegment",
    "duct": "IfcFlowSegment",
    "suction_point": "IfcFlowFitting",
    "vent_fitting": "IfcFlowFitting",
    "plumbing_fitting": "IfcFlowFitting",
    "vent_terminal": "IfcFlowTerminal",
    "plumbing_fixture": "IfcFlowTerminal",
    "window": "IfcWindow",
    "door": "IfcDoor",
    "opening": "IfcOpeningElement",
    "space": "IfcSpace",
    "fan": "IfcFlowMovingDevice",
    "sump": "IfcFlowStorageDevice",
}
MEMBERS = {
    "stud",
    "post",
    "sill_plate",
    "bottom_plate",
    "top_plate",
    "rough_sill",
    "rim",
    "blocking",
    "rafter",
    "rod",
}
PREDEFINED = {
    "IfcSlab": {"floor": "FLOOR", "foundation_slab": "BASESLAB", "roof": "ROOF"},
    "IfcFooting": {"footing": "NOTDEFINED"},
    "IfcCovering": {"membrane": "MEMBRANE"},
}
GROUPED = {"anchor_bolt": "bolts", "plate_washer": "washers"}
STATED_JOINTS = 2


LAYERS = (
    ("foundation/slab", "Concrete"),
    ("foundation/membrane", "Polyethylene membrane (soil gas retarder)"),
    ("foundation/gravel", "Gravel, gas-permeable layer"),
)


class Plain(Manner):
    """Names and shapes only; one layered slab; bolts as groups of mapped items."""

    name = "plain"
    schema = "IFC2X3"
    scale = 1.0 / FOOT
    digits = 8
    frame = (FAR, (cos(TURN), sin(TURN), 0.0), (0.0, 0.0, 1.0))

    def __init__(self, house: House, only: Iterable[str] | None = None) -> None:
        """See Manner; pieces that this manner draws together are put together first."""
        super().__init__(house, only)
        self.layers = self._layers()
        self.merged_slab = len(self.layers) > 1
        self.layered = {p.key for p, _ in self.layers[1:]}
        self.layered_walls: dict[str, list[Piece]] = {}
        self.groups: dict[str, list[Piece]] = {}
        for piece in self.pieces:
            if piece.kind in GROUPED and "/sole-" in piece.variant:
                self.groups.setdefault(f"{piece.variant}/{GROUPED[piece.kind]}", []).append(piece)
        self.in_group = {p.key: key for key, pieces in self.groups.items() for p in pieces}

    def _layers(self) -> list[tuple[Piece, str]]:
        """The ground slab and the layers under it that have the same plan; none without the slab."""
        drawn = {p.key: p for p in self.pieces if p.shape is not None}
        slab = drawn.get("foundation/slab")
        if slab is None:
            return []
        plan = plan_of(slab)
        return [(drawn[key], label) for key, label in LAYERS if key in drawn and plan_of(drawn[key]) == plan]

    def units(self) -> list[Any]:
        """Feet, square feet, cubic feet."""
        step = self.step
        units = []
        for kind, name, base, factor, power in (
            ("LENGTHUNIT", "FOOT", "METRE", FOOT, 1),
            ("AREAUNIT", "SQUARE FOOT", "SQUARE_METRE", FOOT**2, 2),
            ("VOLUMEUNIT", "CUBIC FOOT", "CUBIC_METRE", FOOT**3, 3),
        ):
            one = step.new(
                "IfcMeasureWithUnit",
                step.new("IfcRatioMeasure", round(factor, 12)),
                step.si(kind, None, base),
            )
            dims = step.new("IfcDimensionalExponents", power, 0, 0, 0, 0, 0, 0)
            units.append(step.new("IfcConversionBasedUnit", dims, kind, name, one))
        return [*units, step.si("PLANEANGLEUNIT", None, "RADIAN")]

    def north(self) -> Vec:
        """True north is turned along with the house, so that compass words stay."""
        x, y = self.house.north
        return (x * cos(TURN) - y * sin(TURN), x * sin(TURN) + y * cos(TURN), 0.0)

    def element(self, piece: Piece) -> None:
        """Write a piece; those drawn together are written with the first of them."""
        if piece.key in self.in_group:
            self._group(self.in_group[piece.key], piece)
            return
        if piece.key in self.layered:
            return
        flat = replace(piece, parent="") if piece.parent != "roof" else piece
        self.put(flat, self._single(piece))

    def _single(self, piece: Piece) -> Any:
        step, storey = self.step, self.place_of(piece)
        ifc_class = (
            "IfcRoof"
            if piece.key == "roof"
            else CLASSES.get(piece.kind, "IfcMember" if piece.kind in MEMBERS else "IfcBuildingElementProxy")
        )
        shape = self._with_layers(piece)
        shape = None if shape is None else into(self.origin_of(piece), shape)
        more: dict[str, Any] = {}
        if ifc_class == "IfcSpace":
            more = {
                "LongName": piece.name,
                "CompositionType": "ELEMENT",
                "InteriorOrExteriorSpace": "INTERNAL",
            }
        else:
            more["Tag"] = piece.mark or None
        if ifc_class == "IfcRoof":
            more["ShapeType"] = "GABLE_ROOF"
        if ifc_class in PREDEFINED:
            more["PredefinedType"] = PREDEFINED[ifc_class][piece.kind]
        if ifc_class == "IfcWallStandardCase":
            if self._is_plain_box(piece):
                self.layered_walls.setdefault(piece.material, []).append(piece)
            else:
                ifc_class = "IfcWall"
        if "overall_width" in piece.props:
            more |= {
                "OverallWidth": step.size(piece.props["overall_width"].value),
                "OverallHeight": step.size(piece.props["overall_height"].value),
            }
        representation = (
            None
            if shape is None
            else step.product(*self._axis(piece), self._body(shape, *self._others(piece)))
        )
        return step.rooted(
            ifc_class,
            piece.key,
            Name=self.name_of(piece) or None,
            Representation=representation,
            ObjectPlacement=step.placement(WORLD, storey.ObjectPlacement),
            **more,
        )

    def name_of(self, piece: Piece) -> str:
        """A drafter's name: says what it is, as nothing else does."""
        if not piece.name:
            return ""
        if piece.kind == "rod":
            dia = inches(piece.props["rod_diameter"].value)
            return f"Anchor rod {dia} in cast in" if piece.variant == "anchor" else f"All-thread rod {dia} in"
        if piece.kind == "hold_down":
            return f"Tie-down {piece.mark}{' (inverted)' if piece.variant == 'top' else ''}"
        if piece.kind == "foundation_slab" and self.merged_slab:
            return "Slab on grade 4 in over membrane and gravel"
        return piece.name

    def _with_layers(self, piece: Piece) -> Shape | None:
        """The ground slab takes in the membrane and the gravel under it."""
        shape = piece.shape
        if piece.key != "foundation/slab" or not isinstance(shape, Extrusion) or shape.z[2] != 1.0:
            return shape
        low = min(p.shape.bounds()[0][2] for p, _ in self.layers if p.shape is not None)
        top = shape.origin[2] + shape.depth
        return replace(shape, origin=(*shape.origin[:2], low), depth=top - low)

    def _others(self, piece: Piece) -> list[Shape]:
        return [into(self.origin_of(piece), other) for other in piece.more_shapes]

    def _body(self, *shapes: Shape) -> Any:
        step = self.step
        items = []
        for shape in shapes:
            items += step.legs(shape) if isinstance(shape, Tube) else [step.extrusion(shape)]
        return step.shape("SweptSolid", items)

    def _axis(self, piece: Piece) -> list[Any]:
        if piece.axis is None:
            return []
        base = self.origin_of(piece)[0][2]
        line = self.step.new("IfcPolyline", [self.step.point((p[0], p[1], p[2] - base)) for p in piece.axis])
        return [self.step.new("IfcShapeRepresentation", self.step.axis, "Axis", "Curve3D", [line])]

    def _group(self, key: str, piece: Piece) -> None:
        """All bolts (or washers) of one plate piece as mapped items of one element."""
        if key in self.made:
            return
        step, storey = self.step, self.place_of(piece)
        items = []
        for one in self.groups[key]:
            shape = into(self.origin_of(one), one.shape)  # type: ignore[arg-type]
            own = into(frame_of(shape), shape)
            origin, x, z = frame_of(shape)

            def make(own: Shape = own) -> Any:
                return step.new("IfcRepresentationMap", step.position(WORLD), self._body(own))

            source = step.once(("map", self.shape_key(own)), make)
            third = step.direction(z)
            y = (z[1] * x[2] - z[2] * x[1], z[2] * x[0] - z[0] * x[2], z[0] * x[1] - z[1] * x[0])
            target = step.new(
                "IfcCartesianTransformationOperator3D",
                step.direction(x),
                step.direction(y),
                step.point(origin),
                1.0,
                third,
            )
            items.append(step.new("IfcMappedItem", source, target))
        label = {"anchor_bolt": "Anchor bolts 1/2 in", "plate_washer": "Plate washers 3x5"}[piece.kind]
        ifc_class = CLASSES.get(piece.kind, "IfcBuildingElementProxy")
        element = step.rooted(
            ifc_class,
            key,
            Name=f"{label} ({len(items)})",
            ObjectPlacement=step.placement(WORLD, storey.ObjectPlacement),
            Representation=step.product(step.shape("MappedRepresentation", items)),
        )
        self.made[key] = element
        self.put(replace(piece, parent=""), element)

    @staticmethod
    def shape_key(own: Shape) -> tuple[Any, ...]:
        """Equal for equal shapes in their own frame."""
        if isinstance(own, Tube):
            return (round(own.points[-1][2], 6), own.radius)
        return (round(own.depth, 6), own.size, own.outline)

    def properties(self, piece: Piece) -> dict[str, dict[str, Any]]:
        """Text properties with units in names, brackets or values."""
        sets: dict[str, dict[str, Any]] = {}
        for name, value in piece.props.items():
            if name in TEXT:
                where, label, words = TEXT[name]
                sets.setdefault(where, {})[label] = ("IfcText", words(value))
        if piece.kind == "shear_wall":
            sets.setdefault("Shear Wall Data", {})["Wall mark"] = ("IfcText", piece.mark)
        if piece.kind == "foundation_slab":
            sets.pop("Layer Data", None)
        return sets

    def materials(self) -> None:
        """Materials by name; the ground slab has layers."""
        step = self.step
        slab = self.made.get("foundation/slab")
        if self.merged_slab and slab is not None:
            layers = [
                step.new(
                    "IfcMaterialLayer", step.new("IfcMaterial", label), step.size(self._thick(piece)), None
                )
                for piece, label in self.layers
            ]
            usage = step.new(
                "IfcMaterialLayerSetUsage",
                step.new("IfcMaterialLayerSet", layers, "Slab on grade"),
                "AXIS3",
                "NEGATIVE",
                step.size(self._thick_total()),
            )
            step.rooted(
                "IfcRelAssociatesMaterial",
                "layers/foundation/slab",
                RelatedObjects=[slab],
                RelatingMaterial=usage,
            )
            self.pieces = [replace(p, material="") if p.key == "foundation/slab" else p for p in self.pieces]
        walls = [piece for pieces in self.layered_walls.values() for piece in pieces]
        for thickness in sorted({self._wall_thickness(piece) for piece in walls}):
            for name, pieces in self.layered_walls.items():
                same = [piece for piece in pieces if self._wall_thickness(piece) == thickness]
                if same:
                    self._wall_layer(name, thickness, same)
        done = {piece.key for piece in walls}
        self.pieces = [replace(p, material="") if p.key in done else p for p in self.pieces]
        super().materials()

    def _wall_layer(self, name: str, thickness: float, pieces: list[Piece]) -> None:
        """One layer for walls of equal thickness; their axis lies in the middle."""
        step = self.step
        layer = step.new(
            "IfcMaterialLayer",
            step.once(("material", name), lambda: self.material(name)),
            step.size(thickness),
            None,
        )
        usage = step.new(
            "IfcMaterialLayerSetUsage",
            step.new("IfcMaterialLayerSet", [layer], name),
            "AXIS2",
            "POSITIVE",
            -step.size(thickness / 2),
        )
        step.rooted(
            "IfcRelAssociatesMaterial",
            f"layers/{name}/{thickness}",
            RelatingMaterial=usage,
            RelatedObjects=[self.made[piece.key] for piece in pieces],
        )

    @staticmethod
    def _is_plain_box(piece: Piece) -> bool:
        return (
            isinstance(piece.shape, Extrusion)
            and piece.shape.size is not None
            and abs(piece.shape.z[2]) == 1.0
        )

    @staticmethod
    def _wall_thickness(piece: Piece) -> float:
        return round(min(piece.shape.size), 6)  # type: ignore[union-attr,type-var,arg-type]

    @staticmethod
    def _thick(piece: Piece) -> float:
        low, high = piece.shape.bounds()  # type: ignore[union-attr]
        return high[2] - low[2]

    def _thick_total(self) -> float:
        return sum(self._thick(piece) for piece, _ in self.layers)

    def pipes(self) -> None:
        """Ports for the first two joints of the soil-gas riser only."""
        step = self.step
        wanted = [j for j in self.house.pipe_joints if "coupling" in j.first + j.second][:STATED_JOINTS]
        for joint in wanted:
            pair = []
            for key, k in ((joint.first, joint.first_port), (joint.second, joint.second_port)):
                piece = self.house.pieces[key]
                if key not in self.made:
                    break
                base = self.origin_of(piece)[0][2]
                x, y, z = piece.ports[k]
                port = step.rooted(
                    "IfcDistributionPort",
                    f"{key}/port-{k}",
                    Name=f"Port {k + 1}",
                    ObjectPlacement=step.placement(
                        ((x, y, z - base), *WORLD[1:]), self.place_of(piece).ObjectPlacement
                    ),
                    FlowDirection="NOTDEFINED",
                )
                step.rooted(
                    "IfcRelConnectsPortToElement",
                    f"{key}/port-{k}/of",
                    RelatingPort=port,
                    RelatedElement=self.made[key],
                )
                pair.append(port)
            if len(pair) == 2:
                step.rooted(
                    "IfcRelConnectsPorts",
                    f"ports/{joint.first}/{joint.second}",
                    RelatingPort=pair[0],
                    RelatedPort=pair[1],
                )


__all__ = ["FAR", "FOOT", "TURN", "Plain"]
