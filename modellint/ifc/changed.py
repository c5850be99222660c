"""A changed copy of a model: elements moved or given other properties. The file itself is never touched."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from modellint.ifc.model import Element, Model, PropertyValue
from modellint.ifc.solid import Array, Solid

PropertyKey = tuple[str, str]


def changed_model(
    model: Model, moves: Mapping[str, Array], properties: Mapping[str, Mapping[PropertyKey, PropertyValue]]
) -> Model:
    """A copy in which elements stand elsewhere or say something else; what is not changed is shared.

    Args:
        model: the model as read.
        moves: element key to a vector in metres; parts of an assembly go along.
        properties: element key to `(set, name)` and value, which replace what the file says.

    Raises:
        KeyError: an element is not in the model.
    """
    by: dict[str, Array] = {}
    for key in sorted(moves):
        for part in _family(model, key):
            by[part] = by.get(part, np.zeros(3)) + moves[key]
    elements = dict(model.elements)
    for key in sorted({*by, *properties}):
        element = elements[key]
        if key in by:
            element = _moved(element, by[key])
        if key in properties:
            element = replace(element, properties={**element.properties, **properties[key]})
        elements[key] = element
    ports = {
        key: replace(port, position=port.position + by[port.element])
        if port.element in by and port.position is not None
        else port
        for key, port in model.ports.items()
    }
    return replace(model, elements=elements, ports=ports, notes=list(model.notes))


def _family(model: Model, key: str) -> Iterable[str]:
    """The element and all its members, each once."""
    found, waiting = [], [key]
    while waiting:
        one = waiting.pop()
        if one not in found:
            found.append(one)
            waiting += [child for child in model.elements[one].children if child in model.elements]
    return found


def _moved(element: Element, by: Array) -> Element:
    axis = element.axis_line
    return replace(
        element,
        solids=tuple(moved_solid(solid, by) for solid in element.solids),
        axis_line=None if axis is None else axis + by[: axis.shape[1]],
    )


def moved_solid(solid: Solid, by: Array) -> Solid:
    """The solid shifted by a vector in metres."""

    def shifted(points: Array | None) -> Array | None:
        return None if points is None else points + by

    mesh = None if solid.mesh is None else (solid.mesh[0] + by, solid.mesh[1])
    return replace(
        solid,
        box=replace(solid.box, centre=solid.box.centre + by),
        axis=shifted(solid.axis),
        outline=shifted(solid.outline),
        holes=tuple(hole + by for hole in solid.holes),
        mesh=mesh,
    )
