"""Shear along or across a sill plate by one anchor bolt into concrete (NDS 2018 Table 12E, yield modes)."""

from __future__ import annotations

from math import pi

from modellint.engineering.dowel_yield import BOLT_YIELD, Dowel, dowel_bearing, single_shear
from modellint.engineering.require import in_range, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED
from modellint.engineering.us_units import IN, PSI

SOURCES = {
    "sill_bolt_shear": Source("standard", "NDS 2018", "Table 12E",
                              note="by the yield equations, within 10 lb of the "
                              "cells seen; " + RESTATED),
    "line_strength": Source("arithmetic"),
    "CONCRETE_BEARING": Source("standard", "NDS 2018", "Table 12E", note=RESTATED),
    "EMBEDMENT": Source("standard", "NDS 2018", "Table 12E", note=RESTATED),
}

CONCRETE_BEARING = 7_500 * PSI
"""Dowel bearing strength of concrete with f'c of 2,500 psi or more [Pa]."""
EMBEDMENT = 6 * IN
"""Embedment the table is made for [m]."""

DIRECTIONS = ("parallel", "perpendicular")


def sill_bolt_shear(diameter: float, plate_thickness: float, gravity: float, direction: str = "parallel", *,
                    concrete_bearing: float = CONCRETE_BEARING,
                    embedment: float = EMBEDMENT) -> tuple[float, str]:
    """Reference value Z of one bolt [N] and its governing mode; ASD, C_D = 1.

    Wood side only: concrete breakout near an edge is screened in `concrete_breakout`. Times 1.6 for wind and
    seismic.

    Args:
        diameter: 1/2 to 1 in [m].
        plate_thickness: thickness of the plate [m].
        gravity: specific gravity of the plate.
        direction: load `parallel` or `perpendicular` to the grain of the plate.
        concrete_bearing: F_em [Pa].
        embedment: bolt in concrete [m]; more than 6 in counts as 6 in.

    Raises:
        ValueError: an input out of range or unknown direction.
    """
    one_of(direction, DIRECTIONS, "Direction")
    in_range(diameter / IN, 0.25, 1.25, "Bolt diameter in inches")
    angle = pi / 2 if direction == "perpendicular" else 0.0
    modes = single_shear(Dowel(diameter, BOLT_YIELD, min(positive(embedment, "Embedment"), EMBEDMENT),
                               plate_thickness, concrete_bearing, dowel_bearing(gravity, diameter, angle),
                               angle))
    mode = min(modes, key=lambda name: modes[name])
    return modes[mode], mode


def line_strength(per_bolt: float, spacing: float) -> float:
    """Unit shear that bolts at a spacing carry [N/m].

    >>> line_strength(3000.0, 1.5)
    2000.0

    Raises:
        ValueError: an input not above zero.
    """
    return positive(per_bolt, "Strength of one bolt") / positive(spacing, "Bolt spacing")
