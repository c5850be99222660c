"""The same house as other offices would write it: other classes, groups, roofs, ports and storeys.

Each style is one change to the `semantic` manner; what has to come out is said in tests/benchmark/test_styles.py.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from .defects.edit import shift
from .meshes import mesh
from .pieces import House, Piece
from .semantic import Semantic
from .shapes import Extrusion, Shape
from .step import frame_of, into

Classes = dict[str, tuple[str, str, str]]
FRAMING = ("stud", "post", "bottom_plate", "top_plate", "sill_plate", "sheathing", "header", "blocking", "rough_sill")
VENT = ("vent_pipe", "vent_fitting", "collector", "suction_point", "vent_terminal")


@dataclass(frozen=True)
class Style:
    """One style.

    Attributes:
        classes: kind to IFC class, predefined type and object type, in place of the usual ones.
        names: kind to a name in place of the drafter's.
        change: change to the house before it is written.
        ports: `as drawn`, `none`, `half`, `twice`, `reversed`.
        storeys: `as drawn`, `none`, `wrong`.
        breps: keys of pieces drawn as faceted breps.
        nested: the members of each wall in an assembly of their own, which is a part of the wall.
        stated_tie: mark of the tie that a property of each shear wall names for both its ends, "" for none.
    """

    name: str
    classes: Classes | None = None
    names: dict[str, str] | None = None
    change: Callable[[House], None] | None = None
    ports: str = "as drawn"
    storeys: str = "as drawn"
    breps: tuple[str, ...] = ()
    nested: bool = False
    stated_tie: str = ""


class Styled(Semantic):
    """The semantic manner with one style."""

    def __init__(self, house: House, style: Style) -> None:
        self.style = style
        super().__init__(house)

    def class_of(self, piece: Piece) -> tuple[str, str, str]:
        """The style's class, if it has one."""
        changed = (self.style.classes or {}).get(piece.kind)
        return changed if changed is not None and piece.key != "roof" else super().class_of(piece)

    def element(self, piece: Piece) -> None:
        """With the style's name."""
        name = (self.style.names or {}).get(piece.kind)
        super().element(piece if name is None else replace(piece, name=name, type_name=""))

    def body_of(self, piece: Piece, shape: Shape, ifc_class: str, predefined: str, object_type: str) -> Any:
        """A faceted brep where the style wants one."""
        if piece.key not in self.style.breps:
            return super().body_of(piece, shape, ifc_class, predefined, object_type)
        points, faces = mesh(into(frame_of(shape), shape))
        step = self.step
        corners = [step.point(point) for point in points]
        sides = [step.new("IfcFace", [step.new("IfcFaceOuterBound", step.new(
            "IfcPolyLoop", [corners[k] for k in face]), True)]) for face in faces]
        return step.shape("Brep", [step.new("IfcFacetedBrep", step.new("IfcClosedShell", sides))])

    def put(self, piece: Piece, element: Any) -> Any:
        """Contained in the lowest storey where the style is wrong about storeys."""
        if self.style.storeys != "wrong" or piece.parent in self.made or piece.kind in {"space", "opening"}:
            return super().put(piece, element)
        self.made[piece.key] = element
        self.inside.setdefault(("contained", self.places[1]), []).append(element)
        return element

    def connect(self, ports: dict[tuple[str, int], Any]) -> None:
        """Ports joined as the style says."""
        joints = self.house.pipe_joints
        rows = [(ports.get((j.first, j.first_port)), ports.get((j.second, j.second_port))) for j in joints]
        rows = [row for row in rows if None not in row]
        if self.style.ports in {"none", "half"}:
            rows = rows[::2] if self.style.ports == "half" else []
        if self.style.ports == "reversed":
            rows = [(second, first) for first, second in rows]
        for turn in range(2 if self.style.ports == "twice" else 1):
            for k, (first, second) in enumerate(rows):
                self.step.rooted("IfcRelConnectsPorts", f"ports/{turn}/{k}", RelatingPort=first, RelatedPort=second)

    def write(self, path: Path | str) -> None:
        """Write the file, without storeys where the style has none."""
        super().write(path)
        if self.style.storeys == "none":
            _without_storeys(Path(path))
        if self.style.nested:
            _in_panels(Path(path), self.house)
        if self.style.stated_tie:
            _with_stated_ties(Path(path), self.house, self.style.stated_tie)


