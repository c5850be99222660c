"""The comparison of two revisions as plain data; its fields are described in docs/compare.schema.json."""

from __future__ import annotations

from collections.abc import Mapping
from math import degrees
from typing import Any

import modellint
from modellint.compare.changes import Change, groups
from modellint.compare.outcomes import CLEARED, NEW, RETURNED, UNCHANGED, Cause, Outcome
from modellint.compare.touched import Downstream, Number
from modellint.findings.report import Report
from modellint.reports.exit_status import exit_status
from modellint.reports.json_report import to_dict as report_dict
from modellint.text import storable
from modellint.units import show

FORMAT = 1
_UNITS = {"length": "m", "force": "N"}
_DIGITS = {"length": 4, "force": 0}


def to_dict(rows: Mapping[str, Any], before: Report, after: Report, request: Mapping[str, Any],
            display: str) -> dict[str, Any]:
    """The comparison as dicts, lists, strings, numbers, booleans and None.

    Args:
        rows: `matching`, `elements`, `changes`, `places`, `outcomes`, `causes`, `numbers`, `downstream`,
            `reasons_gone` and `tell`, as modellint.compare makes them.
        before, after: the reports of both checks.
        request: `due`, `fail_on`, `open_is_fail` and `before_name` of the command.
        display: `metric` or `us`.
    """
    options = {"display": display, "due": request.get("due"), "fail_on": request.get("fail_on", "error"),
               "open_is_fail": bool(request.get("open_is_fail"))}
    # of the earlier revision only findings and counts are said, so its paths and pictures need not be written out
    before.paths, before.passes, before.estimates = [], [], []
    plain = (report_dict(before, **options), report_dict(after, **options))
    findings = _findings(rows, plain)
    changes = [_change(change, rows["places"]) for change in rows["changes"]]
    made = {
        "format": FORMAT,
        "tool": {"name": "modellint", "version": modellint.__version__},
        "display": display,
        "today": plain[1]["today"],
        "before": {"name": request.get("before_name", ""), **_side(plain[0])},
        "after": {"name": "", **_side(plain[1])},
        "matching": _matching(rows),
        "changes": changes,
        "change_lines": [{"text": text, "changes": [change.key for change in members]}
                         for text, members in groups(rows["changes"], rows["places"])],
        "findings": findings,
        "numbers": [_number(row, display) for row in rows["numbers"]],
        "downstream": [_downstream(row) for row in rows["downstream"]],
        "reasons_gone": [_reason(row, display) for row in rows["reasons_gone"]],
        "tell": rows["tell"],
        "counts": {status: sum(row["status"] == status for row in findings)
                   for status in (NEW, RETURNED, CLEARED, UNCHANGED)},
    }
    made["exit"] = _exit(made, plain, options)
    ready = ("before", "after", "findings")  # made of reports, which are fit to be written already
    return {**{key: row if key in ready else _storable(row) for key, row in made.items() if key != "exit"},
            "report": plain[1], "exit": made["exit"]}


def _side(plain: dict[str, Any]) -> dict[str, Any]:
    return {"files": plain["model"]["files"], "summary": plain["summary"], "incomplete": plain["incomplete"]}


def _matching(rows: Mapping[str, Any]) -> dict[str, Any]:
    matching = rows["matching"]
    frame = matching.frame
    first, second = rows["elements"]
    return {
        "before": first, "after": second, "matched": len(matching.of), "ids_kept": matching.ids_kept,
        "grounds": matching.grounds(),
        "frame": None if frame is None else {
            "text": frame.text, "same": frame.same, "mirrored": frame.mirrored,
            "turned": round(degrees(frame.angle) % 360, 4), "moved": [_rounded(float(x)) for x in frame.moved_by],
            "share": round(frame.share, 4)},
    }


def _rounded(value: float) -> float:
    return round(value, 4) + 0.0


