"""What the exit status of a check is, and why, in sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.findings.finding import LEVELS

NEVER = "never"
FAIL_ON = (*LEVELS, NEVER)
# The roles by which a lateral or a soil-gas path is seen at all.
SIGHT = ("shear_wall", "hold_down", "strap", "rod", "collector", "suction_point", "vent_pipe", "vent_fitting",
         "vent_terminal")


def exit_status(report: Mapping[str, Any], *, fail_on: str = "error",
                open_is_fail: bool = False) -> tuple[int, list[str]]:
    """Exit status of a check and the reasons for it, one sentence each.

    Args:
        report: the JSON form of a report; reads `incomplete`, `input_notes`, `coverage` and `findings`.
        fail_on: lowest level of a due fail that counts: `note`, `warning`, `error`, or `never`.
        open_is_fail: a due open counts like a fail of its level.

    Returns:
        0: every due rule got an answer and nothing counts; 1: something counts; 3: the check is incomplete,
        which outranks 1. (2, wrong usage, never comes with a report.)

    Raises:
        ValueError: `fail_on` is none of the words above.
    """
    if fail_on not in FAIL_ON:
        raise ValueError(f"fail_on must be one of {', '.join(FAIL_ON)}, not {fail_on!r}")
    incomplete = _incomplete(report)
    counting = _counting(report, fail_on, open_is_fail)
    if incomplete:
        return 3, incomplete + counting
    if counting:
        return 1, counting
    return 0, []


def _incomplete(report: Mapping[str, Any]) -> list[str]:
    """Why the check is incomplete; [] if it is not."""
    reasons = [*report["incomplete"], *(note["text"] for note in report["input_notes"] if note["serious"])]
    if not reasons and not _sees_a_path(report["coverage"]):
        reasons.append("No shear wall, tie or vent was recognised well enough to judge, so nothing was "
                       "checked that matters.")
    return list(dict.fromkeys(reasons))


def _sees_a_path(coverage: list[dict[str, Any]]) -> bool:
    return any(number > 0 and rung != "guessed" for row in coverage if row["role"] in SIGHT
               for rung, number in row["found"].items())


def _counting(report: Mapping[str, Any], fail_on: str, open_is_fail: bool) -> list[str]:
    """One sentence per outcome that makes the check end in 1."""
    if fail_on == NEVER:
        return []
    outcomes = ("fail", "open") if open_is_fail else ("fail",)
    wanted = LEVELS[LEVELS.index(fail_on):]
    reasons = []
    for outcome in outcomes:
        number = sum(1 for finding in report["findings"]
                     if finding["outcome"] == outcome and finding["level"] in wanted and finding["due"]
                     and finding["accepted"] is None)
        if number:
            noun = "finding" if number == 1 else "findings"
            reasons.append(f"{number} due {noun} at level {' or '.join(wanted)}: {outcome}.")
    return reasons


def meaning(report: Mapping[str, Any]) -> str:
    """What the exit status of a finished report (its `exit`) means, as a phrase."""
    end = report["exit"]
    if end["status"] == 3:
        return "the check is incomplete"
    if end["fail_on"] == NEVER:
        return "fails were asked not to count"
    wanted = LEVELS[LEVELS.index(end["fail_on"]):]
    new = " new" if report.get("baseline") else ""
    subject = f"{'a' if end['status'] == 1 else 'no'}{new} due {' or '.join(wanted)}"
    return f"{subject} fails{' or is open' if end['open_is_fail'] else ''}"
