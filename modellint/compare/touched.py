"""What hangs on a change: the parts of the same stack of wall ends or the same pipe network."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from modellint.compare.changes import Change
from modellint.compare.nodes import Keys
from modellint.compare.things import Revision
from modellint.graph.house import House
from modellint.roles.part import Part

_HELD = ("posts", "base_ties", "top_ties", "rods", "column_rods", "straps", "bearing_plates", "nuts")


@dataclass(frozen=True, eq=False)
class Downstream:
    """A stack of wall ends or a pipe network in which something changed.

    Attributes:
        kind: `stack` or `network`.
        changed: changes in it; `others`: parts in it that did not change, lowest first for a stack.
    """

    kind: str
    name: str
    changed: tuple[Change, ...]
    others: tuple[Part, ...]


def downstream(after: Revision, before: Revision, keys: Keys, changes: Iterable[Change]) -> list[Downstream]:
    """Stacks and networks with a change in them, those with unchanged parts only, by name."""
    by_after = {change.after: change for change in changes if change.after}
    gone = {change.before: change for change in changes if not change.after}
    lost = _lost(before, keys, gone)
    found = []
    for house in after.houses:
        for kind, name, key, parts in (*_stacks(house), *_networks(house)):
            changed = [by_after[part.element.key] for part in parts if part.element.key in by_after]
            changed += lost.get(key, [])
            others = tuple(part for part in parts if part.element.key not in by_after)
            if changed and others:
                found.append(Downstream(kind, name, tuple(dict.fromkeys(changed)), others))
    return sorted(found, key=lambda row: (row.kind, row.name))


def _lost(before: Revision, keys: Keys, gone: dict[str, Change]) -> dict[str, list[Change]]:
    """AFTER key of a stack or network to what vanished from it."""
    found: dict[str, list[Change]] = {}
    if not gone:
        return found
    for house in before.houses:
        for _, _, key, parts in (*_stacks(house), *_networks(house)):
            rows = [gone[part.element.key] for part in parts if part.element.key in gone]
            if rows:
                found.setdefault(keys.translated(key), []).extend(rows)
    return found


def _stacks(house: House) -> list[tuple[str, str, str, tuple[Part, ...]]]:
    """Each stack of wall ends from its lowest: name, key of the lowest end, parts from the lowest up."""
    found = []
    for end in house.nodes.get("wall_end", ()):
        if end.below is not None:
            continue
        column: list[Any] = [end]
        parts: dict[str, Part] = {}
        for one in column:
            column += [upper for upper in one.above if upper not in column]
            parts.update((part.element.key, part) for part in _held(one))
        found.append(("stack", f"{end.name} and what stands on it", end.key, tuple(parts.values())))
    return found


def _held(end: Any) -> list[Part]:
    """Parts of a wall end's own column and chain."""
    rows = [getattr(end, name) for name in _HELD] + [step.pieces for step in end.steps]
    return [part for row in rows for part in row]


def held_by(end: Any) -> set[str]:
    """Element keys of a wall end's posts, ties, rods and what belongs to them, without the concrete."""
    return {part.element.key for name in _HELD for part in getattr(end, name)}


def _networks(house: House) -> list[tuple[str, str, str, tuple[Part, ...]]]:
    runs = house.nodes.get("vent_run", ())
    rows = [("network", run.name, run.key, run.parts) for run in runs]
    known = {part.key for run in runs for part in run.parts}
    rows += [("network", net.name, net.key, net.parts) for net in house.nodes.get("network", ())
             if len(net.parts) > 1 and not known & {part.key for part in net.parts}]
    return rows
