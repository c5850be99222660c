"""Workflow commands that build servers turn into annotations: `::error file=…,line=…,title=…::message`.

Text from a model is escaped and never stands at the start of a line, where it could be a command itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import modellint
from modellint.reports.addresses import (
    SENTENCE,
    WRITTEN_BY,
    Uris,
    capped,
    file_of,
    left_out,
    line_of,
    path_of,
    standing,
)
from modellint.reports.exit_status import meaning
from modellint.reports.places import shared
from modellint.text import for_ci

MOST = 50
"""Annotations a build server shows for one job; more are dropped there without a word."""
_COMMAND = {"error": "error", "warning": "warning", "note": "notice"}

Report = Mapping[str, Any]
Finding = Mapping[str, Any]


def render(report: Report, *, uris: Uris | None = None, limit: int = MOST) -> str:
    """The report as annotation commands, one a line, and a last line that counts.

    Accepted findings and those not due yet are counted only. Findings that one missing fact causes are one
    annotation.

    Args:
        report: the JSON form of a report.
        uris: file name to path from the repository's root, for files that lie below it.
        limit: most annotations; the last line says how many are left out.
    """
    due = [finding for finding in report["findings"] if standing(finding) in ("fail", "open")]
    groups, alone = shared(due)
    counts = {group[0]["id"]: len(group) for group in groups}
    kept, left = capped([*(group[0] for group in groups), *alone], limit)
    lines = [f"Annotations {WRITTEN_BY} {modellint.__version__}"]
    if report["exit"]["status"] == 3:
        reasons = "; ".join(report["incomplete"] or report["exit"]["reasons"])
        lines.append(
            _command("error", path_of(file_of(report), uris), None, "The check is incomplete", reasons)
        )
    for finding in kept:
        lines.append(_finding(report, finding, counts.get(finding["id"], 1), uris))
    if left:
        lines.append(f"::notice title=modellint::{left_out(left)}")
    return "\n".join([*lines, _last(report)]) + "\n"


def _finding(report: Report, finding: Finding, count: int, uris: Uris | None) -> str:
    kind = _COMMAND[finding["level"]]
    text = finding["message"] or finding["title"]
    if finding["outcome"] == "open":
        if not report["exit"]["open_is_fail"]:
            kind = "notice"
        text = f"Open: {finding['question'] or text}"
    if count > 1:
        text = f"{text} ({count} findings have this one cause.)"
    if finding["remedy"] and finding["outcome"] == "fail":
        text = f"{text} Next step: {finding['remedy']}"
    return _command(
        kind,
        path_of(file_of(report, finding), uris),
        line_of(finding),
        f"{finding['rule']} ({finding['outcome']})",
        text,
    )


def _command(kind: str, path: str, line: int | None, title: str, text: str) -> str:
    where = f"file={for_ci(path, SENTENCE, in_property=True)}" + (f",line={line}" if line else "")
    return f"::{kind} {where},title={for_ci(title, in_property=True)}::{for_ci(text, SENTENCE)}"


def _last(report: Report) -> str:
    counts = report["summary"]
    words = ", ".join(
        f"{counts[key]} {word}"
        for key, word in (
            ("fail", "fail"),
            ("open", "open"),
            ("pass", "pass"),
            ("accepted", "accepted"),
            ("later", "later"),
        )
    )
    return f"modellint: {words}; exit status {report['exit']['status']}: {meaning(report)}."
