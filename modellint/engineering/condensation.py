"""Water that soil air leaves in a cold vent pipe: grams per hour, litres per winter week."""

from itertools import product
from math import exp, pi

from modellint.engineering.constants import STANDARD_PRESSURE
from modellint.engineering.estimate import Estimate, Range, ordered
from modellint.engineering.moist_air import (
    HUMIDITY_SOURCE,
    SATURATION_SOURCE,
    dew_point,
    dry_air_share,
    humidity_ratio,
)

AIR_HEAT_CAPACITY = 1006.0
"""Heat capacity of dry air at constant pressure [J/(kg·K)], ASHRAE Handbook - Fundamentals 2017 ch. 1."""
SECONDS_PER_HOUR = 3600.0
HOURS_PER_WEEK = 168.0


def condensate(
    dry_air: float, entering_ratio: float, leaving: float, pressure: float = STANDARD_PRESSURE
) -> float:
    """Return the water that air gives up when it is cooled, by mass balance; never below zero.

    ``ṁ · (W_in - W_sat(T))``. Below freezing it stays as frost until it thaws.

    Args:
        dry_air: Mass flow of dry air [kg/s].
        entering_ratio: Humidity ratio of the warm air [kg/kg].
        leaving: Temperature to which the air is cooled [°C].
        pressure: Air pressure [Pa].

    Returns:
        Water [kg/s].
    """
    return dry_air * max(0.0, entering_ratio - humidity_ratio(leaving, 1.0, pressure))


def condensate_of_flow(
    flow: float, soil: float, relative_humidity: float, leaving: float, pressure: float = STANDARD_PRESSURE
) -> float:
    """Return the water that a flow of soil air gives up when it is cooled.

    Args:
        flow: Air flow at soil temperature [m³/s].
        soil: Temperature of the soil air [°C].
        relative_humidity: Its relative humidity, 0 to 1.
        leaving: Temperature to which it is cooled [°C].
        pressure: Air pressure [Pa].

    Returns:
        Water [kg/s].
    """
    ratio = humidity_ratio(soil, relative_humidity, pressure)
    return condensate(flow * dry_air_share(soil, ratio, pressure), ratio, leaving, pressure)


def leaving_temperature(
    entering: float, around: float, *, dry_air: float, length: float, outside: float, transmittance: float
) -> float:
    """Return the temperature of air at the end of a pipe through a colder space.

    ``T = Ta + (Tin - Ta) · exp(-U·π·D·L / (ṁ·cp))``. The heat that condensing water sets free is left out, so
    the air is a little warmer in truth and the water a little less.

    Args:
        entering: Air temperature at the start [°C].
        around: Temperature round the pipe [°C].
        dry_air: Mass flow [kg/s]; at zero the air takes the temperature round the pipe.
        length: Length in the cold space [m].
        outside: Outside diameter, over the insulation if any [m].
        transmittance: Heat transmittance by outside surface [W/(m²·K)].

    Returns:
        Temperature [°C].
    """
    if dry_air <= 0.0:
        return around
    units = transmittance * pi * outside * length / (dry_air * AIR_HEAT_CAPACITY)
    return around + (entering - around) * exp(-units)


def estimate_condensate(
    flow: Range,
    soil: Range,
    relative_humidity: Range,
    leaving: Range,
    pressure: float = STANDARD_PRESSURE,
) -> Estimate:
    """Return the water left in the pipe as a range.

    Args:
        flow: Air flow at soil temperature [m³/s].
        soil: Temperature of the soil air [°C].
        relative_humidity: Humidity of the soil air, 0 to 1.
        leaving: Temperature to which the air is cooled [°C]; the attic's, or ``leaving_temperature``.
        pressure: Air pressure [Pa].

    Returns:
        Estimate in g/h.

    Raises:
        ValueError: If a range runs backwards or a value makes no sense.
    """
    ranges = (
        ordered(flow, "Air flow"),
        ordered(soil, "Soil temperature"),
        ordered(relative_humidity, "Relative humidity"),
        ordered(leaving, "Leaving temperature"),
    )
    rates = [condensate_of_flow(*corner, pressure) for corner in product(*ranges)]
    frost = " Below 0 °C it stays as frost and comes down in a thaw." if leaving[0] < 0.0 else ""
    return Estimate(
        "condensate in the vent",
        min(rates) * SECONDS_PER_HOUR * 1000.0,
        max(rates) * SECONDS_PER_HOUR * 1000.0,
        "g/h",
        (
            f"Soil air at {soil[0]:g} to {soil[1]:g} °C and {relative_humidity[0]:.0%} to "
            f"{relative_humidity[1]:.0%} humidity, cooled to {leaving[0]:g} to {leaving[1]:g} °C.{frost}",
            "All water above saturation stays in the pipe; none is carried out as mist or dries up again.",
        ),
        (SATURATION_SOURCE, HUMIDITY_SOURCE),
    )


def winter_week(rate: Estimate) -> Estimate:
    """Return the water of one week at a steady rate.

    Args:
        rate: An estimate in g/h.

    Returns:
        Estimate in L, at 1 kg per litre.

    Raises:
        ValueError: If the estimate is not in g/h.
    """
    if rate.unit != "g/h":
        raise ValueError(f"A week's water follows from an estimate in g/h, not in {rate.unit}.")
    litres = HOURS_PER_WEEK / 1000.0
    return Estimate(
        "condensate in a winter week",
        rate.low * litres,
        rate.high * litres,
        "L",
        (*rate.assumptions, "The same weather for 7 days."),
        rate.sources,
    )


def pipe_sweats(surface: float, room: float, relative_humidity: float) -> bool:
    """Return whether room air leaves water on the outside of a cold pipe.

    Args:
        surface: Temperature of the pipe's outer surface [°C].
        room: Room temperature [°C].
        relative_humidity: Room humidity, above 0 to 1.

    Returns:
        True if the surface is below the dew point of the room.
    """
    return surface < dew_point(humidity_ratio(room, relative_humidity))
