"""From elements to parts: assemblies take in their leaves, layers and group items become own parts."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

import numpy as np

from modellint.contacts.boxes import UP, box_of, union_box
from modellint.ifc.model import Element, Model
from modellint.ifc.solid import Array, Box, Solid
from modellint.roles.part import Part

# a part is long when it is this many times longer than its section (design limit, common practice, no source)
SLENDER = 3.0


def parts_of(model: Model) -> dict[str, Part]:
    """One part per element that is a thing, in key order; layers and items come later, on demand."""
    parts = {}
    for key, element in model.elements.items():
        if element.ifc_class == "IfcOpeningElement" or element.ifc_class.startswith("IfcVirtual"):
            continue
        members = () if element.solids else tuple(_leaves(model, element, set()))
        solids = element.solids or tuple(solid for leaf in members for solid in leaf.solids)
        parts[key] = with_shape(Part(key, element, members), solids)
    return parts


def _leaves(model: Model, element: Element, seen: set[str]) -> Iterator[Element]:
    for key in element.children:
        child = model.elements.get(key)
        if child is None or key in seen:
            continue
        seen.add(key)
        yield child
        yield from _leaves(model, child, seen)


def with_shape(part: Part, solids: tuple[Solid, ...]) -> Part:
    """Fill in body, box, axis and radius from the solids."""
    part.solids = solids
    if not solids:
        return part
    part.box = union_box([solid.box for solid in solids])
    if len(solids) == 1:
        solid = solids[0]
        part.radius, part.inner_radius = solid.radius, solid.inner_radius
        part.axis = _own_axis(solid)
    else:
        part.axis = _box_axis(part.box)
    return part


def _own_axis(solid: Solid) -> Array | None:
    if solid.axis is not None and (solid.kind == "disk" or _is_long(solid.axis, solid.box)):
        return _low_first(solid.axis)
    return _box_axis(solid.box)


def _is_long(axis: Array, box: Box) -> bool:
    (ax, ay, az), (bx, by, bz) = axis[0].tolist(), axis[-1].tolist()
    x, y, z = bx - ax, by - ay, bz - az
    length = sqrt(x * x + y * y + z * z)
    if length < 1e-9:
        return False
    across = [2 * half for (p, q, r), half in zip(box.axes.tolist(), box.half.tolist(), strict=True)
              if abs(p * x + q * y + r * z) < 0.7 * length]
    return length >= SLENDER * max(across, default=0.0)


def _box_axis(box: Box) -> Array | None:
    sizes = box.half.tolist()
    longest = sizes.index(max(sizes))
    if sizes[longest] < SLENDER * max(size for k, size in enumerate(sizes) if k != longest):
        return None
    along = box.axes[longest] * box.half[longest]
    return _low_first(np.array([box.centre - along, box.centre + along]))


def _low_first(axis: Array) -> Array:
    return axis if axis[0, 2] <= axis[-1, 2] else axis[::-1]


def layer_parts(part: Part) -> list[Part]:
    """The material layers of a slab or wall as parts, sliced from its box; [] if there is only one."""
    layers, box = part.element.layers, part.box
    if len(layers) < 2 or box is None:
        return []
    total = sum(layer.thickness for layer in layers)
    across = _layer_direction(part, box)
    low, high = box.extent(across)
    found, start = [], (high if part.element.layer_axis == "AXIS3" and _from_top(part) else low)
    step = -1.0 if start == high else 1.0
    scale = (high - low) / total if total > 0 else 0.0
    for k, layer in enumerate(layers):
        thickness = layer.thickness * scale
        slice_box = _slice(box, across, *sorted((start, start + step * thickness)))
        piece = Part(f"{part.key}/layer:{k}", part.element, box=slice_box, thickness=layer.thickness)
        piece.solids = tuple(_slice_solid(solid, across, slice_box) for solid in part.solids)
        found.append(piece)
        start += step * thickness
    return found


def _layer_direction(part: Part, box: Box) -> Array:
    if part.element.layer_axis == "AXIS3":
        return UP
    if part.element.layer_axis in {"AXIS1", "AXIS2"}:
        flat = [k for k in range(3) if abs(box.axes[k, 2]) < 0.5]
        if flat:
            level: Array = box.axes[min(flat, key=lambda k: box.half[k])]
            return level
    thinnest: Array = box.axes[int(np.argmin(box.half))]
    return thinnest


def _from_top(part: Part) -> bool:
    # a layer set counts from its reference along the positive direction unless its offsets run downward;
    # a ground slab whose first layer is the hard one is listed from the top
    first = part.element.layers[0].name.lower()
    return "concrete" in first or "beton" in first or part.element.layers[0].offset < 0


def _slice(box: Box, across: Array, low: float, high: float) -> Box:
    k = int(np.argmax(np.abs(box.axes @ across)))
    middle, half = (low + high) / 2, box.half.copy()
    half[k] = (high - low) / 2
    centre = box.centre + across * (middle - float(box.centre @ across))
    return Box(centre, box.axes, half)


def _slice_solid(solid: Solid, across: Array, slice_box: Box) -> Solid:
    low, high = slice_box.extent(across)
    box = _slice(solid.box, across, low, high)
    if (
        solid.outline is None
        or solid.sweep is None
        or abs(float(solid.sweep @ across)) < 0.99 * np.linalg.norm(solid.sweep)
    ):
        return Solid(solid.kind if solid.kind != "mesh" else "extrusion", box, clipped=True)
    level = solid.outline @ across
    outline = solid.outline + np.outer(low - level, across)
    holes = tuple(hole + np.outer(low - hole @ across, across) for hole in solid.holes)
    return Solid("extrusion", box, outline=outline, holes=holes, sweep=across * (high - low))


def item_parts(part: Part) -> list[Part]:
    """The solids of a group (several bolts in one element) as own parts; [] if there is one solid."""
    if len(part.solids) < 2:
        return []
    pieces = []
    for k, solid in enumerate(_in_place_order(part.solids)):
        pieces.append(with_shape(Part(f"{part.key}/item:{k}", part.element), (solid,)))
    return pieces


def _in_place_order(solids: tuple[Solid, ...]) -> list[Solid]:
    """Ordered along the group's own longest direction, so that the file's order cannot matter."""
    centres = np.array([solid.box.centre for solid in solids])
    along = box_of(centres).axes[0] if np.ptp(centres, axis=0).max() > 0 else UP
    return [solids[k] for k in np.argsort(np.round(centres @ along, 4), kind="stable")]
