"""Places, units, names, properties and relations.

References: ifcopenshell 0.9.0 (`util.placement`, `util.unit`); ISO 16739-1:2024 for what attributes mean.
"""

from __future__ import annotations

import os
from pathlib import Path

import ifcopenshell
import ifcopenshell.util.placement
import ifcopenshell.util.unit
import numpy as np
import pytest

from modellint.errors import ModelUnreadable
from modellint.ifc.model import Model
from modellint.ifc.placements import PlacementError, Placements
from modellint.ifc.read import read, read_late
from modellint.ifc.source import open_source
from modellint.ifc.together import merge
from tests.ifc.small_models import Writer

# real exporters' models beside the checkout, or where the variable says; the tests skip without them
SHARED = Path(os.environ.get("MODELLINT_REAL_MODELS", Path(__file__).resolve().parents[3] / "shared" / "models"))
SAMPLES = Path(__file__).parents[2] / "sample_models"


def codes(model: Model) -> list[str]:
    return [note.code for note in model.notes]


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "ft", "in"])
@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4", "IFC4X3_ADD2"])
def test_lengths_are_metres_whatever_the_unit(schema: str, unit: str, tmp_path: Path) -> None:
    writer = Writer(schema, unit)
    row = writer.element("IfcMember", writer.body(writer.extruded(writer.rectangle(2, 3), 7)))
    path = writer.save(tmp_path)
    model = read(path)
    scale = ifcopenshell.util.unit.calculate_unit_scale(ifcopenshell.open(str(path)))
    assert model.files[0].length_scale == pytest.approx(scale, rel=1e-12)
    assert model.elements[row.GlobalId].solids[0].box.half * 2 == pytest.approx(
        [2 * scale, 3 * scale, 7 * scale]
    )
    assert model.files[0].schema == schema


def test_missing_units_are_said_loudly(tmp_path: Path) -> None:
    notes = read(Writer(units=False).save(tmp_path)).notes
    assert [(note.code, note.serious) for note in notes if note.code == "units-missing"] == [
        ("units-missing", True)
    ]


def test_own_and_project_units_of_properties(tmp_path: Path) -> None:
    """Pound-force = 4.4482216152605 N (NIST SP 811:2008, B.8); an area prefix is squared (IfcSIUnit)."""
    writer = Writer()
    newton = writer.make("IfcSIUnit", None, "FORCEUNIT", None, "NEWTON")
    pound = writer.make(
        "IfcConversionBasedUnit",
        writer.make("IfcDimensionalExponents", 1, 1, -2, 0, 0, 0, 0),
        "FORCEUNIT",
        "pound-force",
        writer.make("IfcMeasureWithUnit", writer.f.create_entity("IfcForceMeasure", 4.4482216152605), newton),
    )
    values = [
        ("Pull", "IfcForceMeasure", 1000.0, pound),
        ("Push", "IfcForceMeasure", 2.0, None),
        ("Area", "IfcAreaMeasure", 5.0, None),
        ("Bare", "IfcReal", 3.0, None),
        ("Text", "IfcLabel", "A", None),
    ]
    rows = [
        writer.make("IfcPropertySingleValue", name, None, writer.f.create_entity(kind, value), unit)
        for name, kind, value, unit in values
    ]
    lengths = [writer.f.create_entity("IfcLengthMeasure", v) for v in (100.0, 150.0)]
    rows.append(writer.make("IfcPropertyListValue", "Sizes", None, lengths))
    rows.append(writer.make("IfcPropertyBoundedValue", "Range", None, lengths[1], lengths[0]))
    rows.append(
        writer.make("IfcPropertyEnumeratedValue", "Status", None, [writer.f.create_entity("IfcLabel", "NEW")])
    )
    member = writer.element("IfcMember")
    own = writer.root("IfcPropertySet", "Own", None, rows)
    writer.root("IfcRelDefinesByProperties", None, None, [member], own)
    nameless = writer.root(
        "IfcElementQuantity",
        None,
        None,
        None,
        [writer.make("IfcQuantityLength", "Length", None, None, 2500.0)],
    )
    writer.root("IfcRelDefinesByProperties", None, None, [member], nameless)
    found = read(writer.save(tmp_path)).elements[member.GlobalId].properties
    assert found["Own", "Pull"].value == pytest.approx(4448.2216152605)
    assert found["Own", "Pull"].own_unit
    assert (found["Own", "Push"].value, found["Own", "Push"].dimension) == (2000.0, "force")
    assert found["Own", "Area"].value == pytest.approx(5e-6)
    assert (found["Own", "Bare"].value, found["Own", "Bare"].dimension) == (3.0, "")
    assert found["Own", "Text"].value == "A"
    assert found["Own", "Sizes"].value == pytest.approx((0.1, 0.15))
    assert found["Own", "Range"].value == pytest.approx((0.1, 0.15))
    assert found["Own", "Status"].value == ("NEW",)
    assert found["", "Length"].value == pytest.approx(2.5)


