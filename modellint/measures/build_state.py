"""Measures of the progress of the build: what is ordered, framed, poured or covered, and of what type."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from modellint.graph.house import House
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, truth
from modellint.measures.schedule_rows import rows_naming
from modellint.roles.part import Part, Rung

TABLE = "progress"
# from the one most easily changed to the one that costs most (common practice, no source)
STATES = ("ordered", "framed", "poured", "covered")
_BOUGHT = ("base_ties", "top_ties", "rods", "column_rods", "straps", "bearing_plates", "nuts")
# roles of which the model itself may tell the state
_TOLD = ("tie", "anchor_bolt", "coupler", "post", "shear_wall", "foundation", "any_collector", "vent_pipe",
         "vent_fitting", "vent_terminal", "membrane", "permeable_layer")


@dataclass(frozen=True)
class BuiltMark:
    """One thing that somebody marked.

    Attributes:
        state: one of `STATES`.
        date: YYYY-MM-DD, "" if not given.
        type: what was ordered or built, in the marker's words, "".
        as_built: the model was corrected to what stands there.
        source: file and line, or the property.
        line: of the schedule, 0 for a property.
    """

    state: str
    date: str = ""
    type: str = ""
    as_built: bool = False
    source: str = ""
    line: int = 0
    rung: Rung = Rung.SCHEDULED

    @property
    def said(self) -> str:
        """State and day in words."""
        return f"{self.state} on {self.date}" if self.date else self.state


@dataclass(eq=False)
class Progress:
    """What is marked in one building.

    Attributes:
        of: element key to its marks, in the order of `STATES`.
        ends: wall end key to the marks that name it, with the elements each of them marks.
        unmatched: rows of the schedule that name nothing here.
        file: the schedule, "" without one.
    """

    of: dict[str, list[BuiltMark]] = field(default_factory=dict)
    ends: dict[str, list[tuple[BuiltMark, tuple[str, ...]]]] = field(default_factory=dict)
    unmatched: tuple[Any, ...] = ()
    file: str = ""

    def strongest(self, keys: Iterable[str]) -> tuple[str, BuiltMark] | None:
        """Of some elements the one that is built furthest, with its mark; None if none is marked."""
        rows = [(key, mark) for key in keys for mark in self.of.get(key, ())]
        return max(rows, key=lambda row: (STATES.index(row[1].state), row[1].date), default=None)


def progress_of(house: House, ask: Ask) -> Progress:
    """The marks of a building, made once."""
    if house.progress is None:
        house.progress = _Reader(house, ask).read()
    made: Progress = house.progress
    return made


class _Reader:
    """Puts rows and properties to elements."""

    def __init__(self, house: House, ask: Ask) -> None:
        self.house, self.ask, self.made = house, ask, Progress()
        self.table = house.schedules.get(TABLE)
        self.names: dict[str, list[str]] = {}

    def read(self) -> Progress:
        left = []
        for row in self.table.rows if self.table is not None else ():
            if not (self._part_row(row) if row.get("part") else self._end_row(row)):
                left.append(row)
        self.made.unmatched, self.made.file = tuple(left), self.table.file if self.table is not None else ""
        self._properties()
        for marks in self.made.of.values():
            marks.sort(key=lambda mark: (STATES.index(mark.state), mark.date, mark.source))
        return self.made

    def _mark(self, row: Any) -> BuiltMark:
        state = str(row.get("state")).lower()
        return BuiltMark(state, str(row.get("date") or ""), str(row.get("type") or ""),
                         str(row.get("as_built") or "").lower() == "yes",
                         f"{self.table.file}, line {row.line}" if self.table else "", row.line)

    def _add(self, mark: BuiltMark, keys: Iterable[str]) -> None:
        for key in keys:
            rows = self.made.of.setdefault(key, [])
            if mark not in rows:
                rows.append(mark)

    def _part_row(self, row: Any) -> bool:
        said = str(row.get("part")).strip()
        keys = self._named(said)
        if row.get("storey"):
            wanted = str(row.get("storey")).lower()
            keys = [key for key in keys if self._storey(key) == wanted]
        if not keys:
            runs = [run for run in self.house.nodes.get("vent_run", ()) if _names_run(said, run)]
            keys = [part.element.key for run in runs for part in run.parts]
        self._add(self._mark(row), keys)
        self._at_ends(row, keys)
        return bool(keys)

    def _named(self, said: str) -> list[str]:
        elements = self.house.model.elements
        if said in elements:
            return [said]
        if not self.names:
            found: dict[str, list[str]] = defaultdict(list)
            for key, element in elements.items():
                if not self.house.key or element.building in {"", self.house.key}:
                    for name in {element.name.lower(), element.mark.lower()} - {""}:
                        found[name].append(key)
            self.names = dict(found)
        return self.names.get(said.lower(), [])

    def _storey(self, key: str) -> str:
        node = self.house.model.spaces.get(self.house.model.elements[key].storey)
        return node.name.lower() if node is not None else ""

    def _at_ends(self, row: Any, keys: list[str]) -> None:
        """The wall ends that hold the parts a row names, for its type."""
        marked = set(keys)
        for end in self.house.nodes.get("wall_end", ()) if row.get("type") else ():
            own = tuple(key for key in _elements(end, (*_BOUGHT, "posts")) if key in marked)
            if own:
                self.made.ends.setdefault(end.key, []).append((self._mark(row), own))

    def _end_row(self, row: Any) -> bool:
        mark, found = self._mark(row), False
        for end in self.house.nodes.get("wall_end", ()):
            if not rows_naming(end, (row,), self.ask):
                continue
            keys = _marked_at(end, mark.state)
            self._add(mark, keys)
            self.made.ends.setdefault(end.key, []).append((mark, keys))
            found = found or bool(keys)
        return found

    def _properties(self) -> None:
        """States that the model itself tells."""
        for part in self.house.with_role(*_TOLD):
            stated = self.house.stated(part, "build_state") if any(one.properties for one in part.elements) else None
            if stated is None:
                continue
            day = self.house.stated(part, "build_date")
            mark = BuiltMark(str(stated.value), str(day.value)[:10] if day else "", source=stated.where,
                             rung=stated.rung)
            self._add(mark, [part.element.key])


def _elements(end: WallEnd, slots: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(part.element.key for slot in slots for part in getattr(end, slot)))


def _marked_at(end: WallEnd, state: str) -> tuple[str, ...]:
    """Elements that a row about a wall end marks: hardware when ordered, all when framed or covered, rods in concrete
    when poured."""
    if state == "poured":
        return _elements(end, ("rods",)) if end.below is None else ()
    return _elements(end, _BOUGHT if state == "ordered" else (*_BOUGHT, "posts"))


def _names_run(said: str, run: VentRun) -> bool:
    return bool(re.search(rf"(?<!\w){re.escape(said.lower())}(?!\w)", run.name.lower()))


@dataclass(eq=False)
class BuiltPart:
    """What was ordered or built at a wall end, beside what the model shows there. Subject kind `built_part`."""

    key: str
    text: str
    fits: bool | None
    pieces: tuple[Part, ...]
    mark: BuiltMark

    @property
    def name(self) -> str:
        """What was marked and what the model shows."""
        return self.text

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts it is about."""
        return self.pieces

    def rung_as(self, role: str) -> Rung:
        """The schedule names it."""
        return Rung.SCHEDULED


