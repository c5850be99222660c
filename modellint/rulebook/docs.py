"""Pages about rules, written from the rules themselves."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from modellint import units
from modellint.rulebook.rule import Bound, Condition, Count, Join, Not, OverSet, Rule, Setting
from modellint.rulebook.vocabulary import RULE_GROUPS

_COMPARED = {
    "at_least": "is at least",
    "at_most": "is at most",
    "more_than": "is more than",
    "less_than": "is less than",
    "between": "is between",
    "is": "is",
    "is_one_of": "is one of",
    "known": "is known",
}


def condition_words(condition: Condition, rule: Rule, indent: int = 0) -> list[str]:
    """A condition as lines of plain English, nested by indentation (Markdown list)."""
    lead = "  " * indent + "- "
    if isinstance(condition, Join):
        head = "all of:" if condition.word == "all" else "at least one of:"
        return [
            lead + head,
            *(line for part in condition.parts for line in condition_words(part, rule, indent + 1)),
        ]
    if isinstance(condition, Not):
        return [lead + "not:", *condition_words(condition.part, rule, indent + 1)]
    if isinstance(condition, OverSet):
        lines = [lead + f"{condition.word} one of `{condition.set}`"]
        if condition.where:
            lines += ["  " * (indent + 1) + "- where:", *condition_words(condition.where, rule, indent + 2)]
        return [*lines, "  " * (indent + 1) + "- has:", *condition_words(condition.have, rule, indent + 2)]
    name = condition.set if isinstance(condition, Count) else condition.operand.measure
    what = f"number of `{name}`" if isinstance(condition, Count) else f"`{name}`"
    bounds = " and ".join(_bound(bound, rule) for bound in condition.bounds)
    lines = [lead + f"{what} {_COMPARED[condition.operator]} {bounds}".rstrip()]
    if isinstance(condition, Count) and condition.where:
        lines += ["  " * (indent + 1) + "- where:", *condition_words(condition.where, rule, indent + 2)]
    return lines


def _bound(bound: Bound, rule: Rule) -> str:
    if bound.operand:
        return f"`{bound.operand.measure}`"
    if bound.setting:
        setting = rule.settings.get(bound.setting)
        return f"{setting.text} (`{bound.setting}`)" if setting else f"`{bound.setting}`"
    return bound.text


def setting_words(setting: Setting) -> str:
    """A setting with its SI value and basis."""
    number = setting.value
    shown = (
        f" ({units.show(number, setting.dimension)})"
        if isinstance(number, float) and setting.dimension not in {"count", "ratio"}
        else ""
    )
    return f"{setting.text}{shown}: {setting.basis.words()}"


def rule_page(rule: Rule) -> str:
    """The docs page of a rule, Markdown."""
    lines = [
        f"# {rule.title}",
        "",
        f"`{rule.id}` · {rule.group} · {rule.level} · last cheap before **{rule.stage}** · "
        f"decided by the {rule.decides}",
        "",
        "Generated from the rule file; do not edit.",
        "",
    ]
    subject = rule.subject.replace("_", " ")
    each = f", for each of `{rule.each}`" if rule.each else ""
    lines += [
        "## What is checked",
        "",
        f"For every {subject}{each}:",
        "",
        *condition_words(rule.expect, rule),
        "",
    ]
    if rule.when:
        lines += ["It applies when:", "", *condition_words(rule.when, rule), ""]
    lines += [f"A building without any {subject}: {rule.if_none}.", ""]
    if rule.settings:
        lines += ["## Limits", ""]
        lines += [
            f"- `{rule.id}.{name}`: {setting_words(setting)}" for name, setting in rule.settings.items()
        ] + [""]
    sections = (
        ("What a fail says", rule.message),
        ("Why it matters", rule.effect),
        ("What to do", rule.remedy),
        ("What is asked when it cannot be told", rule.ask),
    )
    for head, text in sections:
        lines += [f"## {head}", "", text.strip(), ""] if text else []
    lines += (
        ["## Where it can be fooled", "", *(f"- {trap}" for trap in rule.traps), ""] if rule.traps else []
    )
    lines += [f"Earlier ids: {', '.join(rule.was)}.", ""] if rule.was else []
    return "\n".join(lines)


def index_page(rules: Iterable[Rule]) -> str:
    """The list of all rules, by group."""
    ordered = list(rules)
    lines = ["# Rules", "", "Generated from the rule files; do not edit.", ""]
    for group in RULE_GROUPS:
        own = sorted((rule for rule in ordered if rule.group == group), key=lambda rule: rule.id)
        if own:
            lines += [f"## {group}", "", "| rule | what should be so | level | stage |", "|---|---|---|---|"]
            lines += [
                f"| [{rule.id}]({group}/{rule.id}.md) | {rule.title} | {rule.level} | {rule.stage} |"
                for rule in own
            ] + [""]
    return "\n".join(lines)


def pages(rules: Iterable[Rule]) -> dict[Path, str]:
    """All pages by path below docs/rules."""
    ordered = list(rules)
    found = {Path(rule.group) / f"{rule.id}.md": rule_page(rule) for rule in ordered}
    return {Path("index.md"): index_page(ordered), **found}


def explain(rule: Rule) -> str:
    """The same for a terminal: the page without its Markdown marks."""
    lines = [line for line in rule_page(rule).split("\n") if not line.startswith("Generated from")]
    text = "\n".join(line.lstrip("#").strip() if line.startswith("#") else line for line in lines)
    return text.replace("`", "").replace("**", "").replace("\n\n\n", "\n\n").rstrip() + "\n"


def write_pages(rules: Iterable[Rule], folder: Path) -> None:
    """Write all pages below a folder."""
    for name, text in pages(rules).items():
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, encoding="utf-8")


def generate(docs: Path) -> None:
    """Write docs/rule.schema.json and docs/rules/ anew; `python -m modellint.rulebook.docs` in a checkout."""
    from modellint.rulebook.load import load_rules
    from modellint.rulebook.registry import registry
    from modellint.rulebook.schema import schema_text
    from modellint.rulebook.shipped import rules_folder

    (docs / "rule.schema.json").write_text(schema_text(registry()), encoding="utf-8")
    write_pages(load_rules([rules_folder()], registry()), docs / "rules")


if __name__ == "__main__":
    generate(Path("docs"))
