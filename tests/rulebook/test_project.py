"""The project file, its settings and its schedules."""

from __future__ import annotations

import pytest

from modellint.errors import FileProblems, UsageProblem
from modellint.rulebook.load import read_rule, shipped_settings
from modellint.rulebook.project import find_project, for_model, load_project
from modellint.rulebook.settings import apply_overrides
from modellint.rulebook.yaml_text import parse_yaml
from tests.rulebook.fakes import REGISTRY, rule_text
from tests.rulebook.test_examples import SIX

GOOD = """units: us
settings:
  some-rule.clearance: {value: 12 ft, basis: {kind: project}}
  stacking_along: 4 in
roles: [{role: hold_down, name: "*TD-*"}]
schedules: {hold_downs: ties.csv}
waivers:
- {id: 0123456789abcdef, state: fedcba9876543210, by: A. Person, reason: agreed on site, until: 2027-01-31}
"""
TIES = 'Mark,Allowable tension (lb),Rod diameter (in),Level\nTD-2,"3,000",5/8,ASD wind\nTD-3,20 kN,16 mm,\n'


def write(tmp_path, text=GOOD, ties=TIES):
    (tmp_path / "ties.csv").write_text(ties)
    (tmp_path / "modellint.yaml").write_text(text)
    return tmp_path / "modellint.yaml"


def test_project_is_read(tmp_path):
    project = load_project(write(tmp_path))
    first, second = project.schedules["hold_downs"].rows
    assert first.get("allowable_tension") == pytest.approx(3000 * 4.4482216152605)
    assert (first.get("rod_diameter"), second.get("allowable_tension")) == (0.015875, 20e3)
    assert project.waivers[0].until == "2027-01-31"
    rule, _ = read_rule(parse_yaml(rule_text(SIX[4]), "f"), REGISTRY, {})
    rules, general = apply_overrides([rule], shipped_settings(), list(project.overrides))
    assert rules[0].settings["clearance"].value == pytest.approx(3.6576, rel=1e-15)
    assert (
        rules[0].settings["clearance"].basis.words()
        == "project setting (changed in the project file from 10 ft)"
    )
    assert general["stacking_along"].value == 0.1016


def test_found_upward_to_the_repository_root(tmp_path):
    write(tmp_path)
    (tmp_path / "repo" / "model").mkdir(parents=True)
    assert find_project(tmp_path / "repo" / "model") == tmp_path / "modellint.yaml"
    (tmp_path / "repo" / ".git").mkdir()
    assert find_project(tmp_path / "repo" / "model") is None


@pytest.mark.parametrize(
    ("text", "ties", "said"),
    [
        ("unts: us\n", TIES, "modellint.yaml:1:1: The key 'unts' is not known here; did you mean 'units'?"),
        ("units: inches\n", TIES, "modellint.yaml:1:8: 'inches' is neither"),
        ("roles: [{role: hold_up, name: x}]\n", TIES, "'hold_up' is not a role"),
        ("schedules: {hold_downs: ../x.csv}\n", TIES, "outside the project's folder"),
        (
            "schedules: {hold_downs: ties.csv}\n",
            "Mark,Colour\nA,red\n",
            "ties.csv:1:2: The column 'Colour' is not known",
        ),
        (
            "schedules: {hold_downs: ties.csv}\n",
            "Mark,Rod diameter (lb)\nA,1\n",
            "has a unit, but 'rod_diameter' is a length",
        ),
        (
            "schedules: {hold_downs: ties.csv}\n",
            "Mark,Rod diameter\nA,16\n",
            "ties.csv:2:2: rod_diameter: '16' has no unit",
        ),
        (
            "schedules: {hold_downs: ties.csv}\n",
            "Mark\nA\nA\n",
            "ties.csv:3:1: mark are the same as on line 2.",
        ),
        ("waivers: [{id: a}]\n", TIES, "A waiver needs 'state'."),
        ("sets: [moon]\n", TIES, "There is no rule set 'moon'"),
        ("waivers: [{id: a, state: b, by: c, reason: d, until: soon}]\n", TIES, "'soon' is not a day"),
    ],
)
def test_problems_have_places(tmp_path, text, ties, said):
    with pytest.raises(FileProblems) as caught:
        load_project(write(tmp_path, text, ties))
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("name", "value"), [("stacking_along", "4 kN"), ("staking_along", "4 in"), ("x.y", "1 m")]
)
def test_wrong_override(tmp_path, name, value):
    project = load_project(write(tmp_path, f"settings: {{{name}: {value}}}\n"))
    with pytest.raises(FileProblems, match=r"modellint\.yaml:1:"):
        apply_overrides([], shipped_settings(), list(project.overrides))


def test_levels_change_and_switch_off(tmp_path):
    project = for_model(write(tmp_path, "levels: {some-rule: note}\n").parent / "house.ifc")
    rule, _ = read_rule(parse_yaml(rule_text(SIX[3]), "f"), REGISTRY, {})
    assert [one.level for one in project.apply_levels([rule])] == ["note"]
    assert load_project(write(tmp_path, "levels: {some-rule: off}\n")).apply_levels([rule]) == []
    with pytest.raises(UsageProblem):
        project.apply_levels([])
