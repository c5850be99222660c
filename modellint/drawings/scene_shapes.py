"""Shapes of the parts with a role, as light plain data for a 3-D view.

Lengths are whole millimetres in the model's shifted world (the report's `origin` was subtracted), so that a house
of a thousand parts stays near a hundred kilobytes.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from modellint.graph.house import House
from modellint.graph.storeys import storey_at, storeys_of
from modellint.ifc.solid import Array, Box, Solid
from modellint.roles.part import Part

# What can be shown and hidden together. A part stands in the first group that has one of its roles; when there are
# too many parts, those of the later groups are left out first.
SHAPE_GROUPS: dict[str, tuple[str, ...]] = {
    "Hold-down chains": ("hold_down", "rod", "coupler", "nut", "take_up", "bearing_plate", "strap", "anchor_bolt",
                         "plate_washer", "roof_tie", "post"),
    "Soil-gas vent": ("vent_pipe", "vent_fitting", "vent_terminal", "collector", "suction_point", "fan", "sump",
                      "pipe_support", "label", "power_outlet", "electrical_box"),
    "Foundation and gravel": ("footing", "stem_wall", "pile", "foundation_slab", "permeable_layer", "membrane"),
    "Walls and sheathing": ("shear_wall", "sheathing", "other_wall"),
    "Framing": ("sill_plate", "bottom_plate", "top_plate", "header", "beam", "rim", "blocking", "stud", "joist",
                "rafter", "truss"),
    "Windows and doors": ("window", "door"),
    "Floors and roof": ("floor", "roof"),
    "Plumbing and ducts": ("plumbing_pipe", "plumbing_fixture", "duct"),
}  # fmt: skip
MOST_PARTS = 6000
MOST_NUMBERS = 400_000  # of all shapes together, about two megabytes of text
MOST_TRIANGLES = 1500  # a finer mesh is shown as its box
MOST_SOLIDS = 24  # an assembly of more is shown as its box
_BOX_FACE = (0, 1, 3, 2)


def shapes(house: House) -> dict[str, Any]:
    """Shapes of one building.

    Returns:
        `building` and `name`; `parts`, each with `id` (GlobalId), `name`, `role`, `group`, `storey` and `solids`;
        `left_out`, the number of drawn parts beyond the caps; `undrawn`, that of parts with a role and no shape.
    """
    storeys = storeys_of(house.model, house.key)
    found: list[dict[str, Any]] = []
    left_out = undrawn = numbers = 0
    for part, role, group in _ranked(house):
        full = len(found) >= MOST_PARTS or numbers > MOST_NUMBERS
        if full:
            left_out += bool(part.solids)
            undrawn += not part.solids
            continue
        solids = _solids(part)
        if not solids:
            undrawn += 1
            continue
        numbers += sum(len(row) for solid in solids for row in _flat(solid))
        box = part.box
        storey = storey_at(storeys, float(box.centre[2])) if box is not None else None
        row = {"id": part.element.global_id, "name": part.name, "role": role, "group": group,
               "storey": storey.name if storey is not None else "", "solids": solids}  # fmt: skip
        found.append(row)
    return {"building": house.key, "name": house.name, "parts": found,
            "left_out": left_out, "undrawn": undrawn}  # fmt: skip


def _ranked(house: House) -> list[tuple[Part, str, str]]:
    """Parts with a role to show, in the order of the groups and then of their keys."""
    places = {role: (rank, group) for rank, (group, roles) in enumerate(SHAPE_GROUPS.items()) for role in roles}
    order = {role: k for k, role in enumerate(role for roles in SHAPE_GROUPS.values() for role in roles)}
    rows = []
    for part in house.parts.values():
        roles = [role for role in part.roles if role in places]
        if roles:
            role = min(roles, key=order.__getitem__)
            rows.append((*places[role], part, role))
    rows.sort(key=lambda row: (row[0], row[2].key))
    return [(part, role, group) for _, group, part, role in rows]


def _solids(part: Part) -> list[dict[str, Any]]:
    if len(part.solids) > MOST_SOLIDS and part.box is not None:
        return _usable([_of_box(part.box)])
    return _usable(_of_solid(solid) for solid in part.solids)


def _usable(rows: Iterable[dict[str, Any] | None]) -> list[dict[str, Any]]:
    return [row for row in rows if row is not None]


def _of_solid(solid: Solid) -> dict[str, Any] | None:
    """A prism (`outline`, `holes`, `sweep`), a tube (`axis`, `radius`) or a mesh (`vertices`, `triangles`)."""
    if solid.mesh is not None:
        vertices, triangles = solid.mesh
        if 0 < len(triangles) <= MOST_TRIANGLES:
            points = _mm(vertices)
            return None if points is None else {"vertices": points, "triangles": triangles.ravel().tolist()}
        return _of_box(solid.box)
    if solid.axis is not None and solid.radius and (solid.kind == "disk" or not solid.holes):
        axis = _mm(solid.axis)
        if axis is not None and np.isfinite(solid.radius):
            return {"axis": axis, "radius": max(round(float(solid.radius) * 1000), 1)}
    if solid.outline is not None and solid.sweep is not None and len(solid.outline) > 2:
        outline, sweep = _mm(solid.outline), _mm(solid.sweep)
        holes = [hole for ring in solid.holes if len(ring) > 2 and (hole := _mm(ring)) is not None]
        if outline is not None and sweep is not None:
            return {"outline": outline, "holes": holes, "sweep": sweep}
    return _of_box(solid.box)


def _of_box(box: Box) -> dict[str, Any] | None:
    corners = np.asarray(box.corners)
    outline, sweep = _mm(corners[list(_BOX_FACE)]), _mm(corners[4] - corners[0])
    return None if outline is None or sweep is None else {"outline": outline, "holes": [], "sweep": sweep}


def _mm(points: Array) -> list[int] | None:
    """Coordinates one after the other in whole millimetres; None if one is not finite or absurdly far."""
    flat = np.asarray(points, dtype=float).ravel() * 1000.0
    if not bool(np.all(np.isfinite(flat))) or bool(np.any(np.abs(flat) > 1e9)):
        return None
    rounded: list[int] = np.rint(flat).astype(np.int64).tolist()
    return rounded


def _flat(solid: dict[str, Any]) -> Iterable[list[int]]:
    """All lists of numbers of one solid."""
    return [*(solid[key] for key in ("outline", "sweep", "axis", "vertices", "triangles") if key in solid),
            *solid.get("holes", ())]  # fmt: skip
