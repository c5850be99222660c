"""The compression chain of a wall end: what bears on what, from its post down to the foundation.

It stands in a graph of its own, since these links carry no tension.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from modellint.contacts.touching import near_pairs
from modellint.graph.house import House
from modellint.graph.joints import contact_gap
from modellint.graph.wall_nodes import WallEnd
from modellint.ifc.solid import Array, Box
from modellint.roles.part import Part

BEARING_ROLES = (
    "post",
    "bottom_plate",
    "sill_plate",
    "top_plate",
    "plate",
    "joist",
    "rim",
    "blocking",
    "floor",
    "beam",
    "header",
    "footing",
    "stem_wall",
    "foundation_slab",
    "pile",
)
# overlap in plan below this is an edge, not a face, metres (common practice, no source)
OVERLAP = 0.005


@dataclass(frozen=True)
class Bearing:
    """The parts a post's push goes through, from the post down; `reached` when a foundation is the last."""

    parts: tuple[Part, ...]
    reached: bool


def compression_chains(house: House, ends: tuple[WallEnd, ...]) -> dict[str, Bearing]:
    """End key to its way down; the shortest way wins, then the one straight below, then the lowest keys."""
    import networkx as nx

    parts = [part for part in house.with_role(*BEARING_ROLES) if part.box is not None]
    limit = contact_gap(house)
    graph = nx.DiGraph()
    boxes = [part.box for part in parts]
    for a, b in near_pairs(boxes, limit).tolist():
        one, other = boxes[a], boxes[b]
        if one is None or other is None:
            continue
        if _bears(one, other, limit):
            graph.add_edge(a, b)
        elif _bears(other, one, limit):
            graph.add_edge(b, a)
    index = {part.key: k for k, part in enumerate(parts)}
    ground = {
        k for k, part in enumerate(parts) if part.has("footing", "stem_wall", "foundation_slab", "pile")
    }
    plan = (np.array([box.low[:2] for box in boxes if box is not None]).reshape(-1, 2),
            np.array([box.high[:2] for box in boxes if box is not None]).reshape(-1, 2))
    return {end.key: _way(graph, parts, plan, ground, index[end.posts[0].key])
            for end in ends if end.posts and end.posts[0].key in index}


def _way(graph: object, parts: list[Part], plan: tuple[Array, Array], ground: set[int], start: int) -> Bearing:
    """Breadth first, so that the fewest parts win; of equal ways the one straight below the post."""
    import networkx as nx

    assert isinstance(graph, nx.DiGraph)
    if start not in graph:
        return Bearing((parts[start],), False)
    post = parts[start].box
    aside = _beside(post, *plan) if post is not None else [0.0] * len(parts)
    before: dict[int, int] = {start: start}
    queue, lowest = [start], start
    for node in queue:
        if node in ground:
            lowest = node
            break
        for after in sorted(graph.successors(node), key=lambda k: (aside[k], k)):
            if after not in before:
                before[after] = node
                queue.append(after)
        if _low(parts[node]) < _low(parts[lowest]):
            lowest = node
    way = [lowest]
    while way[-1] != start:
        way.append(before[way[-1]])
    return Bearing(tuple(parts[k] for k in reversed(way)), lowest in ground)


def _beside(post: Box, low: Array, high: Array) -> list[float]:
    """How far in plan the boxes (n, 2) lie from the middle of the post, metres."""
    middle = post.centre[:2]
    aside = np.maximum(np.maximum(low - middle, middle - high), 0.0)
    return [round(gap, 4) for gap in np.hypot(aside[:, 0], aside[:, 1]).tolist()]


def _low(part: Part) -> float:
    return float(part.box.low[2]) if part.box is not None else 0.0


def _bears(upper: Box, lower: Box, limit: float) -> bool:
    """Whether the underside of one box rests on the top of another within the limit, overlapping in plan."""
    if abs(float(upper.low[2] - lower.high[2])) > limit:
        return False
    overlap = np.minimum(upper.high[:2], lower.high[:2]) - np.maximum(upper.low[:2], lower.low[:2])
    return bool((overlap > OVERLAP).all())
