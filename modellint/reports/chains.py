"""Which chains of a report a finding is about."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

Finding = Mapping[str, Any]
Path = Mapping[str, Any]


class Chains:
    """The chains of a report by the wall end or vent they belong to."""

    def __init__(self, report: Mapping[str, Any]) -> None:
        self._paths: dict[str, list[Path]] = {}
        for path in report["paths"]:
            if path["slots"]:
                self._paths.setdefault(path["subject_key"], []).append(path)

    def of(self, finding: Finding) -> list[Path]:
        """Chains of its subject that are not whole, or have a part that it names besides its host."""
        named = set(finding["elements"][1:])
        return [
            path
            for path in self._paths.get(finding["subject"]["key"], ())
            if path["verdict"] != "joined" or named & _parts(path)
        ]


def _parts(path: Path) -> set[str]:
    return {part["global_id"] for slot in path["slots"] for part in slot["parts"]}
