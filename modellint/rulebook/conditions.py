"""From a condition as written to a condition with names resolved, kinds checked and units read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from modellint import units
from modellint.errors import UnitProblem
from modellint.rulebook.rule import Bound, Compare, Condition, Count, Join, Not, Operand, OverSet, Setting
from modellint.rulebook.vocabulary import COMPARISONS, QUANTIFIERS, Registry, fits, nearest
from modellint.rulebook.yaml_text import Document, Path_, Problem

WORD_OPERATORS = ("is", "is_one_of", "known")


@dataclass
class Resolver:
    """Resolves the conditions of one rule file.

    Attributes:
        own: the rule's own settings as written.
        general: settings of rules/settings.yaml.
        used: own setting to the `(dimension, words)` it is used with.
        problems: what is wrong, with places.
    """

    document: Document
    registry: Registry
    own: Mapping[str, Any]
    general: Mapping[str, Setting]
    used: dict[str, tuple[str, tuple[str, ...]]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def report(self, path: Path_, text: str) -> None:
        """Note a problem at a path."""
        self.problems.append(self.document.problem(path, text))

    def condition(self, data: Any, path: Path_, kinds: tuple[str, ...]) -> Condition | None:
        """Resolve one condition; None if something in it is wrong."""
        if not isinstance(data, dict):
            self._malformed(path)
            return None
        for word in ("all", "any"):
            if isinstance(data.get(word), list) and data[word]:
                parts = [
                    self.condition(part, (*path, word, index), kinds) for index, part in enumerate(data[word])
                ]
                good = tuple(part for part in parts if part is not None)
                return Join(word, good) if len(good) == len(parts) else None
        if "not" in data:
            inner = self.condition(data["not"], (*path, "not"), kinds)
            return Not(inner) if inner is not None else None
        for word in (*QUANTIFIERS, "count"):
            if word in data:
                return self._over_set(word, data, path, kinds)
        if "measure" in data:
            return self._compare(data, path, kinds)
        self._malformed(path)
        return None

    def _malformed(self, path: Path_) -> None:
        self.report(
            path,
            "This is not a condition; write {measure: …, at_least: …}, {all: […]}, {any: […]}, "
            "{not: …}, {every: SET, have: …} or {count: SET, at_least: …}.",
        )

    def set_of(self, name: Any, path: Path_, kinds: tuple[str, ...]) -> tuple[int, str] | None:
        """Place in the chain that a set is asked of, and the kind of its members."""
        spec = self.registry.sets.get(str(name))
        if spec is None:
            self.report(path, f"There is no set '{name}'{nearest(str(name), self.registry.sets)}.")
            return None
        for place in reversed(range(len(kinds))):
            if fits(kinds[place], spec.of):
                return place, spec.gives
        self.report(path, f"The set '{name}' belongs to {_either(spec.of)}, not to {_either(kinds)}.")
        return None

    def _over_set(
        self, word: str, data: dict[str, Any], path: Path_, kinds: tuple[str, ...]
    ) -> Condition | None:
        found = self.set_of(data[word], (*path, word), kinds)
        if found is None:
            return None
        place, gives = found
        inner = (*kinds, gives)
        where = self.condition(data["where"], (*path, "where"), inner) if "where" in data else None
        if "where" in data and where is None:
            return None
        if word == "count":
            right = self._right(data, path, kinds, "count", ())
            return Count(str(data[word]), place, gives, where, *right) if right else None
        if "have" not in data:
            self.report(path, f"'{word}' needs 'have': what its members must be like.")
            return None
        have = self.condition(data["have"], (*path, "have"), inner)
        return OverSet(word, str(data[word]), place, gives, where, have) if have is not None else None

    def operand(self, data: Mapping[str, Any], path: Path_, kinds: tuple[str, ...]) -> Operand | None:
        """Resolve `measure: NAME` (and `on: subject`) against the chain of kinds, innermost first."""
        name = str(data["measure"])
        spec = self.registry.measures.get(name)
        if spec is None:
            self.report(
                (*path, "measure"), f"There is no measure '{name}'{nearest(name, self.registry.measures)}."
            )
            return None
        outer = data.get("on") == "subject"
        places = (0,) if outer else tuple(reversed(range(len(kinds))))
        if not spec.item:
            for place in places:
                if fits(kinds[place], spec.of):
                    return Operand(name, spec.dimension, place)
            here = kinds[0] if outer else _either(kinds)
            self.report(
                (*path, "measure"), f"The measure '{name}' belongs to {_either(spec.of)}, not to {here}."
            )
            return None
        for item in reversed(range(1, len(kinds))):
            for place in (0,) if outer else tuple(reversed(range(item))):
                if fits(kinds[item], spec.item) and fits(kinds[place], spec.of):
                    return Operand(name, spec.dimension, place, item)
        self.report(
            (*path, "measure"),
            f"The measure '{name}' is between {_either(spec.of)} and {_either(spec.item)}; "
            f"here there is only {_either(kinds)}.",
        )
        return None

    def _compare(self, data: dict[str, Any], path: Path_, kinds: tuple[str, ...]) -> Condition | None:
        operand = self.operand(data, path, kinds)
        words = self.registry.measures[operand.measure].words if operand else ()
        right = self._right(data, path, kinds, operand.dimension if operand else "", words)
        return Compare(operand, *right) if operand and right else None

    def _right(
        self,
        data: dict[str, Any],
        path: Path_,
        kinds: tuple[str, ...],
        dimension: str,
        words: tuple[str, ...],
    ) -> tuple[str, tuple[Bound, ...]] | None:
        operators = [word for word in COMPARISONS if word in data]
        if len(operators) != 1:
            self.report(path, f"A comparison needs exactly one of {', '.join(COMPARISONS)}.")
            return None
        operator = operators[0]
        here: Path_ = (*path, operator)
        if dimension in units.WORDS and operator not in WORD_OPERATORS:
            self.report(here, f"A {dimension} is compared by is or is_one_of, not by {operator}.")
            return None
        value = data[operator]
        if operator == "known":
            if value is not True:
                self.report(here, "'known' takes true only: it passes or stays open, it never fails.")
                return None
            return operator, ()
        listed = operator in {"between", "is_one_of"}
        if listed and (
            not isinstance(value, list) or not value or (operator == "between" and len(value) != 2)
        ):
            self.report(
                here,
                "'between' takes a list of two values."
                if operator == "between"
                else "'is_one_of' takes a list of values.",
            )
            return None
        bounds = [
            self.bound(one, (*here, index) if listed else here, kinds, dimension, words)
            for index, one in enumerate(value if listed else [value])
        ]
        good = tuple(bound for bound in bounds if bound is not None)
        if len(good) < len(bounds) or not dimension:
            return None
        return (operator, good) if operator != "between" or self._ordered(good, here) else None

    def _ordered(self, bounds: tuple[Bound, ...], path: Path_) -> bool:
        low, high = (bound.value for bound in bounds)
        if isinstance(low, float) and isinstance(high, float) and low > high:
            self.report(path, "'between' takes the smaller value first.")
            return False
        return True

    def bound(
        self, value: Any, path: Path_, kinds: tuple[str, ...], dimension: str, words: tuple[str, ...]
    ) -> Bound | None:
        """Resolve a right side: a literal, `{setting: NAME}` or `{measure: NAME}`."""
        if isinstance(value, dict) and "setting" in value:
            return self._setting(str(value["setting"]), (*path, "setting"), dimension, words)
        if isinstance(value, dict) and "measure" in value:
            operand = self.operand(value, path, kinds)
            if operand and dimension and operand.dimension != dimension:
                self.report(
                    path, f"'{operand.measure}' is a {operand.dimension}, but a {dimension} is compared."
                )
                return None
            return Bound(operand=operand) if operand else None
        if not dimension:
            return None  # the measure itself is unknown and has been reported
        try:
            return Bound(value=literal(value, dimension, words), text=_as_written(value))
        except UnitProblem as problem:
            self.report(path, str(problem))
            return None

    def _setting(self, name: str, path: Path_, dimension: str, words: tuple[str, ...]) -> Bound | None:
        if name in self.own:
            before = self.used.setdefault(name, (dimension, words))
            if dimension and before[0] != dimension:
                self.report(path, f"The setting '{name}' is used as {before[0]} and as {dimension}.")
                return None
            return Bound(setting=name)
        if name in self.general:
            if dimension and self.general[name].dimension != dimension:
                self.report(
                    path,
                    f"The setting '{name}' is a {self.general[name].dimension}, but a {dimension} is "
                    "compared.",
                )
                return None
            return Bound(setting=name)
        self.report(path, f"There is no setting '{name}'{nearest(name, [*self.own, *self.general])}.")
        return None


def literal(value: Any, dimension: str, words: tuple[str, ...] = ()) -> float | str:
    """A value as written, in SI; the word itself for a choice, `true` or `false` for a truth.

    Raises:
        UnitProblem: it is of another kind or dimension; one sentence.
    """
    if dimension == "truth":
        if not isinstance(value, bool):
            raise UnitProblem(f"'{_as_written(value)}' is compared with a truth; write true or false.")
        return "true" if value else "false"
    if dimension == "choice":
        if not isinstance(value, str) or (words and value not in words):
            raise UnitProblem(
                f"'{_as_written(value)}' is not one of its words: {', '.join(words)}"
                f"{nearest(_as_written(value), words)}."
            )
        return value
    if isinstance(value, int | float) and not isinstance(value, bool):
        return units.parse(_as_written(value), dimension)
    if not isinstance(value, str):
        raise UnitProblem(f"'{_as_written(value)}' is not a quantity.")
    return units.parse(value, dimension)


def _as_written(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value) if not isinstance(value, dict | list) else "a list or mapping"


def _either(words: tuple[str, ...]) -> str:
    return " or ".join(dict.fromkeys(words))
