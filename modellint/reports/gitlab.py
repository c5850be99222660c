"""Code Quality report of GitLab: a JSON array of places in files.

The format knows no "cannot be told" and no accepted finding. Open, accepted and later ones say so in their
first word and are never graver than `minor`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import modellint
from modellint.reports.addresses import (
    WRITTEN_BY,
    Uris,
    basis_and_limits,
    capped,
    file_of,
    left_out,
    line_of,
    path_of,
    sentence,
    standing,
)
from modellint.text import escaped_json

MOST = 10_000
_SEVERITY = {"error": "critical", "warning": "major", "note": "info"}
_FIRST_WORD = {"open": "Open: ", "accepted": "Accepted: ", "later": "Later: "}

Report = Mapping[str, Any]
Finding = Mapping[str, Any]


def render(report: Report, *, uris: Uris | None = None, limit: int = MOST) -> str:
    """The report as Code Quality JSON.

    Args:
        report: the JSON form of a report.
        uris: file name to path from the repository's root, for files that lie below it.
        limit: most findings; the most urgent are kept and one more entry says how many are left out.
    """
    kept, left = capped(report["findings"], limit)
    path = path_of(file_of(report), uris)
    rows = []
    if report["exit"]["status"] == 3:
        reasons = "; ".join(report["incomplete"] or report["exit"]["reasons"])
        rows.append(_row(f"The check is incomplete: {reasons}", "check-complete", "blocker", path))
    used: dict[str, int] = {}
    for finding in kept:
        used[finding["id"]] = used.get(finding["id"], 0) + 1
        rows.append(_finding(report, finding, used[finding["id"]], uris))
    if left:
        rows.append(_row(left_out(left), "findings-left-out", "info", path))
    return escaped_json(json.dumps(rows, ensure_ascii=False, allow_nan=False, indent=1)) + "\n"


def _finding(report: Report, finding: Finding, count: int, uris: Uris | None) -> dict[str, Any]:
    kind = standing(finding)
    text = _FIRST_WORD.get(kind, "") + (finding["message"] or finding["title"])
    severity = _SEVERITY[finding["level"]]
    if kind == "open" and severity != "info":
        severity = "minor"
    if kind in ("accepted", "later"):
        severity = "info"
    # Entries with one fingerprint are shown as one, so a second finding of an id gets its own.
    fingerprint = sentence(finding["id"]) + (f"-{count}" if count > 1 else "")
    keys = ("question", "effect") if finding["outcome"] == "open" else ("effect", "remedy")
    body = [*basis_and_limits(finding), *(sentence(finding[key]) for key in keys if finding[key])]
    if finding["decides"]:
        body.append(f"Decides: {sentence(finding['decides'])}")
    path, line = path_of(file_of(report, finding), uris), line_of(finding) or 1
    return _row(
        text, finding["rule"], severity, path, fingerprint=fingerprint, line=line, body=" / ".join(body)
    )


def _row(
    description: str,
    name: str,
    severity: str,
    path: str,
    *,
    fingerprint: str = "",
    line: int = 1,
    body: str = "",
) -> dict[str, Any]:
    # The body also carries the mark by which a later run knows the file as its own.
    mark = f"{WRITTEN_BY} {modellint.__version__}"
    return {
        "description": sentence(description),
        "check_name": sentence(name) or "rule",
        "content": {"body": f"{body} ({mark})" if body else mark},
        "fingerprint": fingerprint or name,
        "severity": severity,
        "location": {"path": path, "lines": {"begin": line}},
    }
