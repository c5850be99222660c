"""Unit shear of wood structural panel shear walls: from nominal to design values, and footnotes."""

from __future__ import annotations

from dataclasses import dataclass

from modellint.engineering.require import in_range, one_of, positive
from modellint.engineering.sheathing_table import (
    EDITIONS,
    LOADS,
    SPACING_TOLERANCE,
    THICKNESS_TOLERANCE,
    Sheathing,
    nominal_unit_shear,
)
from modellint.engineering.sheathing_table import SOURCES as TABLE_SOURCES
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED, source_of
from modellint.engineering.us_units import IN

LEVELS = ("ASD", "LRFD")

SOURCES = {
    "asd_divisor@2008": Source("standard", "SDPWS 2008", "4.3.3", note=RESTATED),
    "asd_divisor@2015": Source("standard", "SDPWS 2015", "4.3.3", note=RESTATED),
    "asd_divisor@2021": Source("standard", "SDPWS 2021", "4.1.4", note=RESTATED),
    "lrfd_factor@2008": Source("standard", "SDPWS 2008", "4.3.3", note=RESTATED),
    "lrfd_factor@2015": Source("standard", "SDPWS 2015", "4.3.3", note=RESTATED),
    "lrfd_factor@2021": Source("standard", "SDPWS 2021", "4.1.4", memory=True),
    "species_factor": Source("standard", "SDPWS 2008 to 2021", "Table 4.3A note"),
    "strength_thickness": Source("standard", "SDPWS 2015 and 2021", "Table 4.3A note", memory=True),
    "inside_face_factor": Source("standard", "SDPWS 2021", "Table 4.3A note 10", note=RESTATED),
    "field_spacing_limit": Source("standard", "SDPWS 2015", "4.3.7.1", memory=True,
                                  note="12 in seen in several texts; the 6 in case from memory"),
    "design_unit_shear": Source("standard", "SDPWS 2015 and 2021", "4.3.3 and 4.1.4"),
    "unit_shear_capacity": Source("arithmetic", note="product of the listed factors"),
}


@dataclass(frozen=True)
class Factor:
    """One multiplier on the way from a nominal to a design value."""

    name: str
    value: float
    source: Source


@dataclass(frozen=True)
class UnitShear:
    """A unit shear with every factor that made it.

    Attributes:
        nominal: nominal unit shear [N/m].
        source: origin of the nominal value.
        factors: multipliers in the order applied.
    """

    nominal: float
    source: Source
    factors: tuple[Factor, ...]

    @property
    def value(self) -> float:
        """Design unit shear [N/m]."""
        product = self.nominal
        for factor in self.factors:
            product *= factor.value
        return product


def asd_divisor(load: str, edition: str) -> float:
    """Divisor from nominal to allowable unit shear [-]: 2.0; seismic 2.8 since 2021.

    Raises:
        ValueError: unknown load or edition.
    """
    one_of(edition, EDITIONS, "SDPWS edition")
    one_of(load, LOADS, "Load")
    return 2.8 if edition == "2021" and load == "seismic" else 2.0


def lrfd_factor(load: str, edition: str) -> float:
    """Resistance factor on nominal unit shear [-]: 0.80; seismic 0.50 since 2021 (2021 from memory).

    Raises:
        ValueError: unknown load or edition.
    """
    one_of(edition, EDITIONS, "SDPWS edition")
    one_of(load, LOADS, "Load")
    return 0.5 if edition == "2021" and load == "seismic" else 0.8


def design_unit_shear(nominal: float, level: str, load: str, edition: str) -> float:
    """Allowable (ASD) or factored (LRFD) unit shear [N/m] from a nominal one [N/m].

    >>> design_unit_shear(700.0, "ASD", "seismic", "2015")
    350.0

    Raises:
        ValueError: nominal not above zero, or unknown level, load or edition.
    """
    return positive(nominal, "Nominal unit shear") * _level_factor(level, load, edition).value


