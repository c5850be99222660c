"""Shipped rule sets: what a jurisdiction changes, and sets that a model's own requirement asks for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from modellint.errors import FileProblems
from modellint.findings.finding import LEVELS, Basis
from modellint.rulebook.rule import Rule
from modellint.rulebook.settings import Override, read_basis
from modellint.rulebook.shipped import rules_folder
from modellint.rulebook.yaml_text import Document, Path_, Problem, read_yaml

SET_KEYS = ("title", "description", "settings", "levels", "asked_by")


@dataclass(frozen=True)
class RuleSet:
    """One file of rules/sets.

    Attributes:
        overrides: changed settings, each with its basis.
        levels: rule id to error, warning, note or off.
        asked_by: measure of the building to the word at which a model itself asks for the set; {} for none.
    """

    name: str
    title: str
    description: str
    overrides: tuple[Override, ...] = ()
    levels: dict[str, str] = field(default_factory=dict)
    asked_by: dict[str, str] = field(default_factory=dict)


def set_files() -> dict[str, Path]:
    """Name to file of every shipped rule set, sorted."""
    return {file.stem: file for file in sorted((rules_folder() / "sets").glob("*.yaml"))}


def read_rule_set(file: Path, problems: list[Problem]) -> RuleSet:
    """Read a rule set; what is wrong with it is added to the problems."""
    document = read_yaml(file)
    data = document.data if isinstance(document.data, dict) else {}
    problems += [
        document.problem((key,), f"The key '{key}' is not known here.", key=True)
        for key in data
        if key not in SET_KEYS
    ]
    return RuleSet(
        file.stem,
        str(data.get("title", "")),
        str(data.get("description", "")),
        tuple(settings_of(data.get("settings", {}), document, ("settings",), "rule set", problems)),
        levels_of(data.get("levels", {}), document, ("levels",), problems),
        {str(key): str(word) for key, word in data.get("asked_by", {}).items()},
    )


@lru_cache(maxsize=1)
def asked_sets() -> tuple[RuleSet, ...]:
    """Sets that a model can ask for by itself, by name.

    Raises:
        FileProblems: a shipped set is wrong.
    """
    problems: list[Problem] = []
    found = [read_rule_set(file, problems) for file in set_files().values()]
    if problems:
        raise FileProblems(problems)
    return tuple(one for one in found if one.asked_by)


def rules_asked_for(
    rules: list[Rule], fixed: Iterable[str], building: Any, ask: Any
) -> tuple[list[Rule], tuple[str, ...]]:
    """Rules with the levels of the sets that the model's own requirements ask for, and those sets' names.

    Args:
        fixed: ids of rules whose level the project set itself; they keep it.
        building: the building as a subject.
        ask: answers the measures that the sets name.
    """
    own, names, levels = set(fixed), [], dict[str, str]()
    for one in asked_sets():
        if all(ask.measure(name, building).words == {word} for name, word in one.asked_by.items()):
            names.append(one.name)
            levels.update({rule: level for rule, level in one.levels.items() if rule not in own})
    if not names:
        return rules, ()
    changed = [replace(rule, level=levels.get(rule.id, rule.level)) for rule in rules]
    return [rule for rule in changed if rule.level != "off"], tuple(names)


def settings_of(
    data: Mapping[str, Any], document: Document, path: Path_, origin: str, problems: list[Problem]
) -> list[Override]:
    """Changed settings: `name: value`, or `name: {value: …, basis: …}`."""
    overrides = []
    for name, entry in data.items():
        value, basis = entry, Basis("project", origin=origin)
        if isinstance(entry, dict):
            if "value" not in entry or set(entry) - {"value", "basis"}:
                problems.append(document.problem((*path, name), "A changed setting has a value and a basis."))
                continue
            value = entry["value"]
            if "basis" in entry:
                basis = read_basis(entry["basis"], document, (*path, name, "basis"), problems, origin)
        overrides.append(Override(name, value, basis, document, (*path, name)))
    return overrides


def levels_of(
    data: Mapping[str, Any], document: Document, path: Path_, problems: list[Problem]
) -> dict[str, str]:
    """Changed levels: rule id to error, warning, note or off."""
    for name, level in data.items():
        if level not in {*LEVELS, "off"}:
            problems.append(
                document.problem((*path, name), f"'{level}' is none of {', '.join(LEVELS)}, off.")
            )
    return {name: str(level) for name, level in data.items()}
