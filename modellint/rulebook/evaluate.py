"""Three-valued evaluation of compiled conditions.

A node's `judge` gives `outcome * 4 + rung` as one small number and builds nothing; `why` walks the same
way again, only for what failed or is open, and collects the reasons. The rung of an outcome is the highest
rung at which the evidence of that rung or better decides alone, so a guessed fact never decides.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import inf
from typing import Any, Protocol

from modellint.findings.finding import Basis
from modellint.measures.quantity import EITHER, Missing, Quantity
from modellint.roles.part import Rung
from modellint.rulebook.compare import (
    FAIL,
    LEVELLED,
    OPEN,
    PASS,
    compare_numbers,
    compare_words,
    levels_differ,
    one_value,
    rounded,
)
from modellint.rulebook.reasons import BoundValue, Reasons, Row
from modellint.rulebook.rule import Bound, Compare, Condition, Count, Join, Not, Operand, OverSet, Setting
from modellint.rulebook.vocabulary import roles_of
from modellint.units import WORDS, round_for_comparison

Chain = tuple[Any, ...]
OPEN_CODE = OPEN << 2
BEST = int(Rung.DECLARED)


class Node(Protocol):
    """A compiled condition."""

    def judge(self, chain: Chain, ask: Any) -> int:
        """Outcome times 4 plus rung."""

    def why(self, chain: Chain, ask: Any, reasons: Reasons) -> None:
        """Collect what decided."""


def rung_reader(kind: str) -> Callable[[Any], int]:
    """How sure it is that a subject is of a kind (best member role of a role group)."""
    roles = roles_of(kind)
    if len(roles) == 1:
        return lambda subject: subject.rung_as(kind)
    return lambda subject: max(subject.rung_as(role) for role in roles)


class _Right:
    """One right side, its setting resolved."""

    __slots__ = ("fixed", "level", "operand", "shown", "words")

    def __init__(self, bound: Bound, dimension: str, settings: Mapping[str, Setting]) -> None:
        self.operand = bound.operand
        self.level = ""
        self.fixed: tuple[float, float] | None = None
        self.words: frozenset[str] = frozenset()
        value, text, basis = bound.value, bound.text, None
        if bound.setting:
            setting = settings[bound.setting]
            value, text, basis, self.level = setting.value, setting.text, setting.basis, setting.level
        self.shown = self._shown(value, text, basis)
        if bound.operand is None and dimension in WORDS:
            self.words = frozenset({_word(value)})
        elif bound.operand is None:
            number = round_for_comparison(float(value or 0.0), dimension)
            self.fixed = (number, number)

    @staticmethod
    def _shown(value: Any, text: str, basis: Basis | None) -> BoundValue:
        if isinstance(value, int | float) and not isinstance(value, bool):
            return BoundValue(float(value), float(value), frozenset(), text, basis)
        return BoundValue(
            None, None, frozenset({_word(value)}) if value is not None else frozenset(), text, basis
        )


def _word(value: Any) -> str:
    return ("true" if value else "false") if isinstance(value, bool) else str(value)


def _ask(operand: Operand, chain: Chain, ask: Any) -> Quantity:
    item = operand.item
    value: Quantity = ask.measure(
        operand.measure, chain[operand.subject], chain[item] if item is not None else None
    )
    return value


def _read(operand: Operand, chain: Chain, ask: Any, reasons: Reasons) -> None:
    item = chain[operand.item] if operand.item is not None else None
    reasons.reads |= ask.reads(operand.measure, chain[operand.subject], item)


class CompareNode:
    """Comparison of a measure."""

    def __init__(self, what: Compare, settings: Mapping[str, Setting]) -> None:
        self.operand, self.operator = what.operand, what.operator
        self.name, self.place, self.item = what.operand.measure, what.operand.subject, what.operand.item
        self.dimension = what.operand.dimension
        self.rights = tuple(_Right(bound, self.dimension, settings) for bound in what.bounds)
        self.measured = any(right.operand for right in self.rights)
        self.levelled = self.dimension in LEVELLED
        self.is_word = self.dimension in WORDS
        self.fixed = tuple(right.fixed for right in self.rights if right.fixed is not None)
        self.fixed_words = tuple(right.words for right in self.rights)
        self.levels = tuple(zip(self.fixed, (right.level for right in self.rights), strict=False))

    def judge(self, chain: Chain, ask: Any) -> int:
        """Outcome times 4 plus rung."""
        item = self.item
        value = ask.measure(self.name, chain[self.place], chain[item] if item is not None else None)
        rung = value.rung
        if self.operator == "known":
            outcome = PASS if one_value(value) else OPEN
        elif self.measured:
            return self._against_measures(value, chain, ask)
        elif self.is_word:
            outcome = compare_words(self.operator, value.words, self.fixed_words)
        elif self.levelled and levels_differ(value, self.levels):
            return OPEN_CODE
        else:
            low, high = rounded(value, self.dimension)
            outcome = compare_numbers(self.operator, low, high, self.fixed)
        return outcome << 2 | rung if outcome != OPEN and rung else OPEN_CODE

    def _against_measures(self, value: Quantity, chain: Chain, ask: Any) -> int:
        others = [_ask(right.operand, chain, ask) if right.operand else None for right in self.rights]
        rung = min([value.rung, *(other.rung for other in others if other)])
        if self.is_word:
            outcome = compare_words(
                self.operator,
                value.words,
                [
                    other.words if other else right.words
                    for other, right in zip(others, self.rights, strict=True)
                ],
            )
        else:
            bounds = [
                rounded(other, self.dimension) if other else right.fixed or (-inf, inf)
                for other, right in zip(others, self.rights, strict=True)
            ]
            levels = [
                other.level if other else right.level
                for other, right in zip(others, self.rights, strict=True)
            ]
            if self.levelled and levels_differ(value, list(zip(bounds, levels, strict=True))):
                return OPEN_CODE
            outcome = compare_numbers(self.operator, *rounded(value, self.dimension), bounds)
        return outcome << 2 | rung if outcome != OPEN and rung else OPEN_CODE

    def why(self, chain: Chain, ask: Any, reasons: Reasons) -> None:
        """Collect the comparison, its reads and what it lacks."""
        outcome = self.judge(chain, ask) >> 2
        value = _ask(self.operand, chain, ask)
        _read(self.operand, chain, ask, reasons)
        bounds, asked = [], [value]
        for right in self.rights:
            if right.operand is None:
                bounds.append(right.shown)
                continue
            other = _ask(right.operand, chain, ask)
            _read(right.operand, chain, ask, reasons)
            asked.append(other)
            bounds.append(
                BoundValue(other.low, other.high, other.words, "", None, right.operand.measure, other)
            )
        reasons.rows.append(Row(self.name, self.operator, value, tuple(bounds), chain, outcome))
        if outcome == OPEN:
            before = len(reasons.missing)
            for one in asked:
                reasons.lack(*one.missing)
            if len(reasons.missing) == before:
                reasons.lack(self._lack(asked, chain[self.place]))

    def _lack(self, asked: list[Quantity], subject: Any) -> Missing:
        spoken = self.name.replace("_", " ")
        if self.levelled and (any(not one.level for one in asked) or len({one.level for one in asked}) > 1):
            return Missing("load level", subject.name, "state for each force ASD or LRFD, wind or seismic")
        if any(not one.rung for one in asked):
            return Missing(
                spoken, subject.name, "it rests on parts that are only guessed; name what they are"
            )
        return Missing(spoken, subject.name, "give it in the model or the project file")


class JoinNode:
    """`all` and `any`: `all` is decided by a fail, `any` by a pass."""

    def __init__(self, parts: tuple[Node, ...], decisive: int) -> None:
        self.parts, self.decisive = parts, decisive

    def judge(self, chain: Chain, ask: Any) -> int:
        """Outcome times 4 plus rung."""
        best, lowest, unsure = -1, BEST, False
        for part in self.parts:
            code = part.judge(chain, ask)
            outcome, rung = code >> 2, code & 3
            if outcome == self.decisive:
                if rung == BEST:
                    return code
                best = max(best, rung)
            elif outcome == OPEN:
                unsure = True
            elif rung < lowest:
                lowest = rung
        if best >= 0:
            return self.decisive << 2 | best
        return OPEN_CODE if unsure else (1 - self.decisive) << 2 | lowest

    def why(self, chain: Chain, ask: Any, reasons: Reasons) -> None:
        """Collect from the branches that have the outcome of the whole."""
        wanted = self.judge(chain, ask) >> 2
        for part in self.parts:
            if part.judge(chain, ask) >> 2 == wanted:
                part.why(chain, ask, reasons)


class NotNode:
    """`not`: pass and fail swapped."""

    def __init__(self, part: Node) -> None:
        self.part = part

    def judge(self, chain: Chain, ask: Any) -> int:
        """Outcome times 4 plus rung."""
        return swapped(self.part.judge(chain, ask))

    def why(self, chain: Chain, ask: Any, reasons: Reasons) -> None:
        """Collect from the inner condition."""
        self.part.why(chain, ask, reasons)


def swapped(code: int) -> int:
    """A code with pass and fail swapped."""
    return code if code >> 2 == OPEN else code ^ 4


def build(condition: Condition, settings: Mapping[str, Setting]) -> Node:
    """Compile a condition once; `settings` are the rule's own over the general ones."""
    from modellint.rulebook.over_sets import CountNode, OverSetNode

    if isinstance(condition, Compare):
        return CompareNode(condition, settings)
    if isinstance(condition, Join):
        parts = tuple(build(part, settings) for part in condition.parts)
        return JoinNode(parts, FAIL if condition.word == "all" else PASS)
    if isinstance(condition, Not):
        return NotNode(build(condition.part, settings))
    where = build(condition.where, settings) if condition.where else None
    if isinstance(condition, OverSet):
        return OverSetNode(condition, where, build(condition.have, settings))
    rights = tuple(_Right(bound, "count", settings) for bound in condition.bounds)
    return CountNode(condition, where, rights)


def any_value(dimension: str, words: frozenset[str] = EITHER) -> Quantity:
    """Full range of a dimension, for what could not be asked."""
    return Quantity(dimension, words=words if dimension in WORDS else frozenset(), rung=Rung.GUESSED)


__all__ = [
    "BEST",
    "OPEN_CODE",
    "Chain",
    "CompareNode",
    "Count",
    "Node",
    "any_value",
    "build",
    "rung_reader",
    "swapped",
]
