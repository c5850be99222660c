"""Pieces of sill and sole plate on the foundation, with the anchor bolts through each."""

from __future__ import annotations

import numpy as np

from modellint.graph.foundation import foundations, under_point
from modellint.graph.house import House
from modellint.graph.wall_nodes import PlatePiece, WallLine
from modellint.ifc.solid import Array
from modellint.roles.part import Part

# a plate lies on concrete when its underside is within 30 mm of it (common practice, no source)
ON_CONCRETE = 0.030
# a gap between two lengths of plate wider than this ends a piece (common practice, no source)
PIECE_GAP = 0.003


def plate_pieces(house: House, lines: tuple[WallLine, ...]) -> tuple[PlatePiece, ...]:
    """Drawn plates that lie on concrete; under shear walls without any drawn plate, the sole cut at doors."""
    ground = foundations(house)
    bolts = [bolt for bolt in house.with_role("anchor_bolt") if bolt.box is not None]
    pieces: list[PlatePiece] = []
    lines_with_plate = set()
    for plate in house.with_role("sill_plate", "bottom_plate", "plate"):
        line = next((row for row in lines if _under(row, plate)), None)
        found = _drawn(house, plate, line, ground)
        pieces += found
        if found and line is not None:
            lines_with_plate.add(line.key)
    for line in lines:
        if line.key not in lines_with_plate:
            pieces += _assumed(line, ground)
    return tuple(sorted((_with_bolts(piece, bolts) for piece in pieces), key=lambda piece: piece.key))


def _drawn(house: House, plate: Part, line: WallLine | None, ground: tuple[Part, ...]) -> list[PlatePiece]:
    """The lengths of one drawn plate that lie on concrete; gaps up to the setting piece_gap are none."""
    box = plate.box
    level = [] if box is None else [k for k in range(3) if abs(float(box.axes[k, 2])) < 0.5]
    if box is None or len(level) != 2:
        return []
    longest, thin = sorted(level, key=lambda k: -box.half[k])
    direction = box.axes[longest, :2].copy()
    if line is not None and float(direction @ line.direction) < 0:
        direction = -direction
    start = box.centre[:2] - direction * box.half[longest]
    spans = _spans(plate, np.append(direction, 0.0), house.limit("piece_gap", PIECE_GAP))
    low, high, width = float(box.low[2]), float(box.high[2]), 2 * float(box.half[thin])
    base = float(start @ direction)
    found = []
    for k, (near, far) in enumerate(spans):
        key = plate.key if len(spans) == 1 else f"{plate.key}@piece:{k}"
        piece = PlatePiece(key, plate, line, start + direction * (near - base), direction, far - near, width,
                           low, high)
        if _on_concrete(piece, ground):
            found.append(piece)
    return found


def _spans(plate: Part, direction: Array, gap: float) -> list[tuple[float, float]]:
    spans: list[tuple[float, float]] = []
    for low, high in sorted(solid.box.extent(direction) for solid in plate.solids):
        if spans and low - spans[-1][1] <= gap + 1e-6:
            spans[-1] = (spans[-1][0], max(spans[-1][1], high))
        else:
            spans.append((low, high))
    return spans


def _on_concrete(piece: PlatePiece, ground: tuple[Part, ...]) -> bool:
    middle = piece.start + piece.direction * piece.length / 2
    under = under_point(ground, float(middle[0]), float(middle[1]), piece.bottom + ON_CONCRETE, 0.0)
    return bool(under) and abs(under[0].top - piece.bottom) <= ON_CONCRETE


def _under(line: WallLine, plate: Part) -> bool:
    box = plate.box
    if box is None or abs(float(line.across(box.centre)[0])) > line.thickness / 2:
        return False
    along = line.along(box.corners)
    return bool(float(along.max()) > 0.02 and float(along.min()) < line.length - 0.02
                and abs(float(box.low[2]) - line.bottom) < 0.2 and _parallel(line, box.axes, box.half))


def _parallel(line: WallLine, axes: Array, half: Array) -> bool:
    longest = axes[int(np.argmax(half)), :2]
    return abs(float(longest @ line.direction)) > 0.95


def _assumed(line: WallLine, ground: tuple[Part, ...]) -> list[PlatePiece]:
    if line.shear is None or not line.segments:
        return []
    middle = line.point(line.length / 2, line.bottom)
    under = under_point(ground, float(middle[0]), float(middle[1]), line.bottom + ON_CONCRETE, 0.0)
    if not under or abs(under[0].top - line.bottom) > ON_CONCRETE:
        return []
    cuts = sorted((row.start, row.end) for row in line.openings if row.is_door)
    start = 0.0
    found: list[PlatePiece] = []
    for low, high in [*cuts, (line.length, line.length)]:
        if low - start > 0.1:
            origin = line.origin + line.direction * start
            found.append(
                PlatePiece(
                    f"{line.key}@sole:{len(found)}",
                    line.walls[0],
                    line,
                    origin,
                    line.direction,
                    low - start,
                    line.thickness,
                    line.bottom,
                    line.bottom + 0.038,
                    assumed=True,
                )
            )
        start = max(start, high)
    return found


def _with_bolts(piece: PlatePiece, bolts: list[Part]) -> PlatePiece:
    normal = np.array([-piece.direction[1], piece.direction[0]])
    found = []
    for bolt in bolts:
        box = bolt.box
        if box is None:
            continue
        offset = box.centre[:2] - piece.start
        along, across = float(offset @ piece.direction), abs(float(offset @ normal))
        through = float(box.low[2]) < piece.bottom + 0.005 and float(box.high[2]) > piece.bottom + 0.005
        if through and across <= piece.width / 2 and -0.001 <= along <= piece.length + 0.001:
            found.append((bolt, round(along, 5)))
    piece.bolts = tuple(sorted(found, key=lambda row: (row[1], row[0].key)))
    return piece
