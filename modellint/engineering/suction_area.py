"""Collection under the slab: area per riser, perforations, inlet area, collector lengths."""

from math import ceil

from modellint.engineering.constants import SQUARE_FOOT
from modellint.engineering.pipe_friction import bore_area
from modellint.engineering.source import Source
from modellint.engineering.us_units import FT, IN

AREA_PER_RISER: dict[int, float] = {3: 2500 * SQUARE_FOOT, 4: 4500 * SQUARE_FOOT}
"""Largest foundation area, inside the perimeter walls, of one system [m²] by exhaust pipe size [in]."""
AREA_SOURCE = Source("standard", "ANSI/AARST RRNC-2020", "Table 302.3", grade="B")

AREA_PER_RISER_DC = 4000 * SQUARE_FOOT
"""Largest footprint per vertical pipe in the District of Columbia [m²] (4000 ft²)."""
AREA_DC_SOURCE = Source("code", "12-B DCMR", "AF103.3.2", grade="B", note="also prints 186 to 371 m²")
AREA_PER_POINT_FLORIDA = 1300 * SQUARE_FOOT
"""Largest area per suction point in Florida [m²] (1300 ft²)."""
AREA_FLORIDA_SOURCE = Source("code", "Florida Building Code", "C603.1.1", grade="B")

PERFORATED_LENGTH = 5 * FT
"""Perforated pipe on each of two openings of the fitting in the gravel, at least [m] (5 ft)."""
PERFORATED_SOURCE = Source("standard", "ANSI/AARST RRNC-2020", "403.2.2.1, 402.1.2.3", grade="A")

OPEN_AREA_PER_LENGTH = IN * IN / FT
"""Open area of perforations per length of pipe, at least [m²/m] (1 in² per ft)."""
OPEN_AREA_SOURCE = Source("standard", "ANSI/AARST RRNC-2020", "403.2.2.1", grade="B")

INLET_TO_BORE = 2.0
"""Total inlet area over the bore's area, at least."""
INLET_SOURCE = Source("standard", "ANSI/AARST CC-1000-2018", "5.7.1, 5.7.3", grade="B")

LAYER_THICKNESS = 4 * IN
"""Thickness of the gas-permeable layer, at least [m] (4 in)."""
LAYER_SOURCE = Source("code", "IRC 2012", "AF103.2(1)", grade="A")
LAYER_THICKNESS_BC = 0.100
"""Thickness of the granular layer in British Columbia, at least [m]."""
LAYER_BC_SOURCE = Source("code", "British Columbia Building Code 2024", "9.13.4.3.(1)(b)", grade="A")

MAT_AREA = 12 * IN * IN
"""Cross-section of a geotextile mat, at least [m²] (12 in²)."""
MAT_SOURCE = Source("standard", "ANSI/AARST RRNC-2020", "403.1.1.2", grade="A")
LOOP_TO_WALL = (12 * IN, 18 * IN)
"""Distance of a mat or pipe loop from the foundation wall, least and most [m] (12 to 18 in)."""
LOOP_SOURCE = Source("standard", "ANSI/AARST RRNC-2020", "403.1.1.2, 403.1.1.3", grade="A")
LOOP_DIAMETER = 4 * IN
"""Diameter of a pipe loop, at least [m] (4 in)."""
LOOP_DIAMETER_SOURCE = Source("standard", "ANSI/AARST RRNC-2020", "403.1.1.3", grade="B")
PIT_VOLUME = 0.25 * FT**3
"""Volume of a suction pit under an existing slab, at least [m³] (0.25 ft³)."""
PIT_SOURCE = Source("standard", "ANSI/AARST RMS-LB-2018", "6.1.1", grade="B")


def risers_needed(area: float, nominal: int) -> int | None:
    """Return how many systems a foundation area needs.

    Args:
        area: Area inside the perimeter walls [m²].
        nominal: Size of the exhaust pipe [in].

    Returns:
        Number of systems, at least 1; None for a size that the table lacks.

    Raises:
        ValueError: If the area is negative.
    """
    if area < 0.0:
        raise ValueError(f"A foundation area cannot be negative, not {area:g} m².")
    limit = AREA_PER_RISER.get(nominal)
    return None if limit is None else max(1, ceil(area / limit - 1e-9))


def perforation_area(length: float, per_length: float = OPEN_AREA_PER_LENGTH) -> float:
    """Return the open area of perforated pipe.

    Args:
        length: Perforated length [m].
        per_length: Open area per length [m²/m]; by default the least that the standard asks for.

    Returns:
        Area [m²].
    """
    return length * per_length


def inlet_area_needed(bore: float) -> float:
    """Return the least inlet area [m²] for a pipe of a bore [m]: twice the area of the bore."""
    return INLET_TO_BORE * bore_area(bore)


def inlet_area(length: float, open_ends: int, bore: float, per_length: float = OPEN_AREA_PER_LENGTH) -> float:
    """Return the inlet area of a collector: its perforations and its open ends.

    Args:
        length: Perforated length [m].
        open_ends: Number of ends that stand open in the layer.
        bore: Bore of the collector [m].
        per_length: Open area per length [m²/m].

    Returns:
        Area [m²].
    """
    return perforation_area(length, per_length) + open_ends * bore_area(bore)
