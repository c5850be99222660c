"""Which boxes touch: world-aligned candidates from a search tree, then oriented boxes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from modellint.contacts.boxes import box_gap
from modellint.ifc.solid import Box


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
    keep = (first < second) & (low[first, 2] - reach <= high[second, 2]) & (low[second, 2] - reach <= high[first, 2])
    pairs = np.array(known, dtype=np.int64)[np.column_stack([first[keep], second[keep]])]
    return pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]


def touching(boxes: Sequence[Box | None], reach: float) -> list[list[int]]:
    """For each box the indices of those within `reach` metres (overlap included), ascending."""
    neighbours: list[list[int]] = [[] for _ in boxes]
    for a, b in near_pairs(boxes, reach).tolist():
        one, other = boxes[a], boxes[b]
        if one is not None and other is not None and box_gap(one, other) <= reach:
            neighbours[a].append(b)
            neighbours[b].append(a)
    return [sorted(row) for row in neighbours]
