"""Upper wall ends that stand on no end below, and the ends below that may get their pull all the same."""

from __future__ import annotations

from collections.abc import Iterable

from modellint.graph.wall_nodes import WallEnd

# a wall that stands so far above the plates of the one below stands on it, metres (common practice, no source)
FLOOR = 1.0


def is_loose(end: WallEnd) -> bool:
    """Whether a shear-wall end stands on no end below and its way down is broken."""
    return (end.below is None and end.line.shear is not None
            and any(step.slot == "transfer" and step.state == "broken" for step in end.steps))


def loose_above(end: WallEnd, ends: Iterable[WallEnd]) -> tuple[WallEnd, ...]:
    """Loose ends of the storey above that stand next to this end, by place.

    Their pull goes somewhere: to the ends of this wall on either side of them, as far as anybody knows.

    Args:
        end: of the lower storey.
        ends: all loose ends of the building.
    """
    line = end.line
    found = []
    for upper in ends:
        rise = upper.segment.sole - end.segment.top
        if not -0.05 <= rise <= FLOOR:
            continue
        if abs(float(line.across(upper.point)[0])) > (line.thickness + upper.line.thickness) / 2:
            continue
        at = float(line.along(upper.point)[0])
        if end in _beside(at, [other for row in line.segments for other in row.ends]):
            found.append(upper)
    return tuple(sorted(found, key=lambda row: (round(row.position, 3), row.key)))


def _beside(at: float, ends: list[WallEnd]) -> list[WallEnd]:
    """The nearest end at or before a place along the line, and the nearest behind it."""
    before = [row for row in ends if row.position <= at]
    behind = [row for row in ends if row.position > at]
    return [*sorted(before, key=lambda row: -row.position)[:1], *sorted(behind, key=lambda row: row.position)[:1]]
