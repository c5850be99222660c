"""Rule files to rules: validated, resolved, every error at once with file, line and column."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from modellint.errors import FileProblems, UsageProblem
from modellint.findings.finding import DECIDERS, LEVELS, STAGES
from modellint.rulebook.conditions import Resolver
from modellint.rulebook.rule import Condition, Operand, Rule, Setting, uses
from modellint.rulebook.schema import rule_schema, schema_problems
from modellint.rulebook.settings import load_settings, make_setting
from modellint.rulebook.shipped import rules_folder
from modellint.rulebook.texts import SHORT
from modellint.rulebook.vocabulary import IF_NONE, REQUIRED, RULE_GROUPS, RULE_KEYS, Registry, fits, nearest
from modellint.rulebook.yaml_text import Document, Problem, read_yaml

TEMPLATES = ("message", "ask", "effect", "remedy")
_CHOICES: dict[str, tuple[str, ...]] = {
    "group": RULE_GROUPS,
    "level": LEVELS,
    "stage": STAGES,
    "decides": DECIDERS,
    "if_none": IF_NONE,
}
_BRACES = re.compile(r"\{([^{}]*)\}")


@dataclass(frozen=True)
class RuleBook:
    """Rules in order of group and id, and the general settings they may use."""

    rules: tuple[Rule, ...]
    settings: dict[str, Setting]


def shipped_settings() -> dict[str, Setting]:
    """General settings of rules/settings.yaml."""
    return load_settings(rules_folder() / "settings.yaml")


def rule_files(folder: Path) -> list[Path]:
    """Rule files below a folder: those of the shipped group folders, else every *.yaml, sorted."""
    if (folder / "settings.yaml").is_file():
        return sorted(file for group in RULE_GROUPS for file in (folder / group).glob("*.yaml"))
    return sorted(folder.rglob("*.yaml"))


def load_rules(
    folders: Iterable[Path],
    registry: Registry,
    general: Mapping[str, Setting] | None = None,
    *,
    validate: bool | None = None,
) -> list[Rule]:
    """Load all rules below some folders (or single files).

    Args:
        general: general settings; the shipped ones if None.
        validate: check against the JSON Schema; by default everything but the shipped folder. Names, kinds
            and units are checked in any case.

    Raises:
        FileProblems: everything that is wrong in all the files.
        UsageProblem: a folder does not exist.
    """
    general = shipped_settings() if general is None else general
    problems: list[Problem] = []
    rules: list[Rule] = []
    schema: dict[str, Any] | None = None
    for folder in folders:
        if not folder.exists():
            raise UsageProblem(f"The rule folder {folder} does not exist.")
        own = not (folder / "settings.yaml").is_file()
        for file in [folder] if folder.is_file() else rule_files(folder):
            try:
                document = read_yaml(file)
            except FileProblems as error:
                problems += error.problems
                continue
            if own if validate is None else validate:
                schema = schema or rule_schema(registry)
                wrong = schema_problems(document, schema)
            else:
                wrong = []
            rule, more = read_rule(document, registry, general, stem=file.stem, shipped=not own)
            problems += _merged(wrong, more)
            rules += [rule] if rule else []
    problems += _twice(rules)
    if problems:
        raise FileProblems(problems)
    return sorted(rules, key=lambda rule: (RULE_GROUPS.index(rule.group), rule.id))


def _merged(wrong: list[Problem], more: list[Problem]) -> list[Problem]:
    """Schema problems, and of the second pass those at places the schema did not complain about."""
    places = {row[:3] for row in wrong}
    return [*wrong, *(row for row in dict.fromkeys(more) if row[:3] not in places)]


def _twice(rules: list[Rule]) -> list[Problem]:
    seen: dict[str, Rule] = {}
    problems = []
    for rule in rules:
        for name in (rule.id, *rule.was):
            if name in seen and seen[name] is not rule:
                problems.append((rule.source, 1, 1, f"The id '{name}' is taken by {seen[name].source}."))
            seen.setdefault(name, rule)
    return problems


def read_rule(
    document: Document,
    registry: Registry,
    general: Mapping[str, Setting],
    *,
    stem: str = "",
    shipped: bool = False,
) -> tuple[Rule | None, list[Problem]]:
    """One rule from its document, with all problems that the second pass finds."""
    data = document.data
    if not isinstance(data, dict):
        return None, [document.problem((), "A rule file is a mapping with id, title, subject, expect …")]
    own = data.get("settings", {})
    resolver = Resolver(document, registry, own if isinstance(own, dict) else {}, general)
    _check_words(data, document, stem, resolver)
    subject = _subject(data, resolver)
    kinds: tuple[str, ...] = (subject,)
    gives = ""
    if "each" in data:
        found = resolver.set_of(data["each"], ("each",), kinds)
        gives = found[1] if found else ""
        kinds = (subject, gives)
    when = resolver.condition(data["when"], ("when",), kinds) if "when" in data else None
    expect = resolver.condition(data["expect"], ("expect",), kinds) if "expect" in data else None
    settings = _own_settings(resolver, bool(expect))
    spoken = _check_templates(data, resolver, when, expect, settings, kinds) if expect is not None else {}
    if resolver.problems or expect is None:
        return None, resolver.problems
    texts = {
        key: str(data.get(key, ""))
        for key in ("id", "title", "group", "level", "stage", "decides", *TEMPLATES)
    }
    return Rule(
        **texts,
        subject=subject,
        expect=expect,
        when=when,
        if_none=str(data.get("if_none", "notApplicable")),
        each=str(data.get("each", "")),
        each_gives=gives,
        traps=tuple(data.get("traps", ())),
        was=tuple(data.get("was", ())),
        settings=settings,
        spoken=spoken,
        source=document.file,
        shipped=shipped,
    ), []


def _subject(data: dict[str, Any], resolver: Resolver) -> str:
    subject = str(data.get("subject", ""))
    if subject and not fits(subject, resolver.registry.kinds):
        resolver.report(
            ("subject",), f"'{subject}' is not a kind of subject{nearest(subject, resolver.registry.kinds)}."
        )
    return subject


def _check_words(data: dict[str, Any], document: Document, stem: str, resolver: Resolver) -> None:
    for key in data:
        if key not in RULE_KEYS:
            resolver.problems.append(
                document.problem(
                    (key,), f"The key '{key}' is not known here{nearest(key, RULE_KEYS)}.", key=True
                )
            )
    for key in REQUIRED:
        if key not in data:
            resolver.report((), f"The key '{key}' is missing.")
    for key, options in _CHOICES.items():
        if key in data and data[key] not in options:
            resolver.report(
                (key,),
                f"'{data[key]}' is not a word that is allowed here ({', '.join(options)})"
                f"{nearest(str(data[key]), options)}.",
            )
    if stem and "id" in data and data["id"] != stem:
        resolver.report(("id",), f"The id '{data['id']}' must be the name of its file, '{stem}'.")
    if data.get("if_none") == "fail" and data.get("level") == "note":
        resolver.report(("if_none",), "A note cannot fail for want of a subject.")
    for key in ("traps", "was"):
        if key in data and not isinstance(data[key], list):
            resolver.report((key,), "A list is needed here.")


def _own_settings(resolver: Resolver, complete: bool) -> dict[str, Setting]:
    settings: dict[str, Setting] = {}
    for name, entry in resolver.own.items():
        if name not in resolver.used:
            if complete:
                resolver.report(("settings", name), f"The setting '{name}' is not used.")
            continue
        dimension, words = resolver.used[name]
        if not dimension:
            continue
        setting = make_setting(
            name, entry, dimension, words, resolver.document, ("settings", name), resolver.problems
        )
        if setting:
            settings[name] = setting
    return settings


def _check_templates(
    data: dict[str, Any],
    resolver: Resolver,
    when: Condition | None,
    expect: Condition,
    settings: Mapping[str, Setting],
    kinds: tuple[str, ...],
) -> dict[str, Operand]:
    """Check the names in texts; gives the measures that only the texts name."""
    spoken: dict[str, Operand] = {}
    known = {"subject", *settings, *resolver.own}
    compared = {operand.measure for operand in uses(expect)[0]}
    for condition in (when, expect):
        operands, named, sets = uses(condition)
        known |= {operand.measure for operand in operands} | set(named) | set(sets)
        known |= {"item"} if sets or "each" in data else set()
    for key in TEMPLATES:
        text = str(data.get(key, ""))
        for name in _BRACES.findall(text):
            if name.endswith(SHORT) and name.removesuffix(SHORT) in compared:
                continue
            if name in resolver.registry.measures and name not in known:
                operand = resolver.operand({"measure": name}, (key,), kinds)
                spoken |= {name: operand} if operand else {}
            elif name not in known:
                resolver.report(
                    (key,),
                    f"'{{{name}}}' in {key} is neither subject, item, a setting nor a measure "
                    f"of it{nearest(name, known)}.",
                )
        if "{" in (rest := _BRACES.sub("", text)) or "}" in rest:
            resolver.report((key,), f"A brace in {key} is not closed.")
    return spoken
