"""Shrinkage of wood across the grain in floors and plates."""

from __future__ import annotations

from collections.abc import Sequence

from modellint.engineering.require import in_range, not_negative
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED

SOURCES = {
    "shrinkage": Source("guide", "West Coast lumber grading rules", "1 % per 4 points of moisture",
                        note=RESTATED),
    "storey_shrinkage": Source("arithmetic", note="sum over plates and joists"),
    "COEFFICIENT": Source("guide", "West Coast lumber grading rules", "1 % per 4 points of moisture",
                          note=RESTATED),
    "COEFFICIENT_LOW": Source("handbook", "Breyer, Design of Wood Structures", "", note=RESTATED),
    "MOISTURE": Source("guide", "Western lumber technical note, November 2002", "", note=RESTATED),
}

COEFFICIENT = 0.0025
"""Shrinkage per percentage point of moisture content across the grain [1/point]."""
COEFFICIENT_LOW = 0.0020
"""The lower value of one handbook [1/point]."""
FIBRE_SATURATION = 28.0
"""Moisture content above which wood does not shrink [%]; 27 to 30 in the source."""
MOISTURE = {"S-DRY": 19.0, "KD": 19.0, "MC15": 15.0, "S-GRN": FIBRE_SATURATION}
"""Highest moisture content when delivered, by grade stamp [%]; green lumber counts as fibre saturated."""


def shrinkage(depth: float, moisture_now: float, moisture_later: float,
              coefficient: float = COEFFICIENT) -> float:
    """Shortening across the grain [m].

    >>> round(shrinkage(0.200, 19.0, 9.0), 6)
    0.005

    Args:
        depth: size across the grain [m].
        moisture_now: moisture content when built [%], counted up to fibre saturation.
        moisture_later: in service [%], 8 to 12 inside a heated house.
        coefficient: per point of moisture.

    Raises:
        ValueError: negative depth, or moisture out of 0 to 100 or rising.
    """
    in_range(moisture_now, 0.0, 100.0, "Moisture content")
    in_range(moisture_later, 0.0, moisture_now, "Moisture content in service")
    points = min(moisture_now, FIBRE_SATURATION) - min(moisture_later, FIBRE_SATURATION)
    return not_negative(depth, "Depth") * not_negative(coefficient, "Shrinkage coefficient") * points


def storey_shrinkage(depths: Sequence[float], moisture_now: float, moisture_later: float,
                     coefficient: float = COEFFICIENT) -> float:
    """Shortening of all plates and joists between two levels [m]; studs, along the grain, are left out.

    Raises:
        ValueError: see `shrinkage`.
    """
    return sum(shrinkage(depth, moisture_now, moisture_later, coefficient) for depth in depths)
