"""Yield limit equations for bolts and nails in wood (NDS 2018 12.3)."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin, sqrt

from modellint.engineering.require import in_range, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED
from modellint.engineering.us_units import IN, LBF, PSI

SOURCES = {
    "dowel_bearing": Source("standard", "NDS 2018", "Table 12.3.3",
                            note="checked by a worked double-shear bolt"),
    "single_shear": Source("standard", "NDS 2018", "Table 12.3.1A",
                           note="checked against cells of Table 12E"),
    "double_shear": Source("standard", "NDS 2018", "Table 12.3.1A",
                           note="checked by one worked bolt; " + RESTATED),
    "nail_yield_strength": Source("standard", "NDS 2018", "Table I1", note=RESTATED),
    "bolt_distances": Source("standard", "NDS 2018", "Tables 12.5.1A to C", note=RESTATED),
}

BOLT_YIELD = 45_000 * PSI
"""Bending yield strength F_yb of bolts [Pa]."""


@dataclass(frozen=True)
class Dowel:
    """A joint of two members by one dowel.

    Attributes:
        diameter: D [m].
        yield_strength: F_yb [Pa].
        main_length: dowel bearing length l_m in the main member [m].
        side_length: l_s in (each) side member [m].
        main_bearing: F_em [Pa].
        side_bearing: F_es [Pa].
        angle: largest angle of load to grain of any member [rad], 0 to π/2; used for D of 1/4 in and more.
    """

    diameter: float
    yield_strength: float
    main_length: float
    side_length: float
    main_bearing: float
    side_bearing: float
    angle: float = 0.0


def dowel_bearing(gravity: float, diameter: float, angle: float = 0.0) -> float:
    """Dowel bearing strength of wood [Pa]: 11,200 G along, 6,100 G^1.45/√D across the grain; thin nails
    16,600 G^1.84.

    Between the two directions by the Hankinson formula.

    Args:
        gravity: specific gravity G, 0.31 to 0.73.
        diameter: D [m].
        angle: load to grain [rad], 0 to π/2.

    Raises:
        ValueError: an input out of range.
    """
    in_range(gravity, 0.31, 0.73, "Specific gravity")
    in_range(angle, 0.0, pi / 2 + 1e-9, "Angle of load to grain")
    inches = positive(diameter, "Dowel diameter") / IN
    if inches < 0.25:
        return 16_600 * float(gravity**1.84) * PSI
    along, across = 11_200 * gravity, 6_100 * float(gravity**1.45) / sqrt(inches)
    share = min(1.0, angle / (pi / 2))
    if share in (0.0, 1.0):
        return (across if share else along) * PSI
    return along * across / (along * sin(angle) ** 2 + across * cos(angle) ** 2) * PSI


def nail_yield_strength(diameter: float) -> float:
    """Bending yield strength F_yb of common, box or sinker nails [Pa], 0.099 to 0.177 in.

    Raises:
        ValueError: diameter outside the range seen.
    """
    inches = diameter / IN
    in_range(inches, 0.099, 0.177 + 1e-9, "Nail diameter in inches")
    return (100_000 if inches <= 0.142 else 90_000) * PSI


def _check(dowel: Dowel) -> None:
    for value, what in ((dowel.diameter, "Dowel diameter"), (dowel.yield_strength, "Yield strength"),
                        (dowel.main_length, "Bearing length in the main member"),
                        (dowel.side_length, "Bearing length in the side member"),
                        (dowel.main_bearing, "Bearing strength of the main member"),
                        (dowel.side_bearing, "Bearing strength of the side member")):
        positive(value, what)
    in_range(dowel.angle, 0.0, pi / 2 + 1e-9, "Angle of load to grain")


def _reductions(dowel: Dowel) -> tuple[float, float, float]:
    """Reduction terms R_d for modes I, II and III/IV."""
    inches = dowel.diameter / IN
    if inches < 0.25:
        small = 2.2 if inches <= 0.17 else 10 * inches + 0.5
        return small, small, small
    turn = 1.0 + 0.25 * dowel.angle / (pi / 2)
    return 4.0 * turn, 3.6 * turn, 3.2 * turn


def single_shear(dowel: Dowel) -> dict[str, float]:
    """Reference lateral value of each yield mode in single shear [N], ASD, C_D = 1; the least governs.

    Raises:
        ValueError: an input not above zero.
    """
    _check(dowel)
    d, f_em, f_es = dowel.diameter / IN, dowel.main_bearing / PSI, dowel.side_bearing / PSI
    l_m, l_s, f_yb = dowel.main_length / IN, dowel.side_length / IN, dowel.yield_strength / PSI
    r_e, r_t = f_em / f_es, dowel.main_length / dowel.side_length
    one, two, three = _reductions(dowel)
    k_1 = (sqrt(r_e + 2 * r_e**2 * (1 + r_t + r_t**2) + r_t**2 * r_e**3) - r_e * (1 + r_t)) / (1 + r_e)
    k_2 = -1 + sqrt(2 * (1 + r_e) + 2 * f_yb * (1 + 2 * r_e) * d**2 / (3 * f_em * l_m**2))
    k_3 = -1 + sqrt(2 * (1 + r_e) / r_e + 2 * f_yb * (2 + r_e) * d**2 / (3 * f_em * l_s**2))
    modes = {
        "Im": d * l_m * f_em / one,
        "Is": d * l_s * f_es / one,
        "II": k_1 * d * l_s * f_es / two,
        "IIIm": k_2 * d * l_m * f_em / ((1 + 2 * r_e) * three),
        "IIIs": k_3 * d * l_s * f_em / ((2 + r_e) * three),
        "IV": d**2 / three * sqrt(2 * f_em * f_yb / (3 * (1 + r_e))),
    }
    return {mode: value * LBF for mode, value in modes.items()}


def double_shear(dowel: Dowel) -> dict[str, float]:
    """Reference lateral value of each yield mode in symmetric double shear [N], ASD, C_D = 1; the least
    governs.

    Raises:
        ValueError: an input not above zero.
    """
    single = single_shear(dowel)
    return {"Im": single["Im"], "Is": 2 * single["Is"], "IIIs": 2 * single["IIIs"], "IV": 2 * single["IV"]}


def bolt_distances(diameter: float) -> dict[str, float]:
    """Distances for full bolt strength in softwood [m]: end 7 D (pulled toward the end), loaded edge 4 D,
    spacing 4 D.

    Raises:
        ValueError: diameter not above zero.
    """
    positive(diameter, "Bolt diameter")
    return {"end": 7 * diameter, "loaded_edge": 4 * diameter, "spacing": 4 * diameter}
