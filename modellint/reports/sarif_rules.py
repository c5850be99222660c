"""Rules and messages of a SARIF log."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.reports.addresses import sentence
from modellint.reports.lines import STAGE_WORDS
from modellint.text import clean, for_markdown

_MOST = 1000  # code scanning cuts descriptions at 1,024 characters
_LEVELS = ("note", "warning", "error")
Finding = Mapping[str, Any]


def message(text: object) -> dict[str, str]:
    """A message object whose text is plain: no placeholders and no embedded links (SARIF 3.11.5, 3.11.6)."""
    shown = sentence(text) or "no text"
    return {"text": shown.replace("{", "{{").replace("}", "}}").replace("](", "] (")}


def rules(report: Mapping[str, Any]) -> tuple[list[dict[str, Any]], dict[str, int]]:
    """Rule descriptors in the report's order, and the index of each rule id."""
    first: dict[str, Finding] = {}
    levels: dict[str, int] = {}
    for finding in report["findings"]:
        rule = finding["rule"]
        first.setdefault(rule, finding)
        levels[rule] = max(levels.get(rule, 0), _LEVELS.index(finding["level"]))
    known = {row["rule"]: (row["group"], row["title"], row["stage"]) for row in report["rules"]}
    for rule, finding in first.items():
        known.setdefault(rule, (finding["rule_group"], finding["title"], finding["stage"]))
    rows = [_descriptor(rule, words, first.get(rule), levels.get(rule, 1)) for rule, words in known.items()]
    return rows, {rule: number for number, rule in enumerate(known)}


def _descriptor(
    rule: str, words: tuple[str, str, str], finding: Finding | None, level: int
) -> dict[str, Any]:
    group, title, stage = words
    rule_id = sentence(rule) or "rule"
    when = STAGE_WORDS.get(stage, stage)
    full = f"{title.rstrip('.')}. Cheapest to put right {when}." if when else f"{title.rstrip('.')}."
    facts = _facts(finding)
    if finding is not None and finding["effect"]:
        full = f"{full} {finding['effect']}"
    plain = [f"{label}: {clean(text, _MOST)}" for label, text in facts] + [
        f"modellint rules {rule_id} explains this rule."
    ]
    marked = [f"**{label}:** {for_markdown(text, _MOST)}" for label, text in facts]
    marked.append(f"`modellint rules {rule_id.replace('`', '')}` explains this rule.")
    return {
        "id": rule_id,
        "shortDescription": {"text": clean(title, _MOST) or rule_id},
        "fullDescription": {"text": clean(full, _MOST)},
        "help": {"text": "\n".join(plain), "markdown": "\n\n".join(marked)},
        "defaultConfiguration": {"level": _LEVELS[level]},
        "properties": {"tags": sorted({sentence(word) for word in (group, stage) if word})},
    }


def _facts(finding: Finding | None) -> list[tuple[str, str]]:
    if finding is None:
        return []
    basis = next((limit["basis"]["text"] for limit in finding["limits"] if limit["basis"]), "")
    rows = (
        ("Effect", finding["effect"]),
        ("Next step", finding["remedy"]),
        ("Basis", basis),
        ("Decides", finding["decides"]),
    )
    return [(label, str(text)) for label, text in rows if text]
