"""Property sets and quantities, a type's first, overridden by the occurrence's, in SI."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from modellint.ifc.length_units import Units
from modellint.ifc.model import PropertyValue
from modellint.ifc.source import Source

Values = dict[tuple[str, str], PropertyValue]

QUANTITIES = {
    "IfcQuantityLength": "IfcLengthMeasure",
    "IfcQuantityArea": "IfcAreaMeasure",
    "IfcQuantityVolume": "IfcVolumeMeasure",
    "IfcQuantityCount": "IfcCountMeasure",
    "IfcQuantityWeight": "IfcMassMeasure",
    "IfcQuantityTime": "IfcTimeMeasure",
    "IfcQuantityNumber": "IfcNumericMeasure",
}

MAX_NESTING = 5


class Properties:
    """Reads each property set once, however many objects share it.

    Attributes:
        by_object: STEP id of an occurrence or type to its sets, in STEP id order.
    """

    def __init__(self, source: Source, units: Units) -> None:
        self._source, self._units = source, units
        self._sets: dict[int, Values] = {}
        self.by_object: dict[int, list[Any]] = defaultdict(list)
        for relation in source.rows("IfcRelDefinesByProperties"):
            definition = relation[5]
            if definition is None:
                continue
            several = definition.is_a("IfcPropertySetDefinitionSet")
            definitions = list(definition[0]) if several else [definition]
            for related in relation[4] or ():
                self.by_object[related.id()] += definitions
        for owner in source.rows("IfcTypeObject"):
            if owner[5]:
                self.by_object[owner.id()] += sorted(owner[5], key=lambda row: int(row.id()))

    def of(self, step_id: int, type_id: int | None = None) -> Values:
        """Values of an occurrence with those of its type below them."""
        values: Values = {}
        for owner in (type_id, step_id):
            for definition in self.by_object.get(owner, ()) if owner is not None else ():
                values.update(self._read_set(definition))
        return values

    def _read_set(self, definition: Any) -> Values:
        step_id = definition.id()
        known = self._sets.get(step_id)
        if known is None:
            known = {}
            try:
                self._fill(definition, known)
            except (RuntimeError, ValueError, TypeError, IndexError, AttributeError) as problem:
                self._source.note("property-unread", f"a property set cannot be read: {problem}", definition)
            self._sets[step_id] = known
        return known

    def _fill(self, definition: Any, values: Values) -> None:
        name = str(definition[2] or "")
        if definition.is_a("IfcPropertySet"):
            for row in definition[4] or ():
                self._property(name, "", row, values, 0)
        elif definition.is_a("IfcElementQuantity"):
            for row in definition[5] or ():
                self._quantity(name, "", row, values, 0)

    def _property(self, set_name: str, prefix: str, row: Any, values: Values, depth: int) -> None:
        name = prefix + str(row[0] or "")
        kind = row.is_a()
        if kind == "IfcComplexProperty":
            for child in row[3] or () if depth < MAX_NESTING else ():
                self._property(set_name, f"{name}.", child, values, depth + 1)
            return
        found = self._value(kind, row)
        if found is not None:
            values[set_name, name] = found

    def _value(self, kind: str, row: Any) -> PropertyValue | None:
        if kind == "IfcPropertySingleValue":
            return self._single(row[2], row[3])
        if kind == "IfcPropertyListValue":
            return self._several(row[2], row[3])
        if kind == "IfcPropertyEnumeratedValue":
            reference = row[3]
            return self._several(row[2], reference[2] if reference is not None else None)
        if kind == "IfcPropertyBoundedValue":
            if len(row) > 5 and row[5] is not None:
                return self._single(row[5], row[4])
            return self._several([v for v in (row[3], row[2]) if v is not None], row[4])
        if kind == "IfcPropertyTableValue":
            return self._several(row[3], row[6])
        return None

    def _single(self, value: Any, unit: Any) -> PropertyValue | None:
        if value is None:
            return None
        measure = str(value.is_a())
        raw = value[0]
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            return PropertyValue(
                raw if isinstance(raw, str | bool) else str(raw), "", measure, unit is not None
            )
        number, dimension = self._units.si(raw, measure, unit)
        return PropertyValue(number, dimension, measure, unit is not None)

    def _several(self, items: Any, unit: Any) -> PropertyValue | None:
        parts = [part for part in (self._single(item, unit) for item in items or ()) if part is not None]
        if not parts:
            return None
        first = parts[0]
        return PropertyValue(
            tuple(part.value for part in parts), first.dimension, first.measure, first.own_unit
        )

    def _quantity(self, set_name: str, prefix: str, row: Any, values: Values, depth: int) -> None:
        name = prefix + str(row[0] or "")
        kind = row.is_a()
        if kind == "IfcPhysicalComplexQuantity":
            for child in row[2] or () if depth < MAX_NESTING else ():
                self._quantity(set_name, f"{name}.", child, values, depth + 1)
        elif kind in QUANTITIES and row[3] is not None:
            number, dimension = self._units.si(row[3], QUANTITIES[kind], row[2])
            values[set_name, name] = PropertyValue(number, dimension, QUANTITIES[kind], row[2] is not None)
