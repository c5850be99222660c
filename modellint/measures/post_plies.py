"""Measures of built-up posts: are their plies fastened to each other?"""

from __future__ import annotations

import re

from modellint.graph.lever_arms import compression_post
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, truth, unknown
from modellint.roles.part import Part, Rung

# dressed thickness of one ply, and how far a post may be off a multiple of it, metres (common practice, no source)
PLY, OFF = 0.0381, 0.002
_SAYS = re.compile(r"built[- ]?up|\bply\b|\bplies\b|\b[2-5]\s*[-x]\s*(?:2x|38)|\([2-5]\)\s*2x", re.IGNORECASE)


def _thickness(post: Part) -> float:
    """Smaller side of the section, metres."""
    assert post.box is not None
    return 2 * float(sorted(post.box.half)[0])


def plies_of(post: Part) -> int | None:
    """Plies that a post's thickness makes: 1 for a solid stud's, 2 or more; None if it is no multiple of a ply."""
    if post.box is None:
        return None
    count = round(_thickness(post) / PLY)
    return count if count >= 1 and abs(_thickness(post) - count * PLY) <= OFF else None


def _built_up(post: Part) -> bool:
    element = post.element
    if _SAYS.search(" ".join((element.name, element.type_name, element.object_type))):
        return True
    return (plies_of(post) or 0) >= 2


@measure("truth", of="wall_end", example="true for a post of three 38 mm plies, false for a solid 89x140")
def post_is_built_up(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the end post is built up from plies: its name says so, or its thickness is two plies or more."""
    post = compression_post(end)
    if post is None:
        return unknown("truth", Missing("post", end.name, "draw the end post"))
    ask.part(post)
    return truth(_built_up(post), Evidence(f"section of {post.name}", global_id=post.element.global_id),
                 rung=Rung.INFERRED)


@measure("truth", of="wall_end", example="true where the post says '16d at 150 mm staggered'")
def plies_fastened(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the plies of the end post are said to be fastened to each other.

    Nothing said counts as nothing done only where the other built-up posts of the building have it said.
    """
    house, post = ask.house, compression_post(end)
    if post is None:
        return unknown("truth", Missing("post", end.name, "draw the end post"))
    ask.part(post)
    stated = house.stated(post, "ply_fastening")
    if stated is not None:
        return truth(str(stated.value) == "fastened",
                     Evidence(stated.where, str(stated.value), "", stated.rung, post.element.global_id),
                     rung=stated.rung)
    others = [row for row in house.with_role("post") if row.key != post.key and _built_up(row)]
    held = sum(house.stated(row, "ply_fastening") is not None for row in others)
    if held >= house.limit("complete_at_least", 2.0) and held >= house.limit("complete_share", 0.5) * len(others):
        return truth(False, Evidence(f"{held} of {len(others)} other built-up posts say how they are fastened"),
                     rung=Rung.INFERRED)
    return unknown("truth", Missing("ply fastening", house.name or "the building",
                                    "say how the plies of built-up posts are fastened, by a property or a note"))
