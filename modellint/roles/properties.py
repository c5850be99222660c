"""The property book: from the names exporters use to canonical quantities in SI."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from modellint.errors import UnitProblem, UsageProblem
from modellint.ifc.model import Element, PropertyValue
from modellint.roles.book import globs, read_page
from modellint.roles.part import Rung


@dataclass(frozen=True)
class QuantityEntry:
    """One canonical quantity.

    Attributes:
        dimension: word of units.py, or `text`.
        standard: `(set glob, property glob)` of standard properties: rung declared.
        names: the same for anything else: rung inferred, as name and unit are the two grounds.
        project: the project's own mappings: they come first, rung declared.
        words: for a choice, accepted word to the globs that mean it.
        default_unit: a standard property without a unit of its own is in this unit.
        changed: a what-if's changed values: before everything else.
    """

    quantity: str
    dimension: str
    standard: tuple[tuple[re.Pattern[str], re.Pattern[str]], ...] = ()
    names: tuple[tuple[re.Pattern[str], re.Pattern[str]], ...] = ()
    words: tuple[tuple[str, re.Pattern[str]], ...] = ()
    project: tuple[tuple[re.Pattern[str], re.Pattern[str]], ...] = ()
    changed: tuple[tuple[re.Pattern[str], re.Pattern[str]], ...] = ()


@dataclass(frozen=True)
class Reading:
    """One property read as a quantity.

    Attributes:
        value: SI number, text, bool, or None when it could not be read.
        where: `set.property` and the value as written.
        unread: why there is no value, "".
    """

    value: Any
    rung: Rung
    where: str
    unread: str = ""


@dataclass
class PropertyBook:
    """All quantities; `project` mappings come first. Names are matched once per distinct pair."""

    entries: dict[str, QuantityEntry]
    _ranks: dict[tuple[str, str, str], int] = field(default_factory=dict)
    _unit_of: dict[str, str] = field(default_factory=dict)
    _quantities: dict[tuple[str, str], tuple[str, ...]] = field(default_factory=dict)
    _rows: dict[tuple[str, tuple[tuple[str, str], ...]], list[tuple[int, str, str, tuple[str, str]]]] = field(
        default_factory=dict)

    def read(self, element: Element, quantity: str) -> list[Reading]:
        """All properties of the element that give the quantity, the best rung first, then by name."""
        entry = self.entries.get(quantity)
        if entry is None:
            raise KeyError(f"no quantity '{quantity}' in rules/properties")
        properties = element.properties
        return [_reading(entry, -rank, set_name, name, properties[pair])
                for rank, set_name, name, pair in self._matching(entry, tuple(properties))]

    def has(self, element: Element, quantity: str) -> str:
        """Where the element states the quantity in a readable way, "" if it does not."""
        if quantity not in self.entries or not element.properties:
            return ""
        return next((row.where for row in self.read(element, quantity)
                     if not row.unread and row.value not in (None, False, "")), "")

    def _matching(self, entry: QuantityEntry,
                  pairs: tuple[tuple[str, str], ...]) -> list[tuple[int, str, str, tuple[str, str]]]:
        """Which of the named properties give a quantity, the best first; worked out once per list of names."""
        key = (entry.quantity, pairs)
        found = self._rows.get(key)
        if found is None:
            ranked = ((-self._rank(entry, set_name or "", name or ""), set_name or "", name or "", (set_name, name))
                      for set_name, name in pairs)
            found = self._rows[key] = sorted((row for row in ranked if row[0]), key=lambda row: row[:3])
        return found

    def quantities_of(self, element: Element) -> tuple[str, ...]:
        """Quantities that some property of the element is named for, readable or not, sorted."""
        return tuple(sorted({quantity for pair in element.properties for quantity in self._named(*pair)}))

    def _named(self, set_name: str, name: str) -> tuple[str, ...]:
        """Quantities that a property name stands for; matched once per distinct pair."""
        pair = (set_name or "", name or "")
        if pair not in self._quantities:
            self._quantities[pair] = tuple(key for key, entry in self.entries.items() if self._rank(entry, *pair))
        return self._quantities[pair]

    def _rank(self, entry: QuantityEntry, set_name: str, name: str) -> int:
        key = (entry.quantity, set_name, name)
        if key not in self._ranks:
            low_set, low_name = set_name.lower(), name.lower()
            rank = 0
            if any(a.match(low_set) and b.match(low_name) for a, b in entry.names):
                rank = 1
            if any(a.match(low_set) and b.match(low_name) for a, b in entry.standard):
                rank = 2
            if any(a.match(low_set) and b.match(low_name) for a, b in entry.project):
                rank = 3
            if any(a.match(low_set) and b.match(low_name) for a, b in entry.changed):
                rank = 4
            self._ranks[key] = rank
        return self._ranks[key]


def load_properties(folder: Path, mappings: Iterable[Mapping[str, Any]] = ()) -> PropertyBook:
    """Read `rules/properties/*.yaml`; project mappings (rows with `quantity`, `set`, `property`) come first.

    Raises:
        UsageProblem: a file or mapping is not a quantity entry.
    """
    entries = {}
    for path in sorted(folder.glob("*.yaml")):
        data = read_page(path)
        if not isinstance(data, dict) or "quantity" not in data or "dimension" not in data:
            raise UsageProblem(f"{path}: a property file needs the keys 'quantity' and 'dimension'.")
        entries[data["quantity"]] = _entry(data)
    for row in mappings:
        entry = entries.get(row["quantity"])
        if entry is None:
            raise UsageProblem(f"properties: there is no quantity '{row['quantity']}'.")
        first = (_glob(row.get("set", "*")), _glob(row["property"]))
        entries[row["quantity"]] = replace(entry, project=(*entry.project, first))
    return PropertyBook(entries)


def _glob(text: str) -> re.Pattern[str]:
    pattern = globs(text)
    assert pattern is not None
    return pattern


def _entry(data: Mapping[str, Any]) -> QuantityEntry:
    def pairs(rows: Iterable[Iterable[str]]) -> tuple[tuple[re.Pattern[str], re.Pattern[str]], ...]:
        return tuple((_glob(a), _glob(b)) for a, b in rows)

    words = tuple((word, _glob_any(patterns)) for word, patterns in data.get("words", {}).items())
    return QuantityEntry(data["quantity"], data["dimension"], pairs(data.get("standard", ())),
                         pairs(data.get("names", ())), words)


def _glob_any(patterns: Iterable[str]) -> re.Pattern[str]:
    pattern = globs(patterns)
    assert pattern is not None
    return pattern


def _reading(entry: QuantityEntry, rank: int, set_name: str, name: str, value: PropertyValue) -> Reading:
    raw = value.value[0] if isinstance(value.value, tuple) and value.value else value.value
    where = f"{set_name}.{name} = {raw}" if set_name else f"{name} = {raw}"
    rung = Rung.DECLARED if rank >= 2 else Rung.INFERRED
    if raw is None or raw in ("", ()):
        return Reading(None, rung, where, "empty")
    if entry.dimension == "text":
        return Reading(str(raw), rung, where)
    if entry.dimension == "truth":
        return _truth(raw, rung, where)
    if entry.dimension == "choice":
        for word, pattern in entry.words:
            if pattern.match(str(raw).lower()):
                return Reading(word, rung, where)
        return Reading(None, rung, where, f"'{raw}' is none of {', '.join(word for word, _ in entry.words)}")
    return _number(entry, name, value, raw, Reading(None, rung, where))


def _truth(raw: Any, rung: Rung, where: str) -> Reading:
    if isinstance(raw, bool):
        return Reading(raw, rung, where)
    low = str(raw).strip().lower()
    if low in {"yes", "true", "t", "y", "1", ".t."}:
        return Reading(True, rung, where)
    if low in {"no", "false", "f", "n", "0", ".f."}:
        return Reading(False, rung, where)
    return Reading(None, rung, where, f"'{raw}' is neither yes nor no")


def _number(entry: QuantityEntry, name: str, value: PropertyValue, raw: Any, empty: Reading) -> Reading:
    from modellint import units

    if entry.dimension in {"count", "ratio"} and isinstance(raw, (int, float)):
        return replace(empty, value=float(raw))
    if isinstance(raw, (int, float)) and not isinstance(raw, bool):
        # IFC gives a pipe's gradient as a plain ratio, which is the tangent that a slope is
        if value.dimension == entry.dimension or (entry.dimension == "slope" and value.dimension == "ratio"):
            return replace(empty, value=float(raw))
        unit = units.unit_in_name(name)
        if not unit:
            return replace(empty, unread="no unit")
        raw = f"{raw} {unit}"
    text = str(raw)
    for attempt in (text, f"{text} {units.unit_in_name(name) or ''}".strip()):
        try:
            return replace(empty, value=units.parse_loose(attempt, entry.dimension))
        except UnitProblem:
            continue
    return replace(empty, unread="no readable unit")
