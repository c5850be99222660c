"""Length of wall bracing against wind, and the shortest panels that count (IRC 2018 and 2021 R602.10)."""

from __future__ import annotations

from itertools import pairwise

from modellint.engineering.require import in_range, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED
from modellint.engineering.tables import rows
from modellint.engineering.us_units import FT, IN, LBF, MPH

_IRC = ("code", "IRC 2018 and 2021")
_TABLE = RESTATED + "; 270 cells follow the square of the wind speed within half a foot"

SOURCES = {
    "wind_bracing_length": Source(*_IRC, "Table R602.10.3(1)", note=_TABLE),
    "exposure_factor": Source(*_IRC, "Table R602.10.3(2) item 1", note="two restatements agree"),
    "roof_height_factor": Source(*_IRC, "Table R602.10.3(2) item 2", note=RESTATED),
    "wall_height_factor": Source(*_IRC, "Table R602.10.3(2) item 3", note="two restatements agree"),
    "line_count_factor": Source(*_IRC, "Table R602.10.3(2) item 4", note="two restatements agree"),
    "HOLD_DOWN_FACTOR": Source(*_IRC, "Table R602.10.3(2) item 5", note=RESTATED),
    "gypsum_factor": Source(*_IRC, "Table R602.10.3(2) item 6", note=RESTATED),
    "shortest_beside_opening": Source(*_IRC, "Table R602.10.5", note="two restatements agree"),
    "PLACEMENT": Source(*_IRC, "R602.10.1, R602.10.2.2, R602.10.2.3", note="two restatements agree"),
    "CORNER_RETURN": Source(*_IRC, "Figure R602.10.7", note="three places agree"),
    "LINE_END_HOLD_DOWN": Source(*_IRC, "Figure R602.10.7", note="three places agree"),
    "ALTERNATE_PANEL_TIE": Source("code", "IBC 2018", "2308.6.5", note=RESTATED),
}

STOREYS = ("top", "first_of_two", "first_of_three")
METHODS = {
    **dict.fromkeys(("GB", "LIB"), "GB"),
    **dict.fromkeys(("WSP", "DWB", "SFB", "PBS", "PCP", "HPS", "BV-WSP", "ABW", "PFH", "PFG", "CS-SFB"),
                    "WSP"),
    **dict.fromkeys(("CS-WSP", "CS-G", "CS-PF"), "CS"),
}
"""Bracing method to the column group of the table."""

SPEEDS_MPH = (110, 115, 120, 130, 140)
SPACINGS_FT = (10, 20, 30, 40, 50, 60)

HOLD_DOWN_FACTOR = 0.80
"""Factor where an 800 lb hold-down stands at each panel end: top storey, intermittent methods only [-]."""
LINE_END_HOLD_DOWN = 800 * LBF
"""Hold-down in place of a corner return at the end of a continuously sheathed line [N]."""
CORNER_RETURN = 24 * IN
"""Corner return at the end of a continuously sheathed line [m]; 32 in for fibreboard."""
PLACEMENT = {"first_panel": 10 * FT, "gap": 20 * FT, "offset": 4 * FT, "two_panels_above": 16 * FT,
             "line_spacing": 60 * FT}
"""Farthest first panel from a line end, widest gap between panels, offset from the line, line length above
which two panels are wanted, and widest spacing of lines for wind [m]."""
ALTERNATE_PANEL_TIE = {"ABW one storey": 1800 * LBF, "ABW first of two storeys": 3000 * LBF,
                       "PFH": 3500 * LBF}
"""Tie-down at each end of an alternate braced panel or portal frame with hold-downs [N]."""


def _cells(speed: float, storey: str, method: str) -> dict[str, str]:
    one_of(storey, STOREYS, "Storey")
    group = METHODS[one_of(method, METHODS, "Bracing method")]
    if method == "LIB" and storey == "first_of_three":
        raise ValueError("Let-in bracing is not permitted on the first of three storeys.")
    mph = positive(speed, "Wind speed") / MPH
    step = next((tabled for tabled in SPEEDS_MPH if mph <= tabled + 0.05), None)
    if step is None:
        raise ValueError(f"Wind speed {mph:.0f} mph is 140 mph or more, beyond the table.")
    if step == 140 and mph >= 140 - 0.05:
        raise ValueError("Wind speed 140 mph is beyond the table, which ends below it.")
    return next(row for row in rows("irc_r602_10_3_1")
                if row["mph"] == str(step) and row["storey"] == storey and row["method"] == group)


