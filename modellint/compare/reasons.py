"""Compromises whose reason has gone: a tie that was moved in for something that is no longer there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from modellint.compare.built import BuiltMark, Marks
from modellint.compare.changes import Change
from modellint.compare.nodes import Keys
from modellint.compare.touched import held_by
from modellint.findings.finding import Finding
from modellint.graph.wall_nodes import WallEnd
from modellint.ifc.solid import Array
from modellint.measures.ask import Ask

# a tie this much further from its end than the nearest of its storey was moved in for something; a thing that was
# this near to the way out was the reason; it may reach so far above or below the wall (judgement, no source)
MOVED_IN, IN_THE_WAY, ABOVE = 0.060, 0.150, 0.500
_REASONS = {"plumbing_pipe", "plumbing_fixture", "plumbing_fitting", "pipe", "duct", "vent_pipe", "vent_fitting",
            "window", "door", "IfcFlowSegment", "IfcFlowFitting", "IfcFlowTerminal", "IfcPipeSegment",
            "IfcSanitaryTerminal"}


@dataclass(frozen=True, eq=False)
class ReasonGone:
    """A tie further in than it must be, and what stood in its way.

    Attributes:
        inset: the tie's distance from its end; `least`: that of the nearest tie of the storey, metres.
        change: what is gone, or was moved away. A guess from the drawing.
        accepted: who accepted the inset and why, "" if nobody did.
        built: the part of the end that is built furthest, if one is marked.
    """

    end: WallEnd
    inset: float
    least: float
    change: Change
    accepted: str = ""
    built: BuiltMark | None = None


def reasons_gone(keys: Keys, changes: Iterable[Change], after: Mapping[str, Ask], findings: Iterable[Finding],
                 marks: Marks) -> list[ReasonGone]:
    """Ties that stand further in than they must, next to something that vanished or was moved away.

    Args:
        keys: matched wall ends.
        changes: all changes.
        after: wall end key to the measures of its house in AFTER.
        findings: of AFTER, for who accepted what.
        marks: what is marked as built.
    """
    gone = [(change, points) for change in changes if change.role in _REASONS and (points := _was_and_is(change))]
    insets: dict[str, tuple[WallEnd, float]] = {}
    for _, end in keys.ends if gone else ():
        ask = after.get(end.key)
        value = ask.measure("tie_distance_from_end", end) if ask is not None else None
        if value is not None and value.known:
            insets[end.key] = (end, value.low)
    accepted = {row.subject_key: f"{row.accepted['by']} ({row.accepted['reason']})" for row in findings
                if row.accepted is not None and row.rule == "tie-distance-from-end"}
    found = []
    for key, (end, inset) in sorted(insets.items()):
        least = min(other for row, other in insets.values() if row.line.storey == end.line.storey)
        if inset - least < MOVED_IN:
            continue
        built = marks.strongest(held_by(end))
        for change, (was, now) in gone:
            if _in_the_way(end, inset, was) and (now is None or not _in_the_way(end, inset, now)):
                found.append(ReasonGone(end, inset, least, change, accepted.get(key, ""), built))
    return found


def _was_and_is(change: Change) -> tuple[Array, Array | None] | None:
    """Where it was and where it is now (None: nowhere), in AFTER's world; None if it did not leave its place."""
    if change.point is None:
        return None
    if change.kinds == ("vanished",):
        return change.point, None
    if "moved" in change.kinds and change.offset is not None:
        return change.point - change.offset, change.point
    return None


def _in_the_way(end: WallEnd, inset: float, point: Array) -> bool:
    """Whether a point lies between the tie and its end, at the height of the wall or of one it is stacked with."""
    along = (float(end.line.along(point)[0]) - end.position) * end.inward
    across = abs(float(end.line.across(point)[0]))
    if not (-IN_THE_WAY <= along <= inset + IN_THE_WAY and across <= end.line.thickness / 2 + IN_THE_WAY):
        return False
    return any(row.segment.sole - ABOVE <= float(point[2]) <= row.segment.top + ABOVE for row in _stack(end))


def _stack(end: WallEnd) -> list[WallEnd]:
    lowest = end
    while lowest.below is not None:
        lowest = lowest.below
    rows = [lowest]
    for one in rows:
        rows += [upper for upper in one.above if upper not in rows]
    return rows
