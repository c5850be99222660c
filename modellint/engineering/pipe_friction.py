"""Friction in a vent pipe: Darcy and Weisbach, friction factors, viscosity of air, speeds."""

from math import isfinite, log10, pi, sqrt

from modellint.engineering.constants import FOOT_PER_MINUTE, kelvin
from modellint.engineering.estimate import Range
from modellint.engineering.source import Source

LAMINAR_LIMIT = 2300.0
"""Reynolds number below which flow is laminar (printed as about 2000 to 2300)."""
TURBULENT_LIMIT = 4000.0
"""Reynolds number above which Colebrook holds; between the two the factor is read off a straight line."""

SMOOTH_PLASTIC: Range = (0.0, 1.5e-6)
"""Roughness of PVC and ABS pipe [m]: smooth, at most that of drawn tubing."""

DARCY_SOURCE = Source("handbook", "Cengel and Cimbala, Fluid Mechanics, 1st ed. 2004", "ch. 8", grade="A")
COLEBROOK_SOURCE = Source(
    "handbook",
    "Cengel and Cimbala, Fluid Mechanics, 1st ed. 2004",
    "ch. 8, Colebrook equation",
    grade="A",
)
SWAMEE_JAIN_SOURCE = Source("handbook", "Swamee and Jain", "explicit friction factor", grade="C")
LAMINAR_SOURCE = Source("handbook", "Textbooks of fluid mechanics", "f = 64/Re", grade="C")
ROUGHNESS_SOURCE = Source(
    "handbook", "Textbook tables of surface roughness", "plastic, drawn tubing", grade="B"
)
VISCOSITY_SOURCE = Source("standard", "U.S. Standard Atmosphere 1976", "viscosity of air", grade="B")

CONDENSATE_FALLS_BELOW = 2000.0 * FOOT_PER_MINUTE
"""Air speed under which condensate still runs down against the flow [m/s] (2000 ft/min)."""
QUIET_SPEED = 1600.0 * FOOT_PER_MINUTE
"""Air speed at which the guidance sizes pipes, about [m/s] (1600 ft/min); above it the pipe is heard."""
SPEED_SOURCE = Source("standard", "ANSI/AARST SGM-SF-2017 (12/20)", "6.3.8", grade="B")


def bore_area(bore: float) -> float:
    """Return the area of a round bore [m²] from its diameter [m]."""
    return pi * bore * bore / 4.0


def flow_speed(flow: float, bore: float) -> float:
    """Return the mean speed [m/s] of a flow [m³/s] in a bore [m]."""
    return flow / bore_area(bore)


def air_viscosity(celsius: float) -> float:
    """Return the dynamic viscosity of air [Pa·s] at a temperature [°C] (Sutherland's law).

    Example:
        >>> round(air_viscosity(15.0) * 1e5, 4)
        1.7894
    """
    absolute = kelvin(celsius)
    return 1.458e-6 * absolute * sqrt(absolute) / (absolute + 110.4)


def laminar_factor(reynolds: float) -> float:
    """Return the Darcy friction factor of laminar flow, ``64 / Re``."""
    return 64.0 / reynolds


def swamee_jain(reynolds: float, relative_roughness: float = 0.0) -> float:
    """Return the explicit friction factor of Swamee and Jain, within about 1 % of Colebrook.

    Args:
        reynolds: Reynolds number, 5·10³ to 10⁸.
        relative_roughness: Roughness over bore, 0 to 0.05.

    Returns:
        Darcy friction factor.
    """
    return 0.25 / log10(relative_roughness / 3.7 + 5.74 / reynolds**0.9) ** 2


def colebrook(reynolds: float, relative_roughness: float = 0.0) -> float:
    """Return the friction factor of Colebrook, solved by iteration.

    ``1/√f = -2 log10(ε/(3.7 D) + 2.51/(Re √f))``

    Args:
        reynolds: Reynolds number, above about 4000.
        relative_roughness: Roughness over bore, 0 to 0.05.

    Returns:
        Darcy friction factor, converged to 12 digits.
    """
    inverse_root = 1.0 / sqrt(swamee_jain(reynolds, relative_roughness))
    for _ in range(50):
        following = -2.0 * log10(relative_roughness / 3.7 + 2.51 * inverse_root / reynolds)
        if abs(following - inverse_root) <= 1e-13 * following:
            break
        inverse_root = following
    return 1.0 / (inverse_root * inverse_root)


def friction_factor(reynolds: float, relative_roughness: float = 0.0) -> float:
    """Return the Darcy friction factor at any Reynolds number above zero.

    Laminar below 2300, Colebrook above 4000, a straight line between, so that friction never falls as
    flow grows and a balance with the draw has one answer.

    Args:
        reynolds: Reynolds number.
        relative_roughness: Roughness over bore.

    Returns:
        Darcy friction factor.

    Raises:
        ValueError: If the Reynolds number is not above zero.
    """
    if not (reynolds > 0.0 and isfinite(reynolds)):
        raise ValueError(f"A friction factor needs a Reynolds number above zero, not {reynolds:g}.")
    if reynolds <= LAMINAR_LIMIT:
        return laminar_factor(reynolds)
    if reynolds >= TURBULENT_LIMIT:
        return colebrook(reynolds, relative_roughness)
    share = (reynolds - LAMINAR_LIMIT) / (TURBULENT_LIMIT - LAMINAR_LIMIT)
    low = laminar_factor(LAMINAR_LIMIT)
    return low + share * (colebrook(TURBULENT_LIMIT, relative_roughness) - low)


def pressure_drop(
    flow: float,
    bore: float,
    length: float,
    loss: float = 0.0,
    *,
    density: float,
    viscosity: float,
    roughness: float = 0.0,
) -> float:
    """Return the pressure that friction and fittings take, ``(f·L/D + ΣK) · ρV²/2``.

    Args:
        flow: Air flow [m³/s], not negative.
        bore: Inside diameter [m].
        length: Length, with the equivalent length of fittings added [m].
        loss: Sum of loss coefficients K.
        density: Density of the air [kg/m³].
        viscosity: Dynamic viscosity of the air [Pa·s].
        roughness: Roughness of the wall [m].

    Returns:
        Pressure drop [Pa]; 0 without flow.

    Raises:
        ValueError: If the flow is negative, or the bore is not above zero.
    """
    if not bore > 0.0:
        raise ValueError(f"Friction needs a bore above zero, not {bore:g} m.")
    if flow < 0.0:
        raise ValueError(f"Friction needs a flow of zero or more, not {flow:g} m³/s.")
    if flow == 0.0:
        return 0.0
    speed = flow_speed(flow, bore)
    factor = friction_factor(density * speed * bore / viscosity, roughness / bore)
    return (factor * length / bore + loss) * density * speed * speed / 2.0
