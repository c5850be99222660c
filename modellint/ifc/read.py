"""Reads one IFC file into a `Model`: SI units, world coordinates, no objects of the IFC library left."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np

from modellint.errors import ModelUnreadable
from modellint.ifc.bodies import finite
from modellint.ifc.grid_lines import read_grids
from modellint.ifc.kernel import LateShapes
from modellint.ifc.labels import Labels
from modellint.ifc.length_units import Units, read_units
from modellint.ifc.materials import Materials
from modellint.ifc.model import Element, Model, SourceFile, SpatialNode
from modellint.ifc.north import note_frame, read_north
from modellint.ifc.origin import choose_origin, shifted
from modellint.ifc.placements import PlacementError, Placements
from modellint.ifc.ports import read_ports
from modellint.ifc.properties import Properties
from modellint.ifc.relations import read_relations
from modellint.ifc.shapes import Shapes, named_representations
from modellint.ifc.solid import Array
from modellint.ifc.source import Source, open_source
from modellint.ifc.spatial import Tree, hosts, read_spaces, read_tree
from modellint.ifc.zones import read_zones

FAR = 1e6
"""Coordinates further than this from the origin, metres, are not believed."""

PROBLEMS = (
    RuntimeError,
    ValueError,
    TypeError,
    IndexError,
    KeyError,
    AttributeError,
    ArithmeticError,
    np.linalg.LinAlgError,
)
"""What the library and our own arithmetic raise on broken rows."""


def read(
    path: Path,
    *,
    name: str = "",
    sha256: str = "",
    size: int = 0,
    lines: Mapping[int, int] | None = None,
    skip: frozenset[str] = frozenset(),
    announce: Callable[[str], None] | None = None,
) -> Model:
    """Read a plain .ifc file; see `read_late` for the arguments."""
    return read_late(path, name=name, sha256=sha256, size=size, lines=lines, skip=skip, announce=announce)[0]


def read_late(
    path: Path,
    *,
    name: str = "",
    sha256: str = "",
    size: int = 0,
    lines: Mapping[int, int] | None = None,
    skip: frozenset[str] = frozenset(),
    announce: Callable[[str], None] | None = None,
) -> tuple[Model, LateShapes]:
    """Read a plain .ifc file, and keep the file open for shapes that only the native kernel can make.

    Args:
        path: plain STEP text without byte order mark.
        name: name to show; the path's own if empty.
        sha256: of the file as given, for the report.
        size: of the file as given, bytes.
        lines: STEP id to line.
        skip: GlobalIds not to hand to the native kernel.
        announce: called with a GlobalId before the native kernel works on it.

    Raises:
        ModelUnreadable: the text is not an IFC file that the library reads.
    """
    source = open_source(str(path), name or path.name, lines or {})
    try:
        # Absurd numbers may overflow on the way; what is not a number in the end is left out with a note.
        with np.errstate(all="ignore"):
            units = read_units(source)
            model = _Reader(source, units).model(sha256, size)
    except PROBLEMS as problem:
        raise ModelUnreadable(f"{source.name}: relations of the file are damaged ({problem})") from problem
    return model, LateShapes(source.handle, model, units.length, skip, announce)


class _Reader:
    """One pass over a file: keys, names, relations, then shapes."""

    def __init__(self, source: Source, units: Units) -> None:
        self.source, self.units = source, units
        self.products = _products(source)
        _give_keys(source, self.products)
        self.placements = Placements(source, units.length)
        self.shapes = Shapes(units.length, units.angle)
        self.labels = Labels(source)
        self.properties = Properties(source, units)
        self.materials = Materials(source, units.length)
        self._tagged: dict[str, bool] = {}

    def model(self, sha256: str, size: int) -> Model:
        source, units = self.source, self.units
        tree = read_tree(source)
        spaces = read_spaces(source, tree, self.placements, units.length)
        self._fill_spaces(tree, spaces)
        ports = read_ports(source, self.placements)
        elements = self._elements(tree)
        for port in ports.values():
            if port.element in elements:
                elements[port.element].ports += (port.key,)
        note_frame(source, units.length)
        file = SourceFile(
            source.name,
            sha256,
            source.schema,
            units.length_name,
            units.length,
            size,
            len(source.handle.entity_names()),
        )
        model = Model(
            (file,),
            elements,
            spaces,
            ports,
            tuple(read_relations(source)),
            np.zeros(3),
            read_north(source),
            tuple(read_grids(source, self.placements, units.length, units.angle)),
            zones=read_zones(source, self.properties),
        )
        origin = choose_origin(model)
        if origin.any():
            shifted(model, origin)
        self._drop_far(model)
        model.notes = source.close_notes()
        return model

    def _fill_spaces(self, tree: Tree, spaces: dict[str, SpatialNode]) -> None:
        for step_id, row in sorted(tree.rows.items()):
            node = spaces.get(self.source.keys.get(step_id, ""))
            if node is None:
                continue
            node.properties = self.properties.of(step_id, self._type_id(step_id))
            node.solids = self._body(row, row[6])[0]

    def _type_id(self, step_id: int) -> int | None:
        type_row = self.labels.types.get(step_id)
        return int(type_row.id()) if type_row is not None else None

    def _elements(self, tree: Tree) -> dict[str, Element]:
        source = self.source
        around = hosts(source)
        elements: dict[str, Element] = {}
        for row in self.products:
            if row.is_a("IfcPort") or row.id() in tree.rows:
                continue
            key = source.keys[row.id()]
            try:
                elements[key] = self._element(key, row, tree, around)
            except PROBLEMS as problem:
                source.note("element-unread", f"an element's record is damaged: {problem}", row)
                elements[key] = Element(
                    key,
                    key.partition("~")[0],
                    row.id(),
                    row.is_a(),
                    source.index,
                    source.lines.get(row.id()),
                    undrawn="damaged record",
                )
        return dict(sorted(elements.items()))

    def _element(self, key: str, row: Any, tree: Tree, around: dict[int, int]) -> Element:
        source, step_id = self.source, row.id()
        type_id = self._type_id(step_id)
        predefined, object_type, type_name = self.labels.predefined(row)
        made = self.materials.of(step_id, type_id)
        within = tree.containers_of_element(step_id, around)
        product_shape = row[6]
        solids, axis_line, undrawn = self._body(row, product_shape)
        keys, ifc_class = source.keys, row.is_a()
        return Element(
            key,
            str(row[0]),
            step_id,
            ifc_class,
            source.index,
            source.lines.get(step_id),
            predefined,
            object_type,
            str(row[2] or ""),
            type_name,
            str(row[7] or "") if self._is_element(ifc_class, row) else "",
            str(row[3] or ""),
            self.labels.drawing_layers(product_shape),
            self.labels.classifications(step_id),
            made.materials,
            made.layers,
            made.layer_axis,
            self.properties.of(step_id, type_id),
            keys.get(within.get("storey", 0), ""),
            keys.get(within.get("building", 0), ""),
            keys.get(within.get("space", 0), ""),
            self._parent(step_id, tree),
            self._children(step_id, tree),
            self.labels.systems(step_id),
            (),
            solids,
            axis_line,
            undrawn,
        )

    def _is_element(self, ifc_class: str, row: Any) -> bool:
        """Whether it has a Tag; asked once a class."""
        known = self._tagged.get(ifc_class)
        if known is None:
            known = self._tagged[ifc_class] = bool(row.is_a("IfcElement"))
        return known

    def _parent(self, step_id: int, tree: Tree) -> str:
        above = tree.above.get(step_id, 0)
        return "" if above in tree.rows else self.source.keys.get(above, "")

    def _children(self, step_id: int, tree: Tree) -> tuple[str, ...]:
        if step_id not in tree.children:
            return ()
        found = (self.source.keys.get(child, "") for child in tree.children[step_id])
        return tuple(sorted(key for key in found if key and key not in self._port_keys))

    @property
    def _port_keys(self) -> frozenset[str]:
        if not hasattr(self, "_ports"):
            self._ports = frozenset(
                self.source.keys[row.id()] for row in self.products if row.is_a("IfcPort")
            )
        return self._ports

    def _body(self, row: Any, product_shape: Any) -> tuple[tuple[Any, ...], Array | None, str]:
        """Solids, axis line and the reason if a stated shape cannot be had."""
        if product_shape is None:
            return (), None, ""
        try:
            world = self.placements.world(row[5])
            named = named_representations(product_shape)
            axis_line = self.shapes.axis_line(named, world)
            solids, unread = self.shapes.solids(named, world)
        except PlacementError as problem:
            self.source.note("placement", f"the shape is left out: {problem}", row)
            return (), None, str(problem)
        except PROBLEMS as problem:
            self.source.note("shape-unread", f"the shape cannot be read: {problem}", row)
            return (), None, "damaged shape"
        if not unread:
            return solids, axis_line, ""
        if solids:
            self.source.note("shape-partly-read", f"pieces of the shape are left out: {unread[0]}", row)
            return solids, axis_line, ""
        self.source.note("kernel-needed", f"the shape needs the native kernel: {unread[0]}", row)
        return (), axis_line, "kernel needed"

    def _drop_far(self, model: Model) -> None:
        for element in model.elements.values():
            if not all(finite(solid, FAR) for solid in element.solids):
                element.solids, element.axis_line = (), None
                element.undrawn = "coordinates out of range"
                self.source.note(
                    "coordinates",
                    "coordinates are not numbers or lie more than 1000 km away",
                    self.source.handle.by_id(element.step_id),
                )
        for node in model.spaces.values():
            node.solids = tuple(solid for solid in node.solids if finite(solid, FAR))


def _products(source: Source) -> list[Any]:
    """Elements, ports and spatial containers in STEP id order."""
    found = {
        row.id(): row
        for name in ("IfcElement", "IfcProxy", "IfcPort", "IfcSpatialStructureElement", "IfcSpatialElement")
        for row in source.rows(name)
    }
    return [found[step_id] for step_id in sorted(found)]


def _give_keys(source: Source, products: list[Any]) -> None:
    """Keys from GlobalIds; a second object with the same one gets `~2` and a note."""
    counts: dict[str, int] = {}
    for row in products:
        global_id = str(row[0] or f"#{row.id()}")
        count = counts[global_id] = counts.get(global_id, 0) + 1
        source.keys[row.id()] = global_id if count == 1 else f"{global_id}~{count}"
        if count > 1:
            source.note("duplicate-global-id", f"GlobalId {global_id} is used {count} times", row)
