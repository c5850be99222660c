"""A Markdown summary under 40 lines, for the page of a build or for a pull request."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import modellint
from modellint.reports.addresses import SENTENCE, WRITTEN_BY, Uris, capped, path_of, standing
from modellint.reports.exit_status import meaning
from modellint.reports.lines import STAGE_WORDS
from modellint.reports.places import shared
from modellint.text import for_markdown

MOST_LINES = 39
_FAILS = 8
_OPENS = 5
_REASONS = 3
_NOTE = 300

Report = Mapping[str, Any]
Finding = Mapping[str, Any]


def render(report: Report, *, uris: Uris | None = None) -> str:
    """The report as CommonMark with one table, at most MOST_LINES lines.

    Args:
        report: the JSON form of a report.
        uris: file name to path from the repository's root, for files that lie below it.
    """
    counts, end = report["summary"], report["exit"]
    names = ", ".join(
        for_markdown(path_of(file["name"], uris), _NOTE) for file in report["model"]["files"][:3]
    )
    lines = [f"<!-- {WRITTEN_BY} {modellint.__version__} -->", f"## Model check: {names or 'no model'}", ""]
    lines += _incomplete(report)
    lines += [
        "| fail | open (cannot tell) | pass | not applicable | accepted | later |",
        "|---|---|---|---|---|---|",
        "| "
        + " | ".join(
            str(counts[key]) for key in ("fail", "open", "pass", "notApplicable", "accepted", "later")
        )
        + " |",
        "",
    ]
    due = [finding for finding in report["findings"] if standing(finding) in ("fail", "open")]
    lines += _fails([finding for finding in due if finding["outcome"] == "fail"])
    lines += _opens([finding for finding in due if finding["outcome"] == "open"])
    lines += [
        f"Exit status {end['status']}: {meaning(report)}.",
        "",
        "This is advice, not a design. The engineer of record, the local code and licensed trades decide.",
    ]
    return "\n".join(lines) + "\n"


def _incomplete(report: Report) -> list[str]:
    if report["exit"]["status"] != 3:
        return []
    reasons = list(dict.fromkeys(report["incomplete"] or report["exit"]["reasons"]))
    lines = ["**The check is incomplete.** What is not listed below was not necessarily seen.", ""]
    lines += [f"- {for_markdown(reason, _NOTE)}" for reason in reasons[:_REASONS]]
    if len(reasons) > _REASONS:
        lines.append(f"- and {len(reasons) - _REASONS} more reasons, in the JSON report")
    return [*lines, ""]


def _fails(findings: list[Finding]) -> list[str]:
    if not findings:
        return []
    kept, left = capped(findings, _FAILS)
    lines = ["### What breaks", ""]
    lines += [
        f"- **{finding['level']}**: {for_markdown(finding['message'] or finding['title'], SENTENCE)}"
        f"{_numbers(finding)} *{for_markdown(_decides(finding))}*"
        for finding in kept
    ]
    return [*lines, *([f"- and {left:,} more, in the full report"] if left else []), ""]


def _opens(findings: list[Finding]) -> list[str]:
    if not findings:
        return []
    groups, alone = shared(findings)
    rows = [*groups, *([finding] for finding in capped(alone, len(alone))[0])]
    lines = ["### What cannot be told", ""]
    for group in rows[:_OPENS]:
        text = group[0]["question"] or group[0]["message"] or group[0]["title"]
        count = f" ({len(group)} findings wait for this)" if len(group) > 1 else ""
        lines.append(f"- {for_markdown(text, SENTENCE)}{count}")
    left = sum(len(group) for group in rows[_OPENS:])
    return [*lines, *([f"- and {left:,} more, in the full report"] if left else []), ""]


def _numbers(finding: Finding) -> str:
    if not finding["limit"]:
        return ""
    basis = f", {finding['basis']}" if finding["basis"] else ""
    text = f"Measured {finding['measured']}, limit {finding['limit']}{basis}."
    return " " + for_markdown(text, _NOTE)


def _decides(finding: Finding) -> str:
    words = (finding["decides"], STAGE_WORDS.get(finding["stage"], finding["stage"]))
    return f"Decides: {', '.join(word for word in words if word)}"