def test_predefined_type_comes_from_the_type_where_the_occurrence_has_none(tmp_path: Path) -> None:
    """IFC2X3 members carry it on IfcMemberType only (IFC2x3 TC1, IfcMemberType)."""
    for schema in ("IFC2X3", "IFC4"):
        writer = Writer(schema)
        member = writer.element("IfcMember")
        kind = writer.root("IfcMemberType", "38x89", None, None, None, None, None, None, "STUD")
        shared = writer.make(
            "IfcPropertySingleValue", "Grade", None, writer.f.create_entity("IfcLabel", "No. 2")
        )
        kind[5] = [writer.root("IfcPropertySet", "P", None, [shared])]
        writer.root("IfcRelDefinesByType", None, None, [member], kind)
        element = read(writer.save(tmp_path)).elements[member.GlobalId]
        assert (element.predefined, element.type_name) == ("STUD", "38x89")
        assert element.properties["P", "Grade"].value == "No. 2"


def test_userdefined_keeps_its_word(tmp_path: Path) -> None:
    writer = Writer()
    row = writer.element("IfcDiscreteAccessory")
    row[8] = "USERDEFINED"
    kind = writer.root(
        "IfcDiscreteAccessoryType", "TD-3", None, None, None, None, None, "HOLDDOWN", "USERDEFINED"
    )
    writer.root("IfcRelDefinesByType", None, None, [row], kind)
    element = read(writer.save(tmp_path)).elements[row.GlobalId]
    assert (element.predefined, element.object_type) == ("USERDEFINED", "HOLDDOWN")


def test_cyclic_placement_leaves_the_element_undrawn(tmp_path: Path) -> None:
    writer = Writer()
    placement = writer.place()
    placement[0] = writer.place(above=placement)
    row = writer.element("IfcMember", writer.body(writer.extruded(writer.rectangle(1, 1), 1)), placement)
    model = read(writer.save(tmp_path))
    assert model.elements[row.GlobalId].undrawn == "cyclic placement"
    assert "placement" in codes(model)


def test_second_use_of_a_global_id_is_kept_apart(tmp_path: Path) -> None:
    writer = Writer()
    first = writer.element("IfcMember", name="a")
    writer.element("IfcMember", name="b", guid=first.GlobalId)
    model = read(writer.save(tmp_path))
    assert [model.elements[key].name for key in (first.GlobalId, f"{first.GlobalId}~2")] == ["a", "b"]
    assert "duplicate-global-id" in codes(model)


def test_far_models_are_shifted_and_the_shift_is_told(tmp_path: Path) -> None:
    writer = Writer(unit="m")
    placement = writer.place((500_000.4, 5_200_000.2, 100.0), above=writer.storey[5])
    row = writer.element("IfcMember", writer.body(writer.extruded(writer.rectangle(1, 1), 2)), placement)
    model = read(writer.save(tmp_path))
    assert model.origin.tolist() == [500_000.0, 5_200_000.0, 101.0]
    centre = model.elements[row.GlobalId].solids[0].box.centre + model.origin
    assert centre == pytest.approx([500_000.4, 5_200_000.2, 101.0], abs=1e-6)


def test_absurd_coordinates_are_undrawn(tmp_path: Path) -> None:
    writer = Writer(unit="m")
    solid = writer.extruded(writer.rectangle(1, 1), 2)
    near = [writer.element("IfcMember", writer.body(solid)) for _ in range(2)]
    far = writer.element("IfcMember", writer.body(solid), writer.place((3e6, 0, 0)))
    model = read(writer.save(tmp_path))
    assert model.elements[far.GlobalId].undrawn == "coordinates out of range"
    assert all(model.elements[row.GlobalId].solids for row in near)


