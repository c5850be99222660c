"""What the text of a model gives away before the reader sees it: cut, doubled, contradictory.

The reader drops, overwrites or guesses in all these cases, mostly without a word, so a check of what it
returns would look clean. Text that is cut inside a string or comment is refused; everything else that
contradicts itself is a serious note, which makes the check incomplete (exit status 3).
"""

from __future__ import annotations

import mmap
from collections.abc import Collection

import numpy as np

from modellint.errors import ModelUnreadable
from modellint.ifc.model import Note
from modellint.ifc.sniff import Prepared
from modellint.ifc.step_scan import Problem, StepIndex, scan
from modellint.text import clean

DEEPEST = 64  # judgement: IFC nests lists in lists in typed values, five or six deep
_NAMED = 3  # places named in a sentence; the rest is counted

_SENTENCES = {
    "unbalanced": "parentheses do not match in the record that begins here, so it was lost or misread",
    "id-too-large": "an instance number is larger than the reader can hold (2,147,483,647)",
    "stray-hash": "a # without an instance number stands outside a string, so the record was lost or misread",
    "zero-byte": "the text holds a zero byte, as damaged files do",
    "not-a-number": "a number is written as NaN or infinity, so the part that uses it has no shape",
}
_HARMLESS = frozenset({"not-a-number"})


def inspect(prepared: Prepared) -> tuple[StepIndex, list[Note]]:
    """Scan the text of a prepared model and say what is wrong with it.

    Returns:
        The index of the text, and notes: those of `prepared` first, then by kind.

    Raises:
        ModelUnreadable: cut inside a string or comment, no instances, or nested beyond reason.
    """
    with prepared.path.open("rb") as file:
        text = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
    index = scan(memoryview(text)[:prepared.end])
    _refuse(index, prepared.name)
    notes = list(prepared.notes)
    notes += _text_notes(index, prepared.name)
    notes += _duplicate_notes(index, prepared.name)
    notes += _dangling_notes(index, prepared.name)
    return index, notes


def unknown_classes(index: StepIndex, known: Collection[str], name: str) -> list[Note]:
    """Notes on instances of classes that the schema does not have; the reader drops them.

    Args:
        index: the scanned text.
        known: all class names of the schema, in any case.
        name: file name for the notes.
    """
    names = {word.upper() for word in known}
    counts = np.bincount(index.codes, minlength=len(index.classes))
    notes = []
    for code, word in enumerate(index.classes):
        if word not in names:
            first = int(index.offsets[np.flatnonzero(index.codes == code)[0]])
            shown = f"class {clean(word, 60)}" if word else "a combined class"
            notes.append(Note("unknown-class", f"{_times(int(counts[code]), 'instance')} of {shown}, which "
                              "the schema does not have; the reader leaves them out.",
                              name, index.line_at(first), serious=True))
    return notes


def _refuse(index: StepIndex, name: str) -> None:
    for problem in index.problems:
        if problem.code in ("open-string", "open-comment"):
            what = problem.code.removeprefix("open-")
            line = index.line_at(_first_ink(index, problem.offset))
            raise ModelUnreadable(f"{name} is cut or damaged: a {what} that begins in or after line {line} "
                                  "never ends. Export or copy it again.")
    if index.depth > DEEPEST:
        raise ModelUnreadable(f"{name} nests parentheses {index.depth:,} deep, as no model does; "
                              "it is not read.")
    if index.count == 0:
        raise ModelUnreadable(f"{name} holds no instances: its DATA section is empty.")


def _text_notes(index: StepIndex, name: str) -> list[Note]:
    def place(problem: Problem) -> int:
        return index.line_at(_first_ink(index, problem.offset))

    notes = []
    for code, sentence in _SENTENCES.items():
        found = [problem for problem in index.problems if problem.code == code]
        if found:
            lines = list(dict.fromkeys(place(problem) for problem in found))
            notes.append(Note(code, f"{name}, {_lines(lines)}: {sentence}.", name, lines[0],
                              serious=code not in _HARMLESS))
    return notes


def _first_ink(index: StepIndex, offset: int) -> int:
    """The offset moved past blanks: a record begins where its text does, not behind the last semicolon."""
    following = bytes(index.data[offset:offset + 4096])
    return offset + len(following) - len(following.lstrip())


def _duplicate_notes(index: StepIndex, name: str) -> list[Note]:
    doubles = index.duplicates
    if not doubles:
        return []
    first = [f"#{number} ({_lines(list(lines))})" for number, lines in doubles[:_NAMED]]
    return [Note("duplicate-instance", f"{name} gives {_times(len(doubles), 'instance number')} to more than "
                 f"one record: {_and_more(first, len(doubles))}. The reader keeps one of them.",
                 name, doubles[0][1][1], serious=True)]


def _dangling_notes(index: StepIndex, name: str) -> list[Note]:
    lost = index.dangling
    if not lost:
        return []
    first = [f"#{target} (in line {line})" for target, _, line in lost[:_NAMED]]
    return [Note("dangling-reference", f"{name} refers {_times(len(lost), 'time')} to records that are not "
                 f"in it: {_and_more(first, len(lost))}. It is cut or damaged.",
                 name, lost[0][2], serious=True)]


def _times(count: int, word: str) -> str:
    return f"{count:,} {word}{'' if count == 1 else 's'}"


def _lines(lines: list[int]) -> str:
    if len(lines) == 1:
        return f"line {lines[0]}"
    more = f" and {len(lines) - _NAMED} more" if len(lines) > _NAMED else ""
    return f"lines {', '.join(map(str, lines[:_NAMED]))}{more}"


def _and_more(first: list[str], count: int) -> str:
    return ", ".join(first) + (f" and {count - len(first):,} more" if count > len(first) else "")
