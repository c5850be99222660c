"""Rules as text: the list by group, and one rule explained."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from modellint.reports.lines import STAGE_WORDS, Lines


def render_list(rules: Iterable[Any], *, colour: bool = False, width: int = 80) -> str:
    """All rules by group: id, title, level and stage.

    Args:
        rules: `rulebook.rule.Rule` objects in the order to print.
        colour: repeat headings by colour.
        width: columns of the terminal.
    """
    page = Lines(width, colour)
    group = None
    total = 0
    for rule in rules:
        if rule.group != group:
            group = rule.group
            page.heading(group)
        page.text(rule.id, 2, "heading")
        page.text(f"{rule.title} ({rule.level}; settle it {STAGE_WORDS.get(rule.stage, rule.stage)})", 6)
        total += 1
    page.blank()
    page.text(f"Rules: {total}. One in full: modellint rules ID", 0)
    return page.end()


def render_rule(rule: Any, general: Mapping[str, Any], *, colour: bool = False, width: int = 80) -> str:
    """One rule in full: what it asks, why, its limits with their basis, and where it is known to be fooled.

    Args:
        rule: a `rulebook.rule.Rule`.
        general: general settings by name, of which those are shown that the rule uses.
        colour: repeat headings by colour.
        width: columns of the terminal.
    """
    from modellint.rulebook.rule import uses

    page = Lines(width, colour)
    page.text(rule.id, 0, "heading")
    page.text(rule.title, 0)
    page.blank()
    each = f", once for each of its {rule.each.replace('_', ' ')}" if rule.each else ""
    rows = (("Group", rule.group), ("Asked of", f"every {rule.subject.replace('_', ' ')}{each}"),
            ("If none", {"notApplicable": "not applicable"}.get(rule.if_none, rule.if_none)),
            ("Level", rule.level), ("Settle it", STAGE_WORDS.get(rule.stage, rule.stage)),
            ("Decides", rule.decides), ("Effect", rule.effect), ("Next step", rule.remedy),
            ("Says", rule.message), ("Asks", rule.ask), ("Was", ", ".join(rule.was)))
    for label, text in rows:
        page.item(label, text, 0)
    read: list[str] = []
    named = list(rule.settings)
    for operands, settings, sets in (uses(rule.when), uses(rule.expect)):
        read += [*(operand.measure for operand in operands), *sets]
        named += settings
    page.item("Reads", ", ".join(dict.fromkeys(name.replace("_", " ") for name in read)), 0)
    limits = {name: rule.settings.get(name) or general.get(name) for name in named}
    if limits:
        page.heading("Limits")
    for name, setting in limits.items():
        if setting is not None:
            page.item("*", f"{name}: {setting.text}; {setting.basis.words()}", 2, 2)
            page.text(setting.description, 4) if setting.description else None
    if rule.traps:
        page.heading("Where it is known to be fooled")
    for trap in rule.traps:
        page.item("*", trap, 2, 2)
    return page.end()
