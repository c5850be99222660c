"""Room round a vent for a fan: the longest clear cylinder on an upright stretch in the attic."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from modellint.contacts.polylines import usable
from modellint.contacts.surfaces import all_triangles
from modellint.graph.house import House
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.vent_stretches import VentStretch
from modellint.ifc.solid import Array, Box
from modellint.roles.part import Part

Hits = NDArray[np.bool_]
# points at which a cylinder is looked at: every 20 mm of height, on two rings (judgement, no source)
STEP, ANGLES, RINGS = 0.020, 12, (0.5, 1.0)
# what does not count as in the way, as it hangs on the pipe itself
ON_PIPE = ("label", "pipe_support", "window", "door", "opening")


@dataclass(frozen=True, eq=False)
class FanRoom:
    """The longest clear height on a stretch, and what ends it above and below.

    Attributes:
        height: metres, counting the boxes of all parts.
        most: the same without parts of which only a loose box is known (meshes, cut bodies).
    """

    height: float
    most: float
    stretch: VentStretch
    ended_by: tuple[Part, ...]


def attic_floor(house: House, run: VentRun) -> float | None:
    """Height from which a vent passes an attic, None where no attic storey is named."""
    lows = [node.low for node in house.nodes.get("vent_storey", ()) if node.run is run and node.attic]
    return min(lows) if lows else None


def fan_room(house: House, run: VentRun, diameter: float) -> FanRoom | None:
    """Longest clear cylinder of a diameter round an upright stretch of a run in the attic.

    Boxes of all parts in the house but the vent's own count as in the way. None without an attic or without an
    upright stretch there.
    """
    floor = attic_floor(house, run)
    if floor is None:
        return None
    rooms = [
        _room(house, run, stretch, floor, diameter / 2)
        for stretch in house.nodes.get("vent_stretch", ())
        if stretch.run is run and stretch.upright and float(stretch.line[:, 2].max()) > floor
    ]
    return max(rooms, key=lambda room: (round(room.height, 4), room.stretch.key), default=None)


def _room(house: House, run: VentRun, stretch: VentStretch, floor: float, radius: float) -> FanRoom:
    low, high = sorted(float(z) for z in stretch.line[:, 2])
    low = max(low, floor)
    levels = np.linspace(low, high, max(round((high - low) / STEP), 1) + 1)
    way = stretch.line[np.argsort(stretch.line[:, 2])]
    centres = np.column_stack([np.interp(levels, way[:, 2], way[:, k]) for k in (0, 1)] + [levels])
    turn = np.linspace(0.0, 2 * np.pi, ANGLES, endpoint=False)
    ring = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(ANGLES)])
    disc = np.vstack([np.zeros((1, 3)), *(ring * radius * share for share in RINGS)])
    own = {part.key for part in run.parts}
    sure: list[Part | None] = [None] * len(levels)
    maybe: list[Part | None] = [None] * len(levels)
    for part in _near(house, own, centres, radius):
        for solid in part.solids:
            roof = part.has("roof")
            hits = (
                _over(all_triangles((solid,)), centres, disc) if roof else _inside(solid.box, centres, disc)
            )
            tight = roof or (solid.mesh is None and not solid.clipped)
            for k in map(int, np.flatnonzero(hits)):
                maybe[k] = maybe[k] or part
                sure[k] = sure[k] or (part if tight else None)
    height, ends = _longest(levels, maybe)
    return FanRoom(height, _longest(levels, sure)[0], stretch, ends)


def _over(triangles: Array, centres: Array, disc: Array) -> Hits:
    """Levels at which a point of the disc lies at or over the lowest roof surface straight above or below it."""
    spots = centres[0, :2] + disc[:, :2]
    a, b, c = (triangles[:, k, :] for k in range(3))
    area = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    flat = np.abs(area) > 1e-9
    a, b, c, area = a[flat], b[flat], c[flat], area[flat]
    x, y = spots[:, None, 0], spots[:, None, 1]
    u = ((x - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (y - a[:, 1])) / area
    v = ((b[:, 0] - a[:, 0]) * (y - a[:, 1]) - (x - a[:, 0]) * (b[:, 1] - a[:, 1])) / area
    heights = a[:, 2] + u * (b[:, 2] - a[:, 2]) + v * (c[:, 2] - a[:, 2])
    within = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9)
    lowest = float(np.where(within, heights, np.inf).min(initial=np.inf))
    hit: Hits = centres[:, 2] >= lowest
    return hit


def _near(house: House, own: set[str], centres: Array, radius: float) -> list[Part]:
    low, high = centres.min(axis=0) - radius, centres.max(axis=0) + radius
    return [
        part
        for part in house.parts.values()
        if part.key not in own
        and part.box is not None
        and part.roles
        and not part.has(*ON_PIPE)
        and usable(part.box.corners)
        and bool(np.all(part.box.low <= high) and np.all(part.box.high >= low))
    ]


def _inside(box: Box, centres: Array, disc: Array) -> Hits:
    points = (centres[:, None, :] + disc[None, :, :]).reshape(-1, 3)
    inside = np.all(np.abs(box.local(points)) <= box.half, axis=1)
    hit: Hits = inside.reshape(len(centres), len(disc)).any(axis=1)
    return hit


def _longest(levels: Array, blocked: list[Part | None]) -> tuple[float, tuple[Part, ...]]:
    best, start = 0.0, 0
    ends: tuple[Part, ...] = ()
    for k in range(len(levels) + 1):
        if k < len(levels) and blocked[k] is None:
            continue
        height = float(levels[k - 1] - levels[start]) if k > start else 0.0
        if height > best:
            around = (blocked[start - 1] if start else None, blocked[k] if k < len(levels) else None)
            best, ends = height, tuple(part for part in around if part is not None)
        start = k + 1
    return best, ends
