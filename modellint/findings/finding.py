"""A finding: one (rule, subject, item) that failed or could not be told, with everything a report needs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # reports of finished checks need no numpy
    from modellint.measures.quantity import Evidence, Missing, Place

STAGES = ("permit", "issue", "pour", "cover", "close")
LEVELS = ("note", "warning", "error")
OUTCOMES = ("fail", "open", "pass", "notApplicable")
DECIDERS = ("engineer of record", "building official", "plumber", "soil-gas professional", "designer",
            "superintendent")


@dataclass(frozen=True)
class Basis:
    """What a limit rests on.

    Attributes:
        kind: `code`, `standard`, `guide`, `practice` ("common practice, no source") or `project`.
        source: e.g. "IRC 2018"; "" for practice and project.
        clause: e.g. "R403.1.6".
        memory: the value was written from memory and has not been checked against the source.
        origin: `shipped`, `rule set` or `project file`; with `changed_from` the value that was replaced.
    """

    kind: str
    source: str = ""
    clause: str = ""
    memory: bool = False
    origin: str = "shipped"
    changed_from: str = ""

    def words(self) -> str:
        """The basis as one phrase for a report."""
        named = {"practice": "common practice, no source", "project": "project setting"}.get(
            self.kind, " ".join(part for part in (self.source, self.clause) if part))
        memory = ", from memory" if self.memory else ""
        changed = f" (changed in the {self.origin} from {self.changed_from})" if self.changed_from else ""
        return f"{named}{memory}{changed}"


@dataclass(frozen=True)
class Limit:
    """One comparison that decided the outcome.

    Attributes:
        measure: measure name.
        measured: text of the measured value or range, e.g. "12.4 mm", "12 to 30 mm", "not known".
        comparison: `at least`, `at most`, `more than`, `less than`, `between`, `is`, `is one of`.
        limit: the limit in its source's unit, with the project unit in brackets where they differ.
        margin: measured against limit as text with sign, "no margin", or "".
        low, high: measured interval in SI (None for words or infinite).
        limit_si: limit in SI (None for words).
        basis: why this limit.
    """

    measure: str
    measured: str
    comparison: str
    limit: str
    margin: str
    dimension: str
    low: float | None
    high: float | None
    limit_si: float | None
    basis: Basis | None


@dataclass
class Finding:
    """See the JSON report's schema in docs/report.schema.json for the meaning of each field."""

    id: str
    state: str
    rule: str
    title: str
    group: str
    outcome: str
    level: str
    stage: str
    decides: str
    subject_role: str
    subject_key: str
    subject_name: str
    item_key: str
    place: Place
    elements: tuple[str, ...]
    message: str
    effect: str = ""
    remedy: str = ""
    question: str = ""
    missing: tuple[Missing, ...] = ()
    limits: tuple[Limit, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    conditional: bool = False
    due: bool = True
    accepted: dict[str, Any] | None = None
    share: str = ""
    items: tuple[str, ...] = ()
    extra: dict[str, Any] = field(default_factory=dict)
    reads: tuple[str, ...] = ()  # keys of all parts the outcome rests on, for the comparison of two revisions
