"""A baseline: what an earlier report already held does not count; only new findings and more open ones do."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from modellint.errors import UsageProblem
from modellint.reports.exit_status import NEVER, exit_status
from modellint.text import clean

MOST_BYTES = 512 * 1024 * 1024


def read_report(path: Path) -> dict[str, Any]:
    """A JSON report that an earlier check, or comparison, wrote.

    Raises:
        UsageProblem: the file cannot be read or is no such report.
    """
    name = clean(str(path))
    try:
        if path.stat().st_size > MOST_BYTES:
            raise UsageProblem(f"{name} is too large for a report.")
        made = json.loads(path.read_bytes())
    except OSError as error:
        raise UsageProblem(f"{name} cannot be read ({error.strerror or 'error'}).") from None
    except (ValueError, RecursionError):
        raise UsageProblem(f"{name} is not a JSON report of modellint.") from None
    report = made.get("report", made) if isinstance(made, dict) else None
    findings = report.get("findings") if isinstance(report, dict) else None
    wanted = {"id", "outcome", "due", "accepted"}
    if not isinstance(findings, list) or not all(isinstance(row, dict) and wanted <= set(row) for row in findings):
        raise UsageProblem(f"{name} is not a JSON report of modellint.")
    return dict(report) if isinstance(report, dict) else {}


def apply_baseline(report: dict[str, Any], baseline: Mapping[str, Any], name: str) -> None:
    """Mark what the baseline held, and count the exit status again over what is new.

    A finding is known if the baseline has its id with the same outcome, or has it as a fail and it is open now. The
    number of open findings that are due and not accepted may not grow either.

    Args:
        report: a finished report; its findings get `extra.known`, and it a `baseline`.
        baseline: an earlier report.
        name: the baseline's file name.
    """
    known = {row["id"]: row["outcome"] for row in baseline["findings"]}
    new = []
    for row in report["findings"]:
        is_known = known.get(row["id"]) in {row["outcome"], "fail"}
        row["extra"]["known"] = is_known
        if not is_known:
            new.append(row)
    before, now = _open(baseline), _open(report)
    end = report["exit"]
    status, reasons = exit_status({**report, "findings": new}, fail_on=end["fail_on"], open_is_fail=end["open_is_fail"])
    reasons = [text.replace("due finding", "new due finding") for text in reasons]
    if now > before and end["fail_on"] != NEVER:
        reasons.append(f"{now} findings are open, {before} in the baseline; the number may not grow.")
        status = status or 1
    ids = {row["id"] for row in report["findings"]}
    report["baseline"] = {"file": name, "known": len(report["findings"]) - len(new), "new": len(new),
                          "gone": sum(row["id"] not in ids for row in baseline["findings"]),
                          "open_before": before, "open_now": now}
    report["exit"] = {**end, "status": status, "reasons": reasons}


def _open(report: Mapping[str, Any]) -> int:
    return sum(row["outcome"] == "open" and bool(row["due"]) and row["accepted"] is None for row in report["findings"])
