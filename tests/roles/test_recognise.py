"""The shipped role book on single elements and small groups: which role, at which rung, on which grounds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from modellint.errors import UsageProblem
from modellint.ifc.model import Element, MaterialLayer, Model, PropertyValue
from modellint.roles.book import globs, load_book
from modellint.roles.part import Rung
from modellint.roles.properties import load_properties
from modellint.roles.recognise import recognise
from tests.builders_lateral import RULES, bar, block

BOOK = load_book(RULES / "roles")
PROPERTIES = load_properties(RULES / "properties")
POST = block((0, 0, 0), (0.09, 0.14, 2.3))
STUD = block((0, 0, 0), (0.038, 0.14, 2.3))
ROD = bar((0.1, 0, -0.3), (0.1, 0, 0.3))


def element(key="e", ifc_class="IfcBuildingElementProxy", *solids, **more) -> Element:
    return Element(key, key, 1, ifc_class, solids=solids, **more)


def found(*elements, book=BOOK, marks=None):
    model = Model((), {e.key: e for e in elements}, {}, {}, (), np.zeros(3))
    parts = recognise(model, book, PROPERTIES.has, marks)
    return {key: {role: rung.word for role, rung in part.roles.items()} for key, part in parts.items()}


def one(*args, **more):
    return found(element("e", *args, **more))["e"]


@pytest.mark.parametrize(
    ("given_element", "roles"),
    [
        # declared: predefined types of IFC4.3 and plain ObjectType words
        (element("e", "IfcWall", predefined="SHEAR"), {"shear_wall": "declared"}),
        (element("e", "IfcMember", POST, predefined="POST"), {"post": "declared"}),
        (element("e", "IfcMember", STUD, predefined="STUD"), {"stud": "declared"}),
        (element("e", "IfcFooting"), {"footing": "declared"}),
        (element("e", "IfcPile"), {"pile": "declared"}),
        (element("e", "IfcMechanicalFastener", predefined="ANCHORBOLT"), {"anchor_bolt": "declared"}),
        (element("e", "IfcMechanicalFastener", predefined="COUPLER"), {"coupler": "declared"}),
        (element("e", "IfcDiscreteAccessory", object_type="Hold-down"), {"hold_down": "declared"}),
        (element("e", "IfcDiscreteAccessory", object_type="TIEDOWN"), {"hold_down": "declared"}),
        (element("e", "IfcSlab", predefined="BASESLAB"), {"foundation_slab": "declared"}),
        (element("e", "IfcWindow"), {"window": "declared"}),
        (element("e", "IfcWall"), {"other_wall": "declared"}),
        # inferred: two grounds of different kind
        (element("e", "IfcDiscreteAccessory", name="Tie-down TD-2"), {"hold_down": "inferred"}),
        (element("e", "IfcMember", POST, name="end post"), {"post": "inferred"}),
        (element("e", "IfcBuildingElementProxy", ROD, name="anchor rod"), {"rod": "inferred"}),
        (element("e", "IfcWall", block((0, 0, 0), (2, 0.14, 2.4)), name="SW-3"), {"shear_wall": "inferred"}),
        # guessed: one ground only
        (element("e", "IfcBuildingElementProxy", name="Tie-down TD-2"), {"hold_down": "guessed"}),
        # two globs of one role are one ground
        (element("e", "IfcBuildingElementProxy", name="hold-down tie-down td-2"), {"hold_down": "guessed"}),
        (
            element("e", "IfcBuildingElementProxy", name="tie-down", type_name="hold-down"),
            {"hold_down": "guessed"},
        ),
        # nothing speaks for a role
        (element("e", "IfcBuildingElementProxy", POST), {}),
        (element("e", "IfcFurniture", name="chair"), {}),
        (element("e", "IfcBuildingElementProxy", name="curtain rod"), {}),
    ],
)
def test_a_part_alone(given_element, roles):
    assert found(given_element)["e"] == roles


def test_load_bearing_does_not_make_a_shear_wall():
    wall = element("e", "IfcWall", block((0, 0, 0), (2, 0.14, 2.4)), name="wall 7",
                   properties={("Pset_WallCommon", "LoadBearing"): PropertyValue(True)})
    assert found(wall)["e"] == {"other_wall": "declared"}


def test_a_wall_with_nailing_is_a_shear_wall_by_class_and_property():
    wall = element("e", "IfcWall", block((0, 0, 0), (2, 0.14, 2.4)), name="wall 7",
                   properties={("Nailing", "Edge nail spacing"): PropertyValue("4 in o.c.")})
    assert found(wall)["e"]["shear_wall"] == "inferred"


def test_a_schedule_mark_makes_a_shear_wall():
    wall = element("e", "IfcWall", name="wall 7", mark="S7")
    assert found(wall, marks={"s7": "shear_wall"})["e"] == {"shear_wall": "scheduled"}


def test_place_is_a_second_ground_for_a_proxy():
    post = element("p", "IfcMember", POST, predefined="POST")
    tie = element("t", "IfcBuildingElementProxy", block((0.09, 0.03, 0.1), (0.15, 0.1, 0.4)), name="tie-down")
    far = element("u", "IfcBuildingElementProxy", block((0.59, 0.03, 0.1), (0.65, 0.1, 0.4)), name="tie-down")
    assert found(post, tie, far) == {"p": {"post": "declared"}, "t": {"hold_down": "inferred"},
                                     "u": {"hold_down": "guessed"}}


def test_a_guess_is_no_ground_for_another_guess():
    """Two proxies that only names speak for do not raise each other."""
    post = element("p", "IfcBuildingElementProxy", name="post")
    tie = element("t", "IfcBuildingElementProxy", block((0.09, 0.03, 0.1), (0.15, 0.1, 0.4)), name="tie-down")
    assert found(post, tie)["t"] == {"hold_down": "guessed"}


def test_project_override_beats_everything():
    book = load_book(RULES / "roles", [{"role": "strap", "name": "tie-down*"}])
    assert found(
        element("e", "IfcDiscreteAccessory", object_type="Hold-down", name="Tie-down X"), book=book
    ) == {"e": {"strap": "declared"}}
    assert found(element("e", "IfcDiscreteAccessory", object_type="Hold-down", name="other"), book=book) == {
        "e": {"hold_down": "declared"}}


def test_override_needs_all_its_clauses():
    book = load_book(RULES / "roles", [{"role": "post", "name": "x*", "class": "IfcColumn"}])
    assert found(element("e", "IfcMember", STUD, name="x1", predefined="STUD"), book=book)["e"] == {
        "stud": "declared"
    }


def test_layers_of_a_wall_are_parts_at_their_own_depth():
    wall = element(
        "w",
        "IfcWall",
        block((0, 0, 0), (2, 0.15, 2.4)),
        predefined="SHEAR",
        layer_axis="AXIS2",
        layers=(
            MaterialLayer("gypsum board", 0.012, 0.0),
            MaterialLayer("studs and air", 0.126, 0.012),
            MaterialLayer("OSB 12", 0.012, 0.138),
        ),
    )
    model = Model((), {"w": wall}, {}, {}, (), np.zeros(3))
    parts = recognise(model, BOOK, PROPERTIES.has)
    assert list(parts) == ["w", "w/layer:2"]
    layer = parts["w/layer:2"]
    assert layer.roles == {"sheathing": Rung.INFERRED}
    assert (layer.box.low[1], layer.box.high[1]) == pytest.approx((0.138, 0.15))
    assert parts["w"].roles == {"shear_wall": Rung.DECLARED}


def test_bolts_in_one_element_are_counted_apart_in_place_order():
    solids = [bar((x, 0, -0.2), (x, 0, 0.1), 0.006) for x in (2.0, 0.2, 1.1)]
    roles = found(element("g", "IfcMechanicalFastener", *solids, predefined="ANCHORBOLT"))
    assert roles == {
        "g": {},
        "g/item:0": {"anchor_bolt": "declared"},
        "g/item:1": {"anchor_bolt": "declared"},
        "g/item:2": {"anchor_bolt": "declared"},
    }


def test_an_assembly_takes_in_its_leaves_and_a_rod_inside_stays_a_rod():
    whole = element("a", "IfcElementAssembly", object_type="Hold-down", children=("b", "r"))
    body = element("b", "IfcPlate", block((0, 0, 0), (0.06, 0.06, 0.3)), name="bracket", parent="a")
    rod = element("r", "IfcMember", ROD, predefined="TIEBAR", parent="a")
    model = Model((), {e.key: e for e in (whole, body, rod)}, {}, {}, (), np.zeros(3))
    parts = recognise(model, BOOK, PROPERTIES.has)
    assert {key: dict(part.roles) for key, part in parts.items()} == {
        "a": {"hold_down": Rung.DECLARED}, "b": {}, "r": {"rod": Rung.DECLARED}}
    assert parts["a"].box.low[2] == pytest.approx(-0.3)


def test_assembly_and_leaf_of_one_role_count_once_but_a_collection_counts_its_leaves():
    def tie(key, parent):
        return element(
            key,
            "IfcDiscreteAccessory",
            block((0, 0, 0), (0.06, 0.06, 0.3)),
            object_type="Hold-down",
            parent=parent,
        )

    single = found(
        element("a", "IfcElementAssembly", object_type="Hold-down", children=("b",)), tie("b", "a")
    )
    assert single == {"a": {"hold_down": "declared"}, "b": {}}
    many = found(
        element("a", "IfcElementAssembly", object_type="Hold-down", children=("b", "c")),
        tie("b", "a"),
        tie("c", "a"),
    )
    assert many == {"a": {}, "b": {"hold_down": "declared"}, "c": {"hold_down": "declared"}}


def test_cyclic_assembly_ends():
    a = element("a", "IfcElementAssembly", children=("b",))
    b = element("b", "IfcElementAssembly", children=("a",), name="tie-down")
    assert found(a, b)["b"] == {"hold_down": "guessed"}


@given(st.randoms())
@settings(max_examples=25, deadline=None)
def test_order_of_elements_cannot_matter(random):
    rows = [
        element("p", "IfcMember", POST, predefined="POST"),
        element("t", "IfcBuildingElementProxy", block((0.09, 0.03, 0.1), (0.15, 0.1, 0.4)), name="tie-down"),
        element("r", "IfcBuildingElementProxy", bar((0.12, 0.07, -0.4), (0.12, 0.07, 0.3)), name="bar 16"),
        element("f", "IfcFooting", block((-1, -1, -0.6), (1, 1, 0.0))),
        element("s", "IfcMember", block((1, 0, 0), (1.04, 0.14, 2.3)), name="Stud"),
        element("n", "IfcBuildingElementProxy", block((0.1, 0.05, 0.4), (0.14, 0.09, 0.42)), name="nut"),
    ]
    wanted = found(*rows)
    random.shuffle(rows)
    assert found(*rows) == wanted
    assert list(found(*rows)) == sorted(wanted)


def test_globs_match_the_whole_text_and_any_of_several():
    pattern = globs(["td-*", "* td-*"])
    assert [bool(pattern.match(text)) for text in ("td-3", "tie td-3", "std-3", "td3")] == [
        True,
        True,
        False,
        False,
    ]
    assert globs([]) is None


def test_a_page_that_is_no_role_is_refused(tmp_path: Path):
    (tmp_path / "x.yaml").write_text("just words\n")
    with pytest.raises(UsageProblem, match=r"x\.yaml: a role file needs"):
        load_book(tmp_path)


def test_every_role_page_names_its_own_file_and_known_shapes():
    from modellint.roles.shapes import SHAPES

    assert BOOK.roles == tuple(path.stem for path in sorted((RULES / "roles").glob("*.yaml")))
    for entry in BOOK.entries:
        assert set(entry.shapes) <= SHAPES.keys(), entry.role
        assert {role for test in entry.places for role in test.roles} <= set(BOOK.roles), entry.role
        assert set(entry.properties) <= PROPERTIES.entries.keys(), entry.role
