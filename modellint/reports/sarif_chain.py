"""The chain of a wall end or vent as a SARIF code flow, so that viewers can step along it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from modellint.reports.addresses import line_of
from modellint.reports.sarif_places import Places
from modellint.reports.sarif_rules import message

_MOST_STEPS = 200
_WEIGHT = {"broken": "essential", "unknown": "important"}
Finding = Mapping[str, Any]
Path = Mapping[str, Any]


def code_flows(finding: Finding, paths: Iterable[Path], places: Places) -> list[dict[str, Any]]:
    """One code flow per chain that the finding is about."""
    flows = []
    for path in paths:
        steps = [
            _step(number, slot, finding, places) for number, slot in enumerate(path["slots"][:_MOST_STEPS], 1)
        ]
        words = f"{path['kind']} chain of {path['name']}: {path['verdict']}"
        words += f" ({path['text']})" if path["text"] else ""
        flows.append({"message": message(words), "threadFlows": [{"locations": steps}]})
    return flows


def _step(number: int, slot: Mapping[str, Any], finding: Finding, places: Places) -> dict[str, Any]:
    names = ", ".join(part["name"] or part["global_id"] for part in slot["parts"]) or "not drawn"
    text = f"{slot['name']}: {names}: {slot['state']}"
    if slot["text"] and slot["text"] != names:
        text += f" ({slot['text']})"
    location: dict[str, Any] = {"message": message(text)}
    ids = [part for part in slot["parts"] if part["global_id"]]
    if ids:
        location["logicalLocations"] = [
            places.element(part["global_id"], part["name"], slot["storey"]) for part in ids
        ]
    line = _line(finding, [part["global_id"] for part in ids]) if not places.several else None
    # A step without a line of its own points at the finding's, or viewers would drop it.
    location["physicalLocation"] = places.physical(finding, line or line_of(finding) or 1)
    return {
        "location": location,
        "executionOrder": number,
        "importance": _WEIGHT.get(slot["state"], "unimportant"),
    }


def _line(finding: Finding, ids: list[str]) -> int | None:
    lines = finding["extra"].get("lines")
    known = (lines.get(key) for key in ids) if isinstance(lines, Mapping) else ()
    return next((line for line in known if isinstance(line, int) and line > 0), None)
