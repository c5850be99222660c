"""Wrong rule files: every error at once, each with its place."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from modellint.errors import FileProblems
from modellint.rulebook.docs import explain, pages
from modellint.rulebook.load import load_rules, shipped_settings
from modellint.rulebook.schema import rule_schema, schema_text
from modellint.rulebook.settings import in_si
from tests.rulebook.fakes import REGISTRY, rule_text
from tests.rulebook.test_examples import SIX


def load(tmp_path: Path, *bodies: str):
    for number, body in enumerate(bodies):
        (tmp_path / f"rule-{number}.yaml").write_text(rule_text(body, f"rule-{number}"))
    return load_rules([tmp_path], REGISTRY, {})


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (
            "subject: post\nexpect: {measure: a, at_least: 12 kN}\n",
            "11:32: '12 kN' is a force, but a length like 12 in or 300 mm is needed.",
        ),
        ("subject: post\nexpect: {measure: a, at_least: 12}\n", "11:32: '12' has no unit"),
        ("subject: post\nexpect: {measure: p, at_least: 1 m}\n", "belongs to stud, not to post"),
        ("subject: post\nexpect: {measure: aa, at_least: 1 m}\n", "11:19: 'aa' is not a measure"),
        (
            "subject: pots\nexpect: {measure: a, at_least: 1 m}\n",
            "10:10: 'pots' is not a kind of subject; did you mean 'post'?",
        ),
        ("subject: post\nexpect: {measure: a, at_least: {setting: x}}\n", "There is no setting 'x'"),
        ("subject: post\nexpect: {measure: a, at_least: 1 m, at_most: 2 m}\n", "exactly one of"),
        ("subject: post\nexpect: {measure: a, known: false}\n", "Only true is allowed here"),
        (
            "subject: post\nexpect: {every: ties, have: {measure: a, at_least: 1 m}}\n",
            "belongs to wall_end, not to post",
        ),
        ("subject: post\nexpect: {every: studs_near}\n", "'every' needs 'have'"),
        ("subject: post\nexpect: {measure: a, at_least: {measure: uplift_demand}}\n", "belongs to wall_end"),
        (
            "subject: wall_end\nexpect: {every: uplift_links, have: {measure: link_state, is: joind}}\n",
            "did you mean 'joined'",
        ),
        ("subject: wall_end\nexpect: {measure: wall_is_shear, is: yes}\n", "write true or false"),
        (
            "subject: post\nexpect: {measure: a, at_least: 1 m}\n"
            "settings: {x: {value: 1 m, basis: {kind: practice}}}\n",
            "12:15: The setting 'x' is not used.",
        ),
        (
            "subject: post\nexpect: {measure: a, at_least: {setting: x}}\n"
            "settings: {x: {value: 1 kN, basis: {kind: code}}}\n",
            "names its source",
        ),
        (
            "subject: post\nexpect: {measure: a, at_least: 1 m}\ncolour: red\n",
            "12:1: The key 'colour' is not known here.",
        ),
        (
            "subject: post\nexpect: {measure: a, at_least: 1 m}\neffect: '{bb} is small'\n",
            "'{bb}' in effect is neither",
        ),
        ("subject: post\nexpect: {measure: a, between: [2 m, 1 m]}\n", "smaller value first"),
    ],
)
def test_one_sentence_with_place(tmp_path, body, said):
    with pytest.raises(FileProblems) as caught:
        load(tmp_path, body)
    assert said in str(caught.value)
    assert "rule-0.yaml:" in str(caught.value)


def test_all_files_and_errors_at_once(tmp_path):
    with pytest.raises(FileProblems) as caught:
        load(
            tmp_path,
            "subject: post\nexpect: {any: [{measure: a, at_least: 1 kN}, {measure: b, at_most: 3}]}\n",
            "subject: nothing\nexpect: {measure: a, at_least: 1 m}\nlevle: 3\n",
        )
    assert len({row[:3] for row in caught.value.problems}) >= 4


def test_six_load_and_have_pages(tmp_path):
    rules = load(tmp_path, *SIX.values())
    assert len(rules) == 6
    found = pages(rules)
    assert len(found) == 7
    assert "10 ft (3048 mm): IRC 2018 AF103.6.1" in found[Path("lateral/rule-3.md")]
    assert "#" not in explain(rules[0])


def test_schema_is_draft_seven_and_stable():
    from jsonschema import Draft7Validator

    Draft7Validator.check_schema(rule_schema(REGISTRY))
    assert json.loads(schema_text(REGISTRY))["additionalProperties"] is False


def test_shipped_settings_have_values_in_si_and_a_basis():
    settings = shipped_settings()
    assert in_si(settings)["stacking_along"] == 0.14
    assert all(setting.basis.words() and setting.description for setting in settings.values())


def test_schema_in_docs_is_current():
    """Regenerate with `python -m modellint.rulebook.docs`."""
    from modellint.rulebook.registry import registry

    docs = Path(__file__).parents[2] / "docs"
    assert (docs / "rule.schema.json").read_text(encoding="utf-8") == schema_text(registry())


def test_shipped_rules_fit_the_schema_and_load():
    from modellint.rulebook.registry import registry
    from modellint.rulebook.shipped import rules_folder

    rules = load_rules([rules_folder()], registry(), validate=True)
    assert [rule.id for rule in rules] == [rule.id for rule in load_rules([rules_folder()], registry())]
