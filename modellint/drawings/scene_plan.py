"""Plan of each storey as data: walls, openings, wall ends, hardware and vent pieces."""

from __future__ import annotations

from typing import Any

import numpy as np

from modellint.contacts.polylines import usable
from modellint.drawings.frame import Frame, mm, rounded
from modellint.graph.house import House
from modellint.graph.storeys import Storey, storey_at, storeys_of
from modellint.graph.wall_nodes import WallEnd, WallLine
from modellint.ifc.solid import Array
from modellint.roles.part import Part

HARDWARE = ("post", "hold_down", "rod", "strap", "anchor_bolt")
GROUND = ("footing", "stem_wall", "foundation_slab")


def plans(house: House, frame: Frame) -> list[dict[str, Any]]:
    """One plan per storey that has anything to show, lowest first."""
    storeys = storeys_of(house.model, house.key) or (Storey("", "", 0.0),)
    made = [_blank(storey) for storey in storeys]
    by_name = {plan["name"]: plan for plan in reversed(made)}
    for line in house.nodes.get("wall_line", ()):
        plan = by_name.get(line.storey) or made[0]
        plan["walls"].append(_wall(line, frame))
    for end in house.nodes.get("wall_end", ()):
        plan = by_name.get(end.line.storey) or made[0]
        plan["ends"].append(_end(end, frame))
    for role in ("window", "door"):
        for part in house.with_role(role):
            _into(made, storeys, part, "openings", _outline(part, role, frame))
    for role in HARDWARE:
        for part in house.with_role(role):
            _into(made, storeys, part, "parts", _outline(part, role, frame))
    for role in GROUND:
        for part in house.with_role(role):
            outline = _outline(part, role, frame)
            if outline is not None:
                made[0]["ground"].append(outline)
    _vents(house, frame, made, storeys)
    return [plan for plan in made if any(plan[name] for name in ("walls", "ends", "parts", "vent"))]


def _blank(storey: Storey) -> dict[str, Any]:
    return {
        "name": storey.name,
        "elevation": mm(storey.elevation),
        "walls": [],
        "openings": [],
        "ends": [],
        "parts": [],
        "ground": [],
        "vent": [],
        "pockets": [],
    }


def _into(
    made: list[dict[str, Any]], storeys: tuple[Storey, ...], part: Part, name: str, row: dict[str, Any] | None
) -> None:
    if row is None or part.box is None:
        return
    low, high = float(part.box.low[2]), float(part.box.high[2])
    # hardware that reaches up through a floor belongs to the storey it comes up into
    level = (low + high) / 2 if name == "openings" or part.has("post") else high - min(0.3, (high - low) / 2)
    storey = storey_at(storeys, level)
    index = storeys.index(storey) if storey is not None else 0
    made[index][name].append(row)


def _wall(line: WallLine, frame: Frame) -> dict[str, Any]:
    half = line.normal * line.thickness / 2
    start, end = line.origin, line.origin + line.direction * line.length
    corners = frame.plan(np.array([start - half, end - half, end + half, start + half]))
    segments = [{"key": row.key, "start": mm(row.start), "end": mm(row.end)} for row in line.segments]
    return {
        "key": line.key,
        "name": line.name,
        "shear": line.shear is not None,
        "outline": [rounded(corner) for corner in corners],
        "length": mm(line.length),
        "ids": [wall.element.global_id for wall in line.walls],
        "segments": segments,
    }


def _end(end: WallEnd, frame: Frame) -> dict[str, Any]:
    inward = frame.plan(end.line.direction * end.inward)[0]
    return {
        "key": end.key,
        "name": end.name,
        "word": end.word,
        "at": frame.point(end.point),
        "inward": rounded(inward),
        "verdict": worst([step.state for step in end.steps]),
    }


def worst(states: list[str]) -> str:
    """Worst state of a chain's steps; unknown if it has none."""
    rank = {"joined": 0, "unknown": 1, "broken": 2}
    return max(states, key=lambda state: rank[state], default="unknown")


def _outline(part: Part, role: str, frame: Frame) -> dict[str, Any] | None:
    box = part.box
    if box is None or not usable(box.corners):
        return None
    row: dict[str, Any] = {"id": part.element.global_id, "role": role, "name": part.name}
    upright = float(np.abs(box.axes[:, 2]).max()) > 0.99
    if part.radius is not None and part.axis is not None and role in {"rod", "anchor_bolt"}:
        row["circle"] = [*frame.point(part.axis.mean(axis=0)), mm(part.radius)]
        return row
    if upright:
        flat = [axis for axis in range(3) if abs(float(box.axes[axis, 2])) < 0.5]
        a, b = (box.axes[axis] * box.half[axis] for axis in flat)
        middle = box.centre
        corners = frame.plan(np.array([middle - a - b, middle + a - b, middle + a + b, middle - a + b]))
    else:
        (x0, y0), (x1, y1) = frame.plan(box.corners).min(axis=0), frame.plan(box.corners).max(axis=0)
        corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    row["outline"] = [rounded(corner) for corner in corners]
    return row


def _vents(house: House, frame: Frame, made: list[dict[str, Any]], storeys: tuple[Storey, ...]) -> None:
    for run in house.nodes.get("vent_run", ()):
        for part in run.network.parts:
            piece = run.network.pieces[part.key]
            points = [end.point for end in piece.ends if end.point is not None]
            line = piece.line if piece.line is not None else (np.array(points) if points else None)
            if line is None or not usable(line):
                continue
            radius = piece.radius if piece.radius is not None else 0.05
            row = {
                "id": part.element.global_id,
                "name": part.name,
                "kind": piece.kind,
                "radius": mm(radius),
                "line": [frame.point(point) for point in line],
            }
            for index in _storeys_of(line, storeys):
                made[index]["vent"].append(row)
    for pocket in house.nodes.get("gravel_pocket", ()):
        ring = frame.plan(np.array(pocket.plan.exterior.coords)[:-1])
        made[0]["pockets"].append(
            {
                "key": pocket.key,
                "served": bool(pocket.served_by),
                "area": round(float(pocket.plan.area), 2),
                "outline": [rounded(point) for point in ring],
            }
        )


def _storeys_of(line: Array, storeys: tuple[Storey, ...]) -> list[int]:
    """Indices of all storeys that a centre line passes."""
    low, high = storey_at(storeys, float(line[:, 2].min())), storey_at(storeys, float(line[:, 2].max()) - 0.5)
    first = storeys.index(low) if low is not None else 0
    last = storeys.index(high) if high is not None else first
    return list(range(first, max(first, last) + 1))