def test_storey_is_found_through_assemblies_and_openings(tmp_path: Path) -> None:
    writer = Writer()
    wall = writer.element("IfcWall")
    assembly, stud, opening, door = (
        writer.root(name, "x") for name in ("IfcElementAssembly", "IfcMember", "IfcOpeningElement", "IfcDoor")
    )
    writer.root("IfcRelAggregates", None, None, wall, [assembly])
    writer.root("IfcRelAggregates", None, None, assembly, [stud])
    writer.root("IfcRelVoidsElement", None, None, wall, opening)
    writer.root("IfcRelFillsElement", None, None, opening, door)
    model = read(writer.save(tmp_path))
    storey = writer.storey.GlobalId
    assert {model.elements[row.GlobalId].storey for row in (stud, opening, door)} == {storey}
    assert model.elements[stud.GlobalId].parent == assembly.GlobalId
    assert model.elements[wall.GlobalId].children == (assembly.GlobalId,)
    assert model.elements[stud.GlobalId].building == writer.building.GlobalId
    assert [link.kind for link in model.relations] == ["voids", "fills"]


@pytest.mark.parametrize("way", ["nests", "port-to-element"])
def test_ports_and_their_links(way: str, tmp_path: Path) -> None:
    writer = Writer("IFC4" if way == "nests" else "IFC2X3")
    pipes = [writer.element("IfcPipeSegment" if way == "nests" else "IfcFlowSegment") for _ in range(2)]
    ports = [
        writer.root("IfcDistributionPort", "p", None, None, writer.place((x, 0, 0)), None, "SOURCE")
        for x in (1000, 1001)
    ]
    for pipe, port in zip(pipes, ports, strict=True):
        if way == "nests":
            writer.root("IfcRelNests", None, None, pipe, [port])
        else:
            writer.root("IfcRelConnectsPortToElement", None, None, port, pipe)
    for pair in (ports, ports[::-1]):
        writer.root("IfcRelConnectsPorts", None, None, *pair)
    model = read(writer.save(tmp_path))
    assert [model.ports[port.GlobalId].element for port in ports] == [pipe.GlobalId for pipe in pipes]
    assert model.ports[ports[1].GlobalId].position == pytest.approx([1.001, 0, 0])
    assert [link.kind for link in model.relations] == ["ports"]
    assert model.elements[pipes[0].GlobalId].ports == (ports[0].GlobalId,)
    assert model.elements[pipes[0].GlobalId].children == ()


def test_layers_run_from_the_offset_along_the_sense(tmp_path: Path) -> None:
    """ISO 16739-1, IfcMaterialLayerSetUsage: offset from the reference line, layer sense."""
    writer = Writer()
    slab = writer.element("IfcSlab")
    layers = [
        writer.make("IfcMaterialLayer", writer.make("IfcMaterial", name), thickness)
        for name, thickness in (("concrete", 100.0), ("membrane", 1.0), ("gravel", 100.0))
    ]
    usage = writer.make(
        "IfcMaterialLayerSetUsage", writer.make("IfcMaterialLayerSet", layers), "AXIS3", "POSITIVE", -201.0
    )
    writer.root("IfcRelAssociatesMaterial", None, None, [slab], usage)
    element = read(writer.save(tmp_path)).elements[slab.GlobalId]
    assert element.materials == ("concrete", "membrane", "gravel")
    assert [layer.offset for layer in element.layers] == pytest.approx([-0.201, -0.101, -0.1])
    assert element.layer_axis == "AXIS3"


def test_layers_that_run_backward_keep_their_lower_faces(tmp_path: Path) -> None:
    writer = Writer()
    wall = writer.element("IfcWall")
    layers = [
        writer.make("IfcMaterialLayer", writer.make("IfcMaterial", name), thickness)
        for name, thickness in (("sheathing", 12.0), ("stud", 89.0))
    ]
    layer_set = writer.make("IfcMaterialLayerSet", layers)
    usage = writer.make("IfcMaterialLayerSetUsage", layer_set, "AXIS2", "NEGATIVE", 50.0)
    writer.root("IfcRelAssociatesMaterial", None, None, [wall], usage)
    element = read(writer.save(tmp_path)).elements[wall.GlobalId]
    assert [layer.offset for layer in element.layers] == pytest.approx([0.038, -0.051])


def test_true_north_and_grid(tmp_path: Path) -> None:
    writer = Writer()
    writer.context[5] = writer.direction(3.0, 4.0)
    axis = writer.make("IfcGridAxis", "A", writer.line([(0, 0), (5000, 0)]), True)
    other = writer.make("IfcGridAxis", "1", writer.line([(0, 0), (0, 4000)]), True)
    writer.root("IfcGrid", "g", None, None, writer.place((1000, 0, 0)), None, [axis], [other])
    model = read(writer.save(tmp_path))
    assert model.north == pytest.approx([0.6, 0.8])
    assert [(grid.tag, grid.end.tolist()) for grid in model.grids] == [("1", [1.0, 4.0]), ("A", [6.0, 0.0])]


