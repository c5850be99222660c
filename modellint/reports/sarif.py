"""SARIF 2.1.0 (OASIS Standard with errata 01): findings for code scanning and for viewers of that format.

Open findings have `kind: "open"` and, as clause 3.27.10 demands, `level: "none"`; their own level stands in
the property bag. Accepted findings carry a suppression. Nothing passes silently: an incomplete check has
`executionSuccessful: false` and says why in its notifications.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from modellint.reports.addresses import Uris, capped, left_out, line_of, sentence, uri_of
from modellint.reports.chains import Chains
from modellint.reports.exit_status import meaning
from modellint.reports.sarif_chain import code_flows
from modellint.reports.sarif_places import Places
from modellint.reports.sarif_rules import message, rules
from modellint.text import escaped_json

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
MOST_RESULTS = 25_000
"""Results in one run that code scanning accepts; a longer run is refused there as a whole."""
MOST_FLOWS = 2_000
MOST_NOTES = 200
_MOST_RELATED = 10

Report = Mapping[str, Any]
Finding = Mapping[str, Any]


def render(report: Report, *, uris: Uris | None = None, limit: int = MOST_RESULTS) -> str:
    """The report as a SARIF log with one run.

    Args:
        report: the JSON form of a report.
        uris: file name to path from the repository's root, for files that lie below it.
        limit: most results; the most urgent are kept and the number left out is said in a notification.
    """
    kept, left = capped(report["findings"], limit)
    places = Places(report, uris)
    rule_list, index = rules(report)
    run: dict[str, Any] = {
        "tool": {
            "driver": {
                "name": "modellint",
                "version": sentence(report["tool"]["version"]),
                "semanticVersion": sentence(report["tool"]["version"]),
                "rules": rule_list,
            }
        },
        "automationDetails": {"id": _run_id(report, uris)},
        "invocations": [_invocation(report, uris, left)],
        "columnKind": "unicodeCodePoints",
        "artifacts": [_artifact(file, uris) for file in report["model"]["files"]],
    }
    flows = _Flows(report, places)
    run["results"] = [_result(finding, index, places, flows) for finding in kept]
    run["logicalLocations"] = places.rows
    run["properties"] = {
        "summary": dict(report["summary"]),
        "leftOut": left,
        "modelOriginOfPlaces": "world coordinates of the file, metres",
    }
    return _text(run)


def _text(run: Mapping[str, Any]) -> str:
    """The log with one result, rule or place a line: quick to write, and a change shows in a comparison."""
    rows = [f"{json.dumps(key)}: {_value(value)}" for key, value in run.items()]
    head = f'{{"$schema": {json.dumps(SCHEMA)}, "version": "2.1.0", "runs": [{{\n'
    return head + ",\n".join(rows) + "\n}]}\n"


def _value(value: Any) -> str:
    if isinstance(value, list) and value:
        return "[\n" + ",\n".join(_json(row) for row in value) + "\n]"
    return _json(value)


def _json(value: Any) -> str:
    return escaped_json(json.dumps(value, ensure_ascii=False, allow_nan=False))


class _Flows:
    """Code flows of the chains a finding is about, up to a total."""

    def __init__(self, report: Report, places: Places) -> None:
        self._places, self._chains, self._left = places, Chains(report), MOST_FLOWS

    def of(self, finding: Finding) -> list[dict[str, Any]]:
        paths = self._chains.of(finding)
        if not paths or self._left <= 0:
            return []
        flows = code_flows(finding, paths, self._places)
        self._left -= len(flows)
        return flows


def _run_id(report: Report, uris: Uris | None) -> str:
    """One id per model, so that runs over several models do not replace each other."""
    names = [uri_of(file["name"], uris) for file in report["model"]["files"]] or ["model"]
    return f"modellint/{'+'.join(names)}/"


def _artifact(file: Mapping[str, Any], uris: Uris | None) -> dict[str, Any]:
    size = file["size"]
    return {
        "location": {"uri": uri_of(file["name"], uris)},
        "length": size if isinstance(size, int) and size >= 0 else -1,
        "hashes": {"sha-256": sentence(file["sha256"])},
    }


def _invocation(report: Report, uris: Uris | None, left: int) -> dict[str, Any]:
    status = report["exit"]["status"]
    reasons = [*report["exit"]["reasons"], meaning(report)]
    notes = [_notification("check-incomplete", text, "error") for text in report["incomplete"]]
    if status == 3 and not notes:
        notes = [_notification("check-incomplete", text, "error") for text in report["exit"]["reasons"]]
    for note in report["input_notes"]:
        row = _notification(note["code"], note["text"], "error" if note["serious"] else "warning")
        row["locations"] = [_note_place(note, uris)] if note["file"] else []
        notes.append(row)
    if len(notes) > MOST_NOTES:
        more = len(notes) - MOST_NOTES
        notes[MOST_NOTES:] = [
            _notification(
                "notes-left-out",
                f"{more:,} further notes on the input are left out here; the JSON report has them all.",
                "warning",
            )
        ]
    if left:
        notes.append(_notification("results-left-out", left_out(left), "warning"))
    return {
        "executionSuccessful": status != 3,
        "exitCode": status,
        "exitCodeDescription": sentence("; ".join(reasons)),
        "toolExecutionNotifications": notes,
    }


def _notification(code: str, text: str, level: str) -> dict[str, Any]:
    return {"descriptor": {"id": sentence(code) or "note"}, "level": level, "message": message(text)}


def _note_place(note: Mapping[str, Any], uris: Uris | None) -> dict[str, Any]:
    physical: dict[str, Any] = {"artifactLocation": {"uri": uri_of(note["file"], uris)}}
    if isinstance(note["line"], int) and note["line"] > 0:
        physical["region"] = {"startLine": note["line"]}
    return {"physicalLocation": physical}


def _result(finding: Finding, index: Mapping[str, int], places: Places, flows: _Flows) -> dict[str, Any]:
    failed = finding["outcome"] == "fail"
    text = finding["message"] or finding["title"]
    if not failed and finding["question"]:
        text = f"{text} {finding['question']}"
    result: dict[str, Any] = {
        "ruleId": sentence(finding["rule"]) or "rule",
        "ruleIndex": index[finding["rule"]],
        "kind": "fail" if failed else "open",
        "level": finding["level"] if failed else "none",
        "message": message(text),
        "locations": [_location(finding, places)],
        "partialFingerprints": {
            "primaryLocationLineHash": f"{sentence(finding['id'])}:1",
            "modellintFinding/v1": sentence(finding["id"]),
        },
    }
    related = _related(finding, places)
    if related:
        result["relatedLocations"] = related
    found = flows.of(finding)
    if found:
        result["codeFlows"] = found
    if finding["accepted"] is not None:
        result["suppressions"] = [_suppression(finding["accepted"])]
    result["properties"] = _properties(finding)
    return result


def _location(finding: Finding, places: Places) -> dict[str, Any]:
    """File, line and logical place; line 1 stands for "somewhere in the file" where no line is known."""
    row: dict[str, Any] = {"physicalLocation": places.physical(finding, line_of(finding) or 1)}
    logical = places.of_finding(finding)
    if logical:
        row["logicalLocations"] = logical
    row["message"] = message(finding["place"]["text"] or finding["subject"]["name"] or "the model")
    return row


def _related(finding: Finding, places: Places) -> list[dict[str, Any]]:
    """The other elements of the finding, each with its own line where that is known."""
    lines = finding["extra"].get("lines")
    lines = lines if isinstance(lines, Mapping) else {}
    rows = []
    for number, key in enumerate(finding["elements"][1 : _MOST_RELATED + 1], 1):
        row: dict[str, Any] = {
            "id": number,
            "message": message(key),
            "logicalLocations": [places.element(key, "", finding["place"]["storey"])],
        }
        line = lines.get(key)
        if isinstance(line, int) and line > 0 and not places.several:
            row["physicalLocation"] = places.physical(finding, line)
        rows.append(row)
    return rows


def _suppression(accepted: Mapping[str, Any]) -> dict[str, Any]:
    by, until = accepted.get("by"), accepted.get("until")
    words = [
        str(accepted.get("reason") or "accepted"),
        f"by {by}" if by else "",
        f"until {until}" if until else "",
    ]
    return {
        "kind": "external",
        "status": "accepted",
        "justification": sentence("; ".join(word for word in words if word)),
    }


def _properties(finding: Finding) -> dict[str, Any]:
    place, limits = finding["place"], finding["limits"]
    given = {
        "outcome": finding["outcome"],
        "ownLevel": finding["level"],
        "stage": finding["stage"],
        "due": finding["due"],
        "conditional": finding["conditional"],
        "decides": finding["decides"],
        "group": finding["group"],
        "effect": finding["effect"],
        "nextStep": finding["remedy"],
        "question": finding["question"],
        "measured": finding["measured"],
        "limit": finding["limit"],
        "margin": finding["margin"],
        "basis": finding["basis"],
        "place": place["text"],
        "storey": place["storey"],
        "end": place["end"],
        "lineKnown": line_of(finding) is not None,
    }
    bag: dict[str, Any] = {
        key: sentence(value) if isinstance(value, str) else value
        for key, value in given.items()
        if value not in ("", None)
    }
    if place["x"] is not None:
        bag["position"] = [place["x"], place["y"], place["z"]]
    if len(limits) > 1:
        bag["comparisons"] = len(limits)
    return bag
