"""Findings of two revisions side by side: new, returned, cleared, unchanged; and which changes caused a new one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from modellint.compare.changes import Change
from modellint.compare.nodes import Keys
from modellint.findings.finding import Finding
from modellint.findings.identity import finding_id
from modellint.findings.waivers import Waiver

NEW, RETURNED, CLEARED, UNCHANGED = "new", "returned", "cleared", "unchanged"
# a change this near to a finding, metres, is named where no changed part stands in its evidence (judgement)
NEARBY = 1.5
MOST_CAUSES = 6
_URGENCY = ("vanished", "appeared", "moved", "resized", "retyped", "properties", "roles")


@dataclass(frozen=True, eq=False)
class Outcome:
    """One finding over both revisions.

    Attributes:
        status: `new`, `returned`, `cleared` or `unchanged`.
        before, after: the finding in each, None where it is not.
        now_id: its id in AFTER's keys.
        was: BEFORE's outcome where it was another one (`open` that became a fail, or the other way round).
    """

    status: str
    now_id: str
    before: Finding | None = None
    after: Finding | None = None
    was: str = ""


@dataclass(frozen=True)
class Cause:
    """A change that a new finding rests on; `near` if it is only nearby."""

    change: Change
    near: bool = False


def translated_ids(findings: Iterable[Finding], keys: Keys, item_kinds: Mapping[str, str]) -> dict[str, str]:
    """BEFORE finding id to the id it has with AFTER's keys; `item_kinds`: rule to the kind of its items."""
    return {row.id: finding_id(row.rule, keys.translated(row.subject_key, row.subject_role),
                               keys.translated(row.item_key, item_kinds.get(row.rule, ""))) for row in findings}


def carried_waivers(waivers: Iterable[Waiver], ids: Mapping[str, str]) -> list[Waiver]:
    """Waivers under the ids that their findings have in AFTER."""
    return [replace(waiver, id=ids.get(waiver.id, waiver.id)) for waiver in waivers]


def outcomes(before: Iterable[Finding], after: Iterable[Finding], ids: Mapping[str, str],
             earlier: Collection[str] = ()) -> list[Outcome]:
    """Every finding of both revisions, once.

    A fail that was open before counts as new. A finding that got less certain (a fail that is open now) stays
    unchanged, with its earlier outcome beside it.

    Args:
        ids: BEFORE id to AFTER id.
        earlier: ids of findings in reports of still earlier revisions; a new finding among them has returned.
    """
    old = {ids[row.id]: row for row in before}
    found, seen = [], set()
    for row in after:
        seen.add(row.id)
        was = old.get(row.id)
        if was is None or (row.outcome == "fail" and was.outcome == "open"):
            status = RETURNED if was is None and row.id in earlier else NEW
            found.append(Outcome(status, row.id, was, row, was.outcome if was else ""))
        else:
            found.append(Outcome(UNCHANGED, row.id, was, row, was.outcome if was.outcome != row.outcome else ""))
    found += [Outcome(CLEARED, key, row) for key, row in old.items() if key not in seen]
    return found


class Causes:
    """Finds the changes behind a new finding."""

    def __init__(self, changes: Iterable[Change], keys: Keys,
                 before_reads: Mapping[str, list[tuple[str, frozenset[str]]]],
                 uses: Mapping[str, frozenset[str]]) -> None:
        """`before_reads`: BEFORE subject key to what was asked of it; `uses`: rule to its measures and sets."""
        self.changes = list(changes)
        self.by_key: dict[str, list[Change]] = defaultdict(list)
        for change in self.changes:
            for key in {change.after, *change.hosts} - {""}:
                self.by_key[key].append(change)
        self.old = {change.before: change for change in self.changes if change.before}
        self.uses = uses
        self.reads: dict[str, list[tuple[str, frozenset[str]]]] = defaultdict(list)
        for subject, rows in before_reads.items():
            for key in {keys.translated(subject), keys.replaced(subject)}:
                self.reads[key] += rows

    def of(self, finding: Finding) -> list[Cause]:
        """Changes among what the finding rests on now or rested on before; else those nearby; the nearest first."""
        found: dict[str, Change] = {}
        names = self.uses.get(finding.rule, frozenset())
        for key in (*finding.reads, *finding.elements):
            for change in self.by_key.get(key.split("/")[0], ()):
                found[change.key] = change
        for subject in (finding.subject_key, finding.item_key):
            for name, reads in self.reads.get(subject, ()):
                if name in names:
                    old = (self.old.get(key.split("/")[0]) for key in reads)
                    found.update((change.key, change) for change in old if change is not None)
        if found:
            return [Cause(change) for change in self._nearest(finding, found.values())][:MOST_CAUSES]
        near = [change for change in self.changes if self._off(finding, change) <= NEARBY]
        return [Cause(change, near=True) for change in self._nearest(finding, near)][:MOST_CAUSES]

    def _nearest(self, finding: Finding, changes: Iterable[Change]) -> list[Change]:
        return sorted(changes, key=lambda row: (round(self._off(finding, row), 1), _URGENCY.index(row.kinds[0]),
                                                row.key))

    @staticmethod
    def _off(finding: Finding, change: Change) -> float:
        point = finding.place.point
        if point is None or change.point is None:
            return 1e6
        return float(np.linalg.norm(point - change.point))
