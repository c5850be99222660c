"""Collectors under the slab: what each side of a suction tee reaches, loops, and pipes through a sheet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from modellint.contacts.polylines import arc_lengths, usable
from modellint.contacts.surfaces import plan_of
from modellint.graph.house import House
from modellint.graph.pipe_nodes import Network, Piece
from modellint.ifc.solid import Array
from modellint.roles.part import Part

WALLS = ("stem_wall", "footing")
# a pipe pierces a sheet when its axis passes through at least this share of its depth (judgement, no source)
THROUGH = 0.5


@dataclass(frozen=True)
class Side:
    """One mouth of a suction fitting.

    Attributes:
        first: the piece joined there.
        sure, possible: perforated length reached from it without passing the fitting, metres.
        pieces: parts reached.
    """

    first: Part
    sure: float
    possible: float
    pieces: tuple[Part, ...]


def neighbours(network: Network) -> dict[str, tuple[str, ...]]:
    """Part key to the keys of the parts joined to it, sorted; joints of any state."""
    near: dict[str, set[str]] = {}
    for joint in network.joints:
        a, b = joint.first.part.key, joint.second.part.key
        near.setdefault(a, set()).add(b)
        near.setdefault(b, set()).add(a)
    return {key: tuple(sorted(others)) for key, others in near.items()}


def reach(near: dict[str, tuple[str, ...]], start: str, without: str) -> set[str]:
    """Parts reached from a start without passing one part."""
    seen, queue = {start}, [start]
    while queue:
        fresh = set(near.get(queue.pop(), ())) - seen - {without}
        seen |= fresh
        queue += sorted(fresh)
    return seen


def sides_of(network: Network, fitting: Part) -> tuple[Side, ...]:
    """Level mouths of a suction fitting with the perforated pipe they lead to; the riser's is left out."""
    near = neighbours(network)
    found = []
    for key in near.get(fitting.key, ()):
        reached = reach(near, key, fitting.key)
        pieces = [network.pieces[one] for one in sorted(reached)]
        if _goes_up(network.pieces[key], fitting) or not any(_level(piece, fitting) for piece in pieces):
            continue
        sure = sum(_length(piece) for piece in pieces if piece.perforated)
        maybe = sum(_length(piece) for piece in pieces if piece.perforated is None and _level(piece, fitting))
        parts = tuple(piece.part for piece in pieces if _level(piece, fitting))
        found.append(Side(network.pieces[key].part, sure, sure + maybe, parts))
    return tuple(found)


def _goes_up(piece: Piece, fitting: Part) -> bool:
    if piece.line is None:
        return False
    step = piece.line[-1] - piece.line[0]
    return abs(float(step[2])) > float(np.hypot(*step[:2]))


def _level(piece: Piece, fitting: Part) -> bool:
    """A pipe that lies about as deep as the fitting (within 300 mm; judgement, no source)."""
    if piece.line is None or fitting.box is None:
        return False
    return bool(np.all(np.abs(piece.line[:, 2] - fitting.box.centre[2]) <= 0.3))


def _length(piece: Piece) -> float:
    return float(arc_lengths(piece.line)[-1]) if piece.line is not None else 0.0


def in_loop(network: Network, part: Part) -> bool:
    """Whether both ends of a pipe hang together without it."""
    near = neighbours(network)
    others = near.get(part.key, ())
    return len(others) >= 2 and others[1] in reach(near, others[0], part.key)


def wall_distance(house: House, piece: Piece) -> tuple[float, Part] | None:
    """Least distance in plan from a pipe's outside to the nearest foundation wall beside it, and that wall.

    Walls whose height interval holds the pipe's axis count; stem walls first, footings where none is drawn.
    """
    import shapely

    if piece.line is None or not usable(piece.line):
        return None
    way = shapely.LineString(piece.line[:, :2])
    level = float(piece.line[:, 2].mean())
    for role in WALLS:
        rows = [
            (float(plan_of(part.solids).distance(way)), part.key, part)
            for part in house.with_role(role)
            if part.box is not None and float(part.box.low[2]) <= level <= float(part.box.high[2])
        ]
        if rows:
            distance, _, part = min(rows, key=lambda row: row[:2])
            return max(distance - (piece.radius or 0.0), 0.0), part
    return None


def pipes_through_sheet(house: House, sheet: Part, pieces: dict[str, Piece]) -> tuple[Part, ...]:
    """Pipes and ducts whose axis passes through a slab or membrane from top to bottom, by key."""
    import shapely

    if sheet.box is None or not usable(sheet.box.corners):
        return ()
    low, high = float(sheet.box.low[2]), float(sheet.box.high[2])
    thick = max(high - low, 1e-6)
    plan = None
    found = []
    for part in house.with_role("vent_pipe", "plumbing_pipe", "pipe", "duct"):
        line = pieces[part.key].line if part.key in pieces else part.axis
        if line is None or not usable(line):
            continue
        # a pipe that starts in a fitting within the slab, or ends flush with its top, has passed through it
        inside = min(float(line[:, 2].max()), high) - max(float(line[:, 2].min()), low)
        if inside < THROUGH * thick:
            continue
        plan = plan_of(sheet.solids) if plan is None else plan
        if plan.contains(shapely.Point(_at_level(line, (low + high) / 2))):
            found.append(part)
    return tuple(found)


def _at_level(line: Array, level: float) -> tuple[float, float]:
    order = np.argsort(line[:, 2])
    return tuple(float(np.interp(level, line[order, 2], line[order, k])) for k in (0, 1))  # type: ignore[return-value]