def test_kernel_is_left_to_the_caller(tmp_path: Path) -> None:
    """A surface curve swept solid is not read here; the caller hears of it before the kernel works on it."""
    writer = Writer()
    curve = writer.line([(0, 0, 0), (0, 0, 1000)])
    solid = writer.make(
        "IfcSurfaceCurveSweptAreaSolid",
        writer.rectangle(50, 50),
        writer.axes(),
        curve,
        None,
        None,
        writer.make("IfcPlane", writer.axes((0, 0, 0), (1, 0, 0), (0, 1, 0))),
    )
    row = writer.element("IfcMember", writer.body(solid))
    path = writer.save(tmp_path)
    heard: list[str] = []
    model, late = read_late(path, announce=heard.append)
    assert model.elements[row.GlobalId].undrawn == "kernel needed"
    assert (late.keys, heard) == ((row.GlobalId,), [])
    late.solids(row.GlobalId)
    assert heard == [row.GlobalId, ""]
    _, skipping = read_late(path, skip=frozenset({row.GlobalId}), announce=heard.append)
    assert skipping.solids(row.GlobalId) == ()
    assert len(heard) == 2


def test_a_file_that_is_no_ifc_gives_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "no.ifc"
    path.write_text("hello")
    with pytest.raises(ModelUnreadable, match=r"no\.ifc"):
        read(path)


def test_files_of_one_house_merge_and_disagreeing_levels_are_serious(tmp_path: Path) -> None:
    def part(level: float, guid: str) -> Model:
        writer = Writer()
        writer.storey[5][1] = writer.axes((0, 0, level))
        writer.element("IfcMember", guid=guid)
        return read(writer.save(tmp_path))

    together = merge(
        [
            part(0, "0000000000000000000001"),
            part(20, "0000000000000000000001"),
            part(80, "0000000000000000000002"),
        ]
    )
    assert list(together.elements) == [
        "0000000000000000000001",
        "0000000000000000000001~2",
        "0000000000000000000002",
    ]
    assert [element.source for element in together.elements.values()] == [0, 1, 2]
    assert sum(node.kind == "building" for node in together.spaces.values()) == 1
    assert sum(node.kind == "storey" for node in together.spaces.values()) == 2
    assert [note.code for note in together.notes if note.serious] == ["frame-apart"]


def models() -> list[Path]:
    found = sorted(SHARED.glob("*/*.ifc")) if SHARED.exists() else []
    return found + sorted(SAMPLES.glob("**/*.ifc"))[:12]


@pytest.mark.parametrize("path", models() or [None], ids=lambda path: path.name if path else "none")
def test_placements_and_reading_of_whole_models(path: Path | None, tmp_path: Path) -> None:
    """Every placement equals `ifcopenshell.util.placement.get_local_placement`; every shape is read."""
    if path is None:
        pytest.skip("no models here")
    raw = path.read_bytes()
    if raw.startswith(b"\xef\xbb\xbf"):
        path = tmp_path / path.name
        path.write_bytes(raw[3:])
    model = read(path)
    source = open_source(str(path), path.name, {})
    scale = model.files[0].length_scale
    assert scale == pytest.approx(ifcopenshell.util.unit.calculate_unit_scale(source.handle))
    placements = Placements(source, scale)
    for row in source.rows("IfcProduct"):
        if row.ObjectPlacement is None:
            continue
        theirs = ifcopenshell.util.placement.get_local_placement(row.ObjectPlacement)
        theirs[:3, 3] *= scale
        try:
            assert np.allclose(placements.world(row.ObjectPlacement), theirs, atol=1e-6)
        except PlacementError:
            pytest.fail(f"{row} has no place")
    assert not [e.key for e in model.elements.values() if e.undrawn]
    assert list(model.elements) == sorted(model.elements)


def test_a_direction_that_is_no_direction_ends_as_a_note(tmp_path: Path) -> None:
    """A placement that stands in its own axis would make array conversion run for ever."""
    writer = Writer()
    placement = writer.place((1, 2, 3), above=writer.storey[5])
    solid = writer.extruded(writer.rectangle(1, 1), 1)
    row = writer.element("IfcMember", writer.body(solid), placement)
    axes = placement[1]
    broken = f"#{axes.id()}=IFCAXIS2PLACEMENT3D(#{axes[0].id()},#{placement.id()},#{placement.id()});"
    lines = writer.save(tmp_path).read_text().splitlines()
    path = tmp_path / "loop.ifc"
    path.write_text("\n".join(broken if line.startswith(f"#{axes.id()}=") else line for line in lines))
    element = read(path).elements[row.GlobalId]
    assert (element.solids, element.undrawn) == ((), "damaged shape")
