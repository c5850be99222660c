"""The property book: standard and mapped names, where units come from, what stays unread.

1 lb = 4.4482216152605 N and 1 in = 0.0254 m exactly (NIST SP 811, Appendix B.8).
"""

from __future__ import annotations

import pytest

from modellint.errors import UsageProblem
from modellint.ifc.model import Element, PropertyValue
from modellint.roles.part import Rung
from modellint.roles.properties import load_properties
from tests.builders_lateral import RULES

BOOK = load_properties(RULES / "properties")


def read(quantity, name, value, set_name="Set", book=BOOK, **more):
    given = value if isinstance(value, PropertyValue) else PropertyValue(value, **more)
    return book.read(Element("e", "e", 1, "IfcWall", properties={(set_name, name): given}), quantity)


@pytest.mark.parametrize(("quantity", "name", "value", "si"), [
    ("edge_nail_spacing", "Edge nail spacing", "4 in o.c.", 0.1016),
    ("edge_nail_spacing", "Edge nail spacing", "100 mm", 0.1),
    ("edge_nail_spacing", "Edge nail spacing (in)", 4, 0.1016),
    ("edge_nail_spacing", "Edge nail spacing [mm]", 100.0, 0.1),
    ("edge_nail_spacing", "Edge nail spacing (in)", "4", 0.1016),
    ("tension_capacity", "Pull (lb)", 4000, 17792.886461042),
    ("tension_capacity", "Uplift capacity [kN]", 60, 60000.0),
    ("tension_capacity", "Tension capacity", "60 kN", 60000.0),
    ("tie_count", "Number of ties", 2, 2.0),
])
def test_units_from_name_bracket_or_text(quantity, name, value, si):
    (row,) = read(quantity, name, value)
    assert row.value == pytest.approx(si, rel=1e-12)
    assert row.rung == Rung.INFERRED
    assert name in row.where


def test_own_unit_of_the_property_comes_first():
    """The reader has converted it already; the word in the name is not applied again."""
    (row,) = read(
        "edge_nail_spacing", "Edge nail spacing (in)", PropertyValue(0.1, "length", "IfcLengthMeasure", True)
    )
    assert row.value == 0.1


@pytest.mark.parametrize(("quantity", "name", "value", "why"), [
    ("edge_nail_spacing", "Edge nail spacing", 4, "no unit"),
    ("edge_nail_spacing", "Edge nail spacing", "4", "no readable unit"),
    ("edge_nail_spacing", "Edge nail spacing", "as drawn", "no readable unit"),
    ("edge_nail_spacing", "Edge nail spacing", "60 kN", "no readable unit"),
    ("edge_nail_spacing", "Edge nail spacing", "", "empty"),
    ("edge_nail_spacing", "Edge nail spacing", None, "empty"),
    ("edge_nail_spacing", "Edge nail spacing", (), "empty"),
    ("tension_capacity", "Pull (mm)", 4000, "no readable unit"),
    ("soil_gas_level", "Soil gas level", "maybe", "none of"),
    ("perforated", "Perforated", "perhaps", "neither yes nor no"),
])
def test_without_a_unit_a_value_is_unread_and_says_why(quantity, name, value, why):
    (row,) = read(quantity, name, value)
    assert row.value is None
    assert why in row.unread


@pytest.mark.parametrize(("raw", "value"), [
    (True, True), (False, False), ("Yes", True), ("no", False), (".T.", True), ("0", False)])
def test_truths(raw, value):
    assert read("perforated", "Perforated", raw)[0].value is value


def test_choice_words():
    assert read("soil_gas_level", "Soil gas level", "Passive system")[0].value == "passive"


def test_standard_property_is_declared_and_comes_first():
    element = Element("e", "e", 1, "IfcMechanicalFastener", properties={
        ("A", "Bolt diameter"): PropertyValue("1/2 in"),
        ("Pset_MechanicalFastenerAnchorBolt", "AnchorBoltDiameter"): PropertyValue(0.016, "length"),
    })
    rows = BOOK.read(element, "rod_diameter")
    assert [(row.rung, row.value) for row in rows] == [
        (Rung.DECLARED, 0.016),
        (Rung.INFERRED, pytest.approx(0.0127)),
    ]


def test_project_mapping_comes_first_and_a_wrong_one_is_refused():
    book = load_properties(RULES / "properties", [
        {"quantity": "edge_nail_spacing", "set": "Office*", "property": "nagelabstand*"}])
    (row,) = read("edge_nail_spacing", "Nagelabstand", "100 mm", "Office_Wall", book=book)
    assert (row.value, row.rung) == (pytest.approx(0.1), Rung.DECLARED)
    assert read("edge_nail_spacing", "Nagelabstand", "100 mm", "Other", book=book) == []
    with pytest.raises(UsageProblem, match="no quantity 'nonsense'"):
        load_properties(RULES / "properties", [{"quantity": "nonsense", "property": "x"}])


def test_has_names_the_property_only_when_it_can_be_read():
    wall = Element("e", "e", 1, "IfcWall", properties={("S", "Edge nail spacing"): PropertyValue("4 in")})
    assert BOOK.has(wall, "edge_nail_spacing") == "S.Edge nail spacing = 4 in"
    wall.properties = {("S", "Edge nail spacing"): PropertyValue(4)}
    assert BOOK.has(wall, "edge_nail_spacing") == ""


def test_every_page_names_its_own_file():
    assert list(BOOK.entries) == [path.stem for path in sorted((RULES / "properties").glob("*.yaml"))]
