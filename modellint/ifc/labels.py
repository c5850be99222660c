"""What objects are called: predefined types, type names, classifications, drawing layers, systems."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from typing import Any

from modellint.ifc.source import Source


def by_object(source: Source, ifc_class: str, objects: int, other: int) -> dict[int, list[Any]]:
    """Forward scan of a relation: STEP id of each related object to the rows at attribute `other`."""
    found: dict[int, list[Any]] = defaultdict(list)
    for relation in source.rows(ifc_class):
        row = relation[other]
        if row is not None:
            for related in relation[objects] or ():
                found[related.id()].append(row)
    return found


class Labels:
    """Names and codes of objects, read once by forward scans."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self._positions: dict[str, tuple[int | None, int | None]] = {}
        self.types = {
            step_id: rows[0] for step_id, rows in by_object(source, "IfcRelDefinesByType", 4, 5).items()
        }
        self._type_words: dict[int, tuple[str, str, str]] = {}
        self._classified = by_object(source, "IfcRelAssociatesClassification", 4, 5)
        self._groups = by_object(source, "IfcRelAssignsToGroup", 4, 6)
        self._words: dict[int, tuple[str, ...]] = {}
        self._layers: dict[int, list[str]] = defaultdict(list)
        for layer in source.rows("IfcPresentationLayerAssignment"):
            for item in layer[2] or ():
                self._layers[item.id()].append(str(layer[0] or ""))

    def predefined(self, row: Any) -> tuple[str, str, str]:
        """Predefined type, object type and type name; the type's words stand in for the occurrence's."""
        type_row = self.types.get(row.id())
        of_type = self._of_type(type_row) if type_row is not None else ("", "", "")
        own = _enum(row, self._position(row)[0])
        object_type = str(row[4] or "")
        if own == "USERDEFINED" and not object_type and of_type[1]:
            object_type = of_type[1]
        return own or of_type[0], object_type or of_type[1], of_type[2]

    def _of_type(self, row: Any) -> tuple[str, str, str]:
        known = self._type_words.get(row.id())
        if known is None:
            at, element_type = self._position(row)
            named = str(row[element_type] or "") if element_type is not None else ""
            known = self._type_words[row.id()] = (_enum(row, at), named, str(row[2] or ""))
        return known

    def _position(self, row: Any) -> tuple[int | None, int | None]:
        """Positions of PredefinedType and ElementType, looked up once a class."""
        name = row.is_a()
        if name not in self._positions:
            names = [row.attribute_name(k) for k in range(len(row))]
            self._positions[name] = (
                names.index("PredefinedType") if "PredefinedType" in names else None,
                next((names.index(n) for n in ("ElementType", "ProcessType") if n in names), None),
            )
        return self._positions[name]

    def classifications(self, step_id: int) -> tuple[str, ...]:
        """Identification and name of each classification reference, the type's after the occurrence's."""
        return self._joined(self._classified, step_id, _classification)

    def systems(self, step_id: int) -> tuple[str, ...]:
        """Names, long names and predefined types of the systems and groups an object belongs to."""
        return self._joined(self._groups, step_id, self._system)

    def _joined(
        self, table: dict[int, list[Any]], step_id: int, words: Callable[[Any], tuple[str, ...]]
    ) -> tuple[str, ...]:
        type_row = self.types.get(step_id)
        rows = [*table.get(step_id, ()), *(table.get(type_row.id(), ()) if type_row is not None else ())]
        found: list[str] = []
        for row in rows:
            known = self._words.get(row.id())
            if known is None:
                known = self._words[row.id()] = words(row)
            found += known
        return tuple(dict.fromkeys(found))

    def _system(self, row: Any) -> tuple[str, ...]:
        words = [row[2], row[4] if len(row) > 4 else None]
        if row.is_a("IfcDistributionSystem"):
            words += [row[5], row[6]]
        return tuple(str(word) for word in words if word and word != "NOTDEFINED")

    def drawing_layers(self, product_shape: Any) -> tuple[str, ...]:
        """Presentation layer names of the representations and items of an IfcProductDefinitionShape."""
        if product_shape is None or not self._layers:
            return ()
        found: list[str] = []
        for representation in product_shape[2] or ():
            found += self._layers.get(representation.id(), ())
            for item in representation[3] or ():
                found += self._layers.get(item.id(), ())
        return tuple(dict.fromkeys(name for name in found if name))


def _enum(row: Any, at: int | None) -> str:
    value = row[at] if at is not None else None
    return "" if value is None or value == "NOTDEFINED" else str(value)


def _classification(row: Any) -> tuple[str, ...]:
    if row.is_a("IfcClassificationReference") or row.is_a("IfcExternalReference"):
        return tuple(str(word) for word in (row[1], row[2]) if word)
    if row.is_a("IfcClassification"):
        return (str(row[3]),) if row[3] else ()
    return ()
