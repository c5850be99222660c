"""What if: a changed copy of the model judged again, and only what differs. Runs inside the child process."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from modellint import pipeline
from modellint.errors import UnitProblem, UsageProblem

if TYPE_CHECKING:
    from modellint.ifc.model import Model, PropertyValue
    from modellint.measures.ask import Ask
    from modellint.roles.properties import PropertyBook

SET = "what if"
NUMBERS = {
    "lever_arm": "lever arm",
    "uplift_demand": "pull",
    "chain_capacity": "weakest link takes",
    "weakest_link": "weakest link",
    "tie_may_move": "may move further in",
    "load_case": "load case",
    "push_demand": "push",
    "post_bearing": "plate under the post takes",
    "post_strength": "end post takes",
    "rod_movement": "lift before the rod holds",
}
# numbers of the length of wall that the end belongs to
OF_SEGMENT = ("unit_shear", "sheathing_capacity", "wall_deflection")
# changes with everything at either end: shown where something else changes, but no reason to show an end
BESIDE = frozenset({"wall_deflection"})


@dataclass
class _Judged:
    """One judged copy: findings of the JSON report by id, numbers of each wall end by key."""

    findings: dict[str, dict[str, Any]]
    ends: dict[str, dict[str, Any]]


def compare(
    request: Mapping[str, Any], announce: Callable[[str], None], progress: Callable[[str], None]
) -> dict[str, Any]:
    """Judge the model as it is and with the changes of the request, and say what differs.

    Args:
        request: as for `pipeline.check`, with `moves` (rows of GlobalId and three lengths in metres along the
            model's axes) and `sets` (rows of GlobalId, quantity and value as written).
        announce: is told the GlobalId of a part before native code gets it.
        progress: is told what is being done.

    Raises:
        UsageProblem: an element or quantity does not exist, or a value cannot be read.
    """
    paths = [Path(path) for path in request["models"]]
    books = pipeline.load_books(paths[0], request.get("project"))
    progress("reading")
    model = pipeline.read_model(
        paths, frozenset(request.get("skip", ())), announce, bool(request.get("native", True))
    )
    changed = _changed(model, request, books.properties)
    quantities = [row[1] for row in request.get("sets", ())]
    other = replace(books, properties=_with_whatif(books.properties, quantities))
    progress("judging as it is")
    before = _judge(model, books, request)
    progress("judging with the changes")
    after = _judge(changed, other, request)
    display = request.get("display") or books.display
    return {
        "what_if": {"display": display, "ends": _ends(before, after), "findings": _findings(before, after)}
    }


def _changed(model: Model, request: Mapping[str, Any], book: PropertyBook) -> Model:
    import numpy as np

    from modellint.ifc.changed import changed_model

    moves: dict[str, Any] = {}
    for key, *vector in request.get("moves", ()):
        _known(model, key)
        moves[key] = moves.get(key, np.zeros(3)) + np.array(vector, float)
    properties: dict[str, dict[tuple[str, str], PropertyValue]] = {}
    for key, quantity, text in request.get("sets", ()):
        _known(model, key)
        properties.setdefault(key, {})[SET, quantity] = _value(book, quantity, text)
    return changed_model(model, moves, properties)


def _known(model: Model, key: str) -> None:
    from modellint.rulebook.vocabulary import nearest

    if key not in model.elements:
        raise UsageProblem(f"There is no element '{key}' in this model{nearest(key, model.elements)}.")


def _value(book: PropertyBook, quantity: str, text: str) -> PropertyValue:
    from modellint import units
    from modellint.ifc.model import PropertyValue
    from modellint.rulebook.vocabulary import nearest

    entry = book.entries.get(quantity)
    if entry is None:
        raise UsageProblem(
            f"There is no quantity '{quantity}'{nearest(quantity, book.entries)}; all stand in "
            "docs/rules/properties.md."
        )
    if entry.dimension in {"text", "truth", "choice"}:
        return PropertyValue(text)
    try:
        return PropertyValue(units.parse(text, entry.dimension), entry.dimension)
    except UnitProblem as problem:
        raise UsageProblem(f"{quantity}: {problem}") from None


def _with_whatif(book: PropertyBook, quantities: Iterable[str]) -> PropertyBook:
    """The property book with the changed properties before all others."""
    from modellint.roles.book import globs
    from modellint.roles.properties import PropertyBook

    entries = dict(book.entries)
    for quantity in quantities:
        first, second = globs(SET), globs(quantity)
        assert first is not None
        assert second is not None
        entries[quantity] = replace(entries[quantity], changed=((first, second),))
    return PropertyBook(entries)


def _judge(model: Model, books: pipeline.Books, request: Mapping[str, Any]) -> _Judged:
    from modellint.reports.json_report import to_dict

    kept: list[Any] = []
    report = to_dict(
        pipeline.judge_model(model, books, request, kept), display=request.get("display") or books.display
    )
    ends = {key: row for _, ask in kept for key, row in _numbers(ask).items()}
    return _Judged({row["id"]: row for row in report["findings"]}, ends)


def _numbers(ask: Ask) -> dict[str, dict[str, Any]]:
    """Numbers of each end of a shear wall: value range in SI, or a word."""
    found = {}
    for end in ask.house.nodes.get("wall_end", ()):
        if end.line.shear is None:
            continue
        values = {name: ask.measure(name, end) for name in NUMBERS}
        values |= {name: ask.measure(name, end.segment) for name in OF_SEGMENT}
        row: dict[str, Any] = {name: _plain(value) for name, value in values.items()}
        demand, capacity = values["uplift_demand"], values["chain_capacity"]
        if demand.known and capacity.known and demand.level == capacity.level:
            margin = capacity.low - demand.low
            row["margin"] = {
                "dimension": "force",
                "low": margin,
                "high": margin,
                "words": [],
                "level": demand.level,
            }
        found[end.key] = {"name": end.name, "numbers": row}
    return found


def _plain(value: Any) -> dict[str, Any]:
    from math import isfinite

    low, high = (round(number, 6) if isfinite(number) else None for number in (value.low, value.high))
    return {
        "dimension": value.dimension,
        "low": low,
        "high": high,
        "words": sorted(value.words),
        "level": value.level,
    }


def _ends(before: _Judged, after: _Judged) -> list[dict[str, Any]]:
    """Ends of which a number differs, old beside new."""
    rows = []
    for key in sorted({*before.ends, *after.ends}):
        old, new = before.ends.get(key), after.ends.get(key)
        if old is not None and new is not None and not _differ(old["numbers"], new["numbers"]):
            continue
        name = (new or old or {}).get("name", key)
        rows.append(
            {
                "key": key,
                "name": name,
                "before": old["numbers"] if old else None,
                "after": new["numbers"] if new else None,
            }
        )
    return rows


def _differ(old: dict[str, Any], new: dict[str, Any]) -> bool:
    """Whether anything differs by more than 0.1 mm or 1 N."""
    for name in {*old, *new} - BESIDE:
        one, other = old.get(name), new.get(name)
        if one is None or other is None or one["words"] != other["words"] or one["level"] != other["level"]:
            return True
        step = 1.0 if one["dimension"] == "force" else 1e-4
        for side in ("low", "high"):
            if (one[side] is None) != (other[side] is None) or (
                one[side] is not None and abs(one[side] - other[side]) > step
            ):
                return True
    return False


def _findings(before: _Judged, after: _Judged) -> dict[str, list[dict[str, Any]]]:
    old, new = before.findings, after.findings
    changed = [
        {"before": old[key], "after": new[key]}
        for key in sorted({*old} & {*new})
        if (old[key]["outcome"], old[key]["message"]) != (new[key]["outcome"], new[key]["message"])
    ]
    return {
        "gone": [old[key] for key in sorted({*old} - {*new})],
        "new": [new[key] for key in sorted({*new} - {*old})],
        "changed": changed,
    }
