"""What a wall end pulls with and what it pushes with, and how far in they stand."""

from __future__ import annotations

from modellint.graph.wall_ends import inset_of
from modellint.graph.wall_nodes import WallEnd
from modellint.roles.part import Part

# plies that stand face to face within this count as one post, metres (common practice, no source)
PLIES = 0.003


def tension_line(end: WallEnd) -> Part | None:
    """The part whose centre line is the end's line of pull: tie, bearing plate of a rod, or strap."""
    if end.base_ties:
        return fastened_tie(end) or end.base_ties[0]
    if end.bearing_plates:
        return end.bearing_plates[0]
    return end.straps[0] if end.straps else None


def fastened_tie(end: WallEnd) -> Part | None:
    """The base tie that the end's chain goes through."""
    return next(
        (
            step.pieces[-1]
            for step in end.steps
            if step.end is end and step.kind == "fastened_to" and step.slot == "base tie"
        ),
        None,
    )


def compression_post(end: WallEnd) -> Part | None:
    """The post that takes the push at this end: the one its tie is fastened to, else the outermost."""
    held = next(
        (
            step.pieces[0]
            for step in end.steps
            if step.end is end
            and step.kind == "fastened_to"
            and step.slot in {"base tie", "strap"}
            and step.pieces[0].has("post")
        ),
        None,
    )
    drawn = [post for post in end.posts if post.box is not None]
    return held if held is not None and held.box is not None else next(iter(drawn), None)


def opposite(end: WallEnd) -> WallEnd:
    """The other end of the same segment."""
    return next(other for other in end.segment.ends if other is not end)


def post_thickness(end: WallEnd, post: Part) -> float | None:
    """Extent of a post along its wall, with all plies that stand face to face with it, metres."""
    reaches = sorted(_reach(end, part) for part in end.posts if part.box is not None)
    if post.box is None:
        return None
    low, high = _reach(end, post)
    for near, far in reaches:
        if near <= high + PLIES and far >= low - PLIES:
            low, high = min(low, near), max(high, far)
    return high - low


def _reach(end: WallEnd, part: Part) -> tuple[float, float]:
    assert part.box is not None
    along = end.line.along(part.box.corners)
    return float(along.min()), float(along.max())


def inset_in(end: WallEnd, part: Part) -> float:
    """Distance from the end face of the segment to the part's centre line, metres, not below zero."""
    return max(inset_of(end, part), 0.0)
