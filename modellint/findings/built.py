"""What a finding meets on site: parts of it that are ordered, framed, poured or covered already."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from modellint.findings.finding import STAGES, Finding
from modellint.ifc.model import Element, Note
from modellint.measures.build_state import STATES, Progress

# the stage whose cheap moment has passed once a part is in a state; a post stands on concrete that is poured
REACHED = {"ordered": "issue", "framed": "pour", "poured": "pour", "covered": "cover"}


def mark_built(findings: Iterable[Finding], progress: Progress, elements: Mapping[str, Element]) -> None:
    """Name in each finding the part of it that is built furthest; past its stage it is due whatever was asked for.

    Args:
        findings: of one building; `extra.built` is set where a part is marked.
        progress: of the same building.
        elements: of the model, for names.
    """
    if not progress.of:
        return
    for finding in findings:
        found = progress.strongest(finding.elements)
        if found is None:
            continue
        key, mark = found
        element = elements[key]
        overdue = finding.stage in STAGES and STAGES.index(finding.stage) <= STAGES.index(REACHED[mark.state])
        finding.extra["built"] = {"state": mark.state, "date": mark.date, "source": mark.source,
                                  "part": element.name or element.type_name, "global_id": element.global_id,
                                  "overdue": overdue}
        finding.due = finding.due or overdue


def progress_notes(rows: Sequence[Progress]) -> list[Note]:
    """What the progress schedule marks, and its rows that name nothing in any building."""
    counts = Counter(mark.state for progress in rows for marks in progress.of.values() for mark in marks)
    found = []
    if counts:
        said = ", ".join(f"{counts[state]} {state}" for state in STATES if counts[state])
        found.append(Note("progress-read", f"Parts that are marked as ordered or built: {said}."))
    everywhere = [{row.line for row in progress.unmatched} for progress in rows]
    lost = set.intersection(*everywhere) if everywhere else set()
    return found + [_unmatched(row, rows[0].file) for row in (rows[0].unmatched if rows else ()) if row.line in lost]


def _unmatched(row: Any, file: str) -> Note:
    named = row.get("part") or " ".join(str(row.get(name)) for name in ("wall", "storey", "end"))
    more = "; nothing at this end stands in concrete" if not row.get("part") and \
        str(row.get("state")).lower() == "poured" else ""
    return Note("progress-unmatched", f"The progress schedule marks '{named}' as {str(row.get('state')).lower()}, "
                f"but nothing in this model fits{more}.", file, row.line)
