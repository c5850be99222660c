"""Where a number comes from, in a form that a report can show beside it."""

from __future__ import annotations

from dataclasses import dataclass

NO_SOURCE = "common practice, no source"


@dataclass(frozen=True)
class Source:
    """The origin of one formula, table or constant.

    Attributes:
        kind: `code`, `standard`, `guide`, `handbook`, `practice` (no source) or `arithmetic` (statics,
            geometry and gas law only).
        source: title with edition, e.g. "SDPWS 2015"; "" for practice and arithmetic.
        clause: clause, table or equation, e.g. "Table 4.3A"; may be "".
        memory: the value was written from memory and has not been compared with the source.
        grade: how well the text was seen: `A` seen and a second place agrees, `B` seen in one place,
            `C` secondary text only, `D` follows from A and B by arithmetic, `M` from memory, "" not graded.
        note: what a reader must know about it, e.g. "restatement, printed page not seen".
    """

    kind: str
    source: str = ""
    clause: str = ""
    memory: bool = False
    grade: str = ""
    note: str = ""

    @property
    def firm(self) -> bool:
        """Whether the value may serve as a limit or an oracle: graded A, B or D and not from memory."""
        return self.grade in {"A", "B", "D"} and not self.memory

    def words(self) -> str:
        """The source as one phrase for a report.

        >>> Source("standard", "SDPWS 2021", "4.1.4", memory=True).words()
        'SDPWS 2021 4.1.4 (from memory)'
        >>> Source("practice").words()
        'common practice, no source'
        """
        named = " ".join(part for part in (self.source, self.clause) if part)
        if not named:
            named = {"practice": NO_SOURCE}.get(self.kind, self.kind)
        marks = [mark for mark in ("from memory" if self.memory else "", self.note) if mark]
        return f"{named} ({'; '.join(marks)})" if marks else named
