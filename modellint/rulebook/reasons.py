"""Why an outcome is what it is: the comparisons, members and missing facts that decided it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from modellint.findings.finding import Basis
from modellint.measures.quantity import Missing, Quantity, Subject
from modellint.roles.part import Rung
from modellint.rulebook.rule import Rule


@dataclass(frozen=True)
class BoundValue:
    """A right side as it was compared: SI value or words, text as written ("" for a measure), basis."""

    low: float | None
    high: float | None
    words: frozenset[str]
    text: str
    basis: Basis | None
    measure: str = ""
    quantity: Quantity | None = None


@dataclass(frozen=True)
class Row:
    """One comparison that decided: what was measured, how it was compared, with what."""

    measure: str
    operator: str
    value: Quantity
    bounds: tuple[BoundValue, ...]
    chain: tuple[Subject, ...]
    outcome: int


@dataclass
class Reasons:
    """Collected while an outcome is walked through a second time.

    Attributes:
        members: set members that decided, the first in the set's order first.
        reads: keys of the parts that the deciding values rest on.
    """

    rows: list[Row] = field(default_factory=list)
    members: list[Any] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)
    reads: set[str] = field(default_factory=set)

    def lack(self, *missing: Missing) -> None:
        """Add missing facts, each once, in order."""
        self.missing.extend(one for one in dict.fromkeys(missing) if one not in self.missing)

    def member(self, member: Any) -> None:
        """Add a member once."""
        if all(member is not one for one in self.members):
            self.members.append(member)


@dataclass(frozen=True)
class Outcome:
    """Outcome of one (rule, subject, item).

    Attributes:
        outcome: `pass`, `fail`, `open` or `notApplicable`.
        rung: lowest rung among what decided.
        from_when: open because `when` is open.
        about_subject: open because the subject (or item) itself is only guessed.
        no_subject: the building stands in for subjects that it does not have (`if_none`).
    """

    rule: Rule
    subject: Any
    item: Any
    outcome: str
    rung: Rung
    rows: tuple[Row, ...] = ()
    members: tuple[Any, ...] = ()
    missing: tuple[Missing, ...] = ()
    reads: frozenset[str] = frozenset()
    from_when: bool = False
    about_subject: bool = False
    no_subject: bool = False
