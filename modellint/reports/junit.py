"""JUnit XML: one suite per check, one test case per rule, without times or dates.

A rule with a due fail that nobody accepted is a `failure`. A rule that is open only, does not apply or is not
due yet is `skipped` and says which: an open alone does not end a check in 1, so it must not turn a build red,
unless the check was asked to count open as fail; then it is an `error`. A check that is incomplete has one
more test case with an `error`.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import modellint
from modellint.reports.addresses import (
    WRITTEN_BY,
    Uris,
    basis_and_limits,
    file_of,
    line_of,
    path_of,
    sentence,
    standing,
    urgency,
)

MOST_PLACES = 100
"""Places listed for one rule; the rest is counted."""

Report = Mapping[str, Any]
Finding = Mapping[str, Any]
Where = Callable[[Finding], str]


def render(report: Report, *, uris: Uris | None = None) -> str:
    """The report as JUnit XML text.

    Args:
        report: the JSON form of a report.
        uris: file name to path from the repository's root, for files that lie below it.
    """
    suite = ET.Element("testsuite", name=_suite_name(report, uris))
    _properties(suite, report)

    def where(finding: Finding) -> str:
        line = line_of(finding)
        return path_of(file_of(report, finding), uris) + (f":{line}" if line else "")

    by_rule, open_is_fail = _by_rule(report), bool(report["exit"]["open_is_fail"])
    for row in report["rules"]:
        _case(suite, row, by_rule.pop(row["rule"], []), open_is_fail, where)
    for rule, findings in by_rule.items():
        lead = findings[0]
        unlisted = {"rule": rule, "group": lead["rule_group"], "title": lead["title"], "stage": lead["stage"]}
        _case(suite, {**unlisted, "pass": 0}, findings, open_is_fail, where)
    if report["exit"]["status"] == 3:
        _incomplete(suite, report)
    _count(suite)
    whole = ET.Element(
        "testsuites",
        {"name": "modellint", **{key: suite.attrib[key] for key in ("tests", "failures", "errors")}},
    )
    whole.append(suite)
    ET.indent(whole)
    head = f'<?xml version="1.0" encoding="UTF-8"?>\n<!-- {WRITTEN_BY} {modellint.__version__} -->\n'
    return head + ET.tostring(whole, encoding="unicode") + "\n"


def _suite_name(report: Report, uris: Uris | None) -> str:
    return " + ".join(path_of(file["name"], uris) for file in report["model"]["files"]) or "model"


def _properties(suite: ET.Element, report: Report) -> None:
    rows = ET.SubElement(suite, "properties")
    for number, file in enumerate(report["model"]["files"]):
        ET.SubElement(rows, "property", name=f"sha256.{number}", value=sentence(file["sha256"]) or "unknown")
    for name, value in report["summary"].items():
        ET.SubElement(rows, "property", name=f"summary.{sentence(name)}", value=str(value))


def _by_rule(report: Report) -> dict[str, list[Finding]]:
    groups: dict[str, list[Finding]] = {}
    for finding in sorted(report["findings"], key=urgency):
        groups.setdefault(finding["rule"], []).append(finding)
    return groups


def _case(
    suite: ET.Element, row: Mapping[str, Any], findings: list[Finding], open_is_fail: bool, where: Where
) -> None:
    names = {"classname": sentence(row["group"]) or "rules", "name": sentence(row["rule"]) or "rule"}
    case = ET.SubElement(suite, "testcase", names)
    kinds: dict[str, list[Finding]] = {}
    for finding in findings:
        kinds.setdefault(standing(finding), []).append(finding)
    failed, opened, later = (kinds.get(kind, []) for kind in ("fail", "open", "later"))
    if failed:
        text = f"{row['title']}: {_places(failed)}"
        _told(case, "failure", text, [*failed, *opened], where, word=failed[0]["level"])
    elif opened:
        tag = "error" if open_is_fail else "skipped"
        _told(case, tag, f"open: cannot be told at {_places(opened)}", opened, where, word="open")
    elif later:
        text = f"later: due at stage {row['stage']}, {_places(later)}"
        _told(case, "skipped", text, later, where, word="later")
    elif not row["pass"] and not findings:
        text = "not applicable: the model holds nothing that this rule is about"
        ET.SubElement(case, "skipped", message=text, type="notApplicable")
    if "accepted" in kinds:
        lines = ["Accepted:", *_lines(kinds["accepted"], where)]
        ET.SubElement(case, "system-out").text = "\n".join(lines)


def _told(
    case: ET.Element, kind: str, message: str, findings: list[Finding], where: Where, *, word: str
) -> None:
    entry = ET.SubElement(case, kind, message=sentence(message), type=sentence(word))
    entry.text = "\n".join(["", *_lines(findings, where), ""])


def _lines(findings: list[Finding], where: Where) -> list[str]:
    lines = []
    for finding in findings[:MOST_PLACES]:
        text = finding["message"] or finding["title"]
        lines.append(f"- {finding['outcome']} ({finding['level']}): {sentence(text)} [{where(finding)}]")
        lines += [f"    {fact}" for fact in basis_and_limits(finding)]
        step = ("Question", "question") if finding["outcome"] == "open" else ("Next step", "remedy")
        lines += [
            f"    {label}: {sentence(finding[key])}"
            for label, key in (step, ("Decides", "decides"))
            if finding[key]
        ]
        if finding["accepted"]:
            lines.append(f"    Accepted: {sentence(finding['accepted'].get('reason'))}")
    if len(findings) > MOST_PLACES:
        lines.append(f"- and {len(findings) - MOST_PLACES:,} more, all in the JSON report")
    return lines


def _places(findings: list[Finding]) -> str:
    return "1 place" if len(findings) == 1 else f"{len(findings):,} places"


def _incomplete(suite: ET.Element, report: Report) -> None:
    case = ET.SubElement(suite, "testcase", classname="check", name="check-complete")
    reasons = [sentence(reason) for reason in (report["incomplete"] or report["exit"]["reasons"])]
    entry = ET.SubElement(case, "error", message="the check is incomplete", type="incomplete")
    entry.text = "\n".join(["", *(f"- {reason}" for reason in reasons), ""])


def _count(suite: ET.Element) -> None:
    cases: Iterable[ET.Element] = suite.findall("testcase")
    suite.set("tests", str(len(list(cases))))
    for attribute, kind in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        suite.set(attribute, str(len(suite.findall(f"testcase/{kind}"))))
