"""Rows of the progress schedule: what a builder marked as ordered, framed, poured or covered."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from modellint.rulebook.vocabulary import nearest
from modellint.rulebook.yaml_text import Problem

STATES = ("ordered", "framed", "poured", "covered")
YES_NO = ("yes", "no")
_END = ("wall", "storey", "end")


def progress_problems(rows: Iterable[Any], file: str) -> list[Problem]:
    """What is wrong in the rows, each with its line.

    A row names a part, or a wall end by wall, storey and end; its state is one of `STATES`; its date is a day.
    """
    problems: list[Problem] = []
    seen: dict[tuple[str, ...], int] = {}
    for row in rows:
        said = [(file, row.line, 1, text) for text in (_place(row), _state(row), _day(row), _as_built(row)) if text]
        problems += said
        key = tuple(str(row.get(name, "")).lower() for name in ("part", *_END, "state"))
        if not said and key in seen:
            problems.append((file, row.line, 1, f"The same part has the same state on line {seen[key]}."))
        seen.setdefault(key, row.line)
    return problems


def _place(row: Any) -> str:
    part, end = row.get("part"), [name for name in _END if row.get(name)]
    if part and ("wall" in end or "end" in end):
        return "Name either a part or a wall end, not both."
    if not part and len(end) < len(_END):
        return "Name a part, or a wall end by 'wall', 'storey' and 'end'."
    return ""


def _state(row: Any) -> str:
    said = str(row.get("state", "")).lower()
    if not said or said in STATES:
        return ""
    hint = nearest(said, STATES)
    return f"The state '{row.get('state')}' is none of {', '.join(STATES)}{hint}{'' if hint.endswith('?') else '.'}"


def _day(row: Any) -> str:
    said = str(row.get("date") or "")
    try:
        if said and (len(said) != 10 or not date.fromisoformat(said)):
            raise ValueError
    except ValueError:
        return f"date: '{said}' is not a day; write it as YYYY-MM-DD."
    return ""


def _as_built(row: Any) -> str:
    said = str(row.get("as_built") or "no").lower()
    return "" if said in YES_NO else f"as_built: '{said}' is neither yes nor no."
