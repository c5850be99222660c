"""Zones: groups of spaces (IfcZone) and zones with a place of their own (IfcSpatialZone)."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from modellint.ifc.model import Zone
from modellint.ifc.properties import Properties
from modellint.ifc.source import Source

KINDS = ("IfcZone", "IfcSpatialZone")
MOST_LEVELS = 5  # of zones within zones that are opened up (judgement, no source)


def read_zones(source: Source, properties: Properties) -> tuple[Zone, ...]:
    """All zones with what is assigned to them, by key; zones within zones are opened up."""
    rows = {row.id(): row for kind in KINDS for row in source.rows(kind)}
    if not rows:
        return ()
    members = _members(source, rows)
    found = []
    for step_id, row in sorted(rows.items()):
        keys = sorted({source.keys[one] for one in _all_of(step_id, members) if one in source.keys})
        long_name = str(row[7 if row.is_a("IfcSpatialZone") else 5] or "") if len(row) > 5 else ""
        words = (row[2], long_name, row[4], row[3], _predefined(row))
        said = tuple(dict.fromkeys(str(word) for word in words if word and word != "NOTDEFINED"))
        found.append(Zone(str(row[0]), str(row[2] or long_name), said, tuple(keys), properties.of(step_id, None),
                          source.index))
    return tuple(sorted(found, key=lambda zone: zone.key))


def _predefined(row: Any) -> str:
    return str(row[8] or "") if row.is_a("IfcSpatialZone") and len(row) > 8 else ""


def _members(source: Source, rows: dict[int, Any]) -> dict[int, list[int]]:
    """Zone to what is grouped, contained, referenced or aggregated in it, as STEP ids."""
    found: dict[int, list[int]] = defaultdict(list)
    for name, whole, parts in (("IfcRelAssignsToGroup", 6, 4), ("IfcRelContainedInSpatialStructure", 5, 4),
                               ("IfcRelReferencedInSpatialStructure", 5, 4), ("IfcRelAggregates", 4, 5)):
        for relation in source.rows(name):
            if relation[whole] is not None and relation[whole].id() in rows:
                found[relation[whole].id()] += [part.id() for part in relation[parts] or ()]
    return found


def _all_of(step_id: int, members: dict[int, list[int]]) -> set[int]:
    """Members, and theirs for a few levels; a ring ends."""
    seen: set[int] = set()
    level = {step_id}
    for _ in range(MOST_LEVELS):
        level = {one for whole in level for one in members.get(whole, ())} - seen
        seen |= level
    return seen
