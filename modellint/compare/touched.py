"""What hangs on a change: the parts of the same stack or network, and the numbers of the wall ends concerned."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from modellint.compare.changes import Change
from modellint.compare.nodes import Keys
from modellint.compare.things import Revision
from modellint.graph.house import House
from modellint.measures.ask import Ask
from modellint.roles.part import Part

NUMBERS = ("tie_distance_from_end", "lever_arm", "uplift_demand", "chain_capacity")
_HELD = ("posts", "base_ties", "top_ties", "rods", "column_rods", "straps", "bearing_plates", "nuts")
# a tie this much further from its end than the nearest of its storey was moved in for something; a thing that was
# this near to the way out was the reason (judgement, no source)
MOVED_IN, IN_THE_WAY = 0.060, 0.150
_REASONS = {"plumbing_pipe", "plumbing_fixture", "duct", "vent_pipe", "window", "door", "IfcFlowSegment",
            "IfcFlowFitting", "IfcFlowTerminal", "IfcPipeSegment", "IfcSanitaryTerminal"}


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


@dataclass(frozen=True)
class Number:
    """One number of a touched wall end, before and after, SI; None where it is not known."""

    end: str
    name: str
    measure: str
    dimension: str
    before: float | None
    after: float | None


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
            rows = [getattr(one, name) for name in _HELD] + [step.pieces for step in one.steps]
            parts.update((part.element.key, part) for row in rows for part in row)
        found.append(("stack", f"{end.name} and what stands on it", end.key, tuple(parts.values())))
    return found


def _networks(house: House) -> list[tuple[str, str, str, tuple[Part, ...]]]:
    runs = house.nodes.get("vent_run", ())
    rows = [("network", run.name, run.key, run.parts) for run in runs]
    known = {part.key for run in runs for part in run.parts}
    rows += [("network", net.name, net.key, net.parts) for net in house.nodes.get("network", ())
             if len(net.parts) > 1 and not known & {part.key for part in net.parts}]
    return rows


def numbers(keys: Keys, before: dict[str, Ask], after: dict[str, Ask]) -> list[Number]:
    """Numbers that changed at wall ends which exist in both revisions, by key of the end.

    Args:
        keys: matched wall ends.
        before, after: wall end key to the measures of its house.
    """
    found = []
    for one, two in sorted(keys.ends, key=lambda pair: str(pair[1].key)):
        rows = [("length of wall", "length", one.segment.length, two.segment.length)]
        for name in NUMBERS:
            a, b = _number(name, one, before), _number(name, two, after)
            if a[1] or b[1]:
                rows.append((name.replace("_", " "), a[1] or b[1], a[0], b[0]))
        found += [Number(two.key, two.name, name, dimension, a, b) for name, dimension, a, b in rows
                  if (a is None) != (b is None) or (a is not None and b is not None and abs(a - b) > _noise(dimension))]
    return found


def _noise(dimension: str) -> float:
    return 0.002 if dimension == "length" else 1.0


def _number(name: str, end: Any, asks: dict[str, Ask]) -> tuple[float | None, str]:
    """Value and dimension of a measure of a wall end; no dimension where it cannot be asked."""
    ask = asks.get(end.key)
    if ask is None or not ask.knows(name, "wall_end"):
        return None, ""
    value = ask.measure(name, end)
    return (value.low if value.known else None), value.dimension


def reasons_gone(keys: Keys, changes: Iterable[Change], after: dict[str, Ask]
                 ) -> list[tuple[Any, float, float, Change]]:
    """Ties that stand further in than they must, and what stood in their way and is gone now.

    Returns:
        `(wall end, its tie's distance from the end, that of the nearest tie of the same storey, what is gone)`; the
        distances in metres. The cause is a guess from the drawing: what stood between the tie and its end, or beside.
    """
    gone = [change for change in changes if change.kinds == ("vanished",) and change.role in _REASONS
            and change.point is not None]
    insets: dict[str, tuple[Any, float]] = {}
    for _, end in keys.ends:
        distance, dimension = _number("tie_distance_from_end", end, after) if gone else (None, "")
        if dimension and distance is not None:
            insets[end.key] = (end, distance)
    found = []
    for key in sorted(insets):
        end, inset = insets[key]
        least = min(other for row, other in insets.values() if row.line.storey == end.line.storey)
        if inset - least < MOVED_IN:
            continue
        for change in gone:
            point = change.point
            assert point is not None
            along = (float(end.line.along(point)[0]) - end.position) * end.inward
            across = abs(float(end.line.across(point)[0]))
            if -IN_THE_WAY <= along <= inset + IN_THE_WAY and across <= end.line.thickness / 2 + IN_THE_WAY:
                found.append((end, inset, least, change))
    return found
