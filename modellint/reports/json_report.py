"""The JSON report: the plain form of a check, from which every other writer starts.

Its fields are described in docs/report.schema.json and docs/report.md.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from math import isfinite
from typing import TYPE_CHECKING, Any

import modellint
from modellint.findings.finding import STAGES, Basis, Finding, Limit
from modellint.reports.exit_status import exit_status
from modellint.text import escaped_json, storable

if TYPE_CHECKING:  # a finished report is written without numpy
    from modellint.findings.report import Path, Report, RoleCoverage, RuleCount
    from modellint.ifc.model import Note, SourceFile
    from modellint.measures.quantity import Evidence, Missing, Place

FORMAT = 1
_DECIMALS = {"length": 4, "area": 4, "volume": 6, "angle": 5, "slope": 5, "force": 0, "force_per_length": 0,
             "pressure": 1, "temperature": 2, "flow": 7, "count": 0, "ratio": 4}
_SI = {"length": "m", "area": "m2", "volume": "m3", "angle": "rad", "slope": "1", "force": "N",
       "force_per_length": "N/m", "moment": "N m", "pressure": "Pa", "temperature": "K", "flow": "m3/s", "count": "1",
       "ratio": "1"}
_OTHER = 6


def to_dict(report: Report, *, display: str = "metric", due: str | None = None, fail_on: str = "error",
            open_is_fail: bool = False) -> dict[str, Any]:
    """The report as plain dicts, lists, strings, numbers, booleans and None, ready for JSON.

    Args:
        report: the result of a check.
        display: `metric` or `us`, the units in which the sentences of the report were written.
        due: a stage; findings whose stage comes later are not due. None: everything is due.
        fail_on: lowest level of a due fail that gives exit status 1 (see exit_status).
        open_is_fail: a due open counts like a fail.

    Raises:
        ValueError: `due` is no stage or `fail_on` no level.
    """
    if due is not None and due not in STAGES:
        raise ValueError(f"due must be one of {', '.join(STAGES)}, not {due!r}")
    unlocks = _unlocks(report.findings)
    plain: dict[str, Any] = {
        "format": FORMAT,
        "tool": {"name": "modellint", "version": modellint.__version__},
        "model": {"files": [_file(file) for file in report.files],
                  "buildings": _plain(report.buildings),
                  "origin": [_rounded(value, "length") for value in report.origin]},
        "display": display,
        "today": report.today or None,
        "due": due,
        "input_notes": [_note(note) for note in report.notes],
        "incomplete": list(report.incomplete),
        "coverage": [_coverage(row) for row in report.coverage],
        "rules": [_rule(row) for row in report.rules],
        "settings": _plain(report.settings),
        "findings": [_finding(finding, report.origin, due, unlocks) for finding in report.findings],
        "paths": [_path(path) for path in report.paths],
        "estimates": _plain(report.estimates),
    }
    if report.passes:
        plain["passes"] = _plain(report.passes)
    if report.drawings:
        plain["drawings"] = _plain(report.drawings)
    if report.shapes:
        plain["shapes"] = _plain(report.shapes)
    plain = _storable(plain)
    plain["summary"] = _summary(plain, due)
    status, reasons = exit_status(plain, fail_on=fail_on, open_is_fail=open_is_fail)
    plain["exit"] = {"status": status, "reasons": reasons, "fail_on": fail_on, "open_is_fail": open_is_fail}
    return plain


def to_json(plain: dict[str, Any]) -> bytes:
    """The plain form as UTF-8 text: indented by two spaces, keys ordered as by `to_dict`, newline at the end.

    Raises:
        ValueError: a number is not finite (a programming error: `to_dict` never gives one).
    """
    text = json.dumps(plain, ensure_ascii=False, allow_nan=False, indent=2)
    return (escaped_json(text) + "\n").encode("utf-8")


def _rounded(value: float | None, dimension: str = "") -> float | int | None:
    """The number as it is written: rounded for its dimension, never -0.0; None if it is not finite."""
    if value is None or not isfinite(value):
        return None
    decimals = _DECIMALS.get(dimension, _OTHER)
    return round(value) if decimals == 0 else round(float(value), decimals) + 0.0


def _plain(value: Any) -> Any:
    """Anything as JSON data: tuples become lists, sets sorted lists, numbers finite and rounded."""
    if value is None or isinstance(value, (bool, str)):
        return value
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (set, frozenset)):
        return sorted((_plain(item) for item in value), key=str)
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, int):
        return int(value)
    if hasattr(value, "tolist"):
        return _plain(value.tolist())
    if isinstance(value, float):
        return _rounded(value)
    return str(value)


def _storable(value: Any) -> Any:
    """The same data with every string fit for UTF-8."""
    if isinstance(value, str):
        return storable(value)
    if isinstance(value, dict):
        return {storable(key): _storable(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_storable(item) for item in value]
    return value


def _file(file: SourceFile) -> dict[str, Any]:
    return {"name": file.name, "sha256": file.sha256, "schema": file.schema, "length_unit": file.length_unit,
            "length_scale": float(file.length_scale) if isfinite(file.length_scale) else None,
            "size": file.size, "entities": file.entities}


def _note(note: Note) -> dict[str, Any]:
    return {"code": note.code, "text": note.text, "file": note.file, "line": note.line,
            "global_id": note.global_id, "serious": note.serious}


def _coverage(row: RoleCoverage) -> dict[str, Any]:
    return {"role": row.role, "building": row.building, "found": _plain(row.found), "drawn": row.drawn,
            "places": row.places, "complete": row.complete, "ground": row.ground,
            "storeys": _plain(row.storeys)}


def _rule(row: RuleCount) -> dict[str, Any]:
    return {"rule": row.rule, "group": row.group, "title": row.title, "stage": row.stage, "pass": row.passed,
            "fail": row.failed, "open": row.open, "notApplicable": row.not_applicable}


def _is_due(finding: Finding, due: str | None) -> bool:
    """Due, unless its stage comes after the one asked for (an unknown stage is due)."""
    overdue = finding.extra.get("built", {}).get("overdue")
    if due is None or finding.stage not in STAGES or overdue:
        return finding.due
    return finding.due and STAGES.index(finding.stage) <= STAGES.index(due)


def _unlocks(findings: list[Finding]) -> dict[tuple[str, str], list[str]]:
    """Missing fact to the ids of all rules that wait for it, sorted."""
    waiting: dict[tuple[str, str], set[str]] = {}
    for finding in findings:
        for fact in finding.missing:
            waiting.setdefault((fact.quantity, fact.of), set()).add(finding.rule)
    return {fact: sorted(rules) for fact, rules in waiting.items()}


def _finding(finding: Finding, origin: tuple[float, float, float], due: str | None,
             unlocks: dict[tuple[str, str], list[str]]) -> dict[str, Any]:
    limits = [_limit(limit) for limit in finding.limits]
    first = limits[0] if limits else None
    extra = dict(finding.extra)
    lines = extra.pop("lines", {})
    if lines:  # where each part stands in the STEP text, for writers that point into the file
        extra["lines"] = dict(lines)
    return {
        "id": finding.id, "state": finding.state, "rule": finding.rule, "title": finding.title,
        "rule_group": finding.group, "outcome": finding.outcome, "level": finding.level,
        "stage": finding.stage, "due": _is_due(finding, due), "conditional": finding.conditional,
        "accepted": _plain(finding.accepted), "group": finding.share, "decides": finding.decides,
        "subject": {"role": finding.subject_role, "key": finding.subject_key, "name": finding.subject_name,
                    "global_id": finding.elements[0] if finding.elements else "",
                    "storey": finding.place.storey, "end": finding.place.end},
        "item": finding.item_key, "elements": list(finding.elements), "items": list(finding.items),
        "place": _place(finding.place, origin),
        "message": finding.message, "effect": finding.effect, "remedy": finding.remedy,
        "question": finding.question, "missing": [_missing(fact, unlocks) for fact in finding.missing],
        "measured": first["measured"] if first else "",
        "limit": f"{first['comparison']} {first['limit']}".strip() if first else "",
        "margin": first["margin"] if first else "",
        "basis": first["basis"]["text"] if first and first["basis"] else "",
        "limits": limits,
        "evidence": [_evidence(fact, lines) for fact in finding.evidence],
        "extra": _plain(extra),
    }


def _place(place: Place, origin: tuple[float, float, float]) -> dict[str, Any]:
    """The place in the file's own world coordinates: what the reader subtracted is added again."""
    xyz: list[float | None] = [None, None, None]
    if place.point is not None:
        moved = [float(place.point[axis]) + origin[axis] for axis in range(3)]
        if all(isfinite(value) for value in moved):
            xyz = [_rounded(value, "length") for value in moved]
    return {"text": place.text, "x": xyz[0], "y": xyz[1], "z": xyz[2], "storey": place.storey,
            "host": place.host, "end": place.end, "along": _rounded(place.along, "length")}


