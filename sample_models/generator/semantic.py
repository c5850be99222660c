"""Manner `semantic`: IFC4, millimetres, proper classes, types, ports and stated joints."""

from __future__ import annotations

from typing import Any

from .classes import CLASSES, PROPERTIES, VARIANTS
from .manner import Manner
from .pieces import Piece
from .shapes import Extrusion, Shape, Tube, length, sub
from .step import WORLD, frame_of, into

TYPED_ALONE = {"IfcSpace", "IfcOpeningElement"}


class Semantic(Manner):
    """Each piece in its own class; equal shapes are mapped items of a type."""

    name = "semantic"
    schema = "IFC4"
    scale = 1000.0
    digits = 6

    def units(self) -> list[Any]:
        """Millimetres."""
        si = self.step.si
        return [
            si("LENGTHUNIT", "MILLI", "METRE"),
            si("AREAUNIT", None, "SQUARE_METRE"),
            si("VOLUMEUNIT", None, "CUBIC_METRE"),
            si("PLANEANGLEUNIT", None, "RADIAN"),
            si("MASSUNIT", "KILO", "GRAM"),
            si("FORCEUNIT", None, "NEWTON"),
        ]

    def element(self, piece: Piece) -> None:
        """Write a piece with its own placement in its storey."""
        ifc_class, predefined, object_type = self.class_of(piece)
        step, storey = self.step, self.place_of(piece)
        shape = None if piece.shape is None else into(self.origin_of(piece), piece.shape)
        framed = (
            piece.kind in ("shear_wall", "other_wall") and piece.axis is not None and piece.key in self.framed
        )
        product = None
        place = step.placement(WORLD, storey.ObjectPlacement)
        if framed:
            place, product = self.wall_axis(piece, storey)
        elif shape is not None:
            place = step.placement(frame_of(shape), storey.ObjectPlacement)
            product = step.product(self.body_of(piece, shape, ifc_class, predefined, object_type))
        more: dict[str, Any] = {}
        if ifc_class == "IfcSpace":
            more["LongName"] = piece.name
        else:
            more["Tag"] = piece.mark or None
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
            ObjectPlacement=place,
            Representation=product,
            PredefinedType=predefined,
            **more,
        )
        self.put(piece, element)
        self.remember_type(piece, element)

    @property
    def framed(self) -> set[str]:
        """Walls that are made up of drawn members."""
        if not hasattr(self, "_framed"):
            self._framed = {p.parent for p in self.pieces if p.parent}
        return self._framed

    def class_of(self, piece: Piece) -> tuple[str, str, str]:
        """IFC class, predefined type and object type of a piece."""
        if piece.key == "roof":
            return ("IfcRoof", "GABLE_ROOF", "")
        ifc_class, predefined, object_type = CLASSES[piece.kind]
        if not piece.name and object_type:
            return (ifc_class, "NOTDEFINED", "")
        if piece.kind == "rod" and piece.variant == "anchor":
            return (ifc_class, "USERDEFINED", "ANCHORROD")
        return (ifc_class, VARIANTS.get((piece.kind, piece.variant), predefined), object_type)

    def wall_axis(self, piece: Piece, storey: Any) -> tuple[Any, Any]:
        """Placement and axis of a wall that is the sum of its members."""
        step = self.step
        a, b = piece.axis or ()
        base = self.origin_of(piece)[0]
        run = length(sub(b, a))
        x = tuple(c / run for c in sub(b, a))
        place = step.placement((sub(a, base), x, WORLD[2]), storey.ObjectPlacement)
        line = step.new("IfcPolyline", [step.point((0.0, 0.0)), step.point((run, 0.0))])
        return place, step.product(step.new("IfcShapeRepresentation", step.axis, "Axis", "Curve2D", [line]))

    def body_of(self, piece: Piece, shape: Shape, ifc_class: str, predefined: str, object_type: str) -> Any:
        """A body in the piece's own frame; a mapped item where the type has the shape."""
        step = self.step
        own = into(frame_of(shape), shape)
        if piece.variant == "" and piece.kind == "other_wall" and isinstance(own, Extrusion) and own.outline:
            return step.shape("Clipping", [self.clipped(own)])
        if piece.more_shapes:
            frame = self.origin_of(piece)
            others = [into(frame_of(shape), into(frame, other)) for other in piece.more_shapes]
            return step.shape("SweptSolid", [step.extrusion(one) for one in (own, *others)])  # type: ignore[arg-type]
        if isinstance(own, Tube) and len(own.points) > 2:
            return step.shape("AdvancedSweptSolid", [step.sweep(own)])
        if ifc_class in TYPED_ALONE or not piece.type_name or self.alike[self.alike_key(piece, own)] < 3:
            return step.shape("SweptSolid", [step.extrusion(own)])
        key = ("map", piece.kind, piece.type_name, object_type, predefined, self.alike_key(piece, own)[2:])

        def make() -> Any:
            mapped = step.new(
                "IfcRepresentationMap", step.position(WORLD), step.shape("SweptSolid", [step.extrusion(own)])
            )
            same = step.new(
                "IfcCartesianTransformationOperator3D", None, None, step.point((0.0, 0.0, 0.0)), None, None
            )
            return step.new("IfcMappedItem", mapped, same)

        item = step.once(key, make)
        self.maps[piece.key] = (key, item)
        return step.shape("MappedRepresentation", [item])

    @staticmethod
    def alike_key(piece: Piece, own: Shape) -> tuple[Any, ...]:
        """Equal for pieces that may share a type's shape; `own` is in the piece's frame."""
        if isinstance(own, Tube):
            return (piece.kind, piece.type_name, round(own.points[-1][2], 6), own.radius, own.inner)
        return (
            piece.kind,
            piece.type_name,
            round(own.depth, 6),
            own.size and tuple(round(s, 6) for s in own.size),
            own.outline,
        )

    def clipped(self, own: Extrusion) -> Any:
        """A triangle as a rectangle cut by two half spaces."""
        step = self.step
        (x0, y0), (x1, _), (xm, top) = own.outline or ()
        whole = step.new(
            "IfcArbitraryClosedProfileDef",
            "AREA",
            None,
            step.new(
                "IfcPolyline", [step.point(p) for p in ((x0, y0), (x1, y0), (x1, top), (x0, top), (x0, y0))]
            ),
        )
        solid = step.new(
            "IfcExtrudedAreaSolid",
            whole,
            step.position(WORLD),
            step.direction((0.0, 0.0, 1.0)),
            step.size(own.depth),
        )
        for x in (x0, x1):
            run, rise = xm - x, top - y0
            size = (run**2 + rise**2) ** 0.5
            away = 1.0 if run * rise > 0 else -1.0  # a mirrored outline hangs upside down in its own plane
            normal = (-away * rise / size, away * run / size, 0.0)
            plane = step.new("IfcPlane", step.position(((x, y0, 0.0), (0.0, 0.0, 1.0), normal)))
            solid = step.new(
                "IfcBooleanClippingResult", "DIFFERENCE", solid, step.new("IfcHalfSpaceSolid", plane, False)
            )
        return solid

    def spatial(self) -> None:
        """Also count equal shapes, so that only shared ones become type shapes."""
        super().spatial()
        self.alike: dict[tuple[Any, ...], int] = {}
        self.maps: dict[str, tuple[Any, Any]] = {}
        self.typed_by: dict[Any, list[tuple[Piece, Any]]] = {}
        for piece in self.pieces:
            if piece.shape is not None:
                key = self.alike_key(piece, into(frame_of(piece.shape), piece.shape))
                self.alike[key] = self.alike.get(key, 0) + 1

    def remember_type(self, piece: Piece, element: Any) -> None:
        """Note which type an occurrence gets."""
        if piece.type_name and element.is_a() not in TYPED_ALONE:
            key = self.maps.get(
                piece.key, (("plain", piece.kind, piece.type_name, element.PredefinedType), None)
            )[0]
            self.typed_by.setdefault((element.is_a(), key), []).append((piece, element))

    def relations(self) -> None:
        """Types first, then everything else."""
        for number, ((ifc_class, key), pairs) in enumerate(self.typed_by.items()):
            piece, element = pairs[0]
            mapped = self.maps.get(piece.key)
            more: dict[str, Any] = {}
            if ifc_class == "IfcWindow":
                more = {"PartitioningType": "SINGLE_PANEL"}
            if ifc_class == "IfcDoor":
                more = {"OperationType": "SINGLE_SWING_LEFT"}
            product_type = self.step.rooted(
                ifc_class + "Type",
                f"type/{number}/{key}",
                Name=piece.type_name,
                PredefinedType=element.PredefinedType,
                RepresentationMaps=[mapped[1].MappingSource] if mapped else None,
                ElementType=element.ObjectType,
                **more,
            )
            self.step.rooted(
                "IfcRelDefinesByType",
                f"typed/{number}/{key}",
                RelatedObjects=[e for _, e in pairs],
                RelatingType=product_type,
            )
        super().relations()

    def properties(self, piece: Piece) -> dict[str, dict[str, Any]]:
        """Typed properties, in the standard sets where there are any."""
        sets: dict[str, dict[str, Any]] = {}
        short = self.made[piece.key].is_a()[3:]
        for name, value in piece.props.items():
            if name in PROPERTIES:
                where, label = PROPERTIES[name]
                sets.setdefault(where.format(short), {})[label] = self.typed(value)
        if piece.kind == "shear_wall":
            sets.setdefault("Pset_WallCommon", {})["Reference"] = ("IfcIdentifier", piece.mark)
        if piece.kind == "rod":
            sets.setdefault("Pset_MechanicalFastenerBolt", {})["ThreadDiameter"] = self.typed(
                piece.props["rod_diameter"]
            )
        return sets

    def material(self, name: str) -> Any:
        """A material with a category."""
        return self.step.new("IfcMaterial", name, None, None)

    def joints(self) -> None:
        """Stated joints between posts, ties, rods and concrete."""
        for joint in self.house.joints:
            first, second = self.made.get(joint.first), self.made.get(joint.second)
            if first is None or second is None:
                continue
            key = f"joint/{joint.kind}/{joint.first}/{joint.second}"
            if joint.kind == "covers":
                self.step.rooted(
                    "IfcRelCoversBldgElements", key, RelatingBuildingElement=first, RelatedCoverings=[second]
                )
            elif joint.kind == "rod" and joint.by in self.made:
                self.step.rooted(
                    "IfcRelConnectsWithRealizingElements",
                    key,
                    RelatingElement=first,
                    RelatedElement=second,
                    RealizingElements=[self.made[joint.by]],
                    ConnectionType="threaded rod",
                )
            elif joint.kind != "rod":
                self.step.rooted(
                    "IfcRelConnectsElements",
                    key,
                    Description=joint.kind,
                    RelatingElement=first,
                    RelatedElement=second,
                )

    def pipes(self) -> None:
        """Ports nested in pipes, source to sink."""
        ports: dict[tuple[str, int], Any] = {}
        for piece in self.pieces:
            if not piece.ports or piece.key not in self.made:
                continue
            storey = self.place_of(piece)
            base = self.origin_of(piece)[0]
            own = []
            for k, at in enumerate(piece.ports):
                flow, sort = self.port_words(piece, k)
                port = self.step.rooted(
                    "IfcDistributionPort",
                    f"{piece.key}/port-{k}",
                    Name=f"Port {k + 1}",
                    ObjectPlacement=self.step.placement((sub(at, base), *WORLD[1:]), storey.ObjectPlacement),
                    FlowDirection=flow,
                    PredefinedType="PIPE",
                    SystemType=sort,
                )
                ports[(piece.key, k)] = port
                own.append(port)
            self.step.rooted(
                "IfcRelNests", f"{piece.key}/ports", RelatingObject=self.made[piece.key], RelatedObjects=own
            )
        self.connect(ports)

    def port_words(self, piece: Piece, k: int) -> tuple[str, str]:
        """Flow direction and system of a port: from port 1 to the others."""
        from .manner import SYSTEMS

        return ("SINK" if k == 0 else "SOURCE", SYSTEMS[piece.system][1] if piece.system else "NOTDEFINED")

    def connect(self, ports: dict[tuple[str, int], Any]) -> None:
        """Join ports in pairs."""
        for joint in self.house.pipe_joints:
            first, second = (
                ports.get((joint.first, joint.first_port)),
                ports.get((joint.second, joint.second_port)),
            )
            if first is not None and second is not None:
                self.step.rooted(
                    "IfcRelConnectsPorts",
                    f"ports/{joint.first}/{joint.first_port}/{joint.second}/{joint.second_port}",
                    RelatingPort=first,
                    RelatedPort=second,
                )
