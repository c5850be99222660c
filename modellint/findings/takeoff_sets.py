"""What belongs together in a take-off: matched sets at each wall end, rods cut for one run, counts of the schedule."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from modellint.findings.takeoff import Piece
from modellint.graph.continuous_rod import is_continuous
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask
from modellint.measures.schedule_rows import rows_naming, tie_mark_of
from modellint.roles.part import Part

BESIDE = 0.050  # metres in plan between a bolt's axis and the washer or nut on it (common practice, no source)
# what a device needs beside it: (word, slots of the wall end of which one must hold something)
NEEDS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "tie-down": (("rod or anchor", ("rods",)), ("nut", ("nuts",)), ("post", ("posts",))),
    "continuous rod": (
        ("bearing plate", ("bearing_plates",)),
        ("nut or take-up", ("nuts", "take_ups")),
        ("post", ("posts",)),
    ),
    "strap": (("post", ("posts",)),),
}
FASTENERS = {"tie-down": "screws or nails of tie-downs", "strap": "nails of straps"}


@dataclass(frozen=True)
class MatchedSet:
    """One device at a wall end and what it needs beside it.

    Attributes:
        device: `tie-down`, `continuous rod` or `strap`.
        has, lacks: words of NEEDS; `unseen` are those that no such end of the house draws.
    """

    key: str
    place: str
    storey: str
    device: str
    has: tuple[str, ...]
    lacks: tuple[str, ...]
    unseen: tuple[str, ...]


@dataclass(frozen=True)
class Run:
    """Rods of one column of wall ends, from the top.

    Attributes:
        cuts: item and length in metres (None if not known) of each piece.
        couplers: drawn on it.
        places: the lowest wall ends of the equal runs.
    """

    cuts: tuple[tuple[str, float | None], ...]
    couplers: int
    places: tuple[str, ...]


def matched_sets(ask: Ask) -> list[MatchedSet]:
    """The set at each end of a shear wall that has a device, by storey and place."""
    rows = []
    seen: dict[str, set[str]] = defaultdict(set)
    for end in ask.house.nodes.get("wall_end", ()):
        device = _device(end) if end.line.shear is not None else ""
        if device:
            has = tuple(word for word, slots in NEEDS[device] if any(getattr(end, slot) for slot in slots))
            seen[device].update(has)
            rows.append((end, device, has))
    made = []
    for end, device, has in rows:
        others = [word for word, _ in NEEDS[device] if word not in has]
        parted = ("coupler",) if device == "continuous rod" and _parted(end) else ()
        made.append(
            MatchedSet(
                end.key,
                end.name,
                end.line.storey,
                device,
                has,
                (*(word for word in others if word in seen[device]), *parted),
                tuple(word for word in others if word not in seen[device]),
            )
        )
    return sorted(made, key=lambda row: (row.storey, row.place, row.key))


def _parted(end: WallEnd) -> bool:
    """Whether two pieces of a continuous rod meet at this storey without a coupler that is drawn elsewhere."""
    return any(step.kind == "slot" and step.slot == "coupler" and step.end is end for step in end.steps)


def _device(end: WallEnd) -> str:
    if end.base_ties:
        return "tie-down"
    if end.straps:
        return "strap"
    return "continuous rod" if is_continuous(end) else ""


def bolts_without(ask: Ask) -> dict[str, list[Part]]:
    """Sill anchor bolts without `plate washer` or `nut` on them; a role that the house draws nowhere is left out."""
    import shapely

    bolts = [bolt for bolt in ask.house.with_role("anchor_bolt") if bolt.box is not None]
    axes = np.array([bolt.box.centre[:2] for bolt in bolts if bolt.box is not None]).reshape(-1, 2)
    found: dict[str, list[Part]] = {}
    for word, role in (("plate washer", "plate_washer"), ("nut", "nut")):
        spots = np.array([part.box.centre[:2] for part in ask.house.with_role(role) if part.box is not None])
        if not bolts or not len(spots):
            continue
        squares = shapely.box(*(axes - BESIDE).T, *(axes + BESIDE).T)
        held, _ = shapely.STRtree(shapely.points(spots)).query(squares)
        near = set(held.tolist())
        if near:
            found[word] = [bolt for k, bolt in enumerate(bolts) if k not in near]
    return found


def runs(ask: Ask, pieces: Mapping[str, Piece]) -> list[Run]:
    """Rods of each column of wall ends with more than one piece, equal columns together, the longest first.

    Args:
        ask: the house with its measures.
        pieces: key of a part to its piece.
    """
    alike: dict[tuple[Any, ...], list[tuple[str, tuple[tuple[str, float | None], ...], int]]] = defaultdict(list)
    for end in ask.house.nodes.get("wall_end", ()):
        if end.below is None and end.line.shear is not None:
            rods, couplers = _column(end)
            cuts = [pieces[rod.key] for rod in rods if rod.key in pieces]
            if len(cuts) > 1:
                key = (tuple(piece.identity for piece in cuts), couplers)
                alike[key].append((end.name, tuple((piece.item, piece.length) for piece in cuts), couplers))
    made = [Run(rows[0][1], rows[0][2], tuple(sorted(row[0] for row in rows))) for rows in alike.values()]
    return sorted(made, key=lambda run: (-sum(length or 0.0 for _, length in run.cuts), run.places))


def _column(end: WallEnd) -> tuple[list[Part], int]:
    """Rods over a lowest wall end from the top, and the couplers on them."""
    rods: dict[str, Part] = {}
    couplers: set[str] = set()
    left, seen = [end], set()
    while left:
        at = left.pop()
        if at.key in seen:
            continue
        seen.add(at.key)
        rods.update({rod.key: rod for rod in (*at.rods, *at.column_rods)})
        couplers.update(
            part.key for step in at.steps if step.kind == "coupled" for part in step.pieces if part.has("coupler")
        )
        left.extend(at.above)
    return sorted(rods.values(), key=lambda rod: (-_top(rod), rod.key)), len(couplers)


def _top(rod: Part) -> float:
    return float(rod.box.high[2]) if rod.box is not None else 0.0


def scheduled_ties(ask: Ask) -> list[tuple[str, int, int, tuple[str, ...]]]:
    """Per tie mark of the wall-end schedule: ends that ask for it, ends that draw it, and those that differ."""
    table = ask.house.schedules.get("wall_ends")
    asked: dict[str, list[WallEnd]] = defaultdict(list)
    drawn: Counter[str] = Counter()
    differs: dict[str, list[str]] = defaultdict(list)
    for end in ask.house.nodes.get("wall_end", ()):
        marks = {tie_mark_of(tie, ask) for tie in (*end.base_ties, *end.straps)}
        for row in rows_naming(end, table.rows, ask) if table is not None else ():
            mark = str(row.get("tie") or "").strip()
            if mark.lower() in {"", "none", "no", "-"}:
                continue
            asked[mark].append(end)
            if mark in marks:
                drawn[mark] += 1
            else:
                differs[mark].append(end.name)
    return [(mark, len(asked[mark]), drawn[mark], tuple(sorted(differs[mark]))) for mark in sorted(asked)]
