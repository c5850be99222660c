"""Pressure test of a vent: decay corrected for temperature, and which medium a code allows for plastic.

No radon standard that was read gives a test pressure. Nothing here supplies one: pressures come from the test
record, and the plumbing texts below are quoted for comparison only.
"""

from dataclasses import dataclass
from itertools import product
from typing import Literal

from modellint.engineering.constants import GRAVITY, kelvin
from modellint.engineering.estimate import Estimate, Range, ordered
from modellint.engineering.source import Source
from modellint.engineering.us_units import FT, PSI

Medium = Literal["air", "water", "vacuum"]
Allowance = Literal["allowed", "not allowed", "by permission", "by maker's instructions", "not settled"]

WATER_DENSITY = 1000.0
"""Density of water [kg/m³]."""
GAS_LAW_SOURCE = Source("arithmetic", "Ideal gas at constant volume", "p/T constant", grade="D")
TIGHTNESS_SOURCE = Source(
    "standard",
    "ANSI/AARST SGM-SF-2017 (12/20)",
    "6.2.1",
    grade="A",
    note="air- and water-tight; no pressure and no method given",
)


@dataclass(frozen=True, slots=True)
class MediumRule:
    """What one code says of one medium for plastic pipe.

    Attributes:
        answer: The answer.
        source: Where it stands.
    """

    answer: Allowance
    source: Source


_CALIFORNIA = Source(
    "code",
    "California Plumbing Code 2022",
    "712.3, 723.1",
    grade="C",
    note="the words on plastic stand in the section on building sewers",
)
PLASTIC_TEST_MEDIA: dict[tuple[str, Medium], MediumRule] = {
    ("California 2022", "air"): MediumRule("not settled", _CALIFORNIA),
    ("IPC", "air"): MediumRule("not allowed", Source("code", "IPC", "312.1", grade="A")),
    ("IPC 2021", "air"): MediumRule("not allowed", Source("code", "IPC", "312.1", grade="A")),
    ("IPC 2021", "vacuum"): MediumRule("allowed", Source("code", "IPC 2021", "312.4", grade="B")),
    ("IRC 2000-2009", "air"): MediumRule(
        "not allowed", Source("code", "IRC 2000 to 2009", "P2503.5.1", grade="A")
    ),
    ("IRC 2000-2009", "water"): MediumRule(
        "allowed", Source("code", "IRC 2000 to 2009", "P2503.5.1(1)", grade="A")
    ),
    ("IRC 2018", "vacuum"): MediumRule("allowed", Source("code", "IRC 2018", "P2503.5.1", grade="B")),
    ("IRC 2021", "vacuum"): MediumRule("allowed", Source("code", "IRC 2021", "P2503.5.1", grade="B")),
    ("New York City", "air"): MediumRule(
        "by permission", Source("code", "New York City Plumbing Code", "312", grade="B")
    ),
    ("Ontario", "air"): MediumRule(
        "by maker's instructions", Source("code", "Ontario Building Code", "Part 7, air test", grade="B")
    ),
    ("Ontario", "water"): MediumRule(
        "allowed", Source("code", "Ontario Building Code", "Part 7, water test", grade="A")
    ),
    ("UPC", "air"): MediumRule(
        "not allowed",
        Source("code", "Uniform Plumbing Code (California 2013)", "712.1", grade="A"),
    ),
    ("UPC", "water"): MediumRule(
        "allowed", Source("code", "Uniform Plumbing Code (California 2013)", "712.2", grade="A")
    ),
}
"""Plastic drain, waste and vent pipe by code and medium. What is not listed was not read."""

PLASTIC_AIR_CAUTION = (
    "Plastic pipe under compressed air can burst and throw pieces: the codes that were read bar it or leave "
    "it to permission or the maker's instructions."
)


@dataclass(frozen=True, slots=True)
class QuotedTest:
    """A drain, waste and vent test as a plumbing code prints it; by analogy only for a soil-gas vent.

    Attributes:
        medium: Test medium.
        printed: The requirement in the code's units.
        gauge: Gauge pressure at the top of the test, or of its water head [Pa].
        minutes: Time that it must hold [min].
        source: Where it is printed.
    """

    medium: Medium
    printed: str
    gauge: float
    minutes: float
    source: Source