def _without_storeys(path: Path) -> None:
    """Contain everything in the building itself."""
    import ifcopenshell

    model = ifcopenshell.open(str(path))
    building = model.by_type("IfcBuilding")[0]
    for relation in model.by_type("IfcRelContainedInSpatialStructure"):
        if relation.RelatingStructure.is_a("IfcBuildingStorey"):
            relation.RelatingStructure = building
    for relation in model.by_type("IfcRelAggregates"):
        if relation.RelatingObject.is_a("IfcBuildingStorey"):
            relation.RelatingObject = building
        if all(part.is_a("IfcBuildingStorey") for part in relation.RelatedObjects):
            model.remove(relation)
    for storey in model.by_type("IfcBuildingStorey"):
        model.remove(storey)
    model.write(str(path))


def _in_panels(path: Path, house: House) -> None:
    """Between each wall and its members an assembly, as a panel maker draws them."""
    import ifcopenshell

    model = ifcopenshell.open(str(path))
    for relation in model.by_type("IfcRelAggregates"):
        wall = relation.RelatingObject
        if wall.is_a("IfcWall"):
            panel = model.create_entity("IfcElementAssembly", house.guid(f"{wall.GlobalId}/panel"), wall.OwnerHistory,
                                        f"Panel of {wall.Name}", None, None, wall.ObjectPlacement)
            relation.RelatingObject = panel
            model.create_entity("IfcRelAggregates", house.guid(f"{wall.GlobalId}/panels"), wall.OwnerHistory, None,
                                None, wall, [panel])
    model.write(str(path))


def _with_stated_ties(path: Path, house: House, mark: str) -> None:
    """A property set on each shear wall that says which tie stands at its start and at its end."""
    import ifcopenshell

    model = ifcopenshell.open(str(path))
    for key, piece in house.pieces.items():
        if piece.kind == "shear_wall":
            wall = model.by_guid(house.guid(key))
            rows = [model.create_entity("IfcPropertySingleValue", Name=f"Hold-down at {side}",
                                        NominalValue=model.create_entity("IfcLabel", mark))
                    for side in ("start", "end")]
            stated = model.create_entity("IfcPropertySet", house.guid(f"{key}/stated"), wall.OwnerHistory, "Framing",
                                         None, rows)
            model.create_entity("IfcRelDefinesByProperties", house.guid(f"{key}/states"), wall.OwnerHistory, None, None,
                                [wall], stated)
    model.write(str(path))


def _drop(*kinds: str) -> Callable[[House], None]:
    def change(house: House) -> None:
        for key in [key for key, piece in house.pieces.items() if piece.kind in kinds]:
            house.remove(key)
    return change


def _group_bolts(house: House) -> None:
    """All sill bolts of a wall in one element, each a solid of its own."""
    groups: dict[tuple[str, int], Piece] = {}
    for piece in [piece for piece in house.pieces.values() if piece.kind == "anchor_bolt"]:
        first = groups.setdefault((piece.wall, piece.storey), piece)
        if first is not piece:
            assert piece.shape is not None
            first.more_shapes = (*first.more_shapes, piece.shape)
            house.remove(piece.key)


def _gap_at_coupling(house: House) -> None:
    """A coupling 15 mm out of line, which is within the tolerance for stated joints."""
    shift(house, ["soil-gas/coupling-1"], (0.015, 0.0, 0.0))


def _undraw(*kinds: str) -> Callable[[House], None]:
    def change(house: House) -> None:
        for piece in house.pieces.values():
            if piece.kind in kinds:
                piece.shape, piece.more_shapes = None, ()
    return change


def _one_roof(house: House) -> None:
    """Both slabs of the roof as one folded plate, extruded along the ridge."""
    slabs = [piece for piece in house.pieces.values() if piece.parent == "roof" and piece.kind == "roof"]
    corners = [point for piece in slabs if isinstance(piece.shape, Extrusion) for point in piece.shape.corners()]
    lines = {}
    for piece in slabs:
        assert isinstance(piece.shape, Extrusion)
        points = sorted({(round(y, 6), round(z, 6)) for _, y, z in piece.shape.corners()})
        lines[piece.key] = points
    middle = (min(p[1] for p in corners) + max(p[1] for p in corners)) / 2
    south, north = (sorted(lines[f"roof/slab-{side}"], key=lambda p: abs(p[0] - middle)) for side in ("south", "north"))
    eaves = [sorted(side[2:], key=lambda p: p[1]) for side in (south, north)]
    slope = (south[0][1] - min(p[1] for p in south)) / abs(south[0][0] - min(south, key=lambda p: p[1])[0])
    top = max(p[1] + slope * abs(p[0] - middle) for p in eaves[0])
    bottom = min(p[1] + slope * abs(p[0] - middle) for p in eaves[0])
    profile = (eaves[0][0], (middle, bottom), eaves[1][0], eaves[1][1], (middle, top), eaves[0][1])
    low, high = min(p[0] for p in corners), max(p[0] for p in corners)
    for piece in slabs:
        house.remove(piece.key)
    roof = house.pieces["roof"]
    # the profile's axes are y and z of the house, its sweep runs along x
    roof.shape = Extrusion((low, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0), high - low, outline=profile)


