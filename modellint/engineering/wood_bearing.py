"""Bearing of posts, washers and plates across the grain of a wood plate (NDS 2018 3.10)."""

from __future__ import annotations

from math import pi

from modellint.engineering.require import in_range, not_negative, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED
from modellint.engineering.us_units import IN
from modellint.engineering.wood_species import species

SOURCES = {
    "bearing_area_factor": Source("standard", "NDS 2018", "3.10.4", note=RESTATED),
    "bearing_strength": Source("standard", "NDS 2018", "3.10.2 and Table 4.3.1", note=RESTATED),
    "washer_area": Source("arithmetic"),
    "crush": Source("standard", "NDS 2018", "C4.2.6", memory=True),
    "WET_FACTOR": Source("standard", "NDS 2018 Supplement", "Table 4A, C_M", note=RESTATED),
}

WET_FACTOR = 0.67
"""Wet service factor C_M on F_c⊥ [-]."""


def bearing_area_factor(bearing_length: float, end_distance: float) -> float:
    """Bearing area factor C_b = (l_b + 3/8 in) / l_b [-]; 1.0 for l_b of 6 in or more or within 3 in of the
    end.

    >>> round(bearing_area_factor(0.0381, 0.5), 3)
    1.25

    Args:
        bearing_length: l_b along the grain [m]; for a round washer its diameter.
        end_distance: from the bearing to the nearer end of the member [m].

    Raises:
        ValueError: length not above zero, or negative end distance.
    """
    positive(bearing_length, "Bearing length")
    if bearing_length >= 6 * IN or not_negative(end_distance, "End distance") < 3 * IN - 1e-9:
        return 1.0
    return (bearing_length + 0.375 * IN) / bearing_length


def bearing_strength(area: float, wood: str, *, area_factor: float = 1.0, wet: bool = False) -> float:
    """Allowable bearing F_c⊥ A C_b across the grain [N], ASD; load duration does not apply.

    Args:
        area: bearing area [m²].
        wood: species of the plate, a key of `wood_species.SPECIES`.
        area_factor: C_b, see `bearing_area_factor`.
        wet: the plate is wet in service.

    Raises:
        ValueError: area not above zero, unknown species, or a species whose value was not seen.
    """
    stress = species(wood).bearing
    if stress is None:
        raise ValueError(f"No bearing value across the grain is tabulated here for {wood}.")
    in_range(area_factor, 1.0, 2.0, "Bearing area factor")
    return stress * positive(area, "Bearing area") * area_factor * (WET_FACTOR if wet else 1.0)


def washer_area(side: float, hole: float, width: float | None = None) -> float:
    """Net bearing area of a square or rectangular plate with a round hole [m²].

    Args:
        side: side of the plate [m].
        hole: hole diameter in the wood or plate, the larger [m]; 0 for none.
        width: other side [m]; None for a square.

    Raises:
        ValueError: a side not above zero, negative hole, or a hole as wide as the plate.
    """
    other = side if width is None else width
    if not_negative(hole, "Hole") >= min(positive(side, "Plate side"), positive(other, "Plate width")):
        raise ValueError("The hole is as wide as the plate.")
    return side * other - pi / 4.0 * hole**2


def crush(stress_ratio: float) -> float:
    """Deformation of a plate under bearing [m]: 0.02 in up to 0.73 F_c⊥, rising to 0.04 in at F_c⊥ (from
    memory).

    Linear from zero to 0.73 and from there to 1.

    Args:
        stress_ratio: bearing stress over F_c⊥, 0 to 1.

    Raises:
        ValueError: ratio out of range; above 1 the value is not defined.
    """
    in_range(stress_ratio, 0.0, 1.0, "Bearing stress ratio")
    if stress_ratio <= 0.73:
        return 0.02 * IN * stress_ratio / 0.73
    return (0.02 + 0.02 * (stress_ratio - 0.73) / 0.27) * IN
