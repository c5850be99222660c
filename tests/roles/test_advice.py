"""What `ready` advises is what the books accept: each advised way is written down and recognised again."""

from __future__ import annotations

import re
from fnmatch import fnmatchcase

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.ifc.model import Element, Model, PropertyValue
from modellint.ifc.schema_facts import predefined_types
from modellint.reports.ready_ids import pattern_of
from modellint.roles.advice import example_of, property_advice, role_advice
from modellint.roles.book import load_book
from modellint.roles.part import Rung
from modellint.roles.properties import load_properties
from modellint.roles.recognise import recognise
from modellint.roles.why import why
from tests.builders_lateral import RULES, bar, block

ROLES = role_advice(RULES / "roles")
QUANTITIES = property_advice(RULES / "properties")
BOOK, PROPERTIES = load_book(RULES / "roles"), load_properties(RULES / "properties")
SCHEMAS = ("IFC2X3", "IFC4", "IFC4X3_ADD2")


def types_in(schema):
    return lambda ifc_class: predefined_types(schema, ifc_class)


def parts_of(*elements, considered=None):
    model = Model((), {e.key: e for e in elements}, {}, {}, (), np.zeros(3))
    return recognise(model, BOOK, PROPERTIES.has, None, considered)


@pytest.mark.parametrize("schema", SCHEMAS)
@pytest.mark.parametrize("role", sorted(ROLES))
def test_an_advised_way_is_recognised(role, schema):
    way = ROLES[role].way_in(types_in(schema))
    if way is None:  # a class that the schema does not have, and no other way
        assert schema == "IFC2X3" or role == "rafter"
        return
    assert all(predefined_types(schema, name) is not None for name in way.classes)
    for ifc_class in way.classes:
        element = Element("e", "e", 1, ifc_class, predefined=way.predefined, object_type=way.object_type,
                          name=way.name, type_name=way.type_name, systems=(way.system,) if way.system else (),
                          classifications=(way.classification,) if way.classification else ())
        rung = parts_of(element)["e"].roles
        if way.declared:
            assert rung.get(role) == Rung.DECLARED, (way, rung)
    assert way.words().startswith(way.classes[0])


def test_predefined_types_are_those_of_the_schema():
    """IFC4 ADD2 TC1 lists SHEAR for IfcWallTypeEnum; IFC2x3 TC1 gives IfcWall no PredefinedType."""
    assert "SHEAR" in predefined_types("IFC4", "IfcWall")
    assert predefined_types("IFC2X3", "IfcWall") == ()
    assert predefined_types("IFC2X3", "IfcPipeSegment") is None
    assert predefined_types("IFC4", "IfcBuildingElement") is None  # abstract
    assert ROLES["shear_wall"].way_in(types_in("IFC2X3")).object_type == "shear wall"
    assert ROLES["vent_pipe"].way_in(types_in("IFC2X3")).classes == ("IfcFlowSegment",)


@pytest.mark.parametrize("quantity", sorted(QUANTITIES))
def test_an_advised_property_is_read(quantity):
    advice = QUANTITIES[quantity]
    pairs = [*advice.standard, *advice.names]
    for set_name, name in pairs:
        if "*" in set_name and set_name != "*":
            continue
        element = Element("e", "e", 1, "IfcWall",
                          properties={(example_of(set_name) if set_name != "*" else "S", example_of(name)):
                                      PropertyValue("x")})
        assert quantity in PROPERTIES.quantities_of(element), (set_name, name)
    assert advice.words()


GLOBS = [glob for role in ROLES.values() for way in role.ways for _, globs in way.patterns for glob in globs]
GLOBS += [name for one in QUANTITIES.values() for _, name in (*one.standard, *one.names)]


@given(st.sampled_from(GLOBS), st.text(st.sampled_from("sS hH-*.[(aAwW25tT"), max_size=8))
def test_patterns_accept_what_globs_accept(glob, noise):
    """Patterns of XML Schema are anchored at both ends, as re.fullmatch is."""
    for text in (example_of(glob), noise + example_of(glob), example_of(glob).upper() + noise, noise):
        accepted = re.fullmatch(pattern_of(glob), text) is not None
        assert accepted == fnmatchcase(text.lower(), glob.lower()), (glob, text)


def test_why_names_what_was_considered_and_what_would_change_it():
    considered = {}
    tie = Element("t", "t", 1, "IfcBuildingElementProxy", name="Tie-down TD-2",
                  solids=(block((0, 0, 0), (0.06, 0.07, 0.3)),))
    rod = Element("r", "r", 2, "IfcMechanicalFastener", name="Bolt", solids=(bar((1, 0, 0), (1, 0, 1)),))
    parts = parts_of(tie, rod, considered=considered)
    answer = why(parts["t"], considered["t"], BOOK, ROLES, types_in("IFC4"))
    assert answer.roles == {"hold_down": Rung.GUESSED}
    assert answer.considered[0].role == "hold_down"
    assert answer.considered[0].verdict == "chosen"
    assert any("touches a post" in text and "tension capacity" in text for text in answer.changes)
    assert any("name: 'Tie-down TD-2'" in text for text in answer.changes)
    nothing = why(parts["r"], considered["r"], BOOK, ROLES, types_in("IFC4"))
    assert nothing.roles == {}
    rod_row = next(row for row in nothing.considered if row.role == "rod")
    assert rod_row.rung == Rung.INFERRED
    assert "nothing in its words" in rod_row.verdict


def test_why_says_what_rules_a_role_out():
    considered = {}
    parts = parts_of(Element("e", "e", 1, "IfcDiscreteAccessory", name="Hold-down bolt"), considered=considered)
    assert "hold_down" in why(parts["e"], considered["e"], BOOK, ROLES, types_in("IFC4")).ruled_out
