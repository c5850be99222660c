"""Physical and logical places of a SARIF run: file and line; building, storey, element."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.reports.addresses import Uris, file_of, sentence, uri_of
from modellint.reports.places import host_name


class Places:
    """Collects the run's logical locations while results are written.

    Attributes:
        rows: `run.logicalLocations`: parents before children.
        several: more than one file was read, so the line of a part alone does not say where it is.
    """

    def __init__(self, report: Mapping[str, Any], uris: Uris | None) -> None:
        self.rows: list[dict[str, Any]] = []
        self._index: dict[tuple[str, str], int] = {}
        self._report, self._uris = report, uris
        self._files = {file["name"]: number for number, file in enumerate(report["model"]["files"])}
        self._homes = _homes(report)
        self.several = len(report["model"]["files"]) > 1

    def physical(self, finding: Mapping[str, Any], line: int) -> dict[str, Any]:
        """A line of the file that holds the finding's host, from its first column."""
        file = file_of(self._report, finding)
        artifact: dict[str, Any] = {"uri": uri_of(file, self._uris)}
        if file in self._files:
            artifact["index"] = self._files[file]
        return {"artifactLocation": artifact, "region": {"startLine": line, "startColumn": 1}}

    def of_finding(self, finding: Mapping[str, Any]) -> list[dict[str, Any]]:
        """The finding's host, or its storey or building where no element is named."""
        storey = finding["place"]["storey"] or finding["subject"]["storey"]
        if finding["elements"]:
            return [self.element(finding["elements"][0], host_name(finding), storey)]
        parent = self._storey(storey)
        return [] if parent is None else [self._reference(parent)]

    def element(self, key: str, name: str, storey: str) -> dict[str, Any]:
        """Reference to an element by GlobalId; it is added below its storey at first mention."""
        parent = self._storey(storey)
        return self._reference(self._row("element", key, name or key, key, parent))

    def _storey(self, storey: str) -> int | None:
        """Index of the storey's row; that of the only building for no storey; None if neither is known."""
        home = self._homes.get(storey)
        parent = None if home is None else self._row("building", home[0], home[1] or home[0], home[0], None)
        if not storey:
            return parent
        return self._row("storey", storey, storey, "", parent)

    def _row(self, kind: str, key: str, name: str, decorated: str, parent: int | None) -> int:
        if (kind, key) in self._index:
            return self._index[kind, key]
        shown = sentence(name) or kind
        above = "" if parent is None else self.rows[parent]["fullyQualifiedName"] + "/"
        row = {
            "name": shown,
            "fullyQualifiedName": f"{above}{kind}[{sentence(key) or shown}]",
            "kind": "element",
            "index": len(self.rows),
        }
        if decorated:
            row["decoratedName"] = sentence(decorated)
        if parent is not None:
            row["parentIndex"] = parent
        self.rows.append(row)
        self._index[kind, key] = len(self.rows) - 1
        return len(self.rows) - 1

    def _reference(self, index: int) -> dict[str, Any]:
        return {"index": index, "fullyQualifiedName": self.rows[index]["fullyQualifiedName"]}


def _homes(report: Mapping[str, Any]) -> dict[str, tuple[str, str]]:
    """Storey name to (key, name) of its building if only one has such a storey; "" to the only building."""
    homes: dict[str, tuple[str, str]] = {}
    twice = set()
    buildings = report["model"]["buildings"]
    for building in buildings:
        home = (str(building.get("key", "")), str(building.get("name", "")))
        for storey in building.get("storeys") or ():
            name = str(storey.get("name", "") if isinstance(storey, Mapping) else storey)
            if homes.setdefault(name, home) != home:
                twice.add(name)
    homes = {name: home for name, home in homes.items() if name not in twice and name}
    if len(buildings) == 1:
        homes[""] = (str(buildings[0].get("key", "")), str(buildings[0].get("name", "")))
    return homes