def _change(change: Change, places: Mapping[str, str]) -> dict[str, Any]:
    return {"key": change.key, "kinds": list(change.kinds), "before": change.before, "after": change.after,
            "name": change.name, "role": change.role, "storey": change.storey,
            "place": places.get(change.key, ""), "text": change.text,
            "moved": None if change.offset is None else [_rounded(float(x)) for x in change.offset]}


def _findings(rows: Mapping[str, Any], plain: tuple[dict[str, Any], dict[str, Any]]) -> list[dict[str, Any]]:
    told = ({row["id"]: row for row in plain[0]["findings"]}, {row["id"]: row for row in plain[1]["findings"]})
    order = (NEW, RETURNED, CLEARED, UNCHANGED)
    return [_finding(row, told, rows["causes"].get(row.now_id, []))
            for row in sorted(rows["outcomes"], key=lambda row: order.index(row.status))]


def _finding(row: Outcome, told: tuple[dict[str, Any], dict[str, Any]], causes: list[Cause]) -> dict[str, Any]:
    old = told[0][row.before.id] if row.before is not None else None
    finding = told[1][row.after.id] if row.after is not None else old
    assert finding is not None
    return {
        "status": row.status, "id": row.now_id, "was": row.was,
        "measured_before": old["measured"] if old is not None else "",
        "causes": [{"change": cause.change.key, "near": cause.near} for cause in causes],
        "finding": finding,
    }


def _number(row: Number, display: str) -> dict[str, Any]:
    digits = _DIGITS.get(row.dimension, 4)
    both = [None if value is None else round(value, digits) + 0.0 for value in (row.before, row.after)]
    said = ["not known" if value is None else show(value, row.dimension, display) for value in (row.before, row.after)]
    return {"end": row.end, "name": row.name, "measure": row.measure, "unit": _UNITS.get(row.dimension, ""),
            "before": both[0], "after": both[1], "text": f"{row.name}: {row.measure} {said[0]}, now {said[1]}"}


def _downstream(row: Downstream) -> dict[str, Any]:
    names: dict[str, int] = {}
    for part in row.others:
        names[part.name] = names.get(part.name, 0) + 1
    others = ", ".join(f"{count} {name}" if count > 1 else name for name, count in names.items())
    return {"kind": row.kind, "name": row.name, "changes": [change.key for change in row.changed],
            "elements": [part.element.global_id for part in row.others],
            "text": f"{row.name}: {len(row.changed)} changed, {len(row.others)} as before ({others})"}


def _reason(row: tuple[Any, float, float, Change], display: str) -> dict[str, Any]:
    end, inset, least, change = row
    return {"end": end.key, "change": change.key, "inset": _rounded(inset), "least": _rounded(least),
            "text": f"{end.name}: the tie stands {show(inset, 'length', display)} from the end, others on this storey "
                    f"{show(least, 'length', display)}. {change.name} beside it is gone; if it was the reason, the "
                    "tie could go back, unless it is built already. The engineer of record decides."}


def _exit(made: dict[str, Any], plain: tuple[dict[str, Any], dict[str, Any]], options: Mapping[str, Any]
          ) -> dict[str, Any]:
    """Only new and returned findings count; an incomplete check of either revision outranks them."""
    counted = [row["finding"] for row in made["findings"] if row["status"] in {NEW, RETURNED}]
    fail_on, open_is_fail = options["fail_on"], options["open_is_fail"]
    status, reasons = exit_status({**plain[1], "findings": counted}, fail_on=fail_on, open_is_fail=open_is_fail)
    first, more = exit_status({**plain[0], "findings": []}, fail_on=fail_on, open_is_fail=open_is_fail)
    if first == 3:
        status, reasons = 3, [*(f"Earlier revision: {text}" for text in more), *reasons]
    return {"status": status, "reasons": [text.replace("due finding", "new due finding") for text in reasons],
            "fail_on": fail_on, "open_is_fail": open_is_fail}


def _storable(value: Any) -> Any:
    if isinstance(value, str):
        return storable(value)
    if isinstance(value, dict):
        return {key: _storable(item) for key, item in value.items()}
    return [_storable(item) for item in value] if isinstance(value, list) else value