def wind_bracing_length(speed: float, storey: str, method: str, line_spacing: float) -> float:
    """Tabulated length of bracing in one braced wall line against wind [m], before adjustment factors.

    For Exposure B, 30 ft mean roof height, 10 ft walls, two braced wall lines. The next higher wind speed is
    taken; line spacing is interpolated, and under 10 ft taken as 10 ft.

    Args:
        speed: ultimate design wind speed [m/s], below 140 mph.
        storey: `top` (one storey, or top of two or three), `first_of_two` (or second of three),
            `first_of_three`.
        method: a key of METHODS.
        line_spacing: braced wall line spacing [m], up to 60 ft.

    Raises:
        ValueError: outside the table, or unknown storey or method.
    """
    cells = _cells(speed, storey, method)
    feet = max(10.0, positive(line_spacing, "Line spacing") / FT)
    if feet > 60 + 1e-6:
        raise ValueError(f"Line spacing {feet:.1f} ft is beyond the 60 ft of the table.")
    below = max(tabled for tabled in SPACINGS_FT if tabled <= feet + 1e-6)
    low = float(cells[str(below)])
    if below == SPACINGS_FT[-1]:
        return low * FT
    return (low + (float(cells[str(below + 10)]) - low) * max(0.0, feet - below) / 10.0) * FT


def exposure_factor(exposure: str, storeys: int) -> float:
    """Factor for wind exposure B, C or D by number of storeys 1 to 3 [-].

    Raises:
        ValueError: unknown exposure or storey count.
    """
    table = {"B": (1.0, 1.0, 1.0), "C": (1.2, 1.3, 1.4), "D": (1.5, 1.6, 1.7)}
    in_range(storeys, 1, 3, "Number of storeys")
    return table[one_of(exposure, table, "Exposure")][storeys - 1]


def _interpolate(value: float, points: tuple[tuple[float, float], ...], what: str) -> float:
    in_range(value, points[0][0] - 1e-9, points[-1][0] + 1e-9, what)
    for (x_low, y_low), (x_high, y_high) in pairwise(points):
        if value <= x_high + 1e-9:
            return y_low + (y_high - y_low) * (value - x_low) / (x_high - x_low)
    return points[-1][1]


def roof_height_factor(eave_to_ridge: float, floors_above: int) -> float:
    """Factor for the height from eave to ridge [-], interpolated from 5 to 20 ft; lower roofs count as 5 ft.

    Args:
        eave_to_ridge: [m].
        floors_above: floors carried besides the roof, 0 to 2.

    Raises:
        ValueError: higher than 20 ft, or than 15 ft with two floors (not permitted).
    """
    in_range(floors_above, 0, 2, "Floors above")
    columns = ((0.70, 1.00, 1.30, 1.60), (0.85, 1.00, 1.15, 1.30), (0.90, 1.00, 1.10))
    points = tuple(zip((5.0, 10.0, 15.0, 20.0), columns[floors_above], strict=False))
    return _interpolate(max(5.0, positive(eave_to_ridge, "Eave to ridge height") / FT), points,
                        "Eave to ridge height in feet")


def wall_height_factor(height: float) -> float:
    """Factor for wall height 8 to 12 ft [-], interpolated; lower walls count as 8 ft.

    Raises:
        ValueError: higher than 12 ft.
    """
    feet = max(8.0, positive(height, "Wall height") / FT)
    return 0.90 + 0.05 * (in_range(feet, 8.0, 12.0 + 1e-9, "Wall height in feet") - 8.0)


def line_count_factor(lines: int) -> float:
    """Factor for the number of braced wall lines in one direction [-]: 2, 3, 4, 5 or more.

    Raises:
        ValueError: fewer than two lines.
    """
    if lines < 2:
        raise ValueError("A plan direction needs at least two braced wall lines.")
    return {2: 1.00, 3: 1.30, 4: 1.45}.get(lines, 1.60)


def gypsum_factor(gypsum_on_inside: bool) -> float:
    """Factor where the gypsum board on the inside face is left out [-]: 1.40."""
    return 1.0 if gypsum_on_inside else 1.40


def shortest_beside_opening(opening_height: float, wall_height: float) -> float:
    """Shortest continuously sheathed panel beside an opening [m] (CS-WSP).

    The table is not monotonic in wall height; between its heights the larger neighbour is taken. Opening
    heights take the next higher row.

    Args:
        opening_height: clear height of the adjacent opening [m].
        wall_height: [m], up to 12 ft.

    Raises:
        ValueError: beyond the table.
    """
    opening = positive(opening_height, "Opening height") / IN
    feet = max(8.0, positive(wall_height, "Wall height") / FT)
    in_range(feet, 8.0, 12.0 + 1e-6, "Wall height in feet")
    row = next((row for row in rows("irc_r602_10_5_cs_wsp") if opening <= float(row["opening_in"]) + 0.04),
               None)
    columns = {int(feet + 1e-6), min(12, int(feet + 1 - 1e-6))}
    cells = [row[str(column)] for column in columns] if row else [""]
    if not all(cells):
        raise ValueError(f"An opening of {opening:.0f} in in a wall of {feet:.1f} ft is not tabulated.")
    return max(float(cell) for cell in cells) * IN
