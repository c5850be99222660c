"""How measures get at each other: memoised, cycle-checked, and with every read recorded."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from modellint.measures.quantity import Members, Quantity, Subject
from modellint.roles.part import Part

if TYPE_CHECKING:
    from modellint.graph.house import House


@dataclass(frozen=True)
class MeasureSpec:
    """A measure as the rule language sees it.

    Attributes:
        name: as spelled in YAML; equals the function's name.
        of: kinds of subject it can be asked of (roles, groups, derived nodes).
        item: kinds of the item, () if it takes none. A measure with an item is asked as
            `function(subject, item, ask)`, otherwise as `function(subject, ask)`.
        words: the words a choice can give, () for others.
        example: one sentence with a number.
    """

    name: str
    dimension: str
    function: Callable[..., Quantity]
    of: tuple[str, ...]
    item: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    example: str = ""


@dataclass(frozen=True)
class SetSpec:
    """A named set as the rule language sees it: members of kind `gives`, asked of subjects of kind `of`."""

    name: str
    function: Callable[..., Members]
    of: tuple[str, ...]
    gives: str


def measure(dimension: str, of: str | tuple[str, ...], item: str | tuple[str, ...] = (),
            words: tuple[str, ...] = (), example: str = "") -> Callable[..., Any]:
    """Mark a function as a measure; registry.py lists the modules that are searched for the mark."""
    def mark(function: Callable[..., Quantity]) -> Callable[..., Quantity]:
        function.spec = MeasureSpec(function.__name__, dimension, function,  # type: ignore[attr-defined]
                                    _tuple(of), _tuple(item), words, example)
        return function
    return mark


def named_set(of: str | tuple[str, ...], gives: str) -> Callable[..., Any]:
    """Mark a function as a named set."""
    def mark(function: Callable[..., Members]) -> Callable[..., Members]:
        function.spec = SetSpec(function.__name__, function, _tuple(of), gives)  # type: ignore[attr-defined]
        return function
    return mark


def _tuple(words: str | tuple[str, ...]) -> tuple[str, ...]:
    return (words,) if isinstance(words, str) else tuple(words)


class MeasureCycle(RuntimeError):
    """Two measures ask each other; a programming error."""


class Ask:
    """The only way for a measure to reach other measures, settings and the parts it rests on."""

    def __init__(self, house: House, measures: Mapping[str, MeasureSpec], sets: Mapping[str, SetSpec],
                 settings: Mapping[str, Any]) -> None:
        self.house = house
        self._measures, self._sets, self._settings = measures, sets, settings
        self._memo: dict[tuple[str, str, str], tuple[Any, frozenset[str]]] = {}
        self._once: dict[tuple[str, str, str], tuple[Any, frozenset[str]]] = {}
        self._open: list[tuple[str, str, str]] = []
        self._reads: list[set[str]] = [set()]
        self.parts_read: dict[str, Part] = {}

    def measure(self, name: str, subject: Subject, item: Subject | None = None) -> Quantity:
        """Value of a measure; a measure without an item ignores `item`."""
        spec = self._measures[name]
        with_item = item is not None and bool(spec.item)
        given: tuple[Subject, ...] = (subject, item) if with_item and item is not None else (subject,)
        value: Quantity = self._remember(name, given, spec.function, self._memo)
        return value

    def members(self, name: str, subject: Subject) -> Members:
        """Members of a named set."""
        value: Members = self._remember(name, (subject,), self._sets[name].function, self._memo)
        return value

    def once(self, name: str, subject: Subject, function: Callable[..., Any]) -> Any:
        """What `function(subject, ask)` gives, worked out once; for what several measures of a subject build on."""
        return self._remember(name, (subject,), function, self._once)

    def setting(self, name: str) -> Any:
        """Value of a general setting (rules/settings.yaml), in SI."""
        return self._settings[name]

    def part(self, part: Part) -> Part:
        """The part itself, its reading recorded."""
        self.parts_read[part.key] = part
        self._reads[-1].add(part.key)
        return part

    def reads(self, name: str, subject: Subject, item: Subject | None = None) -> frozenset[str]:
        """Keys of all parts that a value rests on (it must have been asked for before)."""
        key = (name, subject.key, item.key if item is not None else "")
        return self._memo[key if key in self._memo else (name, subject.key, "")][1]

    def _remember(self, name: str, given: tuple[Subject, ...], function: Callable[..., Any],
                  memo: dict[tuple[str, str, str], tuple[Any, frozenset[str]]]) -> Any:
        key = (name, given[0].key, given[1].key if len(given) > 1 else "")
        known = memo.get(key)
        if known is None:
            known = memo[key] = self._worked_out(key, given, function)
        self._reads[-1] |= known[1]
        return known[0]

    def _worked_out(self, key: tuple[str, str, str], given: tuple[Subject, ...],
                    function: Callable[..., Any]) -> tuple[Any, frozenset[str]]:
        if key in self._open:
            raise MeasureCycle(" -> ".join(part[0] for part in [*self._open, key]))
        self._open.append(key)
        self._reads.append(set())
        try:
            for subject in given:
                for part in subject.parts:
                    self.part(part)
            value = function(*given, self)
        finally:
            reads = frozenset(self._reads.pop())
            self._open.pop()
        return value, reads

    def knows(self, name: str, kind: str) -> bool:
        """Whether there is a measure of this name for subjects of this kind."""
        return name in self._measures and kind in self._measures[name].of

    def reads_by_subject(self) -> dict[str, list[tuple[str, frozenset[str]]]]:
        """For each subject's key what was asked of it, and the keys of all parts that each answer rests on."""
        found: dict[str, list[tuple[str, frozenset[str]]]] = {}
        for (name, subject, _), (_, reads) in self._memo.items():
            found.setdefault(subject, []).append((name, reads))
        return found
