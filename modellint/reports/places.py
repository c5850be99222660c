"""Order of places for reports that follow a walk through the house: storey by storey, then by host."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf
from typing import Any

Finding = Mapping[str, Any]
WHOLE_HOUSE = "Whole house"
_OUTCOMES = {"fail": 0, "open": 1}
_LEVELS = {"error": 0, "warning": 1, "note": 2}


def storey_names(report: Mapping[str, Any]) -> list[str]:
    """Names of storeys from the lowest up, as the buildings list them (texts or objects)."""
    names = []
    for building in report["model"]["buildings"]:
        for storey in building.get("storeys") or ():
            names.append(str(storey.get("name", "") if isinstance(storey, Mapping) else storey))
    return list(dict.fromkeys(names))


def by_place(report: Mapping[str, Any], findings: Iterable[Finding]
             ) -> list[tuple[str, list[tuple[str, list[Finding]]]]]:
    """Findings as `(storey, [(host, findings)])`, the whole house first, then storeys from the lowest up.

    Storeys that no building lists come by the lowest height of their findings. Within a storey hosts come by
    name, within a host what fails comes first, then by level, rule and id.
    """
    storeys: dict[str, dict[tuple[str, str], list[Finding]]] = {}
    lowest: dict[str, float] = {}
    for finding in findings:
        name = finding["place"]["storey"] or finding["subject"]["storey"]
        height = finding["place"]["z"]
        lowest[name] = min(lowest.get(name, inf), inf if height is None else height)
        key = (host_name(finding), finding["place"]["host"] or finding["subject"]["key"])
        storeys.setdefault(name, {}).setdefault(key, []).append(finding)
    listed = {name: number for number, name in enumerate(storey_names(report))}
    ordered = sorted(storeys, key=lambda name: (name != "", name not in listed, listed.get(name, 0),
                                                lowest[name], name))
    return [(name or WHOLE_HOUSE,
             [(key[0], sorted(storeys[name][key], key=_urgency)) for key in sorted(storeys[name])])
            for name in ordered]


def host_name(finding: Finding) -> str:
    """The wall, riser or slab that a finding is about: the place's text up to its first comma."""
    text = finding["place"]["text"] or finding["subject"]["name"]
    return str(text).split(",")[0].strip() or str(finding["subject"]["role"])


def _urgency(finding: Finding) -> tuple[int, int, str, str]:
    return (_OUTCOMES.get(finding["outcome"], 9), _LEVELS.get(finding["level"], 9), finding["rule"],
            finding["id"])


def shared(findings: Iterable[Finding]) -> tuple[list[list[Finding]], list[Finding]]:
    """Findings that one missing fact causes, together, the largest group first; and those that stand alone.

    A group of one stands alone.
    """
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(finding["group"] or f"\0{finding['id']}", []).append(finding)
    together = [group for group in groups.values() if len(group) > 1]
    alone = [group[0] for group in groups.values() if len(group) == 1]
    return sorted(together, key=lambda group: (-len(group), group[0]["group"])), alone
