"""Moist air: saturation over water and ice, humidity ratio, dew point, density."""

from math import exp, log

from modellint.engineering.constants import DRY_AIR_GAS_CONSTANT, STANDARD_PRESSURE, kelvin
from modellint.engineering.source import Source

WATER_TO_AIR_MASS_RATIO = 0.621945
"""Molar mass of water over that of dry air."""
TRIPLE_POINT = 0.01
"""Temperature at which ice, water and vapour meet [°C]; the two formulae join here."""
COLDEST, HOTTEST = -100.0, 200.0
"""Range of the saturation formulae [°C]."""

SATURATION_SOURCE = Source(
    "handbook",
    "ASHRAE Handbook - Fundamentals 2017",
    "ch. 1 eq. (5) over ice, (6) over water; Table 3",
    grade="B",
)
HUMIDITY_SOURCE = Source(
    "handbook",
    "ASHRAE Handbook - Fundamentals 2017",
    "ch. 1 eq. (20) and (26), ideal gas",
    grade="B",
    note="Table 2 lies up to 1 % higher, since real air holds a little more vapour",
)


def saturation_pressure(celsius: float) -> float:
    """Return the vapour pressure of saturated air, over ice below 0.01 °C and over water above.

    Args:
        celsius: Air temperature [°C], -100 to 200.

    Returns:
        Vapour pressure [Pa].

    Raises:
        ValueError: If the temperature is outside the range of the formulae.

    Example:
        >>> round(saturation_pressure(25.0))
        3169
    """
    if not COLDEST <= celsius <= HOTTEST:
        raise ValueError(f"Vapour pressure is known from -100 to 200 °C, not at {celsius:g} °C.")
    t = kelvin(celsius)
    if celsius <= TRIPLE_POINT:
        return exp(
            -5.6745359e3 / t + 6.3925247 - 9.677843e-3 * t + 6.2215701e-7 * t**2
            + 2.0747825e-9 * t**3 - 9.484024e-13 * t**4 + 4.1635019 * log(t)
        )
    return exp(
        -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t**2
        - 1.4452093e-8 * t**3 + 6.5459673 * log(t)
    )


def vapour_pressure(humidity_ratio: float, pressure: float = STANDARD_PRESSURE) -> float:
    """Return the vapour pressure [Pa] of air from its humidity ratio [kg/kg dry air] and pressure [Pa]."""
    return pressure * humidity_ratio / (WATER_TO_AIR_MASS_RATIO + humidity_ratio)


def humidity_ratio(celsius: float, relative_humidity: float, pressure: float = STANDARD_PRESSURE) -> float:
    """Return the mass of water vapour per mass of dry air.

    Args:
        celsius: Air temperature [°C].
        relative_humidity: 0 to 1; below 0.01 °C relative to ice.
        pressure: Air pressure [Pa].

    Returns:
        Humidity ratio [kg/kg].

    Raises:
        ValueError: If the humidity is not 0 to 1, or the air would boil at that pressure.
    """
    if not 0.0 <= relative_humidity <= 1.0:
        raise ValueError(f"Relative humidity runs from 0 to 1, not {relative_humidity:g}.")
    vapour = relative_humidity * saturation_pressure(celsius)
    if not vapour < pressure:
        raise ValueError(f"Air of {celsius:g} °C cannot hold that much vapour at {pressure:g} Pa.")
    return WATER_TO_AIR_MASS_RATIO * vapour / (pressure - vapour)


def dew_point(humidity_ratio: float, pressure: float = STANDARD_PRESSURE) -> float:
    """Return the temperature at which air begins to lose water: the dew point, or frost point below 0 °C.

    Args:
        humidity_ratio: Humidity ratio [kg/kg], above zero.
        pressure: Air pressure [Pa].

    Returns:
        Temperature [°C], to 1e-9.

    Raises:
        ValueError: If the air holds no water, or more or less than the formulae cover.
    """
    wanted = vapour_pressure(humidity_ratio, pressure)
    low, high = COLDEST, HOTTEST
    if not saturation_pressure(low) <= wanted <= saturation_pressure(high):
        raise ValueError(f"A humidity ratio of {humidity_ratio:g} has no dew point between -100 and 200 °C.")
    while high - low > 1e-9:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if saturation_pressure(middle) < wanted else (low, middle)
    return 0.5 * (low + high)


def dry_air_density(celsius: float, pressure: float = STANDARD_PRESSURE) -> float:
    """Return the density [kg/m³] of dry air at a temperature [°C] and pressure [Pa]."""
    return pressure / (DRY_AIR_GAS_CONSTANT * kelvin(celsius))


def moist_air_density(celsius: float, humidity_ratio: float, pressure: float = STANDARD_PRESSURE) -> float:
    """Return the density of moist air.

    Args:
        celsius: Air temperature [°C].
        humidity_ratio: Humidity ratio [kg/kg].
        pressure: Air pressure [Pa].

    Returns:
        Density [kg/m³], air and vapour together.
    """
    dry = dry_air_share(celsius, humidity_ratio, pressure)
    return dry * (1.0 + humidity_ratio)


def dry_air_share(celsius: float, humidity_ratio: float, pressure: float = STANDARD_PRESSURE) -> float:
    """Return the mass of dry air in a volume of moist air.

    Args:
        celsius: Air temperature [°C].
        humidity_ratio: Humidity ratio [kg/kg].
        pressure: Air pressure [Pa].

    Returns:
        Dry air per volume [kg/m³].
    """
    return dry_air_density(celsius, pressure) / (1.0 + humidity_ratio / WATER_TO_AIR_MASS_RATIO)
