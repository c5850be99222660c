"""Changes that meet what is ordered, framed, poured or covered already."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from modellint.compare.changes import Change
from modellint.compare.matching import Matching
from modellint.measures.build_state import STATES, BuiltMark, Progress

__all__ = ["BuiltChange", "BuiltMark", "Marks", "built_changes"]

ORDERED = "ordered"
# what an order does not care for: where a part stands
_NO_MATTER = {"moved", "roles"}


class Marks:
    """What is marked in both revisions, by AFTER's keys; parts that are gone by `-` and their BEFORE key."""

    def __init__(self, matching: Matching, before: Iterable[Progress], after: Iterable[Progress]) -> None:
        self.of: dict[str, list[BuiltMark]] = {}
        for progress in after:
            for key, marks in progress.of.items():
                self.of.setdefault(key, []).extend(marks)
        for progress in before:
            for key, marks in progress.of.items():
                match = matching.of.get(key)
                rows = self.of.setdefault(match.after if match is not None else f"-{key}", [])
                known = {mark.state for mark in rows}  # a model that tells less now takes nothing back
                rows.extend(mark for mark in marks if mark.state not in known)

    def strongest(self, keys: Iterable[str]) -> BuiltMark | None:
        """Of some elements the mark that is furthest in building, the latest of those; None if none is marked."""
        rows = [mark for key in keys for mark in self.of.get(key, ())]
        return max(rows, key=lambda mark: (STATES.index(mark.state), mark.date, mark.source), default=None)


@dataclass(frozen=True, eq=False)
class BuiltChange:
    """A change of a marked part.

    Attributes:
        level: `error` for what is framed, poured or covered, `warning` for what is ordered, `note` where the model
            was corrected to what stands there.
    """

    change: Change
    mark: BuiltMark

    @property
    def level(self) -> str:
        """How loud it is."""
        if self.mark.as_built:
            return "note"
        return "warning" if self.mark.state == ORDERED else "error"


def built_changes(changes: Iterable[Change], marks: Marks) -> list[BuiltChange]:
    """Changes of marked parts, the most costly state first; a part that was only moved may stay on order."""
    found = []
    for change in changes:
        mark = marks.strongest([change.key])
        if mark is None or (mark.state == ORDERED and set(change.kinds) <= _NO_MATTER):
            continue
        found.append(BuiltChange(change, mark))
    return sorted(found, key=lambda row: (-STATES.index(row.mark.state), row.change.storey, row.change.name,
                                          row.change.key))
