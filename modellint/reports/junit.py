"""JUnit XML: one suite per check, one test case per rule, without times or dates.

A rule with a due fail that nobody accepted is a `failure`. A rule that is open only, does not apply or is not
due yet is `skipped` and says which: an open alone does not end a check in 1, so it must not turn a build red,
unless the check was asked to count open as fail; then it is an `error`. A check that is incomplete has one
more test case with an `error`.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterable, Mapping
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


def render(report: Report, *, uris: Uris | None = None) -> str:
    """The report as JUnit XML text.

    Args:
        report: the JSON form of a report.
        uris: file name to path from the repository's root, for files that lie below it.
    """
    suite = ET.Element("testsuite", name=_suite_name(report, uris))
    _properties(suite, report)
    by_rule = _by_rule(report)
    for row in report["rules"]:
        _case(suite, row, by_rule.pop(row["rule"], []), report, uris)
    for rule, findings in by_rule.items():
        row = {"rule": rule, "group": findings[0]["rule_group"], "title": findings[0]["title"],
               "stage": findings[0]["stage"], "pass": 0, "fail": 0, "open": 0, "notApplicable": 0}
        _case(suite, row, findings, report, uris)
    if report["exit"]["status"] == 3:
        _incomplete(suite, report)
    _count(suite)
    whole = ET.Element("testsuites", {"name": "modellint", **{key: suite.attrib[key] for key in
                                                              ("tests", "failures", "errors")}})
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


def _case(suite: ET.Element, row: Mapping[str, Any], findings: list[Finding], report: Report,
          uris: Uris | None) -> None:
    case = ET.SubElement(suite, "testcase", classname=sentence(row["group"]) or "rules",
                         name=sentence(row["rule"]) or "rule")
    kinds: dict[str, list[Finding]] = {}
    for finding in findings:
        kinds.setdefault(standing(finding), []).append(finding)
    failed, opened = kinds.get("fail", []), kinds.get("open", [])
    if failed:
        _told(case, "failure", failed[0]["level"], f"{row['title']}: {_places(failed)}", [*failed, *opened],
              report, uris)
    elif opened and report["exit"]["open_is_fail"]:
        _told(case, "error", "open", f"open: {row['title']}: {_places(opened)}", opened, report, uris)
    elif opened:
        _told(case, "skipped", "open", f"open: cannot be told at {_places(opened)}", opened, report, uris)
    elif "later" in kinds:
        _told(case, "skipped", "later", f"later: not due before stage {row['stage']}, {_places(kinds['later'])}",
              kinds["later"], report, uris)
    elif not row["pass"] and not findings:
        ET.SubElement(case, "skipped", message="not applicable: the model holds nothing that this rule is about",
                      type="notApplicable")
    if "accepted" in kinds:
        text = "\n".join(["Accepted:", *_lines(kinds["accepted"], report, uris)])
        ET.SubElement(case, "system-out").text = text


def _told(case: ET.Element, kind: str, word: str, message: str, findings: list[Finding], report: Report,
          uris: Uris | None) -> None:
    entry = ET.SubElement(case, kind, message=sentence(message), type=sentence(word))
    entry.text = "\n".join(["", *_lines(findings, report, uris), ""])


def _lines(findings: list[Finding], report: Report, uris: Uris | None) -> list[str]:
    lines = []
    for finding in findings[:MOST_PLACES]:
        text = finding["message"] or finding["title"]
        line = line_of(finding)
        where = path_of(file_of(report, finding), uris) + (f":{line}" if line else "")
        lines.append(f"- {finding['outcome']} ({finding['level']}): {sentence(text)} [{where}]")
        lines += [f"    {fact}" for fact in basis_and_limits(finding)]
        step = ("Question", "question") if finding["outcome"] == "open" else ("Next step", "remedy")
        lines += [f"    {label}: {sentence(finding[key])}" for label, key in (step, ("Decides", "decides"))
                  if finding[key]]
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