def water_head(height: float) -> float:
    """Return the pressure [Pa] under a head of water [m], at 1000 kg/m³."""
    return WATER_DENSITY * GRAVITY * height


QUOTED_DRAIN_TESTS = (
    QuotedTest(
        "air", "5 psi (10 in of mercury), not for plastic", 5 * PSI, 15.0,
        Source("code", "IRC 2000 to 2009", "P2503.5.1(2)", grade="A",
               note="UPC 712.3 alike; OBC prints 35 kPa"),
    ),
    QuotedTest(
        "vacuum", "-5 psi (-10 in of mercury)", -5 * PSI, 15.0,
        Source("code", "IRC 2018", "P2503.5.1", grade="B", note="IPC 2021 312.4 alike"),
    ),
    QuotedTest(
        "water", "10 ft head above the top fitting", water_head(10 * FT), 15.0,
        Source("code", "IRC 2000 to 2009", "P2503.5.1(1)", grade="A",
               note="UPC 712.2 alike; OBC prints 3 m"),
    ),
)
"""For comparison with a record, never to fill one in."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What the gauges showed at one moment of a test with air or vacuum.

    Attributes:
        gauge: Gauge pressure [Pa], negative for vacuum.
        celsius: Temperature of the air in the pipe, lowest and highest it may have been [°C].
        atmosphere: Air pressure outside, lowest and highest it may have been [Pa].
    """

    gauge: float
    celsius: Range
    atmosphere: Range


def corrected_drop(
    start_gauge: float,
    end_gauge: float,
    *,
    start_celsius: float,
    end_celsius: float,
    start_atmosphere: float,
    end_atmosphere: float,
) -> float:
    """Return the pressure that air lost in a closed pipe, with temperature and weather taken out.

    ``drop = p1 - ((p2 + pa2) · T1/T2 - pa1)``, the volume being constant.

    Args:
        start_gauge: Gauge pressure at the start [Pa].
        end_gauge: Gauge pressure at the end [Pa].
        start_celsius: Air temperature in the pipe at the start [°C].
        end_celsius: Air temperature in the pipe at the end [°C].
        start_atmosphere: Air pressure outside at the start [Pa].
        end_atmosphere: Air pressure outside at the end [Pa].

    Returns:
        Drop [Pa]: positive where air got out, negative where it got in (a leak under vacuum).
    """
    end_at_start_temperature = (end_gauge + end_atmosphere) * kelvin(start_celsius) / kelvin(end_celsius)
    return start_gauge - (end_at_start_temperature - start_atmosphere)


def estimate_drop(start: Reading, end: Reading) -> Estimate:
    """Return the corrected drop as a range from how well temperature and air pressure are known.

    Args:
        start: Reading at the start.
        end: Reading at the end.

    Returns:
        Estimate in Pa; a range that holds zero cannot tell a leak from the weather.

    Raises:
        ValueError: If a range runs backwards.
    """
    ranges = (
        ordered(start.celsius, "Start temperature"),
        ordered(end.celsius, "End temperature"),
        ordered(start.atmosphere, "Start air pressure"),
        ordered(end.atmosphere, "End air pressure"),
    )
    drops = [
        corrected_drop(
            start.gauge, end.gauge, start_celsius=t1, end_celsius=t2, start_atmosphere=a1, end_atmosphere=a2
        )
        for t1, t2, a1, a2 in product(*ranges)
    ]
    return Estimate(
        "pressure lost in the test",
        min(drops),
        max(drops),
        "Pa",
        (
            f"Air in the pipe at {ranges[0][0]:g} to {ranges[0][1]:g} °C at the start and "
            f"{ranges[1][0]:g} to {ranges[1][1]:g} °C at the end, the same all along the pipe.",
            "The pipe keeps its volume and no air was added.",
        ),
        (GAS_LAW_SOURCE,),
    )


def medium_for_plastic(code: str, medium: Medium) -> MediumRule | None:
    """Return what a code says of a test medium for plastic pipe.

    Args:
        code: Code and edition as in ``PLASTIC_TEST_MEDIA``.
        medium: Test medium.

    Returns:
        The rule; None if that text was not read, which is not an allowance.
    """
    return PLASTIC_TEST_MEDIA.get((code, medium))
