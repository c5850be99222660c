"""The soil-gas vent unrolled into one plane: plan length walked from the suction point, and height."""

from __future__ import annotations

from typing import Any

import numpy as np

from modellint.contacts.polylines import usable
from modellint.contacts.surfaces import height_under_circle
from modellint.drawings.frame import mm
from modellint.graph.fall import fall_of
from modellint.graph.house import House
from modellint.graph.openings_near import neighbours_within, straight_gap, string_between, surroundings_of
from modellint.graph.pipe_nodes import Piece, VentRun
from modellint.graph.soil_gas import limits_of
from modellint.graph.storeys import storeys_of
from modellint.ifc.solid import Array

NEAR, MOST = 6.0, 4  # openings this near to the exit are drawn, metres; at most so many
STEP = 0.15  # spacing of roof heights, metres


def risers(house: House) -> list[dict[str, Any]]:
    """One diagram per vent run that has any place."""
    made = []
    for run in house.nodes.get("vent_run", ()):
        walk = _Walk(run)
        if walk.rows:
            made.append(_riser(house, run, walk))
    return made


class _Walk:
    """Pieces laid out along the way, each with its (s, z) line.

    Attributes:
        rows: part key to `(points (n, 3), s (n,))`.
    """

    def __init__(self, run: VentRun) -> None:
        self.run = run
        self.rows: dict[str, tuple[Array, Array]] = {}
        self.main: list[str] = []
        self._along_order()
        self._branches()

    def _along_order(self) -> None:
        cursor: Array | None = None
        s = 0.0
        order = [key for key in self.run.order if key in self.run.network.pieces]
        for k, key in enumerate(order):
            ahead = _points(self.run.network.pieces[order[k + 1]]) if k + 1 < len(order) else None
            points = _oriented(self.run.network.pieces[key], cursor, ahead)
            if points is None:
                continue
            if cursor is not None:
                s += float(np.hypot(*(points[0] - cursor)[:2]))
            self.rows[key] = (points, s + _plan_lengths(points))
            self.main.append(key)
            cursor, s = points[-1], float(self.rows[key][1][-1])

    def _branches(self) -> None:
        """Pieces beside the main way, drawn away from it to the left, in the order they are met."""
        waiting = True
        while waiting:
            waiting = False
            for joint in self.run.network.joints:
                one, other = joint.first.part.key, joint.second.part.key
                if (one in self.rows) == (other in self.rows):
                    continue
                known, new = (one, other) if one in self.rows else (other, one)
                start = joint.first.point if joint.first.point is not None else joint.second.point
                if start is None:
                    continue
                points = _oriented(self.run.network.pieces[new], start, None)
                if points is not None:
                    self.rows[new] = (points, self._near(known, start) - _plan_lengths(points))
                    waiting = True

    def _near(self, key: str, point: Array) -> float:
        points, s = self.rows[key]
        return float(s[int(np.argmin(np.linalg.norm(points - point, axis=1)))])

    def at(self, key: str, point: Array) -> list[float]:
        """(s, z) of a world point on or beside a piece."""
        points, s = self.rows[key]
        if len(points) < 2:
            return [mm(s[0]), mm(point[2])]
        best: tuple[float, float] | None = None
        for k in range(len(points) - 1):
            way = points[k + 1] - points[k]
            size = float(way @ way)
            t = min(max(float((point - points[k]) @ way) / size, 0.0), 1.0) if size > 0 else 0.0
            off = float(np.linalg.norm(points[k] + t * way - point))
            if best is None or off < best[0]:
                best = (off, float(s[k] + t * (s[k + 1] - s[k])))
        return [mm(best[1] if best else s[0]), mm(point[2])]


def _points(piece: Piece) -> Array | None:
    """All points of a piece: its centre line, else its ends."""
    if piece.line is not None and usable(piece.line):
        return piece.line
    ends = [end.point for end in piece.ends if end.point is not None and usable(end.point)]
    if ends:
        return np.array(ends)
    box = piece.part.box
    return np.array([box.centre]) if box is not None and usable(box.corners) else None


def _oriented(piece: Piece, cursor: Array | None, ahead: Array | None) -> Array | None:
    """The points of a piece from where the way enters to where it leaves."""
    points = _points(piece)
    if points is None or len(points) < 2:
        return points
    if piece.line is None:  # a fitting: in at the end nearest to the way so far, out at the one nearest ahead
        first = _nearest(points, cursor) if cursor is not None else 0
        rest = [k for k in range(len(points)) if k != first]
        last = _nearest(points, ahead[0], ahead[-1]) if ahead is not None else rest[-1]
        if cursor is None:
            first = next((k for k in range(len(points)) if k != last), first)
        pair: Array = points[[first, last if last != first else rest[-1]]]
        return pair
    if cursor is not None:
        turned = np.linalg.norm(points[-1] - cursor) < np.linalg.norm(points[0] - cursor)
    else:
        turned = ahead is not None and bool(_off(points[0], ahead) < _off(points[-1], ahead))
    return points[::-1] if turned else points


def _off(point: Array, others: Array) -> float:
    return float(np.linalg.norm(others - point, axis=1).min())


def _nearest(points: Array, *targets: Array) -> int:
    return int(np.argmin([min(float(np.linalg.norm(point - target)) for target in targets) for point in points]))


