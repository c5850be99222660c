"""Manner `panelised`: IFC4X3, metres, wall panels as nested assemblies, breps, facesets and swept disks."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from .classes import CLASSES
from .meshes import mesh, triangles
from .pieces import Measure, Piece
from .semantic import Semantic
from .shapes import Shape, Tube, length, sub
from .step import WORLD, Frame, into

OTHER = {
    "permeable_layer": ("IfcCourse", "FILTER", ""),
    "label": ("IfcSign", "MARKER", ""),
    "coupler": ("IfcMechanicalFastener", "COUPLER", ""),
    "stem_wall": ("IfcWall", "RETAININGWALL", ""),
    "rim": ("IfcMember", "MEMBER", ""),
    "blocking": ("IfcMember", "MEMBER", ""),
    "header": ("IfcMember", "MEMBER", ""),
    "roof_tie": ("IfcDiscreteAccessory", "NOTDEFINED", ""),
}
FACETED = {
    "vent_fitting",
    "plumbing_fitting",
    "suction_point",
    "vent_terminal",
    "coupler",
    "plumbing_fixture",
}
TRIANGULATED = {"strap", "bearing_plate", "roof_tie", "power_outlet", "pipe_support"}
PROPERTIES = {
    "sheathing_thickness": ("Panel", "SheathingThickness"),
    "edge_nail_spacing": ("Panel", "NailSpacingEdge"),
    "field_nail_spacing": ("Panel", "NailSpacingField"),
    "nail_diameter": ("Panel", "NailDiameter"),
    "sheathed_sides": ("Panel", "SheathedSides"),
    "exterior": ("Panel", "IsExternal"),
    "load_bearing": ("Panel", "LoadBearing"),
    "mark": ("Hardware", "Mark"),
    "rod_diameter": ("Hardware", "RodDiameter"),
    "bolt_diameter": ("Hardware", "BoltDiameter"),
    "embedment": ("Hardware", "Embedment"),
    "outside_diameter": ("Dimensions", "OutsideDiameter"),
    "inside_diameter": ("Dimensions", "InsideDiameter"),
    "length": ("Dimensions", "Length"),
    "thickness": ("Dimensions", "Thickness"),
    "perforated": ("Pipe", "IsPerforated"),
    "operable": ("Joinery", "Operable"),
    "text": ("Sign", "Text"),
    "pitch": ("Roof", "Pitch"),
    "adjoining_dwelling": ("Joinery", "AdjoiningDwelling"),
    "gradient": ("Pipe", "Gradient"),
    "slab_seal": ("Pipe", "SlabSeal"),
    "membrane_seal": ("Pipe", "MembraneSeal"),
    "lid_seal": ("Pit", "LidSealed"),
    "air_trap": ("Pipe", "AirTrap"),
    "ply_fastening": ("Timber", "PlyNailing"),
    "property_line_distance": ("Pipe", "PropertyLineDistance"),
    "fire_rating": ("Panel", "FireRating"),
    "firestop": ("Pipe", "Firestop"),
    "insulated": ("Pipe", "Insulated"),
    "cut_approved": ("Pipe", "HoleApproved"),
    "screen_mesh": ("Pipe", "ScreenMesh"),
}


class Panelised(Semantic):
    """Walls are assemblies of assemblies; no voids, few stated joints, ports without direction."""

    name = "panelised"
    schema = "IFC4X3_ADD2"
    scale = 1.0
    digits = 9

    def units(self) -> list[Any]:
        """Metres."""
        si = self.step.si
        return [
            si("LENGTHUNIT", None, "METRE"),
            si("AREAUNIT", None, "SQUARE_METRE"),
            si("VOLUMEUNIT", None, "CUBIC_METRE"),
            si("PLANEANGLEUNIT", None, "RADIAN"),
            si("FORCEUNIT", None, "NEWTON"),
        ]

    def spatial(self) -> None:
        """Also prepare the frames of panels."""
        super().spatial()
        self.frames: dict[str, Frame] = {}

    def class_of(self, piece: Piece) -> tuple[str, str, str]:
        """IFC class, predefined type and object type of a piece."""
        if piece.kind == "rod":
            return (
                ("IfcMechanicalFastener", "USERDEFINED", "ANCHORROD")
                if piece.variant == "anchor"
                else ("IfcMember", "TIEBAR", "")
            )
        if piece.kind in OTHER:
            return OTHER[piece.kind]
        if piece.kind == "opening":
            return CLASSES["opening"]
        return super().class_of(piece)

    def element(self, piece: Piece) -> None:
        """Write a piece in its panel, or in its storey."""
        if piece.kind == "opening":
            return
        if piece.key in self.framed and piece.axis is not None:
            self._panel(piece)
        elif piece.kind == "hold_down":
            self._tie(piece)
        else:
            self._member(piece)

    def _panel(self, piece: Piece) -> None:
        """A wall panel: an assembly of a framing assembly and a sheathing assembly."""
        step, storey = self.step, self.place_of(piece)
        a, b = piece.axis or ()
        base = self.origin_of(piece)[0]
        run = length(sub(b, a))
        x = (sub(b, a)[0] / run, sub(b, a)[1] / run, sub(b, a)[2] / run)
        self.frames[piece.key] = (a, x, WORLD[2])
        shear = piece.kind == "shear_wall"
        sort = "SHEARWALLPANEL" if shear else "WALLPANEL"
        label = f"{piece.mark} {'shear wall panel' if shear else 'partition panel'}"
        panel = step.rooted(
            "IfcElementAssembly",
            piece.key,
            Name=label,
            ObjectType=sort,
            Tag=piece.mark,
            ObjectPlacement=step.placement((sub(a, base), x, WORLD[2]), storey.ObjectPlacement),
            AssemblyPlace="FACTORY",
            PredefinedType="USERDEFINED",
        )
        self.put(piece, panel)
        for part in ("framing", "sheathing") if shear else ("framing",):
            sub_piece = replace(piece, key=f"{piece.key}/{part}", parent=piece.key, props={})
            self.put(
                sub_piece,
                step.rooted(
                    "IfcElementAssembly",
                    sub_piece.key,
                    Name=f"{piece.mark} {part}",
                    AssemblyPlace="FACTORY",
                    ObjectPlacement=step.placement(WORLD, panel.ObjectPlacement),
                    PredefinedType="NOTDEFINED",
                ),
            )

    def _holder(self, piece: Piece) -> tuple[Piece, Any, Frame]:
        """The piece as it hangs in the structure, the placement it hangs on, and that placement's frame."""
        if piece.parent in self.frames:
            part = "sheathing" if piece.kind == "sheathing" else "framing"
            key = f"{piece.parent}/{part}"
            if key in self.made:
                return replace(piece, parent=key), self.made[key].ObjectPlacement, self.frames[piece.parent]
        return piece, self.place_of(piece).ObjectPlacement, self.origin_of(piece)

    def _member(self, piece: Piece) -> None:
        step = self.step
        ifc_class, predefined, object_type = self.class_of(piece)
        held, within, frame = self._holder(piece)
        shape = None if piece.shape is None else into(frame, piece.shape)
        more: dict[str, Any] = (
            {"LongName": piece.name} if ifc_class == "IfcSpace" else {"Tag": piece.mark or None}
        )
        if "overall_width" in piece.props:
            more |= {
                "OverallWidth": step.size(piece.props["overall_width"].value),
                "OverallHeight": step.size(piece.props["overall_height"].value),
            }
        element = step.rooted(
            ifc_class,
            piece.key,
            Name=piece.name or None,
            ObjectType=object_type or None,
            ObjectPlacement=step.placement(WORLD, within),
            PredefinedType=predefined,
            Representation=None
            if shape is None
            else step.product(self._solid(piece, shape, [into(frame, s) for s in piece.more_shapes])),
            **more,
        )
        self.put(held, element)

    def _solid(self, piece: Piece, shape: Shape, others: list[Shape]) -> Any:
        step = self.step
        if piece.kind in FACETED:
            return step.shape("Brep", [self._brep(one) for one in (shape, *others)])
        if piece.kind in TRIANGULATED:
            return step.shape("Tessellation", [self._faceset(shape)])
        if isinstance(shape, Tube):
            return step.shape("AdvancedSweptSolid", [step.sweep(shape)])
        return step.shape("SweptSolid", [step.extrusion(shape)])

    def _brep(self, shape: Shape) -> Any:
        step = self.step
        points, faces = mesh(shape)
        made = [step.point(p) for p in points]
        shell = step.new(
            "IfcClosedShell",
            [
                step.new(
                    "IfcFace",
                    [step.new("IfcFaceOuterBound", step.new("IfcPolyLoop", [made[k] for k in face]), True)],
                )
                for face in faces
            ],
        )
        return step.new("IfcFacetedBrep", shell)

    def _faceset(self, shape: Shape) -> Any:
        step = self.step
        points, faces = mesh(shape)
        listed = step.new("IfcCartesianPointList3D", [tuple(step.size(c) for c in p) for p in points])
        return step.new(
            "IfcTriangulatedFaceSet", listed, None, True, [tuple(k + 1 for k in t) for t in triangles(faces)]
        )

    def _tie(self, piece: Piece) -> None:
        """A base tie is one faceset; a top tie is an assembly of a bracket (brep) and its screws."""
        step, storey = self.step, self.place_of(piece)
        if piece.shape is None or not piece.name:
            self._member(piece)
            return
        shape = into(self.origin_of(piece), piece.shape)
        place = step.placement(WORLD, storey.ObjectPlacement)
        if piece.variant != "top":
            body = step.product(step.shape("Tessellation", [self._faceset(shape)]))
            self.put(
                piece,
                step.rooted(
                    "IfcDiscreteAccessory",
                    piece.key,
                    Name=piece.name or None,
                    ObjectType="TIE-DOWN",
                    Tag=piece.mark,
                    ObjectPlacement=place,
                    Representation=body,
                    PredefinedType="USERDEFINED",
                ),
            )
            return
        self.put(
            piece,
            step.rooted(
                "IfcElementAssembly",
                piece.key,
                Name=f"{piece.name} assembly",
                ObjectType="TIE-DOWN",
                Tag=piece.mark,
                ObjectPlacement=place,
                AssemblyPlace="SITE",
                PredefinedType="USERDEFINED",
            ),
        )
        bracket = replace(piece, key=f"{piece.key}/bracket", parent=piece.key, props={})
        self.put(
            bracket,
            step.rooted(
                "IfcDiscreteAccessory",
                bracket.key,
                Name="Bracket",
                PredefinedType="BRACKET",
                ObjectPlacement=step.placement(WORLD, place),
                Representation=step.product(step.shape("Brep", [self._brep(shape)])),
            ),
        )
        screws = replace(piece, key=f"{piece.key}/screws", parent=piece.key, props={})
        self.put(
            screws,
            step.rooted(
                "IfcMechanicalFastener",
                screws.key,
                Name="Screws 6.4x75 (10)",
                PredefinedType="SCREW",
                ObjectPlacement=step.placement(WORLD, place),
            ),
        )

    def properties(self, piece: Piece) -> dict[str, dict[str, Any]]:
        """Sizes as properties in sets of the factory's own."""
        sets: dict[str, dict[str, Any]] = {}
        for name, value in piece.props.items():
            if name in PROPERTIES:
                where, label = PROPERTIES[name]
                sets.setdefault(where, {})[label] = self.typed(value)
        if piece.kind == "shear_wall":
            sets.setdefault("Panel", {})["WallMark"] = ("IfcLabel", piece.mark)
        return sets

    def relations(self) -> None:
        """No types in this manner."""
        self.typed_by = {}
        super().relations()

    def joints(self) -> None:
        """Only which post a tie is fastened to."""
        for joint in self.house.joints:
            first, second = self.made.get(joint.first), self.made.get(joint.second)
            if joint.kind == "fastened_to" and first is not None and second is not None:
                self.step.rooted(
                    "IfcRelConnectsElements",
                    f"joint/{joint.kind}/{joint.first}/{joint.second}",
                    RelatingElement=first,
                    RelatedElement=second,
                )

    def port_words(self, piece: Piece, k: int) -> tuple[str, str]:
        """Ports have no direction here."""
        return ("NOTDEFINED", "NOTDEFINED")

    def connect(self, ports: dict[tuple[str, int], Any]) -> None:
        """Every third pair the other way round, every fourth stated twice."""
        for number, joint in enumerate(self.house.pipe_joints):
            first, second = (
                ports.get((joint.first, joint.first_port)),
                ports.get((joint.second, joint.second_port)),
            )
            if first is None or second is None:
                continue
            if number % 3 == 2:
                first, second = second, first
            key = f"ports/{joint.first}/{joint.first_port}/{joint.second}/{joint.second_port}"
            self.step.rooted("IfcRelConnectsPorts", key, RelatingPort=first, RelatedPort=second)
            if number % 4 == 3:
                self.step.rooted(
                    "IfcRelConnectsPorts", f"{key}/again", RelatingPort=second, RelatedPort=first
                )


__all__ = ["Measure", "Panelised"]
