"""The shipped rule set as a whole: each rule has a page and a seeded defect, each limit a basis."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from modellint import units
from modellint.findings.finding import DECIDERS, LEVELS, STAGES
from modellint.rulebook.load import load_rules, rule_files, shipped_settings
from modellint.rulebook.registry import registry
from modellint.rulebook.rule import Bound, Compare, Condition, Count, Join, Not, OverSet, Rule
from modellint.rulebook.schema import rule_schema, schema_problems
from modellint.rulebook.shipped import rules_folder
from modellint.rulebook.vocabulary import ROLES
from modellint.rulebook.yaml_text import read_yaml

DOCS = Path(__file__).parents[1] / "docs"
FILES = rule_files(rules_folder())
# "at least one" and "none at all" are questions of presence, "more than zero" is one of direction: no source
# gives these as a number that a project might change.
PRESENCE = {0.0, 1.0}


def rules() -> list[Rule]:
    return load_rules([rules_folder()], registry())


def comparisons(condition: Condition | None) -> Iterator[Compare | Count]:
    if isinstance(condition, Join):
        for part in condition.parts:
            yield from comparisons(part)
    elif isinstance(condition, Not):
        yield from comparisons(condition.part)
    elif isinstance(condition, OverSet):
        yield from comparisons(condition.where)
        yield from comparisons(condition.have)
    elif isinstance(condition, Count):
        yield condition
        yield from comparisons(condition.where)
    elif condition is not None:
        yield condition


def bare_limits(rule: Rule) -> list[str]:
    """Numbers that stand in a condition itself instead of in a setting."""
    found = []
    for condition in (rule.when, rule.expect):
        for comparison in comparisons(condition):
            dimension = "count" if isinstance(comparison, Count) else comparison.operand.dimension
            if dimension not in units.WORDS:
                bare = [bound for bound in comparison.bounds if is_bare(bound, dimension)]
                found += [bound.text or str(bound.value) for bound in bare]
    return found


def is_bare(bound: Bound, dimension: str) -> bool:
    if bound.setting or bound.operand:
        return False
    return bound.value not in (PRESENCE if dimension == "count" else {0.0})


def test_the_rules_are_there():
    groups = {rule.group for rule in rules()}
    assert groups == {"lateral", "soil-gas", "coordination", "readiness"}
    assert len(FILES) == len(rules()) >= 40


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_rule_is_named_and_filed_as_its_file(file):
    data = read_yaml(file).data
    assert data["id"] == file.stem
    assert data["group"] == file.parent.name


def test_all_rules_fit_the_schema():
    schema = rule_schema(registry())
    problems = [problem for file in FILES for problem in schema_problems(read_yaml(file), schema)]
    assert problems == []
    load_rules([rules_folder()], registry(), validate=True)


def test_each_rule_has_a_page():
    missing = sorted(
        f"{rule.group}/{rule.id}"
        for rule in rules()
        if not (DOCS / "rules" / rule.group / f"{rule.id}.md").is_file()
    )
    assert not missing, f"no page in docs/rules for {missing}: run `python -m modellint.rulebook.docs`"


def test_each_rule_has_a_seeded_defect():
    """Each rule is asked to see at least one small change of a clean sample house."""
    from sample_models.generator import DEFECTS

    ids = {rule.id for rule in rules()}
    aimed = {defect.rule for defect in DEFECTS}
    assert not sorted(aimed - ids), f"defects name rules that do not exist: {sorted(aimed - ids)}"
    assert not sorted(ids - aimed), f"no seeded defect for {sorted(ids - aimed)}"


def test_every_numeric_limit_is_a_setting_with_a_basis():
    bare = {rule.id: found for rule in rules() if (found := bare_limits(rule))}
    assert not bare, f"numbers that should be settings: {bare}"


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.id)
def test_limits_name_their_source(rule):
    for name, setting in rule.settings.items():
        basis = setting.basis
        where = f"{rule.id}.{name}"
        assert basis.origin == "shipped", where
        assert basis.kind in {"code", "standard", "guide", "practice"}, f"{where}: {basis.kind}"
        if basis.kind == "practice":
            assert not basis.source, f"{where}: practice has no source"
            assert not basis.clause, where
        else:
            assert basis.source, where
            assert basis.clause, f"{where}: which clause?"
            assert any(sign.isdigit() for sign in basis.source), f"{where}: which edition of {basis.source}?"


def test_general_settings_have_a_basis_and_say_what_they_are():
    for name, setting in shipped_settings().items():
        assert setting.description.endswith("."), name
        assert setting.basis.kind, name


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.id)
def test_rules_speak_to_people(rule):
    """A finding names its subject, a question asks, nothing is promised, and it is known who decides."""
    assert "{subject}" in rule.message
    assert "{subject}" in rule.ask
    assert "?" in rule.ask
    assert rule.effect.strip()
    assert rule.remedy.strip()
    assert rule.level in LEVELS
    assert rule.stage in STAGES
    assert rule.decides in DECIDERS
    words = " ".join((rule.title, rule.message, rule.effect, rule.remedy, rule.ask)).lower()
    assert not [word for word in ("compliant", "is safe", "are safe", "guarantee") if word in words]


def test_a_building_that_shows_nothing_is_not_passed_over():
    """Presence rules and their if_none: no shear wall and no vent is a question, never silence."""
    by_id = {rule.id: rule for rule in rules()}
    for name in ("wall-end-has-tie", "tie-reaches-foundation", "soil-gas-vent-present", "nothing-recognised"):
        assert by_id[name].if_none in {"open", "fail"}, name


def test_every_role_has_an_entry_in_the_role_book():
    """Or is a place rather than a part: the reader itself knows site, storey and space, and openings."""
    entries = {file.stem for file in (rules_folder() / "roles").glob("*.yaml")}
    assert entries - {"fitting"} <= set(ROLES)
    assert set(ROLES) - entries == {"site", "storey", "space", "opening"}