@named_set(of="wall_end", gives="built_part")
def built_parts(end: WallEnd, ask: Ask) -> Members:
    """What the progress schedule says was ordered or built at this end, where it names a type."""
    rows = []
    for mark, keys in progress_of(ask.house, ask).ends.get(end.key, ()):
        if not mark.type:
            continue
        pieces = tuple(part for part in ask.house.parts.values() if part.element.key in keys)
        for part in pieces:
            ask.part(part)
        told = [part for part in pieces if part.has("hold_down", "strap")] or pieces  # not every nut and post beside it
        shown = tuple(dict.fromkeys(part.element.type_name or part.name for part in told))
        fits = any(_is_type(part, mark.type) for part in pieces) if pieces else None
        text = (f"{mark.type} is marked {mark.said} ({mark.source}), the model shows "
                f"{', '.join(shown) or 'nothing of the kind'}")
        rows.append(BuiltPart(f"{end.key}|built|{mark.line}", text, fits, pieces, mark))
    return Members(tuple(rows), True)


def _is_type(part: Part, said: str) -> bool:
    wanted = said.strip().lower()
    names = [name.lower() for one in part.elements for name in (one.mark, one.name, one.type_name) if name]
    return any(re.search(rf"(?<!\w){re.escape(wanted)}(?!\w)", name) for name in names)


@measure("truth", of="wall_end", item="built_part", example="false where TD-2 was ordered and TD-3 is drawn")
def built_as_modelled(end: WallEnd, item: BuiltPart, ask: Ask) -> Quantity:
    """Whether the model shows the type that is marked as ordered, framed, poured or covered."""
    seen = Evidence(item.mark.source, item.mark.said, "", item.mark.rung)
    if item.fits is None:
        return Quantity("truth", words=frozenset({"true", "false"}), evidence=(seen,),
                        missing=(Missing("part", end.name, f"draw what is {item.mark.state}"),))
    return truth(item.fits, seen, rung=Rung.SCHEDULED)


@measure("truth", of="vent_run", example="true where a piece of the vent is marked as covered")
def vent_covered(run: VentRun, ask: Ask) -> Quantity:
    """Whether any piece of the vent is marked as covered."""
    progress = progress_of(ask.house, ask)
    for part in run.parts:
        for mark in progress.of.get(part.element.key, ()):
            if mark.state == "covered":
                ask.part(part)
                seen = Evidence(f"{part.name} is {mark.said}, {mark.source}", None, "", mark.rung,
                                part.element.global_id)
                return truth(True, seen, rung=mark.rung)
    return truth(False)
