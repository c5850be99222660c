"""Material names and layers of occurrences, else of their types."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from modellint.ifc.model import MaterialLayer
from modellint.ifc.source import Source


@dataclass(frozen=True)
class Made:
    """What an object is made of; the fields are those of `Element`."""

    materials: tuple[str, ...] = ()
    layers: tuple[MaterialLayer, ...] = ()
    layer_axis: str = ""


NOTHING = Made()


class Materials:
    """Material associations by object, each material definition read once.

    Args:
        scale: metres per length unit.
    """

    def __init__(self, source: Source, scale: float) -> None:
        self._source, self._scale = source, scale
        self._by_object: dict[int, Any] = {}
        self._made: dict[int, Made] = {}
        for relation in source.rows("IfcRelAssociatesMaterial"):
            for related in relation[4] or ():
                if relation[5] is not None:
                    self._by_object.setdefault(related.id(), relation[5])

    def of(self, step_id: int, type_id: int | None = None) -> Made:
        """Material of an occurrence, else of its type."""
        row = self._by_object.get(step_id)
        if row is None and type_id is not None:
            row = self._by_object.get(type_id)
        if row is None:
            return NOTHING
        known = self._made.get(row.id())
        if known is None:
            try:
                known = self._read(row)
            except (RuntimeError, ValueError, TypeError, IndexError, AttributeError) as problem:
                self._source.note("material-unread", f"a material cannot be read: {problem}", row)
                known = NOTHING
            self._made[row.id()] = known
        return known

    def _read(self, row: Any) -> Made:
        kind = row.is_a()
        if kind == "IfcMaterialLayerSetUsage":
            start = float(row[3] or 0.0) * self._scale
            return self._layers(row[0], start, str(row[1] or ""), row[2] == "NEGATIVE")
        if kind == "IfcMaterialLayerSet":
            return self._layers(row, 0.0, "")
        if kind == "IfcMaterialLayer":
            return Made(_names([row[0]]), (self._layer(row, 0.0),))
        if kind == "IfcMaterialList":
            return Made(_names(row[0]))
        if kind == "IfcMaterialConstituentSet":
            return Made(_names(part[2] for part in row[2] or ()))
        if kind == "IfcMaterialConstituent":
            return Made(_names([row[2]]))
        if kind in {"IfcMaterialProfileSetUsage", "IfcMaterialProfileSetUsageTapering"}:
            return self._read(row[0])
        if kind == "IfcMaterialProfileSet":
            return Made(_names(part[2] for part in row[2] or ()))
        if kind == "IfcMaterialProfile":
            return Made(_names([row[2]]))
        return Made(_names([row])) if kind == "IfcMaterial" else NOTHING

    def _layers(self, layer_set: Any, start: float, axis: str, backward: bool = False) -> Made:
        """Layers in file order; each offset is the layer's lower face along the positive axis."""
        rows = list(layer_set[0] or ())
        layers, at = [], start
        for row in rows:
            layer = self._layer(row, at)
            if backward:
                layer = replace(layer, offset=at - layer.thickness)
            layers.append(layer)
            at += -layer.thickness if backward else layer.thickness
        return Made(_names(row[0] for row in rows), tuple(layers), axis)

    def _layer(self, row: Any, offset: float) -> MaterialLayer:
        material = row[0]
        name = str(material[0] or "") if material is not None else ""
        if not name and len(row) > 3:
            name = str(row[3] or "")
        category = str(row[5] or "") if len(row) > 5 else ""
        return MaterialLayer(name, float(row[1] or 0.0) * self._scale, offset, category)


def _names(rows: Any) -> tuple[str, ...]:
    """Names of materials in order, each once."""
    return tuple(dict.fromkeys(str(row[0]) for row in rows if row is not None and row[0]))
