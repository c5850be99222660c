"""Comparing possible values: pass if all satisfy, fail if none does, else open."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import isfinite

from modellint.measures.quantity import Quantity
from modellint.units import round_for_comparison

PASS, FAIL, OPEN, NOT_APPLICABLE = 0, 1, 2, 3
OUTCOME_WORDS = ("pass", "fail", "open", "notApplicable")
LEVELLED = frozenset({"force", "force_per_length", "moment"})
"""Dimensions whose values carry a load level."""
Interval = tuple[float, float]
NumberTest = Callable[[float, float, Sequence[Interval]], int]


def _pick(passes: bool, fails: bool) -> int:
    return PASS if passes else FAIL if fails else OPEN


def _at_least(low: float, high: float, bounds: Sequence[Interval]) -> int:
    least, most = bounds[0]
    return PASS if low >= most else FAIL if high < least else OPEN


def _at_most(low: float, high: float, bounds: Sequence[Interval]) -> int:
    least, most = bounds[0]
    return PASS if high <= least else FAIL if low > most else OPEN


def _more_than(low: float, high: float, bounds: Sequence[Interval]) -> int:
    least, most = bounds[0]
    return PASS if low > most else FAIL if high <= least else OPEN


def _less_than(low: float, high: float, bounds: Sequence[Interval]) -> int:
    least, most = bounds[0]
    return PASS if high < least else FAIL if low >= most else OPEN


def _between(low: float, high: float, bounds: Sequence[Interval]) -> int:
    floor, ceiling = bounds
    return _pick(low >= floor[1] and high <= ceiling[0], high < floor[0] or low > ceiling[1])


def _is(low: float, high: float, bounds: Sequence[Interval]) -> int:
    least, most = bounds[0]
    return _pick(low == high == least == most, high < least or low > most)


def _is_one_of(low: float, high: float, bounds: Sequence[Interval]) -> int:
    singles = {least for least, most in bounds if least == most}
    return _pick(low == high and low in singles, all(high < least or low > most for least, most in bounds))


NUMBER_TESTS: dict[str, NumberTest] = {
    "at_least": _at_least,
    "at_most": _at_most,
    "more_than": _more_than,
    "less_than": _less_than,
    "between": _between,
    "is": _is,
    "is_one_of": _is_one_of,
}


def compare_numbers(operator: str, low: float, high: float, bounds: Sequence[Interval]) -> int:
    """Compare the interval [low, high] with bounds that are intervals themselves (a literal has equal ends).

    NaN or a crossed interval, which no sound measure gives, is open.
    """
    if not low <= high or any(not least <= most for least, most in bounds):
        return OPEN
    return NUMBER_TESTS[operator](low, high, bounds)


def compare_words(operator: str, words: frozenset[str], bounds: Sequence[frozenset[str]]) -> int:
    """Compare possible words; each bound is the set of words that are possible on the right side."""
    if not words or not all(bounds):
        return OPEN
    if operator == "is":
        return _pick(len(words) == 1 and words == bounds[0], not words & bounds[0])
    certain = frozenset().union(*(bound for bound in bounds if len(bound) == 1))
    possible = frozenset().union(*bounds)
    return _pick(words <= certain, not words & possible)


def rounded(quantity: Quantity, dimension: str) -> Interval:
    """The interval of a quantity as it is compared."""
    low = round_for_comparison(quantity.low, dimension)
    return low, low if quantity.high == quantity.low else round_for_comparison(quantity.high, dimension)


def levels_differ(value: Quantity, bounds: Sequence[tuple[Interval, str]]) -> bool:
    """Whether forces of unlike or unstated load level meet; zero has no level and meets any."""
    return any(
        not (low == high == 0.0) and (not value.level or level != value.level)
        for (low, high), level in bounds
    )


def one_value(quantity: Quantity) -> bool:
    """Whether a single value is possible (`known: true`)."""
    return (
        len(quantity.words) == 1
        if quantity.is_word
        else (isfinite(quantity.low) and quantity.low == quantity.high)
    )
