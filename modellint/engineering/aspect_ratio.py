"""Height to length of shear walls: limits, strength factor and stiffness share (SDPWS 4.3.3 and 4.3.4)."""

from __future__ import annotations

from modellint.engineering.require import one_of, positive
from modellint.engineering.sheathing_table import EDITIONS, LOADS
from modellint.engineering.source import Source
from modellint.engineering.source_book import ARITHMETIC, RESTATED
from modellint.engineering.us_units import IN

MATERIALS = ("wood_structural_panel", "wood_structural_panel_unblocked", "gypsum", "gypsum_unblocked",
             "particleboard", "plaster", "fibreboard")

_LIMIT = {"wood_structural_panel": 3.5, "wood_structural_panel_unblocked": 2.0, "gypsum": 2.0,
          "gypsum_unblocked": 1.5, "particleboard": 2.0, "plaster": 2.0, "fibreboard": 3.5}

_STANDARD = ("standard", "SDPWS 2008 to 2021", "Table 4.3.4 (2021: Table 4.3.3)")

SOURCES = {
    "aspect_ratio": ARITHMETIC,
    "shortest_length": ARITHMETIC,
    "maximum_aspect_ratio": Source(*_STANDARD, memory=True),
    "maximum_aspect_ratio@wood_structural_panel": Source(*_STANDARD),
    "maximum_aspect_ratio@gypsum_unblocked": Source("standard", "SDPWS 2021", "Table 4.3.3 note 2",
                                                    note=RESTATED),
    "strength_factor@2008": Source("code", "IBC 2006 to 2012", "2305.3.8.2", note="seismic only: 2w/h"),
    "strength_factor@2015": Source("standard", "SDPWS 2015", "4.3.4.2", note=RESTATED),
    "strength_factor@2021": Source("standard", "SDPWS 2021", "4.3.3.2", note=RESTATED),
    "strength_factor@fibreboard": Source("standard", "SDPWS 2015 and 2021", "4.3.4.2 and 4.3.3.2",
                                         memory=True),
    "stiffness_share_factor": Source("standard", "SDPWS 2015 and 2021",
                                     "4.3.3.4.1 exc. 1 and 4.3.5.5.1 exc. 1",
                                     note=RESTATED),
    "unblocked_factor": Source("standard", "SDPWS 2015", "Table 4.3.3.2", memory=True),
}


def aspect_ratio(height: float, length: float) -> float:
    """Height over length of a full-height segment [-].

    Args:
        height: bottom of sole to top of top plate [m].
        length: clear length of the segment [m].

    Raises:
        ValueError: a length not above zero.
    """
    return positive(height, "Wall height") / positive(length, "Wall length")


def maximum_aspect_ratio(material: str) -> float:
    """Largest height to length that may count as a shear wall [-].

    Raises:
        ValueError: unknown material.
    """
    return _LIMIT[one_of(material, MATERIALS, "Sheathing material")]


def shortest_length(height: float, material: str = "wood_structural_panel") -> float:
    """Shortest segment [m] of the given height [m] that may count.

    >>> shortest_length(3.5)
    1.0

    Raises:
        ValueError: height not above zero or unknown material.
    """
    return positive(height, "Wall height") / maximum_aspect_ratio(material)


def strength_factor(ratio: float, load: str, edition: str, material: str = "wood_structural_panel") -> float:
    """Factor on unit shear of a wall higher than twice its length [-].

    2015 and 2021: 1.25 − 0.125 h/b for wood structural panels above 2, 1.09 − 0.09 h/b for fibreboard above
    1, for wind and seismic. 2008: 2 b/h, seismic only. Not multiplied with `stiffness_share_factor`.

    >>> strength_factor(3.0, "wind", "2015")
    0.875

    Args:
        ratio: height over length, up to the material's limit.
        load: `wind` or `seismic`.
        edition: SDPWS edition.
        material: one of MATERIALS; materials without a factor give 1.

    Raises:
        ValueError: ratio above the limit of the material (the wall does not count), or an unknown word.
    """
    one_of(load, LOADS, "Load")
    one_of(edition, EDITIONS, "SDPWS edition")
    limit = maximum_aspect_ratio(material)
    if positive(ratio, "Height to length ratio") > limit * (1 + 1e-9):
        raise ValueError(f"Height to length {ratio:.2f} is above {limit:g}, the limit of {material}.")
    if material == "wood_structural_panel" and ratio > 2.0:
        if edition == "2008":
            return 2.0 / ratio if load == "seismic" else 1.0
        return 1.25 - 0.125 * ratio
    if material == "fibreboard" and ratio > 1.0 and edition != "2008":
        return 1.09 - 0.09 * ratio
    return 1.0


def stiffness_share_factor(height: float, length: float) -> float:
    """Share factor 2 b/h, at most 1 [-]: the alternative to equal deflection of the segments in one line.

    A separate check from `strength_factor`; the two are not multiplied.

    Raises:
        ValueError: a length not above zero.
    """
    return min(1.0, 2.0 / aspect_ratio(height, length))


def unblocked_factor(edge_spacing: float, field_spacing: float, stud_spacing: float) -> float:
    """Factor C_ub of an unblocked wood structural panel wall on the 6 in blocked value [-].

    Args:
        edge_spacing: nails at supported edges [m], at most 6 in.
        field_spacing: nails at intermediate framing [m], at most 12 in.
        stud_spacing: [m], at most 24 in.

    Raises:
        ValueError: outside the table.
    """
    slack = 1e-3
    if positive(edge_spacing, "Edge nail spacing") > 6 * IN + slack:
        raise ValueError("Unblocked walls are tabulated for edge nails at 6 in or closer only.")
    if positive(field_spacing, "Field nail spacing") > 12 * IN + slack:
        raise ValueError("Unblocked walls are tabulated for field nails at 12 in or closer only.")
    column = (1.0, 0.8, 0.6, 0.5) if field_spacing <= 6 * IN + slack else (0.8, 0.6, 0.5, 0.4)
    for inches, factor in zip((12, 16, 20, 24), column, strict=True):
        if positive(stud_spacing, "Stud spacing") <= inches * IN + 3 * slack:
            return factor
    raise ValueError("Unblocked walls are tabulated for studs at 24 in or closer only.")
