"""The comparison of two revisions as plain data; its fields are described in docs/compare.schema.json."""

from __future__ import annotations

from collections.abc import Mapping
from math import degrees, isfinite
from typing import Any

import modellint
from modellint.compare.built import BuiltChange
from modellint.compare.changes import Change, groups
from modellint.compare.numbers import Number, Span
from modellint.compare.outcomes import CLEARED, NEW, RETURNED, UNCHANGED, Cause, Outcome
from modellint.compare.reasons import ReasonGone
from modellint.compare.touched import Downstream
from modellint.findings.finding import LEVELS
from modellint.findings.report import Report
from modellint.reports.exit_status import NEVER, exit_status
from modellint.reports.json_report import to_dict as report_dict
from modellint.text import storable
from modellint.units import show

FORMAT = 1
_UNITS = {"length": "m", "force": "N", "moment": "Nm"}
_IN_SHARES = ("length of wall", "lever arm", "pull", "weakest link takes", "break-even moment")
_DIGITS = {"length": 4, "force": 0, "moment": 0}


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
    drawings = [side.pop("drawings", []) for side in plain]
    changes = [_change(change, rows["places"], rows["spots"][change.key]) for change in rows["changes"]]
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
        "built": [_built(row, rows["places"]) for row in rows["built"]],
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
            "report": plain[1], "exit": made["exit"],
            **({"drawings": {"before": drawings[0], "after": drawings[1], "pairs": rows["pairs"],
                             "origin_before": plain[0]["model"]["origin"], "origin_after": plain[1]["model"]["origin"]}}
               if rows["pairs"] else {})}


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


def _change(change: Change, places: Mapping[str, str], spots: Mapping[str, Any]) -> dict[str, Any]:
    return {"key": change.key, "kinds": list(change.kinds), "before": change.before, "after": change.after,
            "name": change.name, "role": change.role, "storey": change.storey,
            "place": places.get(change.key, ""), "text": change.text,
            "moved": None if change.offset is None else [_rounded(float(x)) for x in change.offset],
            **{key: [_rounded(x) for x in value] if isinstance(value, list) else value
               for key, value in spots.items()}}


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


def _built(row: BuiltChange, places: Mapping[str, str]) -> dict[str, Any]:
    change, mark = row.change, row.mark
    where = places.get(change.key) or ", ".join(part for part in (change.name, change.storey) if part)
    tail = ("the model was corrected to what stands there" if mark.as_built else
            "ask for another order before it arrives" if row.level == "warning" else
            "what stands there is no longer what the model shows")
    return {"change": change.key, "state": mark.state, "date": mark.date, "source": mark.source,
            "as_built": mark.as_built, "level": row.level,
            "text": f"{where}: marked {mark.said} ({mark.source}); in the later model it {_verb(change.text)}; {tail}"}


def _verb(text: str) -> str:
    """A change's phrase behind "it": the phrases begin with a verb, a size or a property."""
    return text if text.startswith(("moved", "is ", "its ")) else f"has changed ({text})"


def _number(row: Number, display: str) -> dict[str, Any]:
    before, after = (_span(span, row.dimension, display) for span in (row.before, row.after))
    digits = _DIGITS.get(row.dimension, 4)
    levels = [span.level for span in (row.after, row.before) if span.level]
    said = f"{row.measure} {before}, now {after}{_share(row)}" if row.changed else f"{row.measure} {after}, as before"
    level = f", {levels[0]}" if levels else ""
    return {"end": row.end, "name": row.name, "measure": row.measure, "unit": _UNITS.get(row.dimension, ""),
            "before": _only(row.before, digits), "after": _only(row.after, digits),
            "before_range": _range(row.before, digits), "after_range": _range(row.after, digits),
            "before_text": before, "after_text": after, "level": levels[0] if levels else "",
            "changed": row.changed, "said": f"{said}{level}", "text": f"{row.name}: {said}{level}"}


def _only(span: Span, digits: int) -> float | None:
    return None if span.value is None else round(span.value, digits) + 0.0


def _range(span: Span, digits: int) -> list[float | None]:
    return [round(value, digits) + 0.0 if isfinite(value) else None for value in (span.low, span.high)]


def _span(span: Span, dimension: str, display: str) -> str:
    """Possible values in words."""
    if span.word or not span.seen:
        return span.word or "not known"
    low, high = (show(value, dimension, display) if isfinite(value) else "" for value in (span.low, span.high))
    if span.value is not None:
        return low
    return f"{low} to {high}" if low and high else f"at least {low}" if low else f"at most {high}"


def _share(row: Number) -> str:
    """By how much a single value changed, in percent of what it was."""
    one, two = row.before.value, row.after.value
    if one is None or two is None or one <= 0 or row.measure not in _IN_SHARES:
        return ""
    return f" ({100 * (two - one) / one:+.1f} %)"


def _downstream(row: Downstream) -> dict[str, Any]:
    names: dict[str, int] = {}
    for part in row.others:
        names[part.name] = names.get(part.name, 0) + 1
    others = ", ".join(f"{count} {name}" if count > 1 else name for name, count in names.items())
    return {"kind": row.kind, "name": row.name, "changes": [change.key for change in row.changed],
            "elements": [part.element.global_id for part in row.others],
            "text": f"{row.name}: {len(row.changed)} changed, {len(row.others)} as before ({others})"}


def _reason(row: ReasonGone, display: str) -> dict[str, Any]:
    end, change = row.end, row.change
    went = "is gone" if change.kinds == ("vanished",) else "was moved away"
    accepted = f" The acceptance by {row.accepted} is then no longer needed." if row.accepted else ""
    rest = (f". But what stands here is marked {row.built.said}, so it is there as it is." if row.built is not None
            else ", unless it is built already.")
    return {"end": end.key, "change": change.key, "inset": _rounded(row.inset), "least": _rounded(row.least),
            "accepted": row.accepted, "built": row.built.said if row.built is not None else "",
            "text": f"{end.name}: the tie stands {show(row.inset, 'length', display)} from the end, others on this "
                    f"storey {show(row.least, 'length', display)}. {change.name} beside it {went}; if it was the "
                    f"reason, the tie could go back{rest}{accepted} The engineer of record decides."}


def _louder(made: dict[str, Any], fail_on: str) -> list[str]:
    """Sentences on changes of marked parts at or above the level that counts."""
    wanted = LEVELS[LEVELS.index(fail_on):] if fail_on != NEVER else ()
    found = []
    for level in wanted:
        states = [row["state"] for row in made["built"] if row["level"] == level]
        if states:
            said = ", ".join(f"{states.count(state)} {state}" for state in dict.fromkeys(states))
            found.append(f"{len(states)} changed {'part is' if len(states) == 1 else 'parts are'} marked: {said}.")
    return found


def _exit(made: dict[str, Any], plain: tuple[dict[str, Any], dict[str, Any]], options: Mapping[str, Any]
          ) -> dict[str, Any]:
    """New and returned findings count, and changes of marked parts; an incomplete check outranks both."""
    counted = [row["finding"] for row in made["findings"] if row["status"] in {NEW, RETURNED}]
    fail_on, open_is_fail = options["fail_on"], options["open_is_fail"]
    status, reasons = exit_status({**plain[1], "findings": counted}, fail_on=fail_on, open_is_fail=open_is_fail)
    louder = _louder(made, fail_on)
    status, reasons = max(status, 1) if louder else status, [*reasons, *louder]
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
