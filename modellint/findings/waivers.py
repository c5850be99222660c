"""Waivers: a person accepts a fail or an open, with a reason and a last day, for exactly what was judged."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from modellint.findings.finding import Finding
from modellint.ifc.model import Note


@dataclass(frozen=True)
class Waiver:
    """A fail or open that a person accepts; it dies when `state` no longer fits or `until` has passed.

    Attributes:
        id, state: of the finding as it was accepted.
        on, until: days as YYYY-MM-DD, "" if not given; it still holds on the last day.
        rule: rule id, for the reader; "" if not given.
        file, line: where it is written.
    """

    id: str
    state: str
    by: str
    reason: str
    on: str = ""
    until: str = ""
    rule: str = ""
    line: int = 0
    file: str = ""


def apply_waivers(findings: Sequence[Finding], waivers: Iterable[Waiver], today: str) -> tuple[list[Note], bool]:
    """Mark accepted findings; say which waivers no longer hold.

    Args:
        findings: their `accepted` is set where a waiver holds.
        waivers: as read from the project.
        today: YYYY-MM-DD; "" if the day is not known, when waivers with a last day do not hold.

    Returns:
        Notes on waivers that do not hold, in order of writing, and whether a day was looked at.
    """
    by_id: dict[str, list[Finding]] = {}
    for finding in findings:
        by_id.setdefault(finding.id, []).append(finding)
    notes: list[Note] = []
    dated = False
    for waiver in waivers:
        dated = dated or bool(waiver.until)
        found = by_id.get(waiver.id, [])
        code, text = _why_not(waiver, found, today)
        if code:
            place = found[0].elements[0] if found and found[0].elements else ""
            notes.append(Note(code, text, waiver.file, waiver.line or None, place))
            continue
        for finding in found:
            if finding.state == waiver.state:
                finding.accepted = {"by": waiver.by, "reason": waiver.reason, "on": waiver.on, "until": waiver.until}
    return notes, dated


def _why_not(waiver: Waiver, found: Sequence[Finding], today: str) -> tuple[str, str]:
    """Code and sentence of why a waiver does not hold; both "" if it does."""
    said = f"The waiver of {waiver.by} for finding {waiver.id}"
    if not found:
        about = f" of rule {waiver.rule}" if waiver.rule else ""
        return "waiver-unmatched", (
            f"{said}{about} matches nothing: what it accepts is no longer found, or its parts have other "
            "GlobalIds (compare the two revisions)."
        )
    about = f" ({found[0].rule}, {found[0].place.text or found[0].subject_name})"
    if waiver.rule and waiver.rule != found[0].rule:
        return "waiver-other-rule", f"{said}{about} names the rule {waiver.rule}; it does not hold."
    if all(finding.state != waiver.state for finding in found):
        return "waiver-part-changed", (
            f"{said}{about} does not hold: it was accepted, but a part it rests on has changed since."
        )
    if waiver.until and (not today or date.fromisoformat(today) > date.fromisoformat(waiver.until)):
        return "waiver-expired", f"{said}{about} ended on {waiver.until}; it no longer holds."
    return "", ""