def _missing(fact: Missing, unlocks: dict[tuple[str, str], list[str]]) -> dict[str, Any]:
    return {"quantity": fact.quantity, "of": fact.of, "hint": fact.hint,
            "unlocks": unlocks[fact.quantity, fact.of]}


def _limit(limit: Limit) -> dict[str, Any]:
    return {"measure": limit.measure, "measured": limit.measured, "comparison": limit.comparison,
            "limit": limit.limit, "margin": limit.margin, "dimension": limit.dimension,
            "unit": _SI.get(limit.dimension, ""), "low": _rounded(limit.low, limit.dimension),
            "high": _rounded(limit.high, limit.dimension),
            "limit_si": _rounded(limit.limit_si, limit.dimension),
            "basis": _basis(limit.basis) if limit.basis else None}


def _basis(basis: Basis) -> dict[str, Any]:
    return {"text": basis.words(), "kind": basis.kind, "source": basis.source, "clause": basis.clause,
            "memory": basis.memory, "origin": basis.origin, "changed_from": basis.changed_from}


def _evidence(fact: Evidence, lines: Mapping[str, int]) -> dict[str, Any]:
    value = fact.value
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        value = _rounded(float(value), fact.dimension)
    return {"what": fact.what, "value": _plain(value), "unit": _SI.get(fact.dimension, ""),
            "rung": fact.rung.word, "global_id": fact.global_id, "line": lines.get(fact.global_id)}


