"""Guards of the formulae: each refuses an impossible input with one sentence."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite


def positive(value: float, what: str) -> float:
    """`value`, which must be a finite number above zero.

    Raises:
        ValueError: it is not.
    """
    if not (isfinite(value) and value > 0):
        raise ValueError(f"{what} must be more than zero, not {value:g}.")
    return value


def not_negative(value: float, what: str) -> float:
    """`value`, which must be a finite number of zero or more.

    Raises:
        ValueError: it is not.
    """
    if not (isfinite(value) and value >= 0):
        raise ValueError(f"{what} must be zero or more, not {value:g}.")
    return value


def finite(value: float, what: str) -> float:
    """`value`, which must be a finite number.

    Raises:
        ValueError: it is not.
    """
    if not isfinite(value):
        raise ValueError(f"{what} must be a number, not {value:g}.")
    return value


def in_range(value: float, low: float, high: float, what: str) -> float:
    """`value`, which must lie between `low` and `high`, both included.

    Raises:
        ValueError: it does not.
    """
    if not low <= value <= high:
        raise ValueError(f"{what} must lie between {low:g} and {high:g}, not {value:g}.")
    return value


def one_of(value: str, options: Iterable[str], what: str) -> str:
    """`value`, which must be one of `options`.

    Raises:
        ValueError: it is not; the sentence lists the options.
    """
    known = tuple(options)
    if value not in known:
        raise ValueError(f"{what} \"{value}\" is not known; known are {', '.join(known)}.")
    return value
