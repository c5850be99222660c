"""On which storeys a vent is to be seen, and the labels it has there."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable

import numpy as np

from modellint.contacts.boxes import line_gap
from modellint.contacts.polylines import usable
from modellint.graph.house import House
from modellint.graph.layer import Layer
from modellint.graph.pipe_nodes import PipeLimits, VentRun, VentStorey
from modellint.graph.roof_surface import Roof
from modellint.graph.storeys import storeys_of
from modellint.ifc.solid import Array
from modellint.roles.part import Part

SEEN = 0.5  # metres of pipe on a storey below which it does not count as passing there (judgement, no source)
_ATTIC = re.compile(r"\b(attic|roof|loft|eaves)\b", re.IGNORECASE)


def vent_storeys_of(
    house: House, run: VentRun, layers: tuple[Layer, ...], roof: Roof, limits: PipeLimits
) -> list[VentStorey]:
    """Storeys a run passes, lowest first, each with its labels."""
    storeys = storeys_of(house.model, house.key)
    floor = max((layer.top for layer in layers), default=-np.inf)
    ceiling = float(roof.triangles[:, :, 2].max()) if roof.drawn else np.inf
    labels = [part for part in house.with_role("label") if part.box is not None and usable(part.box.corners)]
    bare = [part for part in house.with_role("label") if part not in labels]
    found = []
    for k, node in enumerate(storeys):
        low = max(node.elevation, floor)
        high = min(storeys[k + 1].elevation if k + 1 < len(storeys) else np.inf, ceiling)
        pieces = _seen(run, low, high)
        if not pieces:
            continue
        name = node.name
        near = [
            part
            for part in labels
            if low <= float(part.box.centre[2]) < high  # type: ignore[union-attr]
            and _beside(part, run, limits.label_reach)
        ]
        near += [part for part in bare if part.element.storey == node.key]
        attic = k > 0 and bool(_ATTIC.search(name))
        found.append(
            VentStorey(
                f"{run.key}@{node.key}",
                run,
                name,
                low,
                high,
                tuple(pieces),
                tuple(sorted(near, key=lambda part: part.key)),
                attic,
            )
        )
    return found


def _lines(run: VentRun) -> Iterable[tuple[Part, Array]]:
    for piece in run.network.pieces.values():
        if (
            piece.kind == "pipe"
            and piece.line is not None
            and run.network.colour_of.get(piece.part.key) != "plumbing"
        ):
            yield piece.part, piece.line


def _seen(run: VentRun, low: float, high: float) -> list[Part]:
    """Pieces with some length between two levels, if it comes to half a metre in all."""
    found, total = [], 0.0
    for part, line in _lines(run):
        inside = sum(_between(a, b, low, high) for a, b in itertools.pairwise(line))
        if inside > 0.01:
            found.append(part)
            total += inside
    return found if total >= SEEN else []


def _between(a: Array, b: Array, low: float, high: float) -> float:
    bottom, top = sorted((float(a[2]), float(b[2])))
    length = float(np.linalg.norm(b - a))
    if top - bottom < 1e-9:
        return length if low <= bottom < high else 0.0
    return length * max(min(top, high) - max(bottom, low), 0.0) / (top - bottom)


def _beside(part: Part, run: VentRun, reach: float) -> bool:
    assert part.box is not None
    return any(line_gap(part.box, line) <= reach for _, line in _lines(run))
