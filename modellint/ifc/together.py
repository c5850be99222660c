"""Several files of one house as one model, after their frames have been compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import PurePath

import numpy as np

from modellint.ifc.model import Element, Model, Note, Port, Relation, SpatialNode
from modellint.ifc.origin import shifted

APART = 0.05
"""Frames further apart than this, metres, do not lie on one another (setting of the project's design)."""

TURNED = 1e-3
"""True norths further apart than this, radians, disagree."""


def merge(models: Sequence[Model]) -> Model:
    """One model out of several of the same house; nothing is moved but the numbers' common origin.

    Sites, buildings and storeys with the same GlobalId are one; else buildings of one name, and storeys
    of one name whose levels lie within `APART`. Files that do not lie on one another give a serious note.
    The given models are used up.

    Raises:
        ValueError: no model is given.
    """
    if not models:
        raise ValueError("no model to merge")
    first = models[0]
    for model in models[1:]:
        if not np.array_equal(model.origin, first.origin):
            shifted(model, first.origin - model.origin)
    merger = _Merger(first)
    for model in models[1:]:
        merger.add(model)
    return merger.result()


class _Merger:
    def __init__(self, first: Model) -> None:
        self._files = list(first.files)
        self._elements, self._spaces, self._ports = (
            dict(first.elements),
            dict(first.spaces),
            dict(first.ports),
        )
        self._relations, self._grids, self._notes = (
            list(first.relations),
            list(first.grids),
            list(first.notes),
        )
        self._first = first
        self._zones = {zone.key: zone for zone in first.zones}

    def add(self, model: Model) -> None:
        shift = len(self._files)
        self._files += model.files
        self._notes += model.notes
        self._compare(model)
        names = self._space_names(model)
        for key in (*model.elements, *model.ports):
            if key in self._elements or key in self._ports:
                names[key] = self._free(key)
                self._note(
                    "duplicate-global-id", f"GlobalId {key} is used in another file as well", model, key
                )
        self._take(model, names, shift)

    def result(self) -> Model:
        tags = {
            (grid.tag, *np.round(grid.start, 3).tolist(), *np.round(grid.end, 3).tolist()): grid
            for grid in self._grids
        }
        return Model(
            tuple(self._files),
            dict(sorted(self._elements.items())),
            dict(sorted(self._spaces.items())),
            dict(sorted(self._ports.items())),
            tuple(self._relations),
            self._first.origin,
            self._first.north,
            tuple(tags[tag] for tag in sorted(tags)),
            self._notes,
            tuple(self._zones[key] for key in sorted(self._zones)),
        )

    def _space_names(self, model: Model) -> dict[str, str]:
        """Key of each spatial node in the other file to the key that it gets here."""
        names: dict[str, str] = {}
        for kind in ("site", "building", "storey", "space"):
            for key, node in model.spaces.items():
                if node.kind == kind:
                    names[key] = self._same_space(node, names) or self._new_space_key(key)
        return names

    def _same_space(self, node: SpatialNode, names: dict[str, str]) -> str:
        known = self._spaces.get(node.key)
        if known is not None and known.kind == node.kind:
            return node.key
        alike = [
            other
            for _, other in sorted(self._spaces.items())
            if other.kind == node.kind and other.name == node.name
        ]
        if node.kind == "building":
            return alike[0].key if len(alike) == 1 else ""
        if node.kind == "storey":
            parent = names.get(node.parent, node.parent)
            same = [other for other in alike if other.parent == parent and _level_gap(other, node) <= APART]
            return same[0].key if len(same) == 1 else ""
        return ""

    def _new_space_key(self, key: str) -> str:
        return self._free(key) if key in self._spaces else key

    def _free(self, key: str) -> str:
        stem, count = key.partition("~")[0], 2
        while (
            f"{stem}~{count}" in self._elements
            or f"{stem}~{count}" in self._ports
            or (f"{stem}~{count}" in self._spaces)
        ):
            count += 1
        return f"{stem}~{count}"

    def _take(self, model: Model, names: dict[str, str], shift: int) -> None:
        def new(key: str) -> str:
            return names.get(key, key)

        for key, node in model.spaces.items():
            if new(key) not in self._spaces:
                self._spaces[new(key)] = replace(
                    node, key=new(key), parent=new(node.parent), source=node.source + shift
                )
        for zone in model.zones:
            known = self._zones.get(zone.key, zone)
            members = tuple(sorted({*known.members, *map(new, zone.members)}))
            self._zones[zone.key] = replace(known, members=members)
        for key, element in model.elements.items():
            self._elements[new(key)] = _renamed(element, new(key), names, shift)
        for key, port in model.ports.items():
            self._ports[new(key)] = Port(new(key), new(port.element), port.position, port.flow)
        self._relations += [
            Relation(
                link.kind,
                new(link.first),
                new(link.second),
                tuple(map(new, link.realizing)),
                link.key,
                link.description,
                link.source + shift,
                link.line,
            )
            for link in model.relations
        ]
        self._grids += model.grids

    def _compare(self, model: Model) -> None:
        """Notes where the frame of a further file differs from the first file's."""
        here, there = self._first, model
        if abs(here.files[0].length_scale - there.files[0].length_scale) > 1e-12:
            self._note(
                "frame-units",
                f"its lengths are in {there.files[0].length_unit}, those of "
                f"{_file(here)} in {here.files[0].length_unit}; both are read in metres",
                model,
            )
        if here.north is not None and there.north is not None:
            turn = abs(
                float(
                    np.arctan2(
                        here.north[0] * there.north[1] - here.north[1] * there.north[0],
                        here.north @ there.north,
                    )
                )
            )
            if turn > TURNED:
                self._note(
                    "frame-north",
                    f"its true north is turned by {np.degrees(turn):.2f} deg against {_file(here)}",
                    model,
                    serious=True,
                )
        self._compare_nodes(model, "site")
        self._compare_nodes(model, "building")
        self._compare_storeys(model)

    def _compare_nodes(self, model: Model, kind: str) -> None:
        pairs = _pairs(self._first, model, kind)
        for ours, theirs in pairs:
            if ours.position is None or theirs.position is None:
                continue
            gap = float(np.sqrt(((ours.position - theirs.position) ** 2).sum()))
            if gap > APART:
                self._note(
                    "frame-apart",
                    f"its {kind} {theirs.name!r} lies {gap:.3f} m from the one in {_file(self._first)}",
                    model,
                    serious=True,
                )

    def _compare_storeys(self, model: Model) -> None:
        for ours, theirs in _pairs(self._first, model, "storey"):
            gap = _level_gap(ours, theirs)
            if APART < gap < float("inf"):
                self._note(
                    "frame-apart",
                    f"its storey {theirs.name!r} lies {gap:.3f} m above or below the one in "
                    f"{_file(self._first)}",
                    model,
                    serious=True,
                )

    def _note(self, code: str, text: str, model: Model, key: str = "", *, serious: bool = False) -> None:
        self._notes.append(Note(code, text, _file(model), None, key, serious))


def _file(model: Model) -> str:
    return PurePath(model.files[0].name).name


def _level_gap(one: SpatialNode, other: SpatialNode) -> float:
    if one.elevation is None or other.elevation is None:
        return float("inf")
    return abs(one.elevation - other.elevation)


def _pairs(first: Model, second: Model, kind: str) -> list[tuple[SpatialNode, SpatialNode]]:
    """Nodes of a kind that are meant to be the same: by GlobalId, else by name, else the only ones."""
    ours = [node for node in first.spaces.values() if node.kind == kind]
    theirs = [node for node in second.spaces.values() if node.kind == kind]
    pairs = []
    for node in theirs:
        match = [other for other in ours if other.key == node.key] or [
            other for other in ours if other.name == node.name
        ]
        if len(match) == 1:
            pairs.append((match[0], node))
        elif not match and kind != "storey" and len(ours) == len(theirs) == 1:
            pairs.append((ours[0], node))
    return pairs


def _renamed(element: Element, key: str, names: dict[str, str], shift: int) -> Element:
    def new(other: str) -> str:
        return names.get(other, other)

    return replace(
        element,
        key=key,
        source=element.source + shift,
        storey=new(element.storey),
        building=new(element.building),
        space=new(element.space),
        parent=new(element.parent),
        children=tuple(map(new, element.children)),
        ports=tuple(map(new, element.ports)),
    )
