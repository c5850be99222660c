"""An upper wall end that stands on none below: the beam that takes its push, the tie that takes its pull."""

from __future__ import annotations

from modellint.graph.house import House
from modellint.graph.joints import Stated, contact_gap, faces_gap
from modellint.graph.wall_nodes import ChainStep, WallEnd
from modellint.roles.part import Part, Rung

# how far below the upper sole a transfer beam may lie: a floor's depth (common practice, no source)
FLOOR_DEPTH = 0.7


def transfer_step(house: House, stated: Stated, end: WallEnd, tie: Part | None) -> ChainStep:
    """The step `transfer`: open for the engineer if beam and tie are there, broken if either is not."""
    beam = _beam_under(house, end)
    pull = _tie_of(house, stated, beam) if beam is not None else None
    pieces = tuple(part for part in (beam, pull) if part is not None)
    if beam is not None and pull is not None:
        state, text, missing = (
            "unknown",
            f"it stands on {beam.name}, tied by {pull.name}: the engineer must confirm "
            "that this transfers push and pull",
            "engineer's word on the transfer",
        )
    elif beam is not None:
        state, text, missing = (
            "broken",
            f"it stands on {beam.name}, which takes the push; no tie from the beam to a "
            "post below takes the pull",
            "",
        )
    else:
        state, text, missing = (
            "broken",
            "it does not stand on the end of a shear wall below, and no beam under it was found",
            "",
        )
    return ChainStep(
        f"{end.key}|transfer",
        "slot",
        "transfer",
        end,
        state,
        pieces,
        rung=Rung.INFERRED,
        text=text,
        missing=missing,
        roles=("beam",),
    )


def _beam_under(house: House, end: WallEnd) -> Part | None:
    post = end.posts[0] if end.posts else None
    point = post.box.centre if post is not None and post.box is not None else end.point
    for beam in house.with_role("beam", "header"):
        box = beam.box
        if box is None or not end.segment.sole - FLOOR_DEPTH <= float(box.high[2]) <= end.segment.sole + 0.05:
            continue
        local = box.local(point)[0]
        level = [k for k in range(3) if abs(float(box.axes[k, 2])) < 0.7]
        if all(abs(float(local[k])) <= float(box.half[k]) + 0.02 for k in level):
            return beam
    return None


def _tie_of(house: House, stated: Stated, beam: Part) -> Part | None:
    posts = [post for post in house.with_role("post", "stud") if post.box is not None]
    for tie in house.with_role("hold_down", "strap"):
        gap = faces_gap(tie, beam)
        if not (stated.has(tie, beam) or (gap is not None and gap <= contact_gap(house))):
            continue
        for post in posts:
            reach = faces_gap(tie, post)
            below = (
                post.box is not None
                and beam.box is not None
                and float(post.box.centre[2]) < float(beam.box.low[2])
            )
            if below and reach is not None and reach <= contact_gap(house):
                return tie
    return None
