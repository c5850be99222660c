"""Stated relations between elements and between ports, by forward scans."""

from __future__ import annotations

from typing import Any

from modellint.ifc.model import Relation
from modellint.ifc.source import Source


def read_relations(source: Source) -> list[Relation]:
    """All relations whose two ends are known elements or ports, in STEP id order within each kind."""
    found: list[Relation] = []
    for row in source.rows("IfcRelConnectsElements"):
        if row.is_a("IfcRelConnectsWithRealizingElements"):
            realizing = tuple(sorted(filter(None, (source.key(part) for part in row[7] or ()))))
            found += _relation(
                source, "realizes", row, row[5], row[6], realizing=realizing, description=str(row[8] or "")
            )
        elif row.is_a("IfcRelConnectsPathElements"):
            found += _relation(source, "path", row, row[5], row[6])
        else:
            found += _relation(source, "connects", row, row[5], row[6])
    found += _ports(source)
    for row in source.rows("IfcRelVoidsElement"):
        found += _relation(source, "voids", row, row[4], row[5])
    for row in source.rows("IfcRelFillsElement"):
        found += _relation(source, "fills", row, row[4], row[5])
    for row in source.rows("IfcRelCoversBldgElements"):
        for covering in sorted(row[5] or (), key=lambda part: int(part.id())):
            found += _relation(source, "covers", row, row[4], covering)
    for row in source.rows("IfcRelInterferesElements"):
        found += _relation(source, "interferes", row, row[4], row[5], description=str(row[7] or ""))
    return found


def _ports(source: Source) -> list[Relation]:
    """Port links, undirected and each pair once; real files repeat pairs and mix directions up."""
    found: list[Relation] = []
    seen: set[tuple[str, str]] = set()
    for row in source.rows("IfcRelConnectsPorts"):
        ends = sorted((source.key(row[4]), source.key(row[5])))
        pair = (ends[0], ends[1])
        if not ends[0] or ends[0] == ends[1] or pair in seen:
            continue
        seen.add(pair)
        realizing = (source.key(row[6]),) if source.key(row[6]) else ()
        found.append(
            Relation(
                "ports",
                *pair,
                realizing,
                str(row[0] or ""),
                str(row[3] or ""),
                source.index,
                source.lines.get(row.id()),
            )
        )
    return found


def _relation(
    source: Source,
    kind: str,
    row: Any,
    first: Any,
    second: Any,
    *,
    realizing: tuple[str, ...] = (),
    description: str = "",
) -> list[Relation]:
    keys = source.key(first), source.key(second)
    if not all(keys):
        return []
    return [
        Relation(
            kind,
            *keys,
            realizing,
            str(row[0] or ""),
            description or str(row[3] or ""),
            source.index,
            source.lines.get(row.id()),
        )
    ]
