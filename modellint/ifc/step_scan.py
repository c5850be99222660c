"""One pass over the STEP text with numpy: instances, references, and what is wrong with the text itself.

The pass respects strings (with doubled quotes and the `\\S\\'` directive) and comments. It knows nothing
of schemas and needs no IFC library, so it can run beside the reader and judge what the reader swallows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from modellint.ifc.step_words import ClassTable, first_numbers, odd_numbers, odd_so_far

Bytes = bytes | bytearray | memoryview
Ints = NDArray[np.int64]

CHUNK = 1 << 20
LOOSEST = 4096  # bytes between `#` and the class name
AHEAD = LOOSEST + 64
MOST_PROBLEMS = 20
LARGEST_ID = 2**31 - 1  # what the reader can hold: larger numbers end in a syntax error (measured)
_QUOTE, _HASH, _SEMICOLON, _OPEN = 0x27, 0x23, 0x3B, 0x28
_LINE_FEED, _RETURN, _SLASH, _STAR = 0x0A, 0x0D, 0x2F, 0x2A
_LOOSE = re.compile(rb"#\s*(\d+)\s*(=?)\s*")


@dataclass(frozen=True, order=True)
class Problem:
    """Something wrong with the text.

    Attributes:
        offset: byte offset from 0.
        code: `open-string`, `open-comment`, `unbalanced`, `id-too-large`, `stray-hash`, `not-a-number`
            or `zero-byte`.
    """

    offset: int
    code: str


@dataclass(eq=False)
class StepIndex:
    """Columns over all instances `#id=CLASS(…)` of a STEP text, in file order.

    Attributes:
        ids: (n,) instance numbers.
        offsets: (n,) byte offset of each `#`.
        codes: (n,) index into `classes`.
        classes: class names in capitals, sorted; "" stands for an instance of several classes.
        refs: (m,) all `#ref` uses; those of row i are `refs[ref_start[i]:ref_start[i + 1]]`.
        ref_start: (n + 1,) see `refs`.
        depth: deepest nesting of parentheses.
        problems: what is wrong with the text, by offset, at most MOST_PROBLEMS of a kind.
    """

    data: Bytes = field(repr=False)
    ids: Ints
    offsets: Ints
    codes: NDArray[np.int32]
    classes: tuple[str, ...]
    refs: Ints
    ref_start: Ints
    depth: int
    problems: tuple[Problem, ...]
    newline: int
    lines_before_chunk: Ints = field(repr=False)

    @property
    def count(self) -> int:
        """Number of instances, doubles included."""
        return len(self.ids)

    @cached_property
    def _order(self) -> Ints:
        return np.argsort(self.ids, kind="stable")

    @cached_property
    def _sorted_ids(self) -> Ints:
        return self.ids[self._order]

    def row_of(self, step_id: int) -> int | None:
        """Row of the first instance with this number, None if there is none."""
        place = int(np.searchsorted(self._sorted_ids, step_id))
        found = place < self.count and int(self._sorted_ids[place]) == step_id
        return int(self._order[place]) if found else None

    def rows_of_class(self, name: str) -> Ints:
        """Rows of one class, spelled in any case; subclasses are not included."""
        wanted = name.upper()
        if wanted not in self.classes:
            return np.empty(0, np.int64)
        return np.flatnonzero(self.codes == self.classes.index(wanted))

    def refs_of(self, row: int) -> Ints:
        """References of one row, in order."""
        return self.refs[self.ref_start[row]:self.ref_start[row + 1]]

    def line_at(self, offset: int) -> int:
        """Line, from 1, of a byte offset."""
        chunk = min(offset // CHUNK, len(self.lines_before_chunk) - 1)
        rest = np.frombuffer(self.data, np.uint8)[chunk * CHUNK:offset]
        return 1 + int(self.lines_before_chunk[chunk]) + int(np.count_nonzero(rest == self.newline))

    def line_of(self, step_id: int) -> int | None:
        """Line, from 1, of the first instance with this number, None if there is none."""
        row = self.row_of(step_id)
        return None if row is None else self.line_at(int(self.offsets[row]))

    @cached_property
    def lines(self) -> Ints:
        """(n,) line, from 1, of each instance."""
        return self.lines_of(self.offsets)

    def lines_of(self, offsets: Ints) -> Ints:
        """Lines, from 1, of many ascending offsets."""
        text = np.frombuffer(self.data, np.uint8)
        result = np.empty(len(offsets), np.int64)
        edges = np.searchsorted(offsets, np.arange(0, len(text) + CHUNK, CHUNK))
        for chunk in np.flatnonzero(np.diff(edges)):
            base = int(chunk) * CHUNK
            ends = np.flatnonzero(text[base:base + CHUNK] == self.newline) + base
            part = slice(edges[chunk], edges[chunk + 1])
            result[part] = np.searchsorted(ends, offsets[part]) + self.lines_before_chunk[chunk] + 1
        return result

    @cached_property
    def duplicates(self) -> tuple[tuple[int, tuple[int, ...]], ...]:
        """`(id, lines)` of every number that more than one instance has, by number."""
        same = np.flatnonzero(self._sorted_ids[1:] == self._sorted_ids[:-1])
        numbers = np.unique(self._sorted_ids[same])
        first = np.searchsorted(self._sorted_ids, numbers)
        last = np.searchsorted(self._sorted_ids, numbers, side="right")
        return tuple((int(number), tuple(self.line_at(int(self.offsets[row])) for row in self._order[a:b]))
                     for number, a, b in zip(numbers, first, last, strict=True))

    @cached_property
    def dangling(self) -> tuple[tuple[int, int, int], ...]:
        """`(referenced id, id of the instance that uses it, its line)` of references to nothing, in order."""
        lost = np.flatnonzero(~self._known(self.refs))
        rows = np.searchsorted(self.ref_start, lost, side="right") - 1
        lines = self.lines_of(self.offsets[rows])
        return tuple((int(self.refs[use]), int(self.ids[row]), int(line))
                     for use, row, line in zip(lost, rows, lines, strict=True))

    def _known(self, numbers: Ints) -> NDArray[np.bool_]:
        largest = int(self.ids.max(initial=0))
        if largest > 16 * self.count + (1 << 20):
            return np.isin(numbers, self.ids)
        present = np.zeros(largest + 2, np.bool_)
        present[self.ids] = True
        return present[np.clip(numbers, 0, largest + 1)]


def scan(data: Bytes) -> StepIndex:
    """Read all instances and references of a STEP text.

    Args:
        data: the whole text of one exchange structure, header included; never changed. A memory map works
            through `memoryview`.
    """
    text = np.frombuffer(data, np.uint8)
    problems: list[Problem] = []
    clean = _without_comments(text, problems)
    newline = _LINE_FEED if (text[:CHUNK] == _LINE_FEED).any() else _RETURN
    pass_over = _Pass(clean, newline, problems)
    pass_over.run()
    codes, classes = pass_over.table.sorted_codes(_joined(pass_over.codes, np.int32))
    starts = _joined(pass_over.ref_counts, np.int64)
    problems.sort()
    return StepIndex(
        data=data, ids=_joined(pass_over.ids, np.int64), offsets=_joined(pass_over.offsets, np.int64),
        codes=codes, classes=classes, refs=_joined(pass_over.refs, np.int64),
        ref_start=np.append(starts, sum(len(part) for part in pass_over.refs)),
        depth=pass_over.deepest, problems=tuple(problems), newline=newline,
        lines_before_chunk=np.array(pass_over.lines_before, np.int64))


class _Pass:
    """The state that is carried from chunk to chunk, and the columns so far."""

    def __init__(self, text: NDArray[np.uint8], newline: int, problems: list[Problem]) -> None:
        self.text, self.newline, self.problems = text, newline, problems
        self.ids: list[Ints] = []
        self.offsets: list[Ints] = []
        self.codes: list[NDArray[np.int32]] = []
        self.refs: list[Ints] = []
        self.ref_counts: list[Ints] = []
        self.table = ClassTable()
        self.lines_before = [0]
        self.deepest = 0
        self._depth = 0
        self._in_string = False
        self._record_start = 0
        self._refs_so_far = 0
        self._told: dict[str, int] = {}

    def run(self) -> None:
        """Go over all chunks."""
        for base, chunk, ahead in _chunks(self.text):
            inside = self._strings(chunk, ahead)
            self.lines_before.append(self.lines_before[-1] + int(np.count_nonzero(chunk == self.newline)))
            if np.count_nonzero(chunk) < len(chunk):
                self._tell("zero-byte", base + int(np.flatnonzero(chunk == 0)[0]))
            for place in odd_numbers(ahead[:len(chunk) + 3], inside):
                self._tell("not-a-number", base + place)
            self._parentheses(base, chunk, inside)
            hashes = chunk == _HASH
            np.greater(hashes, inside, out=hashes)
            self._numbers(base, np.flatnonzero(hashes), ahead)
        if self._in_string:
            self._tell("open-string", self._record_start)
        if self._depth:
            self._tell("unbalanced", self._record_start)

    def _strings(self, chunk: NDArray[np.uint8], ahead: NDArray[np.uint8]) -> NDArray[np.bool_]:
        size = len(chunk)
        inside = odd_so_far(ahead[:size + -size % 8] == _QUOTE)[:size]
        if self._in_string:
            np.logical_not(inside, out=inside)
        self._in_string = bool(inside[-1])
        return inside

    def _parentheses(self, base: int, chunk: NDArray[np.uint8], inside: NDArray[np.bool_]) -> None:
        marks = (chunk & 0xFE) == _OPEN
        np.logical_or(marks, chunk == _SEMICOLON, out=marks)
        np.greater(marks, inside, out=marks)
        places = np.flatnonzero(marks)
        if not len(places):
            return
        signs = chunk[places]
        ends = signs == _SEMICOLON
        steps = np.where(ends, 0, 81 - 2 * signs.astype(np.int32))
        depth = np.cumsum(steps, dtype=np.int64) + self._depth
        self.deepest = max(self.deepest, int(depth.max()))
        where = np.flatnonzero(ends)
        starts = np.concatenate(([self._record_start], base + places[where] + 1))
        grown = np.diff(depth[where], prepend=0)
        for record in np.flatnonzero(grown)[:MOST_PROBLEMS]:
            self._tell("unbalanced", int(starts[record]))
        self._depth = int(depth[-1]) - (int(depth[where[-1]]) if len(where) else 0)
        if len(where):
            self._record_start = base + int(places[where[-1]]) + 1

    def _numbers(self, base: int, hashes: Ints, ahead: NDArray[np.uint8]) -> None:
        if not len(hashes):
            return
        numbers, names, loose = first_numbers(ahead, hashes)
        for row in np.flatnonzero(loose):
            numbers[row], names[row] = self._loose(base, int(hashes[row]))
        for row in np.flatnonzero(numbers > LARGEST_ID)[:MOST_PROBLEMS]:
            self._tell("id-too-large", base + int(hashes[row]))
        stray = numbers < 0
        if stray.any():
            for row in np.flatnonzero(stray)[:MOST_PROBLEMS]:
                self._tell("stray-hash", base + int(hashes[row]))
            hashes, numbers, names = hashes[~stray], numbers[~stray], names[~stray]
        self._add(hashes + base, numbers, names, ahead)

    def _add(self, offsets: Ints, numbers: Ints, names: Ints, ahead: NDArray[np.uint8]) -> None:
        rows = np.flatnonzero(names >= 0)
        refs = numbers[names < 0]
        before = 0
        if not self.ids:  # references before the first instance belong to nobody
            before = int(rows[0]) if len(rows) else len(refs)
            refs = refs[before:]
        if len(rows):
            self.ids.append(numbers[rows])
            self.offsets.append(offsets[rows])
            self.codes.append(self.table.codes(ahead, names[rows]))
            self.ref_counts.append(rows - before - np.arange(len(rows)) + self._refs_so_far)
        self.refs.append(refs)
        self._refs_so_far += len(refs)

    def _loose(self, base: int, place: int) -> tuple[int, int]:
        """Number and place of the class name of an instance with blanks or many digits, read byte by byte."""
        following = int(self.text[base + place + 1]) if base + place + 1 < len(self.text) else 0
        if not (0x30 <= following <= 0x39 or 0 < following <= 0x20):
            return -1, -1
        found = _LOOSE.match(self.text[base + place:base + place + LOOSEST].tobytes())
        if not found:
            return -1, -1
        number = int(found[1]) if len(found[1]) < 19 else LARGEST_ID + 1
        return number, place + found.end() if found[2] else -1

    def _tell(self, code: str, offset: int) -> None:
        self._told[code] = self._told.get(code, 0) + 1
        if self._told[code] <= MOST_PROBLEMS:
            self.problems.append(Problem(offset, code))


def _chunks(text: NDArray[np.uint8]) -> Iterator[tuple[int, NDArray[np.uint8], NDArray[np.uint8]]]:
    """Yield `(base, chunk, chunk with what follows)`; past the end stand zeros, which stop every search."""
    work = np.zeros(CHUNK + AHEAD + 16, np.uint8)
    for base in range(0, len(text), CHUNK):
        size = min(CHUNK, len(text) - base)
        got = min(CHUNK + AHEAD, len(text) - base)
        work[:got] = text[base:base + got]
        work[got:] = 0
        work[size + AHEAD:] = 0
        yield base, work[:size], work[:size + AHEAD + 16]


def _joined(parts: list[Any], kind: Any) -> Any:
    return np.concatenate(parts) if parts else np.empty(0, kind)


def _without_comments(text: NDArray[np.uint8], problems: list[Problem]) -> NDArray[np.uint8]:
    """The text itself, or a copy with comments and `\\S\\'` quotes blanked, line ends and offsets kept."""
    slashes = [_pairs(text, _SLASH, _STAR), _escaped_quotes(text)]
    if not len(slashes[0]) and not len(slashes[1]):
        return text
    copy = text.copy()
    copy[slashes[1]] = 0x20
    since, odd, blank_to = 0, False, 0
    for start in slashes[0].tolist():
        if start < blank_to:
            continue
        odd ^= bool(np.count_nonzero(copy[since:start] == _QUOTE) & 1)
        since = start
        if odd:
            continue
        end = _find(text, b"*/", start + 2)
        if end < 0:
            problems.append(Problem(start, "open-comment"))
            end = len(text)
        blank_to = since = min(end + 2, len(text))
        span = copy[start:blank_to]
        span[(span != _LINE_FEED) & (span != _RETURN)] = 0x20
    return copy


def _pairs(text: NDArray[np.uint8], first: int, second: int) -> Ints:
    """Offsets at which `first` is followed by `second`."""
    found = []
    for base in range(0, len(text) - 1, CHUNK):
        places = np.flatnonzero(text[base:base + CHUNK] == first) + base
        places = places[places < len(text) - 1]
        found.append(places[text[places + 1] == second])
    return np.concatenate(found) if found else np.empty(0, np.int64)


def _escaped_quotes(text: NDArray[np.uint8]) -> Ints:
    """Offsets of quotes that the directive `\\S\\` takes as a letter (the reader does the same)."""
    places = _pairs(text, 0x5C, _QUOTE)
    places = places[places >= 2]
    places = places[(text[places - 1] == 0x53) & (text[places - 2] == 0x5C)]
    return np.array([place + 1 for place in places.tolist() if not _escaped(text, place - 2)], np.int64)


def _escaped(text: NDArray[np.uint8], place: int) -> bool:
    """Whether the backslash at `place` is the second of a doubled one."""
    before = 0
    while place > before and text[place - 1 - before] == 0x5C:
        before += 1
    return before % 2 == 1


def _find(text: NDArray[np.uint8], what: bytes, start: int) -> int:
    """Offset of `what` at or after `start`, -1 if there is none."""
    for base in range(start, len(text), CHUNK):
        found = text[base:base + CHUNK + len(what) - 1].tobytes().find(what)
        if found >= 0:
            return base + found
    return -1
