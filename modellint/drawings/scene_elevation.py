"""Load-path elevation of each stack of shear-wall lines as data: all storeys of one vertical plane."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from modellint.contacts.polylines import usable
from modellint.drawings.frame import mm, seen_from
from modellint.drawings.scene_plan import worst
from modellint.graph.house import House
from modellint.graph.wall_nodes import ChainStep, PlatePiece, WallEnd, WallLine
from modellint.ifc.solid import Array
from modellint.roles.part import Part

ROLES = (
    "post",
    "hold_down",
    "rod",
    "coupler",
    "nut",
    "take_up",
    "bearing_plate",
    "strap",
    "anchor_bolt",
    "plate_washer",
    "bottom_plate",
    "sill_plate",
    "top_plate",
    "header",
    "beam",
)
GROUND = ("footing", "stem_wall", "pile", "foundation_slab")
BESIDE = 0.10  # metres outside the wall's faces in which hardware still belongs to the wall
# heights above the sole at which an absent part is marked, metres; for the drawing only
MARKED = {
    "post": 1.2,
    "base tie": 0.2,
    "rod": -0.15,
    "foundation": -0.35,
    "bearing plate": 0.06,
    "nut": 0.08,
    "coupler": 0.5,
    "transfer": -0.2,
    "strap": 0.0,
}

STATED = ("sheathing_thickness", "nail_diameter", "edge_nail_spacing", "field_nail_spacing", "edge_nailing_at_post")
SLOTS = ("posts", "base_ties", "top_ties", "straps", "rods", "bearing_plates", "nuts")

Forces = Callable[[Any], Mapping[str, Any]]


def elevations(house: House, forces: Forces | None = None) -> list[dict[str, Any]]:
    """One elevation per vertical plane that holds shear-wall lines, by name of its lowest line."""
    lines = [line for line in house.nodes.get("wall_line", ()) if line.shear is not None and line.segments]
    stacks: list[list[WallLine]] = []
    for line in sorted(lines, key=lambda row: (round(row.bottom, 3), row.key)):
        stack = next((rows for rows in stacks if _same_plane(rows[0], line)), None)
        if stack is None:
            stacks.append([line])
        else:
            stack.append(line)
    parts = _Parts(house)
    return [_elevation(house, stack, parts, forces) for stack in sorted(stacks, key=lambda s: (s[0].name, s[0].key))]


def _same_plane(base: WallLine, line: WallLine) -> bool:
    middle = line.point(line.length / 2, 0.0)
    parallel = abs(float(base.direction @ line.normal)) < 0.02
    off = abs(float(base.across(middle)[0]))
    reach = base.along(np.array([line.point(0.0, 0.0), line.point(line.length, 0.0)]))
    overlaps = min(float(reach.max()), base.length) - max(float(reach.min()), 0.0) > 0.1
    return parallel and overlaps and off <= (base.thickness + line.thickness) / 4 + 0.02


class _Parts:
    """Drawn parts with a role that an elevation shows, as arrays."""

    def __init__(self, house: House) -> None:
        rows = [(part, role) for role in (*ROLES, *GROUND) for part in house.with_role(role)]
        seen: dict[str, tuple[Part, str]] = {}
        for part, role in rows:
            if part.box is not None and usable(part.box.corners):
                seen.setdefault(part.key, (part, role))
        self.rows = list(seen.values())
        self.corners = np.array([part.box.corners for part, _ in self.rows if part.box is not None]).reshape(-1, 8, 3)
        self.ground = np.array([role in GROUND for _, role in self.rows], dtype=bool)

    def in_plane(self, base: WallLine, low: float, high: float) -> list[dict[str, Any]]:
        """Parts in the plane of a wall line, as boxes in (along, z)."""
        if not self.rows:
            return []
        flat = self.corners[:, :, :2] - base.origin
        along, across = flat @ base.direction, flat @ base.normal
        middle = (across.min(axis=1) + across.max(axis=1)) / 2
        half = base.thickness / 2
        touches = (across.min(axis=1) < half - 0.005) & (across.max(axis=1) > -half + 0.005)
        near = np.where(self.ground, touches, np.abs(middle) <= half + BESIDE)
        near &= (along.max(axis=1) > low) & (along.min(axis=1) < high)
        found = []
        for k in np.flatnonzero(near):
            part, role = self.rows[k]
            a, z = along[k], self.corners[k, :, 2]
            box = [mm(max(a.min(), low)), mm(z.min()), mm(min(a.max(), high)), mm(z.max())]
            row: dict[str, Any] = {"id": part.element.global_id, "role": role, "name": part.name, "box": box}
            if role in {"rod", "anchor_bolt"} and part.axis is not None:
                row["axis"] = [[mm(base.along(p)[0]), mm(p[2])] for p in (part.axis[0], part.axis[-1])]
            found.append(row)
        return found


def _elevation(house: House, stack: list[WallLine], parts: _Parts, forces: Forces | None) -> dict[str, Any]:
    base = stack[0]
    points = np.array([line.point(at, 0.0) for line in stack for at in (0.0, line.length)])
    low, high = float(base.along(points).min()), float(base.along(points).max())
    ends = [end for line in stack for segment in line.segments for end in segment.ends]
    drawn = parts.in_plane(base, low - 0.4, high + 0.4)
    bottoms = [row["box"][1] for row in drawn if row["role"] in GROUND]
    floor = max(min([line.bottom for line in stack]) - 2.0, min([base.bottom - 0.3, *bottoms]))
    return {
        "key": base.key,
        "name": base.name,
        "names": sorted({line.name for line in stack}),
        "compass": list(base.compass),
        "seen_from": seen_from(house, base.direction),
        "span": [mm(low), mm(high)],
        "z": [mm(floor), mm(max(line.top for line in stack))],
        "storeys": [_storey(base, line, house) for line in stack],
        "parts": drawn,
        "plates": [_plate(base, piece) for piece in house.nodes.get("plate_piece", ()) if piece.line in stack],
        "ends": [_end(base, end, forces) for end in ends],
        "chains": [_chain(base, end) for end in ends if not any(up.line.shear is not None for up in end.above)],
    }


def _storey(base: WallLine, line: WallLine, house: House) -> dict[str, Any]:
    def at(along: float) -> float:
        return mm(base.along(line.point(along, 0.0))[0])

    spans = [
        {
            "key": row.key,
            "name": row.name,
            "from": min(at(row.start), at(row.end)),
            "to": max(at(row.start), at(row.end)),
            "sole": mm(row.sole),
            "top": mm(row.top),
        }
        for row in line.segments
    ]
    holes = [
        {
            "id": row.key,
            "door": row.is_door,
            "from": min(at(row.start), at(row.end)),
            "to": max(at(row.start), at(row.end)),
            "bottom": mm(row.bottom),
            "top": mm(row.top),
        }
        for row in line.openings
    ]
    return {
        "key": line.key,
        "name": line.name,
        "storey": line.storey,
        "bottom": mm(line.bottom),
        "top": mm(line.top),
        "from": min(at(0.0), at(line.length)),
        "to": max(at(0.0), at(line.length)),
        "ids": [wall.element.global_id for wall in line.walls],
        "stated": _stated(line, house),
        "segments": spans,
        "openings": holes,
    }


def _stated(line: WallLine, house: House) -> dict[str, Any]:
    """What the walls state of their nailing and sheathing, SI."""
    found: dict[str, Any] = {}
    for name in STATED:
        readings = (house.stated(wall, name) for wall in line.walls)
        value = next((row.value for row in readings if row is not None), None)
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            found[name] = round(float(value), 5)
    return found


def _plate(base: WallLine, piece: PlatePiece) -> dict[str, Any]:
    ends = np.array([piece.start, piece.start + piece.direction * piece.length])
    along = base.along(ends)
    sign = 1.0 if float(along[1]) >= float(along[0]) else -1.0
    bolts = [{"id": bolt.element.global_id, "at": mm(along[0] + sign * at)} for bolt, at in piece.bolts]
    return {
        "key": piece.key,
        "id": piece.plate.element.global_id,
        "from": mm(along.min()),
        "to": mm(along.max()),
        "bottom": mm(piece.bottom),
        "top": mm(piece.top),
        "bolts": bolts,
        "assumed": piece.assumed,
    }


def _end(base: WallLine, end: WallEnd, forces: Forces | None) -> dict[str, Any]:
    along = float(base.along(end.point)[0])
    toward = float(base.direction @ end.line.direction) * end.inward
    found = dict(forces(end)) if forces is not None else {}
    caught = (*end.base_ties, *end.rods)
    insets = [
        {"id": part.element.global_id, "at": mm(base.along(_middle(part))[0])}
        for part in caught
        if part.box is not None
    ]
    return {
        "key": end.key,
        "name": end.name,
        "word": end.word,
        "storey": end.line.storey,
        "at": mm(along),
        "inward": 1 if toward >= 0 else -1,
        "sole": mm(end.segment.sole),
        "top": mm(end.segment.top),
        "below": end.below.key if end.below is not None else "",
        "ties": insets,
        "parts": {
            slot: [part.element.global_id for part in getattr(end, slot)] for slot in SLOTS if getattr(end, slot)
        },
        "forces": found,
    }


def _middle(part: Part) -> Array:
    if part.axis is not None:
        middle: Array = part.axis.mean(axis=0)
        return middle
    assert part.box is not None
    return part.box.centre


def _chain(base: WallLine, end: WallEnd) -> dict[str, Any]:
    steps = [_step(base, step) for step in end.steps]
    return {
        "end": end.key,
        "name": end.name,
        "verdict": worst([step.state for step in end.steps]),
        "steps": steps,
    }


def _step(base: WallLine, step: ChainStep) -> dict[str, Any]:
    return {
        "key": step.key,
        "kind": step.kind,
        "slot": step.slot,
        "storey": step.end.line.storey,
        "state": step.state,
        "origin": step.origin,
        "gap": None if step.gap is None else mm(step.gap),
        "limit": None if step.limit is None else mm(step.limit),
        "rung": step.rung.word,
        "text": step.name,
        "end": step.end.key,
        "at": _at(base, step),
        "ids": [part.element.global_id for part in step.pieces],
    }


def _at(base: WallLine, step: ChainStep) -> list[float]:
    """Where a step is marked: between the two parts of a link, or where an absent part belongs."""
    boxes = [part.box for part in step.pieces if part.box is not None and usable(part.box.corners)]
    if step.kind != "slot" and len(boxes) >= 2:
        first, last = boxes[0], boxes[-1]
        z = (max(first.low[2], last.low[2]) + min(first.high[2], last.high[2])) / 2
        small = min((first, last), key=lambda box: float(np.prod(box.half)))
        return [mm(base.along(small.centre)[0]), mm(z)]
    end = step.end
    toward = float(base.direction @ end.line.direction) * end.inward
    along = float(base.along(end.point)[0]) + (0.1 if toward >= 0 else -0.1)
    rise = MARKED.get(step.slot, 0.3)
    z = end.segment.top - 0.2 if step.slot == "top tie" else end.segment.sole + rise
    return [mm(along), mm(z)]
