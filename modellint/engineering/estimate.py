"""An estimate: a range with its assumptions, never a verdict."""

from dataclasses import dataclass

from modellint.engineering.source import Source

Range = tuple[float, float]
"""Lowest and highest possible value, in SI."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number that physics suggests for a design, to inform and never to pass or fail anything.

    Attributes:
        name: What is estimated.
        low: Lowest value, in ``unit``.
        high: Highest value, in ``unit``.
        unit: SI unit as printed, e.g. ``Pa``, ``L/s``, ``g/h``.
        assumptions: What was taken as true, one sentence each.
        sources: Papers behind the formulae and tables used.
    """

    name: str
    low: float
    high: float
    unit: str
    assumptions: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()

    @property
    def range(self) -> Range:
        """Lowest and highest value."""
        return self.low, self.high


def ordered(value: Range, what: str) -> Range:
    """Return a range unchanged, or say that it runs backwards or holds no number.

    Args:
        value: Lowest and highest value, any unit.
        what: Name of the quantity for the message.

    Raises:
        ValueError: If the low end is not at or below the high end.
    """
    low, high = value
    if not low <= high:
        raise ValueError(f"{what} needs its low end at or below its high end, not {low:g} to {high:g}.")
    return value