def _plan_lengths(points: Array) -> Array:
    steps = np.hypot(*(points[1:, :2] - points[:-1, :2]).T) if len(points) > 1 else np.empty(0)
    lengths: Array = np.concatenate([[0.0], np.cumsum(steps)])
    return lengths


def _riser(house: House, run: VentRun, walk: _Walk) -> dict[str, Any]:
    vertical = limits_of(house).vertical
    pieces = [_piece(walk, key, vertical) for key in (*walk.main, *sorted(walk.rows.keys() - set(walk.main)))]
    outlet = next((row for row in run.outlets if row.end.part.key in walk.rows and row.end.point is not None), None)
    mouth = walk.at(outlet.end.part.key, outlet.end.point) if outlet and outlet.end.point is not None else None
    layers = house.nodes.get("gravel_layer", ())
    return {
        "key": run.key,
        "name": run.name,
        "pieces": pieces,
        "exit": mouth,
        "roof": _roof(house, walk),
        "pools": [
            {
                "at": walk.at(pool.part.key, pool.point),
                "depth": mm(pool.depth),
                "litres": round(1000 * pool.volume, 2),
                "closed": round(pool.closed, 3),
                "id": pool.part.element.global_id,
            }
            for pool in run.pools
            if pool.part.key in walk.rows
        ],
        "breaks": _breaks(run, walk),
        "openings": _openings(house, outlet, mouth) if outlet is not None and mouth is not None else [],
        "storeys": [{"name": row.name, "z": mm(row.elevation)} for row in storeys_of(house.model, house.key)],
        "gravel": [mm(min(row.bottom for row in layers)), mm(max(row.top for row in layers))] if layers else None,
    }


def _piece(walk: _Walk, key: str, vertical: float) -> dict[str, Any]:
    piece = walk.run.network.pieces[key]
    points, s = walk.rows[key]
    bore = piece.bore[0] if piece.bore else 2 * (piece.radius or 0.05)
    fall = fall_of(piece, vertical) if piece.kind == "pipe" else None
    row: dict[str, Any] = {
        "id": piece.part.element.global_id,
        "name": piece.part.name,
        "kind": piece.kind,
        "role": max(sorted(piece.part.roles), key=lambda role: piece.part.roles[role], default=piece.kind),
        "main": key in walk.main,
        "line": [[mm(a), mm(p[2])] for a, p in zip(s, points, strict=True)],
        "radius": mm(piece.radius or bore / 2),
        "bore": mm(bore) if piece.bore else None,
        "nominal": [mm(value) for value in piece.nominal] if piece.nominal else None,
        "outside": mm(piece.outside) if piece.outside else None,
    }
    if fall is not None:
        row["fall"] = {
            "low": round(fall.low, 5) + 0.0,
            "high": round(fall.high, 5) + 0.0,
            "upright": fall.upright,
            "drop": mm(fall.drop),
            "run": mm(fall.run),
        }
    return row


def _breaks(run: VentRun, walk: _Walk) -> list[dict[str, Any]]:
    found = []
    for joint in sorted(run.network.joints, key=lambda row: row.key):
        ends = [end for end in (joint.first, joint.second) if end.part.key in walk.rows and end.point is not None]
        if joint.state == "joined" or not ends:
            continue
        spots = [walk.at(end.part.key, end.point) for end in ends if end.point is not None]
        found.append(
            {
                "from": spots[0],
                "to": spots[-1],
                "gap": None if joint.gap is None else mm(joint.gap),
                "state": joint.state,
                "ids": [end.part.element.global_id for end in (joint.first, joint.second)],
            }
        )
    return found


def _roof(house: House, walk: _Walk) -> list[list[float]]:
    """Roof heights over the main way, and a little beyond both its ends."""
    surfaces = house.nodes.get("roof_surface", ())
    if not surfaces or not surfaces[0].drawn or not walk.main:
        return []
    points = np.concatenate([walk.rows[key][0] for key in walk.main])
    s = np.concatenate([walk.rows[key][1] for key in walk.main])
    way = points[-1, :2] - points[0, :2]
    size = float(np.hypot(*way))
    ahead = way / size if size > 0.2 else np.array([1.0, 0.0])
    found = []
    for at in np.arange(float(s[0]) - 1.5, float(s[-1]) + 2.5, STEP):
        over = max(at - float(s[-1]), 0.0) + min(at - float(s[0]), 0.0)
        plan = np.array([np.interp(at, s, points[:, 0]), np.interp(at, s, points[:, 1])]) + ahead * over
        height = height_under_circle(surfaces[0].triangles, plan, 0.001)
        if height is not None:
            found.append([mm(at), mm(height)])
    return found


def _openings(house: House, outlet: Any, mouth: list[float]) -> list[dict[str, Any]]:
    around = surroundings_of(house)
    near = []
    for part in (*around.openings, *neighbours_within(house, outlet, NEAR)):
        gap = straight_gap(outlet, part)
        if gap is not None and gap <= NEAR and part.box is not None:
            near.append((gap, part.key, part, part.box))
    found = []
    for gap, _, part, box in sorted(near, key=lambda row: row[:2])[:MOST]:
        string = string_between(house, outlet, part) or (gap, gap)
        top = float(box.high[2])
        found.append(
            {
                "id": part.element.global_id,
                "name": part.name,
                "bottom": mm(box.low[2]),
                "top": mm(top),
                "string": [mm(value) if np.isfinite(value) else None for value in string],
                "above_top": mm(mouth[1] - top),
            }
        )
    return found
