"""YAML as plain data with a position for every value.

Only mappings with text keys, lists, texts, whole and decimal numbers, `true` and `false` exist; `no`, `1:30`,
`2026-01-31` and `010` are texts. Anchors, aliases, merges, tags and duplicate keys are refused. The parser
hands over a flat stream of events, so that neither nesting nor size can hurt before the limits are checked.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from modellint.errors import FileProblems, UsageProblem

MAX_DEPTH = 20
MAX_BYTES = 256 * 1024
Path_ = tuple[str | int, ...]
Problem = tuple[str, int, int, str]

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})")
_FLOAT = re.compile(r"[-+]?(?:0|[1-9][0-9]*)\.[0-9]+(?:[eE][-+]?[0-9]{1,2})?")


@dataclass
class Document:
    """One YAML file: its data, and where each value and key stands.

    Attributes:
        file: name as printed in problems.
        positions: path of a value to `(line, column)` from 1.
        keys: path of a value to the position of its key (for list items the value's own).
    """

    file: str
    data: Any
    positions: dict[Path_, tuple[int, int]] = field(default_factory=dict)
    keys: dict[Path_, tuple[int, int]] = field(default_factory=dict)

    def problem(self, path: Path_, text: str, key: bool = False) -> Problem:
        """A problem row at a path, or at the nearest outer value that has a position."""
        places = self.keys if key else self.positions
        for length in range(len(path), -1, -1):
            if path[:length] in places:
                return (self.file, *places[path[:length]], text)
        return (self.file, 1, 1, text)


def read_yaml(path: Path, shown: str = "") -> Document:
    """Read one file.

    Raises:
        FileProblems: the text is not the YAML that is allowed here, with all that was found.
        UsageProblem: the file cannot be read at all.
    """
    name = shown or str(path)
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except OSError as error:
        raise UsageProblem(f"{name}: cannot be read ({error.strerror or 'error'}).") from None
    if len(raw) > MAX_BYTES:
        raise FileProblems([(name, 1, 1, f"The file is larger than {MAX_BYTES // 1024} KB.")])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise FileProblems([(name, line, 1, "The file is not UTF-8 text.")]) from None
    return parse_yaml(text, name)


def parse_yaml(text: str, file: str) -> Document:
    """Parse a text; see `read_yaml`."""
    if len(text) > MAX_BYTES:
        raise FileProblems([(file, 1, 1, f"The file is larger than {MAX_BYTES // 1024} KB.")])
    builder = _Builder(file)
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            builder.take(event)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        what = getattr(error, "problem", None) or str(error).splitlines()[0]
        place = (mark.line + 1, mark.column + 1) if mark else _bad_character(text)
        raise FileProblems([*builder.problems, (file, *place, f"Not readable as YAML: {what}.")]) from None
    if not builder.documents:
        builder.problems.append((file, 1, 1, "The file is empty."))
    if builder.problems:
        raise FileProblems(builder.problems)
    return builder.document


def _bad_character(text: str) -> tuple[int, int]:
    for number, line in enumerate(text.split("\n"), 1):
        for column, character in enumerate(line, 1):
            if ord(character) < 32 and character not in "\t\r":
                return number, column
    return 1, 1


class _Builder:
    """Turns the stream of events into data, one event at a time."""

    def __init__(self, file: str) -> None:
        self.document = Document(file, None)
        self.problems: list[Problem] = []
        self.documents = 0
        self._stack: list[tuple[Any, Path_]] = []
        self._key: list[str | None] = []

    def take(self, event: Any) -> None:
        place = (event.start_mark.line + 1, event.start_mark.column + 1)
        if isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self._stop(place, "Only one document a file is allowed ('---' starts a second one).")
        elif isinstance(event, yaml.AliasEvent):
            self._stop(place, f"Aliases (*{event.anchor}) are not allowed; write the value out.")
        elif isinstance(event, yaml.CollectionStartEvent | yaml.ScalarEvent):
            self._check(event, place)
            self._value(event, place)
        elif isinstance(event, yaml.CollectionEndEvent):
            self._stack.pop()
            self._key.pop()

    def _stop(self, place: tuple[int, int], text: str) -> None:
        self.problems.append((self.document.file, *place, text))
        raise FileProblems(self.problems)

    def _note(self, place: tuple[int, int], text: str) -> None:
        self.problems.append((self.document.file, *place, text))

    def _check(self, event: Any, place: tuple[int, int]) -> None:
        if event.anchor is not None:
            self._stop(place, f"Anchors (&{event.anchor}) are not allowed; write the value out.")
        if event.tag is not None and event.tag != "!":
            self._stop(place, f"Tags ({event.tag}) are not allowed.")
        if len(self._stack) >= MAX_DEPTH and not isinstance(event, yaml.ScalarEvent):
            self._stop(place, f"Nested more than {MAX_DEPTH} levels deep.")

    def _value(self, event: Any, place: tuple[int, int]) -> None:
        holder, path = self._stack[-1] if self._stack else (None, ())
        if isinstance(holder, dict) and self._key[-1] is None:
            self._take_key(event, place, holder, path)
            return
        here: Path_ = path
        if isinstance(holder, dict):
            here = (*path, str(self._key[-1]))
        elif isinstance(holder, list):
            here = (*path, len(holder))
        value = (
            self._scalar(event, place)
            if isinstance(event, yaml.ScalarEvent)
            else ({} if isinstance(event, yaml.MappingStartEvent) else [])
        )
        self.document.positions[here] = place
        self.document.keys.setdefault(here, place)
        if isinstance(holder, dict):
            holder[self._key[-1]] = value
            self._key[-1] = None
        elif isinstance(holder, list):
            holder.append(value)
        else:
            self.document.data = value
        if not isinstance(event, yaml.ScalarEvent):
            self._stack.append((value, here))
            self._key.append(None)

    def _take_key(self, event: Any, place: tuple[int, int], holder: dict[str, Any], path: Path_) -> None:
        if not isinstance(event, yaml.ScalarEvent):
            self._stop(place, "A key must be a word.")
        name = str(event.value)
        if name == "<<" and event.implicit[0]:
            self._stop(place, "Merging with << is not allowed; write the keys out.")
        if name in holder:
            first = self.document.keys[(*path, name)]
            self._note(place, f"The key '{name}' stands here a second time (first on line {first[0]}).")
        else:
            self.document.keys[(*path, name)] = place
        self._key[-1] = name

    def _scalar(self, event: Any, place: tuple[int, int]) -> Any:
        text = str(event.value)
        if not event.implicit[0]:
            return text
        if text in {"", "~", "null"}:
            self._note(place, "A value is missing here.")
            return ""
        if text in {"true", "false"}:
            return text == "true"
        if _INT.fullmatch(text):
            return int(text)
        return float(text) if _FLOAT.fullmatch(text) else text
