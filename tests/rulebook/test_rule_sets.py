"""Shipped rule sets: selected in the project file, asked for by a model, each value with its basis."""

from __future__ import annotations

from pathlib import Path

import pytest

from modellint.errors import FileProblems
from modellint.ifc.model import PropertyValue
from modellint.measures.ask import Ask
from modellint.pipeline import load_books
from modellint.rulebook.load import load_rules
from modellint.rulebook.project import load_project
from modellint.rulebook.registry import registry
from modellint.rulebook.rule_sets import asked_sets, read_rule_set, rules_asked_for, set_files
from modellint.rulebook.settings import in_si
from modellint.rulebook.shipped import rules_folder
from tests.builders_soilgas import small_house

SETS = ("ansi-aarst", "ca-bc-2024", "stub-only", "us-irc-appendix")


def books(tmp_path: Path, text: str):
    (tmp_path / "modellint.yaml").write_text(text)
    return load_books(tmp_path / "house.ifc", tmp_path / "modellint.yaml")


def rule_of(found, name):
    return next(rule for rule in found.rules if rule.id == name)


def test_the_sets_are_there():
    assert tuple(set_files()) == SETS


@pytest.mark.parametrize("name", SETS)
def test_a_set_says_what_it_is_and_names_what_it_rests_on(name):
    problems: list = []
    found = read_rule_set(set_files()[name], problems)
    assert problems == []
    assert found.title
    assert found.description.endswith(".")
    assert found.overrides or found.levels
    for one in found.overrides:
        assert one.basis.kind in {"code", "standard", "guide"}, one.name
        assert one.basis.source, one.name
        assert one.basis.clause, one.name
        assert one.basis.origin == "rule set"


@pytest.mark.parametrize("name", SETS)
def test_a_set_can_be_selected_and_fits_the_rules(tmp_path, name):
    found = books(tmp_path, f"sets: [{name}]\n")
    assert {row["origin"] for row in found.changed} == {"rule set"}


def test_values_of_british_columbia(tmp_path):
    """BCBC 2024 9.13.4.3.(1)(b) 100 mm, (3)(b)(i) 1.8 m; Health Canada 200 Bq/m3. Marked: pipe size and slope."""
    found = books(tmp_path, "sets: [ca-bc-2024]\n")
    radon = rule_of(found, "radon-above-action-level").settings["action_level"]
    assert radon.value == 200.0
    assert (
        radon.basis.words()
        == "Health Canada radon guideline annual average (changed in the rule set from 4 pCi/L)"
    )
    assert rule_of(found, "gravel-under-slab").settings["depth"].value == 0.1
    assert rule_of(found, "exit-near-property-line").level == "error"
    assert rule_of(found, "exit-near-opening").level == "note"
    assert rule_of(found, "vent-fall-too-flat").settings["fall"].basis.memory
    assert "secondary" in rule_of(found, "vent-size-minimum").settings["size"].basis.source


def test_the_irc_set_makes_other_standards_advice(tmp_path):
    found = books(tmp_path, "sets: [us-irc-appendix]\n")
    assert rule_of(found, "gravel-under-slab").settings["depth"].value == pytest.approx(0.1016)
    assert {rule_of(found, name).level for name in ("collector-too-short", "vent-fall-too-flat")} == {"note"}
    assert rule_of(found, "exit-near-opening").level == "error"


def test_later_sets_win_and_the_project_wins_over_all(tmp_path):
    text = "sets: [us-irc-appendix, ansi-aarst]\nlevels: {fan-power-far: warning}\n"
    text += "settings: {vent-fall-too-flat.fall: 2 %}\n"
    found = books(tmp_path, text)
    assert rule_of(found, "collector-too-short").level == "error"
    assert rule_of(found, "fan-power-far").level == "warning"
    fall = rule_of(found, "vent-fall-too-flat").settings["fall"]
    assert fall.value == 0.02
    assert fall.basis.words() == "project setting (changed in the project file from 1/8 in/ft)"
    origin = {row["name"]: row["origin"] for row in found.changed}
    assert origin["fan-power-far.level"] == "project file"
    assert origin["collector-too-short.level"] == "rule set"


def test_a_set_that_does_not_exist(tmp_path):
    (tmp_path / "modellint.yaml").write_text("sets: [us-irc-apendix]\n")
    with pytest.raises(FileProblems, match="did you mean 'us-irc-appendix'"):
        load_project(tmp_path / "modellint.yaml")


def levels_in(house, own=frozenset(), **settings):
    known = registry()
    house.settings.update(settings)
    rules = load_rules([rules_folder()], known)
    (building,) = house.subjects("building")
    found, names = rules_asked_for(
        rules, own, building, Ask(house, known.measures, known.sets, house.settings)
    )
    return {rule.id: rule.level for rule in found}, names


def test_a_stub_in_the_model_asks_for_its_set():
    house = small_house().house()
    levels, names = levels_in(house)
    assert names == ()
    assert levels["exit-above-roof"] == "error"
    house.model.spaces["B"].properties[("Project", "SoilGasLevel")] = PropertyValue("stub-up only")
    levels, names = levels_in(house, own={"vent-low-point"})
    assert names == ("stub-only",)
    assert {levels[name] for name in asked_sets()[0].levels if name != "vent-low-point"} == {"note"}
    assert levels["vent-low-point"] == "error"
    assert levels["gravel-under-slab"] == "error"


def test_the_level_is_a_setting_of_the_project(tmp_path):
    found = books(tmp_path, "settings: {soil_gas_level: stub}\n")
    levels, names = levels_in(small_house().house(), **in_si(found.settings))
    assert names == ("stub-only",)
    assert levels["exit-near-opening"] == "note"
    passive = small_house().house()
    passive.model.spaces["B"].properties[("Project", "SoilGasLevel")] = PropertyValue("stub")
    found = books(tmp_path, "settings: {soil_gas_level: passive}\n")
    assert levels_in(passive, **in_si(found.settings))[1] == ()


def test_as_modelled_leaves_the_level_to_the_model(tmp_path):
    found = books(tmp_path, "units: us\n")
    assert found.settings["soil_gas_level"].value == "as modelled"
    house = small_house().house()
    house.settings.update(in_si(found.settings))
    known = registry()
    (building,) = house.subjects("building")
    value = Ask(house, known.measures, known.sets, house.settings).measure("soil_gas_level", building)
    assert value.words == {"none", "stub", "passive", "fan"}


def test_a_word_that_the_level_does_not_have(tmp_path):
    with pytest.raises(FileProblems, match=r"modellint\.yaml:1:.*'pasive' is not one of its words"):
        books(tmp_path, "settings: {soil_gas_level: pasive}\n")


def test_the_wording_of_labels_is_a_free_text(tmp_path):
    found = books(tmp_path, "settings: {label_wording: Radon vent}\n")
    assert in_si(found.settings)["label_wording"] == "Radon vent"
