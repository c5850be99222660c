"""Openings in a wall line and the full-height segments between them."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from modellint.graph.house import House
from modellint.graph.wall_nodes import LineOpening, WallLine, WallSegment
from modellint.ifc.model import Note
from modellint.ifc.solid import Array
from modellint.roles.part import Part

# an opening under 300 mm both ways is a penetration; a segment under 300 mm is dropped (design limits,
# common practice, no source)
PENETRATION, SHORTEST = 0.300, 0.300
# an opening leaves full height only if wall of that height remains above or below (a storey-high pier)
SAME = 0.020


def add_segments(house: House, lines: tuple[WallLine, ...]) -> tuple[WallSegment, ...]:
    """Fill in openings and segments of all shear lines; returns the segments sorted by key."""
    voids = _stated_openings(house)
    fillings = house.with_role("window", "door")
    plates = house.with_role("bottom_plate", "sill_plate", "top_plate", "plate")
    for line in lines:
        if line.shear is None:
            continue
        line.openings = _openings(house, line, voids, fillings)
        _cut(house, line, [plate for plate in plates if _lies_in(line, plate)])
    return tuple(sorted((segment for line in lines for segment in line.segments), key=lambda row: row.key))


def _stated_openings(house: House) -> dict[str, list[tuple[str, Array]]]:
    """Wall key to (key of filling or opening, corner points) by IfcRelVoidsElement and IfcRelFills."""
    elements = house.model.elements
    filling = {rel.first: rel.second for rel in house.relations if rel.kind == "fills"}
    found: dict[str, list[tuple[str, Array]]] = defaultdict(list)
    for rel in house.relations:
        if rel.kind != "voids" or rel.second not in elements:
            continue
        opening = elements[rel.second]
        filler = elements.get(filling.get(rel.second, ""))
        solids = opening.solids or (filler.solids if filler else ())
        if solids:
            key = filler.key if filler else opening.key
            found[rel.first].append((key, np.vstack([solid.box.corners for solid in solids])))
    return found


def _openings(house: House, line: WallLine, voids: dict[str, list[tuple[str, Array]]],
              fillings: tuple[Part, ...]) -> tuple[LineOpening, ...]:
    rows: dict[str, LineOpening] = {}
    hosts = {key for wall in line.walls for key in (wall.element.key, *(leaf.key for leaf in wall.members))}
    for host in sorted(hosts):
        for key, corners in voids.get(host, ()):
            rows.setdefault(key, _opening(line, key, corners))
    for part in fillings:
        box = part.box
        if box is None or part.element.key in rows or not _lies_in(line, part):
            continue
        rows.setdefault(part.element.key, _opening(line, part.element.key, box.corners))
    size = house.limit("opening_size", PENETRATION)
    keep = [row for row in rows.values() if row.end - row.start > size or row.top - row.bottom > size]
    return tuple(sorted(keep, key=lambda row: (row.start, row.key)))


def _opening(line: WallLine, key: str, corners: Array) -> LineOpening:
    along = line.along(corners)
    bottom, top = float(corners[:, 2].min()), float(corners[:, 2].max())
    return LineOpening(key, max(float(along.min()), 0.0), min(float(along.max()), line.length), bottom, top,
                       bottom <= line.bottom + 0.15)


def _lies_in(line: WallLine, part: Part) -> bool:
    box = part.box
    if box is None:
        return False
    along, across = float(line.along(box.centre)[0]), abs(float(line.across(box.centre)[0]))
    middle = float(box.centre[2])
    return (-0.05 <= along <= line.length + 0.05 and across <= line.thickness / 2 + 0.02
            and line.bottom - 0.05 <= middle <= line.top + 0.05)


def _cut(house: House, line: WallLine, plates: list[Part]) -> None:
    size, shortest = house.limit("opening_size", PENETRATION), house.limit("segment_length", SHORTEST)
    blocks = [row for row in line.openings if row.end - row.start > size]
    start, pieces, before = 0.0, [], ""
    for row in sorted(blocks, key=lambda row: row.start):
        pieces.append((start, row.start, before, row.key))
        if row.end >= start:
            start, before = row.end, row.key
    pieces.append((start, line.length, before, ""))
    for low, high, left, right in pieces:
        if high - low < shortest:
            if high - low > SAME:
                house.model.notes.append(
                    Note(
                        "segment-too-short",
                        f"{line.said}, {line.storey}: a length of {1000 * (high - low):.0f} mm "
                        "between openings is too short to count as a shear segment.",
                        global_id=line.key,
                    )
                )
            continue
        sole, top = _heights(line, low, high, plates)
        key = f"{line.key}@{left or 'start'}..{right or 'end'}"
        line.segments.append(WallSegment(key, line, low, high, sole, top, left, right))


def _heights(line: WallLine, low: float, high: float, plates: list[Part]) -> tuple[float, float]:
    """Bottom of the sole and top of the top plate over the segment; of the wall where plates are undrawn."""
    soles, tops = [], []
    for plate in plates:
        box = plate.box
        if box is None:
            continue
        reach = line.along(box.corners)
        if float(reach.min()) > high - 0.05 or float(reach.max()) < low + 0.05:
            continue
        below_middle = float(box.centre[2]) < (line.bottom + line.top) / 2
        if below_middle and not plate.has("top_plate"):
            soles.append(float(box.low[2]))
        elif not below_middle:
            tops.append(float(box.high[2]))
    return min(soles, default=line.bottom), max(tops, default=line.top)