STYLES: tuple[Style, ...] = (
    Style("walls-alone", change=_drop(*FRAMING)),
    Style("ties-stated", change=_drop(*FRAMING, "hold_down", "rod", "nut", "strap"), stated_tie="TD-2"),
    Style("tie-fastener", {"hold_down": ("IfcMechanicalFastener", "NOTDEFINED", "")}),
    Style("tie-proxy", {"hold_down": ("IfcBuildingElementProxy", "NOTDEFINED", "")}),
    Style("tie-member", {"hold_down": ("IfcMember", "NOTDEFINED", "")}),
    Style("tie-plate", {"hold_down": ("IfcPlate", "NOTDEFINED", "")}),
    Style("rod-bar", {"rod": ("IfcReinforcingBar", "NOTDEFINED", "")}),
    Style("rod-beam", {"rod": ("IfcBeam", "NOTDEFINED", "")}),
    Style("rod-member", {"rod": ("IfcMember", "NOTDEFINED", "")}),
    Style("rod-proxy-no-name", {"rod": ("IfcBuildingElementProxy", "NOTDEFINED", "")}, {"rod": "Bar 16"}),
    Style("bolts-in-one", change=_group_bolts),
    Style("ports-none", ports="none"),
    Style("ports-half", ports="half"),
    Style("ports-twice", ports="twice"),
    Style("ports-reversed", ports="reversed"),
    Style("pipe-gaps", change=_gap_at_coupling),
    Style("fittings-brep", breps=("soil-gas/coupling-1", "soil-gas/bend-1", "soil-gas/bend-2", "soil-gas/tee")),
    Style("assemblies-in-assemblies", nested=True),
    Style("vent-without-shape", change=_undraw(*VENT)),
    Style("roof-one-extrusion", change=_one_roof),
    Style("roof-one-brep", change=_one_roof, breps=("roof",)),
    Style("footings-as-slabs", {"footing": ("IfcSlab", "BASESLAB", "")}, {"footing": "Thickened edge"}),
    Style("no-storeys", storeys="none"),
    Style("wrong-storey", storeys="wrong"),
)


def write_style(house: House, style: Style, path: Path | str) -> None:
    """Write a house in one style; the house is changed."""
    if style.change is not None:
        style.change(house)
    Styled(house, style).write(path)


def write_pair(first: House, second: House, path: Path) -> None:
    """Two houses as two buildings on one site; the second's ids must differ (`House.salt`)."""
    texts = []
    for k, house in enumerate((first, second)):
        part = path.with_suffix(f".{k}.ifc")
        Semantic(house).write(part)
        texts.append(part.read_text(encoding="utf-8"))
        part.unlink()
    path.write_text(_joined(*texts), encoding="utf-8")


def _joined(first: str, second: str) -> str:
    """The second file's buildings under the first file's project."""
    head, tail = first.split("\nENDSEC;\nEND-ISO", 1)
    data = second.split("DATA;\n", 1)[1].split("\nENDSEC;", 1)[0].split("\n")
    offset = 1 + max(int(number) for number in re.findall(r"^#(\d+)=", head, re.MULTILINE))

    def project(text: str) -> str:
        found = re.search(r"^#(\d+)=IFCPROJECT\(", text, re.MULTILINE)
        assert found
        return found[1]

    own, other = project(head), str(int(project(second)) + offset)
    rows = []
    for line in data:
        moved = re.sub(r"'(?:[^']|'')*'|#(\d+)",
                       lambda m: f"#{int(m[1]) + offset}" if m[1] else m[0], line)
        if not moved.startswith(f"#{other}="):
            rows.append(re.sub(rf"#{other}\b", f"#{own}", moved))
    return head + "\n" + "\n".join(rows) + "\nENDSEC;\nEND-ISO" + tail
