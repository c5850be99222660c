"""The last resort: the library's native geometry kernel, one element at a time.

The kernel can crash on hostile files and take its process along, so the caller hears of every element
beforehand, names those to leave alone, and runs all this in a child process.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from modellint.ifc.bodies import mesh_shape, placed
from modellint.ifc.model import Model, Note
from modellint.ifc.origin import shifted_solid
from modellint.ifc.solid import Solid


def kernel_solids(handle: Any, global_id: str, scale: float = 1.0) -> tuple[Solid, ...]:
    """World solids of one element, made by the native kernel; () if it makes none.

    Args:
        handle: the open file of the IFC library.
        global_id: GlobalId of the element.
        scale: metres per length unit of the file.
    """
    return _made(handle, handle.by_guid(global_id), scale)


def _made(handle: Any, row: Any, scale: float) -> tuple[Solid, ...]:
    from ifcopenshell import geom

    settings = geom.settings()
    settings.set("use-world-coords", True)
    settings.set("weld-vertices", True)
    try:
        made = geom.create_shape(settings, row)
    except RuntimeError:
        return ()
    vertices = np.array(made.geometry.verts, dtype=float).reshape(-1, 3) * _kernel_scale(handle, scale)
    triangles = np.array(made.geometry.faces, dtype=np.int64).reshape(-1, 3)
    if not len(vertices) or not len(triangles):
        return ()
    return (placed(mesh_shape(vertices, triangles), np.eye(4), True),)


def _kernel_scale(handle: Any, scale: float) -> float:
    """The kernel gives metres, but the file's own unit where a project library stands beside the project."""
    contexts = handle.by_type("IfcProject" if handle.schema == "IFC2X3" else "IfcContext")
    return 1.0 if len(contexts) == 1 else scale


class LateShapes:
    """Shapes that were left out at reading because only the native kernel can make them."""

    def __init__(
        self,
        handle: Any,
        model: Model,
        scale: float,
        skip: frozenset[str] = frozenset(),
        announce: Callable[[str], None] | None = None,
    ) -> None:
        self._handle, self._model, self._scale = handle, model, scale
        self._skip, self._announce = skip, announce

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of the elements that wait for the kernel, in order."""
        return tuple(
            key for key, element in self._model.elements.items() if element.undrawn == "kernel needed"
        )

    def solids(self, key: str) -> tuple[Solid, ...]:
        """Solids of one of `keys`, put into the model as well; () and a note if it is skipped or fails."""
        element = self._model.elements[key]
        if element.global_id in self._skip:
            element.undrawn = "left out: the native kernel failed on it before"
            return self._failed(key, element.undrawn)
        if self._announce is not None:
            self._announce(element.global_id)
        made = _made(self._handle, self._handle.by_id(element.step_id), self._scale)
        if self._announce is not None:
            self._announce("")
        if not made:
            element.undrawn = "the native kernel makes no shape of it"
            return self._failed(key, element.undrawn)
        element.solids = tuple(shifted_solid(solid, self._model.origin) for solid in made)
        element.undrawn = ""
        return element.solids

    def _failed(self, key: str, reason: str) -> tuple[Solid, ...]:
        element = self._model.elements[key]
        file = self._model.files[element.source].name
        self._model.notes.append(Note("kernel", f"no shape: {reason}", file, element.line, key))
        return ()
