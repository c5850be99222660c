"""The SDPWS table of nominal unit shears and stiffnesses of wood structural panel walls (Table 4.3A)."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from modellint.engineering.require import one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED
from modellint.engineering.tables import rows
from modellint.engineering.us_units import IN, KIP_PER_IN, PLF

EDITIONS = ("2008", "2015", "2021")
LOADS = ("wind", "seismic")
GRADES = ("structural_1", "sheathing", "plywood_siding")
PANELS = ("osb", "plywood")
EDGE_SPACINGS_IN = (6, 4, 3, 2)

THICKNESS_TOLERANCE = 0.2e-3
"""Metric labels round: 11 mm is sold for 7/16 in (11.11 mm)."""
SPACING_TOLERANCE = 1.0e-3
"""Metric labels round: 76 mm for 3 in, 102 mm for 4 in."""

_TABLE_NOTE = ("a scan of the printed table; 44 of 48 panel cells agree with a second table; two seismic and "
               "one wind cell of Structural I 15/32 8d restored by the ratio rule")
_SINGLE_COLUMN = "one nominal column, equal to the former wind column; " + RESTATED

SOURCES = {
    **{f"{name}@{year}": Source("standard", f"SDPWS {year}", "Table 4.3A", note=_TABLE_NOTE)
       for name in ("nominal_unit_shear", "apparent_stiffness") for year in ("2008", "2015")},
    "nominal_unit_shear@2021": Source("standard", "SDPWS 2021", "Table 4.3A", note=_SINGLE_COLUMN),
    "apparent_stiffness@2021": Source("standard", "SDPWS 2021", "Table 4.3A", memory=True,
                                      note="the 2015 stiffness values, 2021 column not seen"),
    "tabulated_spacing": Source("practice", note="next wider column, 1 mm of metric rounding"),
}


@dataclass(frozen=True)
class Sheathing:
    """One face of a shear wall: blocked wood structural panel, nailed to framing of G 0.50 or more.

    Attributes:
        grade: one of GRADES.
        thickness: nominal panel thickness [m].
        nail: e.g. "8d common" (a diameter and length, see `nails`), "8d casing" for siding.
        edge_spacing: nail spacing at panel edges [m].
    """

    grade: str
    thickness: float
    nail: str
    edge_spacing: float


@dataclass(frozen=True)
class _Row:
    thickness: float
    cells: dict[str, str]


@cache
def _rows(grade: str, nail: str) -> tuple[_Row, ...]:
    found = [_Row(float(Fraction(row["thickness_in"])) * IN, row) for row in rows("sdpws_4_3a")
             if row["grade"] == grade and row["nail"] == nail]
    return tuple(sorted(found, key=lambda row: row.thickness))


def _row(sheathing: Sheathing) -> _Row:
    one_of(sheathing.grade, GRADES, "Panel grade")
    positive(sheathing.thickness, "Panel thickness")
    candidates = _rows(sheathing.grade, sheathing.nail)
    if not candidates:
        nails = sorted({row["nail"] for row in rows("sdpws_4_3a") if row["grade"] == sheathing.grade})
        one_of(sheathing.nail, nails, f"Nail for grade {sheathing.grade}")
    fitting = [row for row in candidates if row.thickness <= sheathing.thickness + THICKNESS_TOLERANCE]
    if not fitting:
        raise ValueError(f"A {sheathing.grade} panel of {sheathing.thickness * 1e3:.1f} mm with "
                         f"{sheathing.nail} nails is thinner than any in the table.")
    return fitting[-1]


def tabulated_spacing(edge_spacing: float) -> int:
    """The edge nail spacing column, in whole inches, that an actual spacing may claim.

    The next wider column is taken, never interpolated; 1 mm of metric rounding is allowed.

    >>> tabulated_spacing(0.100), tabulated_spacing(0.075), tabulated_spacing(0.125)
    (4, 3, 6)

    Args:
        edge_spacing: nail spacing at panel edges [m], 2 in to 6 in.

    Raises:
        ValueError: outside the table.
    """
    positive(edge_spacing, "Edge nail spacing")
    for inches in sorted(EDGE_SPACINGS_IN):
        if edge_spacing <= inches * IN + SPACING_TOLERANCE:
            if edge_spacing < 2 * IN - SPACING_TOLERANCE:
                raise ValueError(f"Edge nail spacing {edge_spacing * 1e3:.0f} mm is closer than 2 in.")
            return inches
    raise ValueError(f"Edge nail spacing {edge_spacing * 1e3:.0f} mm is wider than the 6 in of the table.")


def nominal_unit_shear(sheathing: Sheathing, load: str, edition: str) -> float:
    """Nominal unit shear v_s, v_w or v_n of one face over DF-L or SP framing [N/m] (SDPWS Table 4.3A).

    The table gives minimum panel thicknesses: a thicker panel claims the thickest row not above it. The 2021
    edition has one nominal value for wind and seismic, which equals the former wind value.

    Args:
        sheathing: the face.
        load: `wind` or `seismic`.
        edition: one of EDITIONS.

    Raises:
        ValueError: not in the table, or unknown load or edition.
    """
    one_of(edition, EDITIONS, "SDPWS edition")
    one_of(load, LOADS, "Load")
    column = "vw" if load == "wind" or edition == "2021" else "vs"
    return float(_row(sheathing).cells[f"{column}{tabulated_spacing(sheathing.edge_spacing)}"]) * PLF


def apparent_stiffness(sheathing: Sheathing, panel: str) -> float:
    """Apparent shear wall stiffness G_a of one face [N/m] (SDPWS Table 4.3A; printed in kip/in).

    Args:
        sheathing: the face.
        panel: `osb` or `plywood`.

    Raises:
        ValueError: not in the table (siding is tabulated as plywood only).
    """
    one_of(panel, PANELS, "Panel")
    column = f"ga{'osb' if panel == 'osb' else 'ply'}{tabulated_spacing(sheathing.edge_spacing)}"
    cell = _row(sheathing).cells[column]
    if not cell:
        raise ValueError(f"No stiffness is tabulated for grade {sheathing.grade} as {panel}.")
    return float(cell) * KIP_PER_IN
