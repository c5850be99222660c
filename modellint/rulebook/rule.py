"""Rules as data: what a rule file says once names are resolved and units are read."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from modellint.findings.finding import Basis


@dataclass(frozen=True)
class Setting:
    """A named value that a project may change.

    Attributes:
        text: as written in its source's unit, e.g. "10 ft".
        value: number in SI, bool or word.
        dimension: of the value, "" for words and truths.
        level: load level of a force, e.g. "ASD wind"; "".
        basis: why this value, and where it was set.
        words: the words a choice may take, () for any.
    """

    name: str
    text: str
    value: Any
    dimension: str
    basis: Basis
    description: str = ""
    level: str = ""
    words: tuple[str, ...] = ()

    def changed(self, text: str, value: Any, basis: Basis) -> Setting:
        """The same setting with another value."""
        return replace(self, text=text, value=value, basis=basis)


@dataclass(frozen=True)
class Operand:
    """A measure and where in the chain (subject, each item, set member …) its arguments stand."""

    measure: str
    dimension: str
    subject: int
    item: int | None = None


@dataclass(frozen=True)
class Bound:
    """One right side of a comparison; exactly one of literal, setting and operand is meant.

    Attributes:
        value: SI number of a literal, or its word.
        text: literal as written.
    """

    value: float | str | None = None
    text: str = ""
    setting: str = ""
    operand: Operand | None = None


@dataclass(frozen=True)
class Compare:
    """`{measure: NAME, at_least: …}`. For `known` there are no bounds."""

    operand: Operand
    operator: str
    bounds: tuple[Bound, ...]


@dataclass(frozen=True)
class Join:
    """`{all: […]}` or `{any: […]}`."""

    word: str
    parts: tuple[Condition, ...]


@dataclass(frozen=True)
class Not:
    """`{not: CONDITION}`."""

    part: Condition


@dataclass(frozen=True)
class OverSet:
    """`{every|some|no: SET, where: …, have: …}`; `asked_of`: place of the set's subject in the chain."""

    word: str
    set: str
    asked_of: int
    gives: str
    where: Condition | None
    have: Condition


@dataclass(frozen=True)
class Count:
    """`{count: SET, where: …, at_least: 2}`."""

    set: str
    asked_of: int
    gives: str
    where: Condition | None
    operator: str
    bounds: tuple[Bound, ...]


Condition = Compare | Join | Not | OverSet | Count


@dataclass(frozen=True)
class Rule:
    """One rule file; texts are templates, `spoken` the measures that only they name."""

    id: str
    title: str
    group: str
    subject: str
    expect: Condition
    level: str
    stage: str
    decides: str
    message: str
    ask: str
    remedy: str
    when: Condition | None = None
    if_none: str = "notApplicable"
    each: str = ""
    each_gives: str = ""
    effect: str = ""
    traps: tuple[str, ...] = ()
    was: tuple[str, ...] = ()
    settings: dict[str, Setting] = field(default_factory=dict)
    spoken: dict[str, Operand] = field(default_factory=dict)
    source: str = ""
    shipped: bool = True

    def __hash__(self) -> int:
        return hash(self.id)


def uses(condition: Condition | None) -> tuple[list[Operand], list[str], list[str]]:
    """Operands, settings and sets that a condition names, in order of writing."""
    operands: list[Operand] = []
    settings: list[str] = []
    sets: list[str] = []
    _gather(condition, operands, settings, sets)
    return operands, settings, sets


def _gather(
    condition: Condition | None, operands: list[Operand], settings: list[str], sets: list[str]
) -> None:
    if isinstance(condition, Join):
        for part in condition.parts:
            _gather(part, operands, settings, sets)
    elif isinstance(condition, Not):
        _gather(condition.part, operands, settings, sets)
    elif isinstance(condition, OverSet | Count):
        sets.append(condition.set)
        _gather(condition.where, operands, settings, sets)
        if isinstance(condition, OverSet):
            _gather(condition.have, operands, settings, sets)
    if isinstance(condition, Compare):
        operands.append(condition.operand)
    if isinstance(condition, Compare | Count):
        operands += [bound.operand for bound in condition.bounds if bound.operand]
        settings += [bound.setting for bound in condition.bounds if bound.setting]
