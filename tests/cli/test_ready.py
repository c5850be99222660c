"""`modellint ready`: what was recognised, what can be asked, what to add; and the same as IDS."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner

from modellint.cli.main import cli
from modellint.pipeline_ready import ready
from modellint.reports.ready_ids import render as render_ids
from modellint.reports.ready_text import render
from tests.ifc.small_models import Writer

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_models" / "two-storey" / "semantic.ifc"
XSD = ROOT / "tests" / "schemas" / "ids" / "1.0" / "ids.xsd"


def sparse_house(folder: Path, schema: str = "IFC4") -> Path:
    """Two walls named as shear walls, a proxy named as a tie, and a nail spacing without a unit."""
    w = Writer(schema)
    for k in range(2):
        placement = w.place((0, 3000 * k, 0), above=w.storey[5])
        wall = w.element("IfcWall", w.body(w.extruded(w.rectangle(3000, 140), 2400)), placement, f"Shear wall SW-{k}",
                         guid=f"000000000000000000000{k}")
        value = w.f.create_entity("IfcReal", 100.0)
        spacing = w.make("IfcPropertySingleValue", "Edge nail spacing", None, value)
        pset = w.root("IfcPropertySet", "Nailing", None, [spacing])
        w.root("IfcRelDefinesByProperties", None, None, [wall], pset)
    w.element("IfcBuildingElementProxy", w.body(w.extruded(w.rectangle(60, 70), 300)), None, "Tie-down TD-1",
              guid="0000000000000000000009")
    return w.save(folder)


def test_says_what_was_recognised_and_what_to_add_first(tmp_path):
    plain = ready({"models": [sparse_house(tmp_path)]})
    found = {row["role"]: row for row in plain["roles"]}
    assert found["shear_wall"]["storeys"] == {"Level 1": {"inferred": 2}}
    assert found["hold_down"]["storeys"] == {"Level 1": {"guessed": 1}}
    assert "rod" in plain["missing_roles"]
    checks = [row["checks"] for row in plain["demands"]]
    assert checks == sorted(checks, reverse=True)
    assert 1 <= len(checks) <= 10
    wanted = {row["name"]: row for row in plain["demands"]}
    tie = wanted["hold_down"]
    assert tie["guessed"] == ["Tie-down TD-1"]
    assert "wall-end-has-tie" in tie["rules"]
    assert tie["checks"] >= 4  # four wall ends
    assert tie["ifc"]["text"] == 'Use IfcDiscreteAccessory with ObjectType "hold down".'
    states = {row["rule"]: row for row in plain["rules"]}
    assert states["wall-end-has-tie"]["state"] == "waits"
    assert states["wall-end-has-tie"]["lacks"] == {"hold_down": 4}
    assert states["rod-lean"] == {**states["rod-lean"], "state": "nothing to ask", "wants": "rod"}
    assert [(row["quantity"], row["where"], row["reason"], row["number"]) for row in plain["unread"]] == [
        ("edge_nail_spacing", "Nailing.Edge nail spacing", "no unit", 2)]


def test_judges_nothing_and_gives_no_percentage(tmp_path):
    plain = ready({"models": [sparse_house(tmp_path)]})
    text = render(plain)
    assert "%" not in text
    assert "fail" not in text
    assert "findings" not in plain
    assert "Tie-down TD-1" in text
    assert "for want of" in text


@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4", "IFC4X3_ADD2"])
def test_ids_is_valid_against_the_official_schema(schema, tmp_path):
    """IDS 1.0 schema of buildingSMART International; see tests/schemas/README.md."""
    xmlschema = pytest.importorskip("xmlschema")
    made = render_ids(ready({"models": [sparse_house(tmp_path, schema)]}))
    path = tmp_path / "demands.ids"
    path.write_bytes(made)
    assert [error.reason for error in xmlschema.XMLSchema10(XSD).iter_errors(str(path))] == []
    names = [row.get("name") for row in ET.fromstring(made).iter("{http://standards.buildingsmart.org/IDS}specification")]
    assert any(name.startswith("hold down (") for name in names)
    assert made == render_ids(ready({"models": [sparse_house(tmp_path, schema)]})), "same input, same bytes"


def test_ids_demands_are_met_by_what_meets_them(tmp_path):
    """The demand for a tie names the class and the ObjectType that the role book takes as a declaration."""
    ids = "{http://standards.buildingsmart.org/IDS}"
    root = ET.fromstring(render_ids(ready({"models": [sparse_house(tmp_path)]})))
    tie = next(row for row in root.iter(f"{ids}specification") if row.get("name").startswith("hold down"))
    applies = tie.find(f"{ids}applicability")
    assert applies.get("minOccurs") == "1"
    classes = [row.get("value") for row in applies.find(f"{ids}entity").iter() if row.get("value")]
    assert "IFCDISCRETEACCESSORY" in classes
    assert applies.find(f"{ids}attribute/{ids}name/{ids}simpleValue").text == "ObjectType"


def run(*arguments):
    return CliRunner().invoke(cli, ["ready", *map(str, arguments)])


def test_command_writes_ids_and_explains_a_part(tmp_path):
    model, target = sparse_house(tmp_path), tmp_path / "demands.ids"
    done = run(model, "--ids", target)
    assert done.exit_code == 0
    assert target.read_bytes().startswith(b"<?xml")
    done = run(model, "--why", "0000000000000000000009")
    assert done.exit_code == 0
    assert "hold down (guessed)" in done.output
    assert "What would change it".upper() in done.output
    done = run(model, "--why", "0000000000000000000009", "--format", "json")
    assert json.loads(done.output)["why"][0]["considered"][0]["role"] == "hold_down"


def test_command_on_a_whole_house_finds_nothing_missing_that_ids_can_say(tmp_path):
    done = run(SAMPLE, "--format", "json")
    plain = json.loads(done.output)
    assert all(row["kind"] == "answer" for row in plain["demands"])


def test_command_says_what_it_cannot_read(tmp_path):
    (tmp_path / "cut.ifc").write_bytes(SAMPLE.read_bytes()[:20000])
    done = run(tmp_path / "cut.ifc")
    assert done.exit_code == 3
    assert "incomplete" in done.stderr
    missing = run(tmp_path / "none.ifc")
    assert missing.exit_code == 3
    assert "does not exist" in missing.stderr
