"""Threaded rods, nuts and couplers in the tension path (AISC 360 J3, ASME B1.1, RCSC)."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians

from modellint.engineering.require import in_range, not_negative, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import PRACTICE, RESTATED
from modellint.engineering.us_units import IN, KSI

SOURCES = {
    "stress_area": Source("standard", "ASME B1.1 and ACI 318-19", "R17.6.1.2", note="three places agree"),
    "threads_per_inch": Source("standard", "ASME B1.1", "UNC"),
    "GRADES": Source("standard", "ASTM F1554", "", note=RESTATED),
    "GRADES@A36": Source("standard", "ASTM A36", "", note=RESTATED),
    "GRADES@A307": Source("standard", "ASTM A307", "Grade A", memory=True),
    "gross_area": Source("arithmetic"),
    "tension_strength": Source("standard", "AISC 360-10 and -16", "J3.6", note=RESTATED),
    "fracture_strength": Source("standard", "ASTM F1554", "", note="tensile strength times stress area"),
    "elongation": Source("arithmetic", note="PL/AE, E = 29,000 ksi"),
    "lean_factor": Source("arithmetic", note="1 / cos of the lean"),
    "thread_engagement_factor": Source("guide", "AISC Design Guide 1, 2nd ed.", "2.11.3", note=RESTATED),
    "coupler_engagement": Source("practice", note="one rod diameter each side"),
    "nut_flush": Source("guide", "RCSC 2009", "2.3.2", note=RESTATED),
    "LEAN_LIMIT": PRACTICE,
}

MODULUS = 29_000 * KSI
"""Modulus of elasticity of steel [Pa], AISC 360."""

LEAN_LIMIT = radians(5.0)
"""Rod lean up to which the load value stays as it is [rad], common practice, no source."""

_UNC = {0.25: 20, 0.375: 16, 0.5: 13, 0.625: 11, 0.75: 10, 0.875: 9, 1.0: 8, 1.125: 7, 1.25: 7, 1.375: 6,
        1.5: 6}
_SIZE_TOLERANCE = 0.3e-3


@dataclass(frozen=True)
class Grade:
    """A rod steel.

    Attributes:
        yield_strength: F_y [Pa], None where the standard sets none.
        tensile_strength: least F_u [Pa].
        source: origin.
    """

    yield_strength: float | None
    tensile_strength: float
    source: Source


GRADES = {
    "F1554-36": Grade(36 * KSI, 58 * KSI, SOURCES["GRADES"]),
    "F1554-55": Grade(55 * KSI, 75 * KSI, SOURCES["GRADES"]),
    "F1554-105": Grade(105 * KSI, 125 * KSI, SOURCES["GRADES"]),
    "A36": Grade(36 * KSI, 58 * KSI, SOURCES["GRADES@A36"]),
    "A307": Grade(None, 60 * KSI, SOURCES["GRADES@A307"]),
}


def threads_per_inch(diameter: float) -> int:
    """Threads per inch of the coarse series (UNC) for a nominal diameter [m], 1/4 to 1-1/2 in.

    Metric labels of inch rods (12.7, 15.9, 19 mm) are recognised within 0.3 mm.

    Raises:
        ValueError: no such size.
    """
    inches = positive(diameter, "Rod diameter") / IN
    for size, threads in _UNC.items():
        if abs(inches - size) * IN <= _SIZE_TOLERANCE:
            return threads
    raise ValueError(f"A rod of {diameter * 1e3:.1f} mm is not a UNC size between 1/4 and 1-1/2 in.")


def gross_area(diameter: float) -> float:
    """Area of the unthreaded shank A_b [m²].

    Raises:
        ValueError: diameter not above zero.
    """
    return pi / 4.0 * positive(diameter, "Rod diameter") ** 2


def stress_area(diameter: float, threads: float | None = None) -> float:
    """Tensile stress area of the thread A_t = π/4 (d − 0.9743/n)² [m²].

    Args:
        diameter: nominal diameter d [m].
        threads: threads per inch n; None takes the UNC value.

    Raises:
        ValueError: diameter or threads not above zero, or no UNC size.
    """
    count = threads_per_inch(diameter) if threads is None else positive(threads, "Threads per inch")
    return pi / 4.0 * positive(diameter - 0.9743 / count * IN, "Thread root diameter") ** 2


def tension_strength(diameter: float, grade: str, level: str) -> float:
    """Tension a threaded rod may carry [N]: 0.75 F_u A_b, over Ω = 2.00 (ASD) or times φ = 0.75 (LRFD).

    Static steel strength only: neither the nut, the coupler, the anchor nor prying.

    Args:
        diameter: nominal diameter [m].
        grade: a key of GRADES.
        level: `ASD` or `LRFD`.

    Raises:
        ValueError: unknown grade or level, or diameter not above zero.
    """
    one_of(grade, GRADES, "Rod grade")
    one_of(level, ("ASD", "LRFD"), "Load level")
    nominal = 0.75 * GRADES[grade].tensile_strength * gross_area(diameter)
    return nominal / 2.0 if level == "ASD" else nominal * 0.75


def fracture_strength(diameter: float, grade: str) -> float:
    """Least breaking load F_u A_t of the thread [N], no safety in it.

    Raises:
        ValueError: unknown grade or size.
    """
    one_of(grade, GRADES, "Rod grade")
    return GRADES[grade].tensile_strength * stress_area(diameter)


def elongation(force: float, length: float, area: float) -> float:
    """Elastic stretch of a rod P L / (A E) [m].

    Args:
        force: tension [N].
        length: stretched length [m].
        area: `stress_area` for fully threaded rod, `gross_area` for a smooth shank (common practice) [m²].

    Raises:
        ValueError: negative force or length, or area not above zero.
    """
    return not_negative(force, "Force") * not_negative(length, "Length") / (positive(area, "Area") * MODULUS)


def lean_factor(lean: float) -> float:
    """Tension in a leaning rod over the vertical force it balances [-].

    Args:
        lean: angle to the vertical [rad], 0 to under 60°.

    Raises:
        ValueError: lean out of range.
    """
    return 1.0 / cos(in_range(lean, 0.0, radians(60.0), "Rod lean"))


def thread_engagement_factor(engaged: float, nut_height: float) -> float:
    """Share of the strength left when a nut is not fully on the thread [-].

    Half the threads or more: in proportion. Less than half: 0, since the guide gives nothing to count on.

    >>> thread_engagement_factor(0.015, 0.020), thread_engagement_factor(0.009, 0.020)
    (0.75, 0.0)

    Args:
        engaged: length of thread inside the nut [m].
        nut_height: full height of the nut [m].

    Raises:
        ValueError: negative engagement, or height not above zero.
    """
    share = min(1.0, not_negative(engaged, "Engaged length") / positive(nut_height, "Nut height"))
    return share if share >= 0.5 else 0.0


def coupler_engagement(diameter: float) -> float:
    """Thread wanted inside a coupler from each side [m]: one rod diameter (common practice, no source).

    Raises:
        ValueError: diameter not above zero.
    """
    return positive(diameter, "Rod diameter")


def nut_flush(projection: float) -> bool:
    """Whether the rod's end is at least flush with the outer face of the nut.

    Args:
        projection: rod end beyond the nut's outer face [m]; negative where it stays inside.
    """
    return projection >= 0.0