def _level_factor(level: str, load: str, edition: str) -> Factor:
    one_of(level, LEVELS, "Load level")
    if level == "ASD":
        return Factor("ASD", 1.0 / asd_divisor(load, edition), source_of(SOURCES, "asd_divisor", edition))
    return Factor("LRFD", lrfd_factor(load, edition), source_of(SOURCES, "lrfd_factor", edition))


def species_factor(gravity: float) -> float:
    """Factor for framing lighter than G 0.50 [-]: 1 − (0.5 − G), at most 1 (SDPWS Table 4.3A note).

    >>> round(species_factor(0.42), 2), species_factor(0.55)
    (0.92, 1.0)

    Args:
        gravity: specific gravity G of the framing, 0.31 to 0.73.

    Raises:
        ValueError: gravity out of range.
    """
    return min(1.0, 1.0 - (0.5 - in_range(gravity, 0.31, 0.73, "Specific gravity")))


def strength_thickness(thickness: float, stud_spacing: float, long_axis_across_studs: bool) -> float:
    """Panel thickness to look up [m]: 3/8 and 7/16 in may use 15/32 in values with the same nail (table
    footnote).

    Allowed where studs stand at most 16 in apart or the long axis of the panel crosses the studs.

    Args:
        thickness: actual nominal panel thickness [m].
        stud_spacing: centre to centre [m].
        long_axis_across_studs: the panel lies with its long axis across the studs.

    Raises:
        ValueError: a length not above zero.
    """
    positive(thickness, "Panel thickness")
    positive(stud_spacing, "Stud spacing")
    thin = 3 / 8 * IN - THICKNESS_TOLERANCE <= thickness < 15 / 32 * IN
    close = stud_spacing <= 16 * IN + SPACING_TOLERANCE
    return 15 / 32 * IN if thin and (close or long_axis_across_studs) else thickness


def inside_face_factor(nail: str, inside_face: bool, edition: str) -> float:
    """Factor for 10d common nails with the hold-down on the inside face of the end post [-]: 0.92 since 2021.

    Args:
        nail: edge nail.
        inside_face: the hold-down is fastened to the face of the end post that looks into the wall.
        edition: one of EDITIONS; earlier editions have no such factor.

    Raises:
        ValueError: unknown edition.
    """
    one_of(edition, EDITIONS, "SDPWS edition")
    return 0.92 if edition == "2021" and inside_face and nail == "10d common" else 1.0


def field_spacing_limit(thickness: float, stud_spacing: float) -> float:
    """Widest nail spacing at intermediate framing [m]: 12 in; 6 in for panels under 7/16 in on studs at 24
    in.

    Raises:
        ValueError: a length not above zero.
    """
    positive(thickness, "Panel thickness")
    wide = positive(stud_spacing, "Stud spacing") > 16 * IN + SPACING_TOLERANCE
    return 6 * IN if wide and thickness < 7 / 16 * IN - THICKNESS_TOLERANCE else 12 * IN


def unit_shear_capacity(sheathing: Sheathing, *, level: str, load: str, edition: str, gravity: float,
                        inside_face: bool, aspect_factor: Factor | None = None) -> UnitShear:
    """Design unit shear of one face with each factor listed.

    Args:
        sheathing: the face; give `strength_thickness` as its thickness where the footnote is claimed.
        level: `ASD` or `LRFD`.
        load: `wind` or `seismic`.
        edition: one of EDITIONS.
        gravity: specific gravity of the framing; no species is assumed.
        inside_face: hold-down on the inside face of the end post.
        aspect_factor: strength factor of a narrow wall, see `aspect_ratio`; None where none applies.

    Raises:
        ValueError: not in the table, or an unknown word.
    """
    nominal = nominal_unit_shear(sheathing, load, edition)
    factors = [Factor("framing species", species_factor(gravity), SOURCES["species_factor"]),
               Factor("hold-down on inside face", inside_face_factor(sheathing.nail, inside_face, edition),
                      SOURCES["inside_face_factor"])]
    if aspect_factor is not None:
        factors.append(aspect_factor)
    used = [factor for factor in factors if factor.value != 1.0]
    return UnitShear(nominal, source_of(TABLE_SOURCES, "nominal_unit_shear", edition),
                     (*used, _level_factor(level, load, edition)))
