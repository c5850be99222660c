"""Where a finding stands in the files that were read, and which findings a writer with a limit keeps."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from urllib.parse import quote

from modellint.text import clean

Finding = Mapping[str, Any]
Uris = Mapping[str, str]
WRITTEN_BY = "written by modellint"
SENTENCE = 1200
_PATH = 1000
_URGENCY = {"fail": 0, "open": 1}
_LEVELS = {"error": 0, "warning": 1, "note": 2}


def sentence(text: object, limit: int = SENTENCE) -> str:
    """One clean line of running text; numbers and None as text too."""
    return clean("" if text is None else str(text), limit)


def file_of(report: Mapping[str, Any], finding: Finding | None = None) -> str:
    """Name of the model file that holds the finding's host; that of the first file if unknown."""
    stated = finding["extra"].get("file") if finding else None
    if stated:
        return str(stated)
    files = report["model"]["files"]
    return str(files[0]["name"]) if files else ""


def uri_of(name: str, uris: Uris | None = None) -> str:
    """Relative URI reference of a file, percent-encoded (RFC 3986).

    Args:
        name: file name as in the report.
        uris: file name to path from the repository's root, with forward slashes, where it is known.
    """
    return quote(clean((uris or {}).get(name, name), _PATH) or "model", safe="/")


def path_of(name: str, uris: Uris | None = None) -> str:
    """The same as plain text for formats whose paths are not URIs."""
    return clean((uris or {}).get(name, name), _PATH) or "model"


def line_of(finding: Finding) -> int | None:
    """Line in the STEP text, from 1, of the host, else of the first element with one; None without any."""
    lines = finding["extra"].get("lines")
    if not isinstance(lines, Mapping):
        return None
    known = (lines.get(key) for key in finding["elements"])
    return next((line for line in known if isinstance(line, int) and line > 0), None)


def standing(finding: Finding) -> str:
    """What the finding counts as now: `accepted`, `later` (not due yet), else its outcome."""
    if finding["accepted"] is not None:
        return "accepted"
    return str(finding["outcome"]) if finding["due"] else "later"


def urgency(finding: Finding) -> tuple[bool, bool, int, int]:
    """Sort key: what stands before what is accepted or later, fails before open, then by level."""
    return (
        finding["accepted"] is not None,
        not finding["due"],
        _URGENCY.get(finding["outcome"], 9),
        _LEVELS.get(finding["level"], 9),
    )


def capped(findings: Iterable[Finding], limit: int) -> tuple[list[Finding], int]:
    """The most urgent findings in order, and the number left out."""
    ordered = sorted(findings, key=urgency)
    return ordered[:limit], max(0, len(ordered) - limit)


def left_out(number: int) -> str:
    """The sentence that says how many findings a writer left out."""
    noun, verb = ("finding", "is") if number == 1 else ("findings", "are")
    return f"{number:,} further {noun} {verb} left out here; the JSON report has them all."


def basis_and_limits(finding: Finding) -> list[str]:
    """Measured, limit, margin and basis of each comparison, one clean line each."""
    rows = []
    for limit in finding["limits"]:
        margin = f"; {limit['margin']}" if limit["margin"] else ""
        basis = f" [{limit['basis']['text']}]" if limit["basis"] else ""
        rows.append(
            sentence(
                f"{limit['measured']} ({str(limit['measure']).replace('_', ' ')}); limit "
                f"{limit['comparison']} {limit['limit']}{margin}{basis}"
            )
        )
    return rows
