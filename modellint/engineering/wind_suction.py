"""Wind at the exit: velocity pressure, and the suction over a roof as a range."""

from dataclasses import dataclass

from modellint.engineering.estimate import Estimate, Range, ordered
from modellint.engineering.source import Source

VELOCITY_PRESSURE_FACTOR = 0.613
"""Half the density of standard air [kg/m³]: q [Pa] = 0.613 · V² [m/s]; 0.00256 · V² in psf and mph."""

VELOCITY_PRESSURE_SOURCE = Source("standard", "ASCE 7-16", "ch. 26 and 27", grade="A")
EXPOSURE_SOURCE = Source(
    "standard",
    "ASCE 7-16",
    "Table 26.10-1",
    grade="B",
    note="power law seen in a worked calculation; the floor of 4.57 m (15 ft) is from memory",
)
LOWEST_PROFILE_HEIGHT = 4.572
"""Height below which the wind profile is held constant [m] (15 ft), from memory."""


@dataclass(frozen=True, slots=True)
class RoofCoefficient:
    """Mean pressure coefficient over a low-rise roof.

    Attributes:
        pitch: Range of roof pitch it holds for [degree].
        sheltered: True for a house among others of its height, False for one in the open.
        length_to_width: Plan ratio it was given for; None when it holds for all.
        low: Strongest suction coefficient (most negative).
        high: Weakest suction coefficient.
        source: Where it was printed.
    """

    pitch: Range
    sheltered: bool
    length_to_width: float | None
    low: float
    high: float
    source: Source


_MEAN = Source(
    "guide",
    "Wind pressure data of the Air Infiltration and Ventilation Centre for low-rise buildings",
    grade="B",
    note="mean values over the whole roof; the spot of one pipe can differ",
)
ROOF_COEFFICIENTS = (
    RoofCoefficient((0.0, 10.0), False, 1.0, -0.6, -0.4, _MEAN),
    RoofCoefficient((0.0, 10.0), False, 2.0, -0.8, -0.7, _MEAN),
    RoofCoefficient((0.0, 10.0), True, None, -0.5, -0.4, _MEAN),
    RoofCoefficient((11.0, 30.0), False, 1.0, -0.6, -0.4, _MEAN),
    RoofCoefficient((11.0, 30.0), False, 2.0, -0.7, -0.6, _MEAN),
    RoofCoefficient((11.0, 30.0), True, None, -0.5, -0.3, _MEAN),
)
"""Roofs steeper than 30° are not in the data: a windward slope may then push instead of pull."""

STRUCTURAL_COEFFICIENTS = {
    "0 to h": -0.9,
    "h to 2h": -0.5,
    "beyond 2h": -0.3,
    "leeward slope from 20 degrees": -0.6,
}
"""Design coefficients of a flat roof (pitch < 10°, h/L ≤ 0.5) by distance from the windward edge.

They are peaks for the strength of roofs, too large for a mean draw; no function here uses them.
"""
STRUCTURAL_SOURCE = Source("standard", "ASCE 7", "Fig. 27.4-1", grade="B")


def velocity_pressure(speed: float) -> float:
    """Return the velocity pressure of wind, ``q = 0.613 · V²``.

    Args:
        speed: Wind speed [m/s].

    Returns:
        Pressure [Pa].

    Example:
        >>> round(velocity_pressure(10.0), 1)
        61.3
    """
    return VELOCITY_PRESSURE_FACTOR * speed * speed


def exposure_factor(height: float, exponent: float, gradient_height: float) -> float:
    """Return the exposure coefficient ``Kz = 2.01 · (z / zg)^(2/α)`` of the design wind profile.

    Args:
        height: Height above ground [m]; heights under 4.57 m count as 4.57 m.
        exponent: Exponent α of the terrain, e.g. 9.5 for exposure C.
        gradient_height: Height zg above which terrain has no effect [m], e.g. 274.32 for exposure C.

    Returns:
        Ratio of velocity pressures.
    """
    return float(2.01 * (max(height, LOWEST_PROFILE_HEIGHT) / gradient_height) ** (2.0 / exponent))


def roof_coefficient(pitch: float, sheltered: bool | None = None) -> Range | None:
    """Return the span of mean roof coefficients that the data allow for a roof.

    Args:
        pitch: Roof pitch [degree].
        sheltered: True among houses of the same height, False in the open, None when not known.

    Returns:
        Most and least negative coefficient, or None for a pitch outside the data (over 30°).
    """
    # The printed bands leave 10 to 11 degrees blank: the steeper band is taken from 10 on.
    rows = [
        row
        for row in ROOF_COEFFICIENTS
        if row.pitch[0] - 1.0 <= pitch <= row.pitch[1] and (sheltered is None or row.sheltered is sheltered)
    ]
    if pitch < 0.0 or not rows:
        return None
    return min(row.low for row in rows), max(row.high for row in rows)


def wind_suction(speed: float, coefficient: float) -> float:
    """Return the suction at the exit, ``-Cp · q``; positive pulls soil gas up, negative blows down.

    Args:
        speed: Wind speed at roof height [m/s].
        coefficient: Pressure coefficient at the exit.

    Returns:
        Suction [Pa].
    """
    return -coefficient * velocity_pressure(speed)


def estimate_wind_suction(speed: Range, coefficient: Range, source: Source) -> Estimate:
    """Return the suction at the exit for a range of wind speeds and coefficients.

    Args:
        speed: Wind speed at roof height [m/s], not negative.
        coefficient: Pressure coefficient, most negative first.
        source: Where the coefficients come from.

    Returns:
        Estimate in Pa, positive for suction.

    Raises:
        ValueError: If a range runs backwards or a speed is negative.
    """
    slow, fast = ordered(speed, "Wind speed")
    low, high = ordered(coefficient, "Pressure coefficient")
    if slow < 0.0:
        raise ValueError(f"Wind speed cannot be negative, not {slow:g} m/s.")
    corners = [wind_suction(v, c) for v in (slow, fast) for c in (low, high)]
    return Estimate(
        "wind suction at the exit",
        min(corners),
        max(corners),
        "Pa",
        (
            f"Wind of {slow:g} to {fast:g} m/s at roof height, roof coefficient {low:g} to {high:g}.",
            "Mean coefficient of the roof; gusts, ridge, dormers and trees change it at one pipe.",
            "Pressure of the wind on the walls and so in the house and soil is left out.",
        ),
        (VELOCITY_PRESSURE_SOURCE, source),
    )
