"""Stack draw: the pressure by which a warm pipe pulls up, from height and temperatures."""

from collections.abc import Iterable

from modellint.engineering.constants import STANDARD_PRESSURE, kelvin
from modellint.engineering.estimate import Estimate, Range, ordered
from modellint.engineering.source import Source

STACK_CONSTANT = 3460.0
"""Constant of the stack formula at sea level [Pa·K/m].

Printed as 3460 by both sources; the exact product g·p/R is 3461.6 and other books print 3463 or 3465. One
value is fixed here so that the same house always gives the same draw; the spread is 0.16 %.
"""

STACK_SOURCE = Source(
    "handbook",
    "ASHRAE Handbook - HVAC Applications 2011",
    "ch. 53 eq. (17)",
    grade="A",
    note="same formula in SFPE Handbook ch. 50 eq. 50.1",
)


def stack_draw(
    height: float, outside: float, inside: float, pressure: float = STANDARD_PRESSURE
) -> float:
    """Return the draw of a pipe full of air of one temperature.

    ``ΔP = 3460 · (p / 101325) · h · (1/To - 1/Ti)``. Positive pulls soil gas up; negative, on a day warmer
    outside than in the pipe, pushes it down.

    Args:
        height: Height between bottom and mouth of the warm column [m], not below zero.
        outside: Outside air temperature [°C].
        inside: Mean air temperature in the pipe [°C].
        pressure: Air pressure at the site [Pa].

    Returns:
        Draw [Pa].

    Raises:
        ValueError: If the height is negative or a temperature is at or below absolute zero.

    Example:
        >>> round(stack_draw(8.0, 0.0, 20.0), 3)
        6.914
    """
    if not height >= 0.0:
        raise ValueError(f"A stack needs a height of zero or more, not {height:g} m.")
    constant = STACK_CONSTANT * pressure / STANDARD_PRESSURE
    return constant * height * (1.0 / kelvin(outside) - 1.0 / kelvin(inside))


def stack_draw_in_parts(
    parts: Iterable[tuple[float, float]], outside: float, pressure: float = STANDARD_PRESSURE
) -> float:
    """Return the draw of a pipe whose parts have different temperatures, e.g. warm house and cold attic.

    Args:
        parts: For each part its height [m] and the mean air temperature in it [°C].
        outside: Outside air temperature [°C].
        pressure: Air pressure at the site [Pa].

    Returns:
        Draw [Pa], the sum over the parts.
    """
    return sum(stack_draw(height, outside, inside, pressure) for height, inside in parts)


def estimate_stack_draw(
    height: Range, outside: Range, inside: Range, pressure: float = STANDARD_PRESSURE
) -> Estimate:
    """Return the draw as a range when height or temperatures are ranges.

    Args:
        height: Height of the column [m].
        outside: Outside air temperature [°C].
        inside: Mean air temperature in the pipe [°C].
        pressure: Air pressure at the site [Pa].

    Returns:
        Estimate in Pa; it spans zero when the pipe may be colder than the air outside.

    Raises:
        ValueError: If a range runs backwards or a value makes no sense.
    """
    heights = ordered(height, "Stack height")
    coldest, warmest = ordered(outside, "Outside temperature")
    pipe_low, pipe_high = ordered(inside, "Pipe temperature")
    # The draw rises with pipe temperature and falls with outside temperature; height only scales it.
    weakest = min(stack_draw(h, warmest, pipe_low, pressure) for h in heights)
    strongest = max(stack_draw(h, coldest, pipe_high, pressure) for h in heights)
    return Estimate(
        "stack draw",
        weakest,
        strongest,
        "Pa",
        (
            f"Outside air at {coldest:g} to {warmest:g} °C, "
            f"air in the pipe at {pipe_low:g} to {pipe_high:g} °C.",
            "Still air; wind and the house's own pressures are left out.",
        ),
        (STACK_SOURCE,),
    )
