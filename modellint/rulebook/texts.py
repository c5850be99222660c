"""Sentences and limit rows of a finding: templates filled, values shown with their units."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import inf, isfinite, isnan
from typing import Any

from modellint import units
from modellint.findings.finding import Limit
from modellint.measures.quantity import Missing, Quantity
from modellint.rulebook.reasons import BoundValue, Outcome, Row
from modellint.rulebook.rule import Operand, Setting, uses

_BRACES = re.compile(r"\{([^{}]*)\}")
SHORT = ".short"
ONE_SIDED = frozenset({"at_least", "at_most", "more_than", "less_than"})
_UNIT = re.compile(r"^(-?[\d./-]+(?:e[-+]?\d+)?)(.*)$")


def spoken(word: str) -> str:
    """A word of the vocabulary as it is said: `force_transfer` is "force transfer", `true` is "yes"."""
    return {"true": "yes", "false": "no"}.get(word, word.replace("_", " "))


def value_text(value: Quantity, system: str = "metric") -> str:
    """A value or range: "12.4 mm", "12 to 30 mm", "at least 3", "not known"."""
    if value.text and value.known:
        return value.text
    if value.is_word:
        known = value.words if value.dimension == "choice" or len(value.words) == 1 else ()
        return " or ".join(spoken(word) for word in sorted(known)) or "not known"
    return range_text(value.low, value.high, value.dimension, system)


def range_text(low: float, high: float, dimension: str, system: str = "metric") -> str:
    """An interval in SI as text; what reaches from nothing to infinity is "not known"."""
    floor = low in {-inf, 0.0}
    if isnan(low) or isnan(high) or (floor and high == inf):
        return "not known"
    if low == high:
        return units.show(low, dimension, system)
    if high == inf:
        return f"at least {units.show(low, dimension, system)}"
    if low == -inf:
        return f"at most {units.show(high, dimension, system)}"
    first, last = units.show(low, dimension, system), units.show(high, dimension, system)
    if first == last:
        return first
    start, end = _UNIT.match(first), _UNIT.match(last)
    return f"{start[1]} to {last}" if start and end and start[2] == end[2] else f"{first} to {last}"


def setting_text(setting: Setting | BoundValue, dimension: str, system: str = "metric") -> str:
    """A limit in its source's unit, the project's unit in brackets where they differ: "10 ft (3048 mm)"."""
    written = setting.text
    number = setting.value if isinstance(setting, Setting) else setting.low
    if isinstance(number, bool | str) or number is None or dimension in units.WORDS:
        return spoken(written)
    shown = units.show(float(number), dimension, system)
    if not written or _same(written, shown):
        return written or shown
    return written if dimension in {"count", "ratio"} else f"{written} ({_inner(shown, written)})"


def _same(written: str, shown: str) -> bool:
    return re.sub(r"[\s-]", "", written) == re.sub(r"[\s-]", "", shown)


def _inner(shown: str, written: str) -> str:
    """The part of a two-fold text ("1.04 % (1/8 in/ft)") that is not written already."""
    if not shown.endswith(")"):
        return shown
    outer, inner = shown[:-1].split(" (", 1)
    return outer if written == inner else inner if written == outer else outer


def fill(
    template: str, outcome: Outcome, settings: dict[str, Setting], ask: Any, system: str = "metric"
) -> str:
    """A template with its `{names}` filled; what is unknown reads as a range or "not known".

    `{NAME.short}` is what the measure lacks to meet its limit: "raise it by {exit_above_roof.short}".
    """
    operands: dict[str, Operand] = dict(outcome.rule.spoken)
    for condition in (outcome.rule.expect, outcome.rule.when):
        for operand in uses(condition)[0]:
            operands.setdefault(operand.measure, operand)
    dimensions = {name: setting.dimension for name, setting in settings.items()}

    def one(match: re.Match[str]) -> str:
        name = match[1]
        if name.endswith(SHORT):
            return shortfall_text(outcome.rows, name.removesuffix(SHORT), system)
        if name == "subject":
            return str(outcome.subject.name)
        if name == "item":
            item = outcome.item if outcome.item is not None else next(iter(outcome.members), None)
            return str(item.name) if item is not None else "one of them"
        row = next((row for row in outcome.rows if row.measure == name), None)
        if row is not None:
            return value_text(row.value, system)
        if name in settings:
            return setting_text(settings[name], dimensions[name], system)
        for row in outcome.rows:
            for bound in row.bounds:
                if bound.measure == name and bound.quantity is not None:
                    return value_text(bound.quantity, system)
        return _asked(operands.get(name), outcome, ask, system)

    return _BRACES.sub(one, template)


def _asked(operand: Operand | None, outcome: Outcome, ask: Any, system: str) -> str:
    chain = [outcome.subject, *([outcome.item] if outcome.item is not None else []), *outcome.members[:1]]
    if outcome.no_subject or operand is None or max(operand.subject, operand.item or 0) >= len(chain):
        return "not known"
    item = chain[operand.item] if operand.item is not None else None
    return value_text(ask.measure(operand.measure, chain[operand.subject], item), system)


def limit_of(row: Row, system: str = "metric") -> Limit:
    """The limit row of one deciding comparison."""
    value, dimension = row.value, row.value.dimension
    first = row.bounds[0] if row.bounds else None
    texts = [_bound_text(bound, dimension, system) for bound in row.bounds]
    number = None if value.is_word or first is None or first.low != first.high else first.low
    bases = [bound.basis for bound in row.bounds if bound.basis]
    joined = f"{texts[0]} and {texts[1]}" if row.operator == "between" else " or ".join(texts)
    return Limit(
        row.measure,
        value_text(value, system),
        row.operator.replace("_", " "),
        joined or "a single value",
        margin_text(row, system),
        dimension,
        _finite(value.low, value),
        _finite(value.high, value),
        number,
        bases[0] if bases else None,
    )


def _finite(number: float, value: Quantity) -> float | None:
    return number if isfinite(number) and not value.is_word else None


def _bound_text(bound: BoundValue, dimension: str, system: str) -> str:
    if bound.quantity is not None:
        return f"{value_text(bound.quantity, system)} ({spoken(bound.measure)})"
    return setting_text(bound, dimension, system)


def margin_text(row: Row, system: str = "metric") -> str:
    """How far one measured number is from one limit: "3 mm to spare", "12 mm short" or "too much", "no margin" at 0."""
    if row.operator not in ONE_SIDED or row.value.is_word:
        return ""
    bound = row.bounds[0]
    if row.value.low != row.value.high or bound.low is None or bound.low != bound.high:
        return ""
    dimension = row.value.dimension
    difference = units.round_for_comparison(row.value.low, dimension) - units.round_for_comparison(
        bound.low, dimension
    )
    difference = units.round_for_comparison(
        difference if row.operator in {"at_least", "more_than"} else -difference, dimension
    )
    if difference == 0 or not isfinite(difference):
        return "no margin" if difference == 0 else ""
    if abs(difference) < 1e-9 * max(1.0, abs(bound.low)):
        return "no margin"
    beyond = "short" if row.operator in {"at_least", "more_than"} else "too much"
    return f"{units.show(abs(difference), dimension, system)} {'to spare' if difference > 0 else beyond}"


def shortfall_text(rows: Sequence[Row], measure: str, system: str = "metric") -> str:
    """What a measure lacks to meet the limit it is compared with; "not known" where it is not compared."""
    for row in rows:
        if row.measure != measure or row.operator not in ONE_SIDED or row.value.is_word or not row.bounds:
            continue
        bound, value = row.bounds[0].low, row.value
        if bound is None or bound != row.bounds[0].high:
            continue
        up = row.operator in {"at_least", "more_than"}
        low, high = (bound - value.high, bound - value.low) if up else (value.low - bound, value.high - bound)
        dimension = value.dimension
        return range_text(units.round_for_comparison(max(low, 0.0), dimension),
                          units.round_for_comparison(max(high, 0.0), dimension), dimension, system)
    return "not known"


def question_for(missing: Missing, subject: Any) -> str:
    """A question for one missing fact."""
    of = f" of {missing.of}" if missing.of and missing.of != subject.name else ""
    hint = f" Please {missing.hint}." if missing.hint else ""
    return f"{subject.name}: what about the {spoken(missing.quantity)}{of}?{hint}"
