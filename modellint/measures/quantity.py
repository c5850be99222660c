"""What a measure gives: the values that are possible, the evidence for them, and what is missing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, isfinite
from typing import Any, Protocol

from modellint.ifc.solid import Array
from modellint.roles.part import Part, Rung


@dataclass(frozen=True)
class Place:
    """Where something is, in words and coordinates.

    Attributes:
        text: place a person can walk to, e.g. "wall S1, Level 1, east end, 115 mm from the end".
        point: (3,) world metres (shifted by Model.origin) or None.
        storey: storey name or "".
        host: key of the host element or "".
        end: compass word, grid name, `start` or `end`; "".
        along: metres from the host line's start, or None.
    """

    text: str
    point: Array | None = None
    storey: str = ""
    host: str = ""
    end: str = ""
    along: float | None = None


class Subject(Protocol):
    """Anything a rule can be about: a part or a derived node."""

    key: str

    @property
    def name(self) -> str:
        """Name to say in a sentence."""

    @property
    def parts(self) -> tuple[Part, ...]:
        """Parts it is made of, the host first."""

    def rung_as(self, role: str) -> Rung:
        """How sure it is that this is a `role` (derived nodes ignore the argument)."""


@dataclass(frozen=True)
class Evidence:
    """One fact that a value rests on.

    Attributes:
        what: e.g. "rod axis from (1.00, 2.00, 0.30) to …", "IFC property Pset_X.Depth".
        value: number in SI, text, or None.
        dimension: dimension word of the value, "" for text.
        rung: how well it is evidenced.
        global_id: the element it was read from, "".
    """

    what: str
    value: float | str | None = None
    dimension: str = ""
    rung: Rung = Rung.DECLARED
    global_id: str = ""


@dataclass(frozen=True)
class Missing:
    """One fact that the model lacks.

    Attributes:
        quantity: what, e.g. "outside diameter", "hold_down", "roof surface".
        of: of which thing, e.g. the part's name and GlobalId, or a role.
        hint: what to add or whom to ask, a phrase.
    """

    quantity: str
    of: str = ""
    hint: str = ""


TRUE, FALSE = frozenset({"true"}), frozenset({"false"})
EITHER = TRUE | FALSE


@dataclass(frozen=True)
class Quantity:
    """The possible values of one measure.

    Attributes:
        dimension: a dimension word of units.py; `choice` and `truth` use `words`, all others `low`/`high`.
        low, high: closed interval in SI. The full range of the dimension if nothing is known.
        words: possible words; `true`/`false` for truths.
        rung: lowest rung among the facts it rests on.
        evidence: facts, in the order read.
        missing: why it is not a single value; () if it is.
        level: load level of a force, e.g. "ASD wind"; "".
        text: optional word to show instead of the number, e.g. the name of the governing link.
    """

    dimension: str
    low: float = -inf
    high: float = inf
    words: frozenset[str] = frozenset()
    rung: Rung = Rung.DECLARED
    evidence: tuple[Evidence, ...] = ()
    missing: tuple[Missing, ...] = ()
    level: str = ""
    text: str = ""

    @property
    def known(self) -> bool:
        """Whether a single value is possible."""
        return len(self.words) == 1 if self.is_word else self.low == self.high and isfinite(self.low)

    @property
    def is_word(self) -> bool:
        """Whether the value is a word (choice or truth), not a number."""
        return self.dimension in {"choice", "truth"}

    def at(self, rung: Rung) -> Quantity:
        """The same with the rung lowered to `rung` if that is lower."""
        return replace(self, rung=min(self.rung, rung))


def exact(value: float, dimension: str, *evidence: Evidence, rung: Rung = Rung.DECLARED, **more: Any) -> Quantity:
    """A single number in SI."""
    return Quantity(dimension, value, value, rung=rung, evidence=evidence, **more)


def between(low: float, high: float, dimension: str, *evidence: Evidence, missing: tuple[Missing, ...] = (),
            rung: Rung = Rung.DECLARED, **more: Any) -> Quantity:
    """Any number of an interval in SI."""
    return Quantity(dimension, low, high, rung=rung, evidence=evidence, missing=missing, **more)


def unknown(dimension: str, *missing: Missing, words: frozenset[str] = EITHER, low: float | None = None,
            evidence: tuple[Evidence, ...] = ()) -> Quantity:
    """Nothing known: the full range of the dimension (`words` for a choice)."""
    if dimension in {"choice", "truth"}:
        return Quantity(dimension, words=words, missing=missing, evidence=evidence)
    floor = low if low is not None else (0.0 if dimension in NEVER_NEGATIVE else -inf)
    return Quantity(dimension, floor, inf, missing=missing, evidence=evidence)


def word(value: str, *evidence: Evidence, rung: Rung = Rung.DECLARED, **more: Any) -> Quantity:
    """A single word of a choice."""
    return Quantity("choice", words=frozenset({value}), rung=rung, evidence=evidence, **more)


def truth(value: bool, *evidence: Evidence, rung: Rung = Rung.DECLARED, **more: Any) -> Quantity:
    """A known truth."""
    return Quantity("truth", words=TRUE if value else FALSE, rung=rung, evidence=evidence, **more)


NEVER_NEGATIVE = frozenset({"area", "volume", "pressure", "count", "flow"})


@dataclass(frozen=True)
class Members:
    """The members of a named set.

    Attributes:
        items: subjects, in a stable order (chain order, else by key).
        complete: the set cannot have further members (see "Absence" in docs/evidence.md).
        missing: what would complete it.
        rung: how sure it is that the set is complete.
    """

    items: tuple[Subject, ...]
    complete: bool = True
    missing: tuple[Missing, ...] = ()
    rung: Rung = Rung.DECLARED
