"""Role overrides and property mappings of the project file: wrong ones have a place, unused ones a note."""

from __future__ import annotations

import numpy as np
import pytest

from modellint.errors import FileProblems
from modellint.ifc.model import Element, Model, PropertyValue
from modellint.roles.book import load_book
from modellint.roles.part import Rung
from modellint.roles.recognise import recognise
from modellint.roles.unused import unused_entries
from modellint.rulebook.project import load_project
from tests.builders_lateral import RULES


def project(tmp_path, text):
    (tmp_path / "modellint.yaml").write_text(text)
    return load_project(tmp_path / "modellint.yaml")


@pytest.mark.parametrize(("text", "said"), [
    ("roles:\n- {role: hold_up, name: x}\n", "modellint.yaml:2:3: 'hold_up' is not a role"),
    ("roles:\n- {role: rod, nane: x}\n", "modellint.yaml:2:15: The key 'nane' is not known here; did you mean 'name'"),
    ("roles:\n- {role: rod}\n", "modellint.yaml:2:3: A role override names at least one of"),
    ("roles:\n- {role: rod, name: 4}\n", "modellint.yaml:2:21: 'name' is a glob or a list of globs."),
    ("roles:\n- {role: rod, name: []}\n", "modellint.yaml:2:21: 'name' is a glob or a list of globs."),
    ("properties:\n- {quantity: outside_diametre, property: OD}\n",
     "modellint.yaml:2:14: There is no quantity 'outside_diametre'; did you mean 'outside_diameter'?"),
    ("properties:\n- {quantity: outside_diameter}\n", "modellint.yaml:2:3: A property mapping names"),
    ("properties:\n- {quantity: outside_diameter, property: OD, sett: X}\n",
     "modellint.yaml:2:46: The key 'sett' is not known here; did you mean 'set'?"),
    ("properties:\n- {quantity: outside_diameter, property: [OD]}\n", "modellint.yaml:2:42: 'property' is a glob."),
])
def test_wrong_entries_have_a_place(tmp_path, text, said):
    with pytest.raises(FileProblems) as caught:
        project(tmp_path, text)
    assert said in str(caught.value)


def test_what_matches_nothing_is_a_note_with_its_line(tmp_path):
    found = project(tmp_path, "roles:\n- {role: rod, name: 'bar*'}\n- {role: strap, class: IfcPlate}\nproperties:\n"
                              "- {quantity: outside_diameter, set: Sizes, property: OD*}\n"
                              "- {quantity: thickness, set: Other, property: T}\n")
    bar = Element("e", "e", 1, "IfcMember", name="Bar 5", properties={("Sizes", "OD mm"): PropertyValue(16.0)})
    model = Model((), {"e": bar}, {}, {}, (), np.zeros(3))
    notes = unused_entries(model, load_book(RULES / "roles", found.roles), found.properties, "modellint.yaml")
    assert [(note.code, note.line, note.serious) for note in notes] == [
        ("override-matches-nothing", 3, False), ("mapping-matches-nothing", 6, False)]
    assert notes[0].text == "The role override 'strap' (class IfcPlate) matches nothing in this model."
    assert notes[1].file == "modellint.yaml"


def test_an_override_can_go_by_a_property(tmp_path):
    """`Set.Property = value`, as globs; other parts of the same name and class keep their role."""
    found = project(tmp_path, "roles:\n- {role: strap, property: 'Steel.Use = *strap*'}\n")
    plates = [Element(key, key, 1, "IfcPlate", name="Plate", properties={("Steel", "Use"): PropertyValue(use)})
              for key, use in (("a", "Coil strap"), ("b", "gusset"))]
    model = Model((), {plate.key: plate for plate in plates}, {}, {}, (), np.zeros(3))
    parts = recognise(model, load_book(RULES / "roles", found.roles), lambda *_: "")
    assert parts["a"].roles == {"strap": Rung.DECLARED}
    assert "strap" not in parts["b"].roles
