"""Demand and capacity at each wall end that a change touches, before and after."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf, isfinite
from typing import Any

from modellint.compare.changes import Change
from modellint.compare.nodes import Keys
from modellint.compare.touched import held_by
from modellint.measures.ask import Ask
from modellint.measures.quantity import Quantity

LENGTH, MARGIN = "length of wall", "margin"
# measure of a wall end to what a reader calls it, in the order of reading
MEASURES = {
    "tie_distance_from_end": "tie distance from end",
    "lever_arm": "lever arm",
    "uplift_demand": "pull",
    "chain_capacity": "weakest link takes",
    "weakest_link": "weakest link",
    "tie_may_move": "may move further in",
    "break_even_moment": "break-even moment",
}


@dataclass(frozen=True)
class Span:
    """Possible values in SI, or a word; `level` of a force."""

    low: float = -inf
    high: float = inf
    word: str = ""
    level: str = ""

    @property
    def seen(self) -> bool:
        """Whether anything is known that a reader can use."""
        return bool(self.word) or isfinite(self.high) or (isfinite(self.low) and self.low > 0)

    @property
    def value(self) -> float | None:
        """The single value, None if several are possible."""
        return self.low if self.low == self.high and isfinite(self.low) else None


@dataclass(frozen=True)
class Number:
    """One number of a touched wall end, before and after.

    Attributes:
        end, name: key and name of the wall end in AFTER.
        measure: what it is, in a reader's words.
        dimension: of units.py; `choice` for a word.
        changed: it is another one now.
    """

    end: str
    name: str
    measure: str
    dimension: str
    before: Span
    after: Span
    changed: bool


def numbers(keys: Keys, changes: Iterable[Change], before: Mapping[str, Ask], after: Mapping[str, Ask]
            ) -> list[Number]:
    """Numbers of the wall ends that exist in both revisions and are touched, by wall, storey and place.

    An end is touched where one of its numbers is another one, or a part of its chain changed.

    Args:
        keys: matched wall ends.
        changes: all changes.
        before, after: wall end key to the measures of its house.
    """
    rows = list(changes)
    altered = ({change.before for change in rows} - {""}, {change.after for change in rows} - {""})
    found = []
    for one, two in sorted(keys.ends, key=_order):
        own = _of_end(one, two, before.get(one.key), after.get(two.key))
        if any(row.changed for row in own) or held_by(one) & altered[0] or held_by(two) & altered[1]:
            found += own
    return found


def _order(pair: tuple[Any, Any]) -> tuple[Any, ...]:
    end = pair[1]
    return end.line.name, round(end.line.bottom, 3), round(end.position, 3), end.key


def _of_end(one: Any, two: Any, first: Ask | None, second: Ask | None) -> list[Number]:
    values: dict[str, tuple[Span, Span, str]] = {
        LENGTH: (_exact(one.segment.length), _exact(two.segment.length), "length")}
    for name, said in MEASURES.items():
        a, b = _value(name, one, first), _value(name, two, second)
        shown = b if b is not None else a
        if shown is not None and (a is None or b is None or a.dimension == b.dimension):
            values[said] = (_span(a), _span(b), shown.dimension)
    _add_margin(values)
    if values.get("pull", (Span(), Span(), ""))[1].seen:
        values.pop("break-even moment", None)  # the margin says it
    return [Number(two.key, two.name, said, dimension, a, b, _differ(a, b, dimension))
            for said, (a, b, dimension) in values.items()
            if (a.seen or b.seen) and (said != LENGTH or _differ(a, b, dimension))]


def _exact(value: float) -> Span:
    return Span(value, value)


def _value(name: str, end: Any, ask: Ask | None) -> Quantity | None:
    """A measure of a wall end; None where it cannot be asked."""
    if ask is None or not ask.knows(name, "wall_end"):
        return None
    return ask.measure(name, end)


def _span(value: Quantity | None) -> Span:
    if value is None:
        return Span()
    if value.is_word:
        return Span(word=" or ".join(sorted(value.words)))
    return Span(value.low, value.high, level=value.level)


def _add_margin(values: dict[str, tuple[Span, Span, str]]) -> None:
    """Capacity less pull, where both are forces of one load level."""
    nothing = (Span(), Span(), "")
    pulls, takes = values.get("pull", nothing), values.get("weakest link takes", nothing)
    sides = (_less(takes[0], pulls[0]), _less(takes[1], pulls[1]))
    if any(isfinite(side.high) for side in sides):
        moves = values.pop("may move further in", None)
        values[MARGIN] = (sides[0], sides[1], "force")
        if moves is not None:
            values["may move further in"] = moves


def _less(takes: Span, pull: Span) -> Span:
    """What is left of a capacity under a pull; nothing known where one is not, or their load levels differ."""
    if not (pull.seen and takes.seen and pull.level == takes.level):
        return Span()
    return Span(takes.low - pull.high, takes.high - pull.low, level=pull.level)


def _differ(one: Span, two: Span, dimension: str) -> bool:
    """Whether two spans differ by more than 2 mm, 1 N or 1 Nm."""
    if one.word != two.word or one.level != two.level:
        return True
    noise = 0.002 if dimension == "length" else 1.0
    return any(a != b and not abs(a - b) <= noise for a, b in ((one.low, two.low), (one.high, two.high)))
