"""Room round a vent for a fan: the longest clear cylinder on an upright stretch in each place it may stand in."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from modellint.contacts.polylines import usable
from modellint.contacts.surfaces import all_triangles
from modellint.graph.house import House
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.vent_places import Places, places_of
from modellint.graph.vent_stretches import VentStretch
from modellint.ifc.solid import Array, Box
from modellint.roles.part import Part

Hits = NDArray[np.bool_]
# points at which a cylinder is looked at: every 20 mm of height, on two rings (judgement, no source)
STEP, ANGLES, RINGS = 0.020, 12, (0.5, 1.0)
# what does not count as in the way, as it hangs on the pipe itself
ON_PIPE = ("label", "pipe_support", "window", "door", "opening")
# over the roof the pipe is cut and goes on above the fan, so room is looked for up to here over the mouth, metres
# (judgement, no source)
OPEN_AIR = 1.5


@dataclass(frozen=True, eq=False)
class FanRoom:
    """The longest clear height on a stretch in one place, and what ends it above and below.

    Attributes:
        place: `attic`, `outdoors` or `garage`.
        height: metres, counting the boxes of all parts.
        most: the same without parts of which only a loose box is known (meshes, cut bodies).
        point: (3,) on the pipe, the middle of the clear height.
    """

    place: str
    height: float
    most: float
    stretch: VentStretch
    ended_by: tuple[Part, ...]
    point: Array


def fan_rooms(house: House, run: VentRun, diameter: float) -> tuple[FanRoom, ...]:
    """The longest clear cylinder of a diameter round upright stretches of a run, for each allowed place.

    Allowed are attics, outdoors, and garages with no living space above (RRNC-2020 701.2). Boxes of all parts in
    the house but the vent's own count as in the way.
    """
    places = places_of(house, run)
    best: dict[str, FanRoom] = {}
    for stretch in house.nodes.get("vent_stretch", ()):
        if stretch.run is not run or not stretch.upright:
            continue
        for room in _rooms(house, run, stretch, places, diameter / 2):
            known = best.get(room.place)
            if known is None or (round(room.height, 4), room.stretch.key) > (round(known.height, 4), known.stretch.key):
                best[room.place] = room
    return tuple(best[place] for place in sorted(best))


def _place(places: Places, point: Array) -> str:
    kind = places.kind(point)
    if kind == "garage":
        return "" if places.lived_above(point) is not None else "garage"
    return kind if kind in {"attic", "outdoors"} else ""


def _rooms(house: House, run: VentRun, stretch: VentStretch, places: Places, radius: float) -> list[FanRoom]:
    low, high = sorted(float(z) for z in stretch.line[:, 2])
    way = stretch.line[np.argsort(stretch.line[:, 2])]
    if _place(places, way[-1]) == "outdoors":
        high += OPEN_AIR
    levels = np.linspace(low, high, max(round((high - low) / STEP), 1) + 1)
    centres = np.column_stack([np.interp(levels, way[:, 2], way[:, k]) for k in (0, 1)] + [levels])
    kinds = [_place(places, point) for point in centres]
    if not any(kinds):
        return []
    turn = np.linspace(0.0, 2 * np.pi, ANGLES, endpoint=False)
    ring = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(ANGLES)])
    disc = np.vstack([np.zeros((1, 3)), *(ring * radius * share for share in RINGS)])
    maybe, sure = _blocked(house, {part.key for part in run.parts}, centres, disc, kinds)
    found = []
    for kind, group in groupby(range(len(levels)), key=lambda k: kinds[k]):
        rows = list(group)
        if kind:
            at = slice(rows[0], rows[-1] + 1)
            height, ends, middle = _longest(levels[at], maybe[at])
            most = _longest(levels[at], sure[at])[0]
            found.append(FanRoom(kind, height, most, stretch, ends, centres[rows[0] + middle]))
    return found


def _blocked(
    house: House, own: set[str], centres: Array, disc: Array, kinds: list[str]
) -> tuple[list[Part | None], list[Part | None]]:
    """For each level a part whose box stands in the cylinder, and one whose body surely does."""
    maybe: list[Part | None] = [None] * len(centres)
    sure: list[Part | None] = [None] * len(centres)
    outside = np.array([kind == "outdoors" for kind in kinds])
    for part in _near(house, own, centres, float(np.abs(disc).max())):
        roof = part.has("roof")
        for solid in part.solids:
            if roof:
                triangles = all_triangles((solid,))
                hits = np.where(outside, _under(triangles, centres, disc), _over(triangles, centres, disc))
            else:
                hits = _inside(solid.box, centres, disc)
            tight = roof or (solid.mesh is None and not solid.clipped)
            for k in map(int, np.flatnonzero(hits)):
                maybe[k] = maybe[k] or part
                sure[k] = sure[k] or (part if tight else None)
    return maybe, sure


def _over(triangles: Array, centres: Array, disc: Array) -> Hits:
    """Levels at or over the lowest roof surface straight above or below any point of the disc."""
    heights = _heights(triangles, centres, disc)
    hit: Hits = centres[:, 2] >= float(heights.min(initial=np.inf))
    return hit


def _under(triangles: Array, centres: Array, disc: Array) -> Hits:
    """Levels at or under the highest roof surface straight above or below any point of the disc."""
    heights = _heights(triangles, centres, disc)
    hit: Hits = centres[:, 2] <= float(heights[np.isfinite(heights)].max(initial=-np.inf))
    return hit


def _heights(triangles: Array, centres: Array, disc: Array) -> Array:
    """Heights of the surface over each point of the disc, infinite where a triangle is not over it."""
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
    found: Array = np.where(within, heights, np.inf)
    return found


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


def _longest(levels: Array, blocked: list[Part | None]) -> tuple[float, tuple[Part, ...], int]:
    """The longest clear height, the parts that end it, and the number of its middle level."""
    best, start, middle = 0.0, 0, 0
    ends: tuple[Part, ...] = ()
    for k in range(len(levels) + 1):
        if k < len(levels) and blocked[k] is None:
            continue
        height = float(levels[k - 1] - levels[start]) if k > start else 0.0
        if height > best:
            around = (blocked[start - 1] if start else None, blocked[k] if k < len(levels) else None)
            best, ends = height, tuple(part for part in around if part is not None)
            middle = (start + k - 1) // 2
        start = k + 1
    return best, ends, middle
