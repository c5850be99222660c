"""Which boxes touch: world-aligned candidates from a search tree, then oriented boxes."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
from numpy.typing import NDArray

from modellint.ifc.solid import Array, Box


def near_pairs(boxes: Sequence[Box | None], reach: float) -> NDArray[np.int64]:
    """Index pairs (n, 2), first < second, whose world-aligned boxes come within `reach` metres; sorted."""
    import shapely

    known = [k for k, box in enumerate(boxes) if box is not None]
    if len(known) < 2:
        return np.empty((0, 2), dtype=np.int64)
    low = np.array([boxes[k].low for k in known])  # type: ignore[union-attr]
    high = np.array([boxes[k].high for k in known])  # type: ignore[union-attr]
    plan = shapely.box(low[:, 0] - reach, low[:, 1] - reach, high[:, 0], high[:, 1])
    first, second = shapely.STRtree(plan).query(plan)
    keep = (
        (first < second)
        & (low[first, 2] - reach <= high[second, 2])
        & (low[second, 2] - reach <= high[first, 2])
    )
    pairs = np.array(known, dtype=np.int64)[np.column_stack([first[keep], second[keep]])]
    ordered: NDArray[np.int64] = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    return ordered


def touching(
    boxes: Sequence[Box | None], reach: float, asking: Collection[int] | None = None
) -> list[list[int]]:
    """For each box the indices of those within `reach` metres (overlap included), ascending.

    Args:
        boxes: None for parts without shape; they touch nothing.
        reach: metres.
        asking: only pairs with one of these indices are looked at; None for all.
    """
    neighbours: list[list[int]] = [[] for _ in boxes]
    pairs = near_pairs(boxes, reach)
    if asking is not None:
        wanted = np.zeros(len(boxes), dtype=bool)
        wanted[list(asking)] = True
        pairs = pairs[wanted[pairs[:, 0]] | wanted[pairs[:, 1]]]
    for a, b in pairs[box_gaps(boxes, pairs) <= reach].tolist():
        neighbours[a].append(b)
        neighbours[b].append(a)
    return [sorted(row) for row in neighbours]


def box_gaps(boxes: Sequence[Box | None], pairs: NDArray[np.int64]) -> Array:
    """Gap of each pair of oriented boxes by separating axes, metres; as boxes.box_gap, all pairs at once."""
    if not len(pairs):
        return np.empty(0)
    used, rows = np.unique(pairs, return_inverse=True)
    found = [boxes[k] for k in used.tolist()]
    rows = rows.reshape(-1, 2)
    centre = np.array([box.centre for box in found if box is not None])
    axes = np.array([box.axes for box in found if box is not None])
    half = np.array([box.half for box in found if box is not None])
    one, other = rows[:, 0], rows[:, 1]
    offset = centre[other] - centre[one]
    best = np.full(len(rows), -np.inf)
    cross = np.cross(axes[one][:, :, None, :], axes[other][:, None, :, :]).reshape(len(rows), 9, 3)
    size = np.linalg.norm(cross, axis=2, keepdims=True)
    directions = np.concatenate(
        [axes[one], axes[other], np.where(size > 1e-6, cross / np.maximum(size, 1e-6), 0.0)], axis=1
    )
    for k in range(directions.shape[1]):
        direction = directions[:, k]
        reach_one = (np.abs(np.einsum("nij,nj->ni", axes[one], direction)) * half[one]).sum(axis=1)
        reach_other = (np.abs(np.einsum("nij,nj->ni", axes[other], direction)) * half[other]).sum(axis=1)
        gap = np.abs((offset * direction).sum(axis=1)) - reach_one - reach_other
        usable = np.abs(direction).sum(axis=1) > 0.5
        best = np.where(usable, np.maximum(best, gap), best)
    return best
