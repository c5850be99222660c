"""Waivers as they stand in a project file or a file of their own: reading them, and adding one to the text."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import yaml

from modellint.errors import FileProblems, UsageProblem
from modellint.findings.waivers import Waiver
from modellint.rulebook.vocabulary import nearest
from modellint.rulebook.yaml_text import Document, Path_, Problem, parse_yaml, read_yaml

WAIVER_KEYS = ("id", "state", "rule", "by", "on", "until", "reason")
NEEDED = ("id", "state", "by", "reason")


def read_waivers(document: Document, rows: list[Any], problems: list[Problem]) -> list[Waiver]:
    """The entries below the key `waivers` of a file; texts among them (names of files) are left out."""
    found = []
    for index, row in enumerate(rows):
        where: Path_ = ("waivers", index)
        if isinstance(row, str):
            continue
        if not isinstance(row, dict):
            problems.append(document.problem(where, "A waiver is a mapping with id, state, by and reason."))
            continue
        for key in row:
            if key not in WAIVER_KEYS:
                text = f"The key '{key}' is not known here{nearest(key, WAIVER_KEYS)}."
                problems.append(document.problem((*where, key), text, key=True))
        problems += [document.problem(where, f"A waiver needs '{key}'.") for key in NEEDED if not row.get(key)]
        for key in ("on", "until"):
            problems += _day(document, row.get(key, ""), (*where, key))
        line = document.positions.get(where, (0, 0))[0]
        texts = {key: str(row.get(key, "")) for key in WAIVER_KEYS}
        found.append(Waiver(line=line, file=Path(document.file).name, **texts))
    return found


def _day(document: Document, value: Any, path: Path_) -> list[Problem]:
    try:
        if value != "":
            date.fromisoformat(str(value))
    except ValueError:
        return [document.problem(path, f"'{value}' is not a day like 2026-11-25.")]
    return []


def read_waiver_file(path: Path, problems: list[Problem]) -> list[Waiver]:
    """The waivers of a file of their own: a mapping with the one key `waivers`."""
    document = read_yaml(path)
    data = document.data
    if not isinstance(data, dict) or set(data) != {"waivers"} or not isinstance(data["waivers"], list):
        problems.append(document.problem((), "A waivers file has the one key 'waivers' with a list."))
        return []
    return read_waivers(document, data["waivers"], problems)


@dataclass(frozen=True)
class Added:
    """A text with one waiver more: the whole text, and the lines that are new."""

    text: str
    lines: str


def entry_lines(waiver: Waiver, indent: int = 2) -> str:
    """A waiver as an item of a block list; every value quoted, so that nothing is read as anything but text."""
    rows = [(key, getattr(waiver, key)) for key in WAIVER_KEYS if getattr(waiver, key)]
    lead = " " * indent
    lines = [f"{lead}{'- ' if k == 0 else '  '}{key}: {_quoted(value)}" for k, (key, value) in enumerate(rows)]
    return "\n".join(lines) + "\n"


def _quoted(value: str) -> str:
    plain = " ".join(value.split())
    text: str = yaml.dump(plain, allow_unicode=True, default_style='"', width=10**6)
    return text.strip()


def add_waiver(text: str, waiver: Waiver, name: str) -> Added:
    """A project or waivers file with one entry more at the end of `waivers`; all else stays as it is.

    Args:
        text: the file's text, "" for a new file.
        waiver: what to add.
        name: the file's name for error messages.

    Raises:
        FileProblems: the text is not readable.
        UsageProblem: the list is written in a way to which no line can be added.
    """
    if not text.strip():
        lines = entry_lines(waiver)
        return Added(f"{text}waivers:\n{lines}", lines)
    before = parse_yaml(text, name)
    if not isinstance(before.data, dict):
        raise UsageProblem(f"{name} is not a mapping, so no waiver can be added to it.")
    known = before.data.get("waivers", [])
    made = _with_lines(text, before, known, waiver)
    expected = {**before.data, "waivers": [*known, _as_data(waiver)]} if isinstance(known, list) else None
    if made is None or _data_of(made.text, name) != expected:
        raise UsageProblem(f"{name}: 'waivers' is written in a way that cannot be added to; write it as a list with "
                           f"one '- id: …' per waiver, or paste this:\n{entry_lines(waiver)}")
    return made


def _data_of(text: str, name: str) -> Any:
    try:
        return parse_yaml(text, name).data
    except FileProblems:
        return None


def _as_data(waiver: Waiver) -> dict[str, str]:
    return {key: " ".join(getattr(waiver, key).split()) for key in WAIVER_KEYS if getattr(waiver, key)}


def _with_lines(text: str, document: Document, known: Any, waiver: Waiver) -> Added | None:
    rows = text.split("\n")
    if rows[-1]:
        rows.append("")
    if "waivers" not in document.data:
        lines = entry_lines(waiver)
        return Added("\n".join(rows) + f"waivers:\n{lines}", lines)
    head = document.keys.get(("waivers",), (0, 0))[0]
    if not known:
        rows[head - 1] = rows[head - 1].split(":")[0] + ":"
    column = document.positions.get(("waivers", 0), (0, 5))[1] if known else 5
    lines = entry_lines(waiver, max(column - 3, 0))
    later = [line for path, (line, _) in document.keys.items() if len(path) == 1 and line > head]
    end = min(later, default=len(rows)) - 1
    while end > head and (not rows[end - 1].strip() or rows[end - 1].lstrip().startswith("#")):
        end -= 1
    return Added("\n".join([*rows[:end], *lines.rstrip("\n").split("\n"), *rows[end:]]), lines)
