"""Settings: values with unit and basis; shipped < rule set < project file, each keeping its origin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from modellint import units
from modellint.errors import FileProblems, UnitProblem
from modellint.findings.finding import Basis
from modellint.rulebook.conditions import literal
from modellint.rulebook.rule import Rule, Setting
from modellint.rulebook.vocabulary import BASIS_KINDS, nearest
from modellint.rulebook.yaml_text import Document, Path_, Problem, read_yaml

NAME_KEYS = ("value", "dimension", "words", "level", "description", "basis")


@dataclass(frozen=True)
class Override:
    """One changed setting of a rule set or project file.

    Attributes:
        name: `rule-id.setting`, or a general setting.
        value: as written.
        basis: the new value's basis; its origin is `rule set` or `project file`.
        document, path: where it stands, for problems.
    """

    name: str
    value: Any
    basis: Basis
    document: Document
    path: Path_


def read_basis(
    data: Any, document: Document, path: Path_, problems: list[Problem], origin: str = "shipped"
) -> Basis:
    """A basis as written; problems are noted and the basis of a project setting is given instead."""
    fallback = Basis("project", origin=origin)
    if not isinstance(data, dict):
        problems.append(document.problem(path, "A basis is a mapping: {kind: code, source: …, clause: …}."))
        return fallback
    kind = data.get("kind")
    if kind not in BASIS_KINDS:
        problems.append(
            document.problem((*path, "kind"), f"The kind of a basis is one of {', '.join(BASIS_KINDS)}.")
        )
        return fallback
    for key in sorted(set(data) - {"kind", "source", "clause", "memory"}):
        problems.append(document.problem((*path, key), f"The key '{key}' is not known here.", key=True))
    if kind in {"code", "standard", "guide"} and not data.get("source"):
        problems.append(
            document.problem(path, f"A basis of kind {kind} names its source (publication, edition).")
        )
    return Basis(
        str(kind),
        str(data.get("source", "")),
        str(data.get("clause", "")),
        bool(data.get("memory", False)),
        origin,
    )


def make_setting(
    name: str,
    data: Any,
    dimension: str,
    words: tuple[str, ...],
    document: Document,
    path: Path_,
    problems: list[Problem],
) -> Setting | None:
    """One setting of a rule or of rules/settings.yaml; None with problems noted if it is wrong."""
    if not isinstance(data, dict) or "value" not in data or "basis" not in data:
        problems.append(document.problem(path, f"The setting '{name}' needs a value and a basis."))
        return None
    basis = read_basis(data["basis"], document, (*path, "basis"), problems)
    try:
        value = literal(data["value"], dimension, words)
    except UnitProblem as problem:
        problems.append(document.problem((*path, "value"), str(problem)))
        return None
    return Setting(
        name,
        _text(data["value"]),
        value,
        dimension,
        basis,
        str(data.get("description", "")),
        str(data.get("level", "")),
        words,
    )


def _text(value: Any) -> str:
    return ("true" if value else "false") if isinstance(value, bool) else str(value)


def load_settings(path: Path) -> dict[str, Setting]:
    """General settings, by name.

    Raises:
        FileProblems: everything that is wrong in the file.
    """
    document = read_yaml(path)
    problems: list[Problem] = []
    settings: dict[str, Setting] = {}
    data = document.data if isinstance(document.data, dict) else {}
    if not data:
        problems.append(document.problem((), "A settings file is a mapping of names to settings."))
    for name, entry in data.items():
        if isinstance(entry, dict):
            problems += [
                document.problem(
                    (name, key), f"The key '{key}' is not known here{nearest(key, NAME_KEYS)}.", key=True
                )
                for key in entry
                if key not in NAME_KEYS
            ]
        dimension = _dimension(entry, document, (name,), problems)
        words = tuple(str(word) for word in entry.get("words", ())) if isinstance(entry, dict) else ()
        if dimension:
            setting = make_setting(name, entry, dimension, words, document, (name,), problems)
            settings |= {name: setting} if setting else {}
    if problems:
        raise FileProblems(problems)
    return settings


def _dimension(entry: Any, document: Document, path: Path_, problems: list[Problem]) -> str:
    """Given by `dimension`, else what the value's unit says; a bare number needs it."""
    if not isinstance(entry, dict):
        problems.append(document.problem(path, "A setting is a mapping with value, basis and description."))
        return ""
    given, value = entry.get("dimension"), entry.get("value")
    if given is not None:
        if given not in units.DIMENSIONS:
            problems.append(document.problem((*path, "dimension"), f"'{given}' is not a dimension."))
            return ""
        return str(given)
    if isinstance(value, bool):
        return "truth"
    if isinstance(value, str):
        try:
            return units.dimension_of(value)
        except UnitProblem as problem:
            problems.append(document.problem((*path, "value"), str(problem)))
            return ""
    problems.append(document.problem(path, "A bare number needs its dimension: count or ratio."))
    return ""


def in_si(settings: Mapping[str, Setting]) -> dict[str, Any]:
    """Name to plain value (number in SI, bool for a truth, word), as `Ask` takes them."""
    return {
        name: setting.value == "true" if setting.dimension == "truth" else setting.value
        for name, setting in settings.items()
    }


def apply_overrides(
    rules: list[Rule], general: Mapping[str, Setting], overrides: list[Override]
) -> tuple[list[Rule], dict[str, Setting]]:
    """Rules and general settings with the overrides in; later ones win.

    Raises:
        FileProblems: unknown names and wrong units, all at once.
    """
    problems: list[Problem] = []
    changed = dict(general)
    by_id = {rule.id: dict(rule.settings) for rule in rules}
    earlier = {old: rule.id for rule in rules for old in rule.was}
    for override in overrides:
        rule_id, dot, name = override.name.rpartition(".")
        rule_id = earlier.get(rule_id, rule_id)
        holder = by_id.get(rule_id) if dot else changed
        if holder is None or name not in holder:
            known = [*changed, *(f"{key}.{one}" for key, own in by_id.items() for one in own)]
            problems.append(
                override.document.problem(
                    override.path,
                    f"There is no setting '{override.name}'{nearest(override.name, known)}.",
                    key=True,
                )
            )
            continue
        try:
            holder[name] = _overridden(holder[name], override)
        except UnitProblem as problem:
            problems.append(override.document.problem(override.path, str(problem)))
    if problems:
        raise FileProblems(problems)
    return [replace(rule, settings=by_id[rule.id]) for rule in rules], changed


def _overridden(setting: Setting, override: Override) -> Setting:
    value = literal(override.value, setting.dimension, setting.words)
    first = setting.basis.changed_from or setting.text
    return setting.changed(_text(override.value), value, replace(override.basis, changed_from=first))
