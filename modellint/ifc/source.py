"""One opened file: its rows by class, its notes, and the keys of its products."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from modellint.ifc.model import Note

NOTES_PER_CODE = 20
"""Notes of one code beyond this are counted, not listed."""


class UnreadableShapeError(Exception):
    """This representation item cannot be read without the native geometry kernel.

    The message names the class, or what is wrong with the item.
    """


@dataclass(eq=False)
class Source:
    """An opened file and what the parts of the reader share about it.

    Attributes:
        handle: the open file of the IFC library.
        name: file name for notes.
        index: position of the file in `Model.files`.
        lines: STEP id to line in the text, from 1; empty if unknown.
        keys: STEP id of each element, port and spatial node to its key.
    """

    handle: Any
    name: str = ""
    index: int = 0
    lines: Mapping[int, int] = field(default_factory=dict)
    keys: dict[int, str] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)
    _counts: dict[str, int] = field(default_factory=dict)

    @property
    def schema(self) -> str:
        """Schema word of the file, e.g. `IFC4X3_ADD2`."""
        return str(self.handle.schema_identifier)

    def rows(self, ifc_class: str) -> tuple[Any, ...]:
        """Instances of a class and its subtypes in STEP id order; () if the schema has no such class."""
        try:
            found = self.handle.by_type(ifc_class)
        except RuntimeError:
            return ()
        return tuple(sorted(found, key=_step_id))

    def note(self, code: str, text: str, row: Any = None, *, serious: bool = False) -> None:
        """Keep a note; a flood of one code is counted instead of listed."""
        count = self._counts[code] = self._counts.get(code, 0) + 1
        if count > NOTES_PER_CODE:
            return
        step_id = int(row.id()) if row is not None else 0
        self.notes.append(
            Note(code, text, self.name, self.lines.get(step_id), self.keys.get(step_id, ""), serious)
        )

    def close_notes(self) -> list[Note]:
        """All notes, with one line for each code that was cut short."""
        for code, count in sorted(self._counts.items()):
            if count > NOTES_PER_CODE:
                self.notes.append(
                    Note(code, f"{count - NOTES_PER_CODE} further notes of this kind", self.name)
                )
        return self.notes

    def key(self, row: Any) -> str:
        """Key of an element, port or spatial node; "" for anything else."""
        return self.keys.get(row.id(), "") if row is not None else ""


def _step_id(row: Any) -> int:
    return int(row.id())


def open_source(path: str, name: str, lines: Mapping[int, int]) -> Source:
    """Open a plain STEP file; the library's own warnings become notes.

    Raises:
        ModelUnreadable: the library cannot read the file.
    """
    import ifcopenshell
    from ifcopenshell import ifcopenshell_wrapper as wrapper

    from modellint.errors import ModelUnreadable

    ifcopenshell.get_log()
    wrapper.set_log_format_json()  # type: ignore[no-untyped-call]
    try:
        handle = ifcopenshell.open(path)
    except (OSError, RuntimeError, ValueError, ifcopenshell.Error, ifcopenshell.SchemaError) as problem:
        reason = str(problem).strip().split("\n")[0]
        raise ModelUnreadable(f"{name}: the IFC text cannot be read ({reason})") from problem
    if handle is None:
        raise ModelUnreadable(f"{name}: the IFC text cannot be read")
    source = Source(handle, name, lines=lines)
    for level, message in _log_lines(ifcopenshell.get_log()):
        source.note("ifc-text", f"the IFC library reports: {message}", serious=level == "Error")
    return source


def _log_lines(log: str) -> Iterator[tuple[str, str]]:
    for line in log.splitlines():
        try:
            entry = json.loads(line)
            level, message = str(entry.get("level", "")), str(entry.get("message", ""))
        except (ValueError, AttributeError):
            level, message = "", line
        if level.casefold() in {"warning", "error"} or (not level and message):
            yield level, message
