"""Exact conversions and constants of nature that the formulae share."""

from modellint.engineering.us_units import FT

SQUARE_FOOT = FT * FT
"""Square metres in one square foot, exact."""
CUBIC_FOOT_PER_MINUTE = FT**3 / 60.0
"""Cubic metres per second in one cubic foot per minute."""
FOOT_PER_MINUTE = FT / 60.0
"""Metres per second in one foot per minute."""
INCH_OF_WATER = 249.08891
"""Pascals in one inch of water at 4 °C."""

GRAVITY = 9.80665
"""Standard gravity [m/s²], exact."""
DRY_AIR_GAS_CONSTANT = 287.042
"""Gas constant of dry air [J/(kg·K)], ASHRAE Handbook - Fundamentals 2017, ch. 1 eq. (1)."""
STANDARD_PRESSURE = 101_325.0
"""Standard atmosphere at sea level [Pa], exact."""
FREEZING_POINT = 273.15
"""0 °C [K], exact."""


def kelvin(celsius: float) -> float:
    """Return an absolute temperature [K] from a temperature [°C].

    Raises:
        ValueError: If it would be at or below absolute zero.
    """
    absolute = celsius + FREEZING_POINT
    if not absolute > 0.0:
        raise ValueError(f"A temperature of {celsius:g} °C is at or below absolute zero.")
    return absolute
