"""Length of braced wall panels in Canada (BCBC 2024 9.23.13), wind and seismic."""

from __future__ import annotations

from math import prod

from modellint.engineering.require import in_range, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED

_NOTE = RESTATED + "; the formula gives the tables within their rounding"

SOURCES = {
    "wind_length": Source("code", "BCBC 2024", "9.23.13.7", note=_NOTE),
    "seismic_length": Source("code", "BCBC 2024", "9.23.13.7", note=_NOTE + "; the plus sign is a reading"),
    "FRAME_FACTOR": Source("code", "BCBC 2024", "Table 9.23.3.5.-C and 9.23.13.7", note=RESTATED),
    "FACTORED_SHEAR": Source("code", "BCBC 2024", "note to 9.23.13.7", note=RESTATED),
    "depth_factors": Source("code", "BCBC 2024", "9.23.13.7", note=RESTATED),
    "spacing_factor": Source("code", "BCBC 2024", "9.23.13.7", note=RESTATED),
    "line_count_factor": Source("code", "BCBC 2024", "9.23.13.7", note=RESTATED),
    "PANEL_LIMITS": Source("code", "BCBC 2024", "Table 9.23.13.5", note=RESTATED),
}

STOREYS = ("roof", "roof_and_one", "roof_and_two")

FRAME_FACTOR = {"WSP-A": 1.00, "WSP-B": 0.53, "WSP-C": 0.46, "WSP-D": 0.42, "WSP-E": 0.38, "DWB": 0.57,
                "GWB-A": 2.85, "GWB-B": 1.65, "GWB-C": 1.23, "GWB-D": 1.00}
"""K_frame by braced panel type [-]."""

FACTORED_SHEAR = {"WSP-A": 3280.0, "WSP-B": 6220.0, "WSP-C": 7150.0, "WSP-D": 7850.0, "WSP-E": 8710.0,
                  "DWB": 5770.0,
                  "GWB-A": 1150.0, "GWB-B": 1980.0, "GWB-C": 2670.0, "GWB-D": 3280.0}
"""Factored shear behind K_frame, opposite-face gypsum included, reduced for having no hold-downs [N/m]."""

PANEL_LIMITS = {"band_spacing": 10.6, "gap": 6.4, "end": 2.4, "wood_panel_at_corner": 0.6, "wood_panel": 0.75,
                "gypsum_panel": 1.2}
"""Widest band spacing, gap between panels, distance from band end to first panel; shortest panels [m]."""

WIND_PRESSURE_LIMIT = 1200.0
"""Hourly wind pressure above which design by Part 4 is required [Pa]."""
SPECTRAL_LIMIT = 2.6
"""S_max above which design by Part 4 is required [g]."""

_WIND = dict(zip(STOREYS, (3.84, 7.89, 11.93), strict=True))
_SEISMIC = dict(zip(STOREYS, (1.0, 3.0, 5.0), strict=True))
_DEPTHS = (3.1, 6.1, 9.1, 12.2, 15.2, 18.3)
_WALLS = (0.38, 0.60, 0.83, 1.06, 1.29, 1.52)
_ROOF = (0.09, 0.17, 0.26, 0.35, 0.43, 0.52)
_SPACINGS = (3.8, 7.6, 10.6, 15.0)
_SPACING_FACTORS = {"wind": (0.51, 1.00, 1.35, 1.86), "seismic": (0.60, 1.00, 1.35, 1.90)}
_COUNT_FACTORS = {"wind": (1.00, 1.28, 1.38, 1.43), "seismic": (1.00, 1.33, 1.50, 1.60)}


def _next(value: float, points: tuple[float, ...], what: str) -> int:
    """Index of the tabulated value not below `value`."""
    for index, point in enumerate(points):
        if positive(value, what) <= point + 1e-6:
            return index
    raise ValueError(f"{what} {value:g} m is beyond the {points[-1]:g} m of the table.")


def spacing_factor(load: str, spacing: float) -> float:
    """Factor for the spacing of braced wall bands [-], the next wider tabulated one.

    Raises:
        ValueError: unknown load, or wider than 15 m.
    """
    one_of(load, _SPACING_FACTORS, "Load")
    return _SPACING_FACTORS[load][_next(spacing, _SPACINGS, "Band spacing")]


def line_count_factor(load: str, bands: int) -> float:
    """Factor for the number of braced wall bands in one direction [-]: 2, 3, 4, 5 or more.

    Raises:
        ValueError: unknown load, or fewer than two bands.
    """
    one_of(load, _COUNT_FACTORS, "Load")
    if bands < 2:
        raise ValueError("A plan direction needs at least two braced wall bands.")
    return _COUNT_FACTORS[load][min(bands, 5) - 2]


def depth_factors(depth: float) -> tuple[float, float]:
    """(C_walls, C_roof) for the building dimension at right angles to the bands [-], the next larger
    tabulated one.

    Raises:
        ValueError: deeper than 18.3 m.
    """
    index = _next(depth, _DEPTHS, "Building depth")
    return _WALLS[index], _ROOF[index]


def wind_length(storey: str, panel: str, pressure: float, factors: tuple[float, ...] = ()) -> float:
    """Braced panel length in one band against wind [m]: C · K_frame · HWP · Π K.

    Args:
        storey: what the storey carries, one of STOREYS.
        panel: a key of FRAME_FACTOR.
        pressure: hourly wind pressure HWP, 1 in 50 [Pa], up to 1.2 kPa.
        factors: further K factors: exposure, roof, spacing, number, gypsum, sheathing.

    Raises:
        ValueError: beyond 1.2 kPa (design by Part 4), or an unknown word.
    """
    one_of(storey, STOREYS, "Storey")
    one_of(panel, FRAME_FACTOR, "Braced panel type")
    in_range(positive(pressure, "Wind pressure"), 0.0, WIND_PRESSURE_LIMIT, "Hourly wind pressure in Pa")
    return _WIND[storey] * FRAME_FACTOR[panel] * pressure / 1000.0 * prod(
        positive(factor, "Factor") for factor in factors)


def seismic_length(storey: str, panel: str, depth: float, spectral: float, *, snow: float,
                   factors: tuple[float, ...] = ()) -> float:
    """Braced panel length in one band against earthquake [m]: (C_s C_walls + C_roof S) K_frame S_max Π K.

    Args:
        storey: what the storey carries, one of STOREYS.
        panel: a key of FRAME_FACTOR.
        depth: building dimension at right angles to the bands [m].
        spectral: S_max [g], up to 2.6.
        snow: specified snow load S [Pa]; 2 kPa in the printed table.
        factors: further K factors: weight, spacing, number, gypsum, sheathing.

    Raises:
        ValueError: beyond S_max 2.6 (design by Part 4), or an unknown word.
    """
    one_of(storey, STOREYS, "Storey")
    one_of(panel, FRAME_FACTOR, "Braced panel type")
    in_range(positive(spectral, "S_max"), 0.0, SPECTRAL_LIMIT, "S_max")
    walls, roof = depth_factors(depth)
    weight = _SEISMIC[storey] * walls + roof * positive(snow, "Snow load") / 1000.0
    return weight * FRAME_FACTOR[panel] * spectral * prod(positive(factor, "Factor") for factor in factors)