def _path(path: Path) -> dict[str, Any]:
    slots = [{"name": slot.name, "storey": slot.storey, "state": slot.state, "rung": slot.rung,
              "parts": [_named(part) for part in slot.parts], "text": slot.text} for slot in path.slots]
    links = [{"kind": link.kind, "first": _named(link.first), "second": _named(link.second),
              "origin": link.origin, "state": link.state, "gap": _rounded(link.gap, "length"),
              "gap_limit": _rounded(link.gap_limit, "length"), "rung": link.rung, "text": link.text}
             for link in path.links]
    plain = {"kind": path.kind, "subject_key": path.subject_key, "name": path.name, "storey": path.storey,
             "verdict": path.verdict, "text": path.text, "slots": slots, "links": links}
    if path.loads:
        plain["loads"] = [{"link": row.link, "storey": row.storey, "demand": list(row.demand),
                           "capacity": list(row.capacity), "level": row.level, "weakest": row.weakest}
                          for row in path.loads]
    if path.numbers:
        plain["numbers"] = [{"name": row.name, "storey": row.storey, "low": _rounded(row.low, row.dimension),
                             "high": _rounded(row.high, row.dimension), "dimension": row.dimension,
                             "unit": _SI.get(row.dimension, ""), "level": row.level} for row in path.numbers]
    return plain


def _named(part: tuple[str, str]) -> dict[str, str]:
    return {"name": part[0], "global_id": part[1]}


def _summary(plain: dict[str, Any], due: str | None) -> dict[str, int]:
    """Counts: due fails and opens that nobody accepted; passes and not applicable of due rules."""
    standing = [f for f in plain["findings"] if f["due"] and f["accepted"] is None]
    rules = [row for row in plain["rules"] if due is None or row["stage"] not in STAGES
             or STAGES.index(row["stage"]) <= STAGES.index(due)]
    return {"fail": sum(f["outcome"] == "fail" for f in standing),
            "open": sum(f["outcome"] == "open" for f in standing),
            "pass": sum(row["pass"] for row in rules),
            "notApplicable": sum(row["notApplicable"] for row in rules),
            "accepted": sum(f["accepted"] is not None for f in plain["findings"]),
            "later": sum(not f["due"] and f["accepted"] is None for f in plain["findings"])}
