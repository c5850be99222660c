"""JSON reports for the tests of the writers: a plain one, an attack in every string, and a very large one."""

from __future__ import annotations

import copy
from typing import Any

from modellint.reports.json_report import to_dict
from tests.reports.sample_report import HOSTILE, hostile, sample

# What a build server, a shell, a browser or a spreadsheet could take for its own, besides HOSTILE.
ATTACKS = (
    "\n::error file=x::pwned",
    "\r\n::set-output name=a::b",
    "]]><x>&bogus;",
    "[a](javascript:alert(1))",
    "{0} {1}",
    "](",
    "@everyone",
    "%0A::stop-commands::x",
    "--><script>",
    "../../etc/passwd",
    HOSTILE,
)
GLOBAL_IDS = ("0Xa7Q000000000000000S1", "0Xa7Q000000000000000R1", "0Xa7Q000000000000000P3")


def plain() -> dict[str, Any]:
    """The sample report, with GlobalIds of proper length and STEP lines."""
    report = to_dict(sample())
    for finding in report["findings"]:
        if finding["elements"]:
            finding["elements"] = list(GLOBAL_IDS[: len(finding["elements"]) + 1])
            finding["subject"]["global_id"] = GLOBAL_IDS[0]
            finding["extra"]["lines"] = {key: 700 + number for number, key in enumerate(GLOBAL_IDS)}
    report["findings"][0]["subject"]["key"] = report["paths"][0]["subject_key"]
    return report


def attacked(text: str = HOSTILE) -> dict[str, Any]:
    """A report in which every string that is not a word of the vocabulary is `text`."""
    report = to_dict(hostile())
    kept = {"outcome", "level", "stage", "id", "kind", "state", "verdict", "fail_on", "sha256"}

    def poisoned(value: Any, key: str = "") -> Any:
        if isinstance(value, dict):
            return {name: poisoned(item, name) for name, item in value.items()}
        if isinstance(value, list):
            return [poisoned(item, key) for item in value]
        return text if isinstance(value, str) and key not in kept else value

    for part in ("model", "input_notes", "incomplete", "coverage", "findings", "paths", "rules", "settings"):
        report[part] = poisoned(report[part], part)
    return report


def large(number: int = 30_000) -> dict[str, Any]:
    """A report with so many findings, each of its own id and without a common cause."""
    report = plain()
    model = [finding for finding in report["findings"] if not finding["group"]]
    rows = []
    for count in range(number):
        row = copy.copy(model[count % len(model)])
        row["id"] = f"{count:016x}"
        rows.append(row)
    report["findings"] = rows
    return report
