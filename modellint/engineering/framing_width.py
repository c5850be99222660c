"""When close nailing wants 3-inch nominal framing at adjoining panel edges (SDPWS 4.3.7.1)."""

from __future__ import annotations

from modellint.engineering.require import one_of, positive
from modellint.engineering.sheathing_table import EDITIONS, SPACING_TOLERANCE
from modellint.engineering.sill_anchorage import SEISMIC_CATEGORIES
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED
from modellint.engineering.us_units import IN, PLF

SOURCES = {
    "wide_framing_triggers@2008": Source("standard", "SDPWS 2008", "4.3.7.1", memory=True),
    "wide_framing_triggers@2015": Source("standard", "SDPWS 2015", "4.3.7.1", note=RESTATED),
    "wide_framing_triggers@2021": Source("standard", "SDPWS 2021", "4.3.7.1(5) and Table 4.3A note 6",
                                         note=RESTATED),
    "nominal_trigger@2008": Source("standard", "SDPWS 2008", "4.3.7.1", memory=True),
    "nominal_trigger@2015": Source("standard", "SDPWS 2015", "4.3.7.1", note=RESTATED),
    "nominal_trigger@2021": Source("standard", "SDPWS 2021", "4.3.7.1(5)", note=RESTATED),
    "WIDE_FRAMING": Source("standard", "SDPWS 2008 to 2021", "4.3.7.1",
                           note="two 2x members stitched for the shear instead: seen in older texts"),
}

WIDE_FRAMING = 2.5 * IN
"""Dressed width of 3-inch nominal framing [m]."""


def nominal_trigger(edition: str) -> float:
    """Nominal unit shear above which SDC D, E and F want wide framing [N/m]: 700 plf, since 2021 980 plf.

    Raises:
        ValueError: unknown edition.
    """
    return (980.0 if one_of(edition, EDITIONS, "SDPWS edition") == "2021" else 700.0) * PLF


def wide_framing_triggers(nail: str, edge_spacing: float, edition: str, *, nominal: float | None = None,
                          seismic_category: str | None = None, both_faces: bool = False,
                          joints_offset: bool | None = None) -> tuple[str, ...]:
    """The reasons why 3-inch nominal framing with staggered nails is wanted; empty where none is known.

    Args:
        nail: edge nail, e.g. "10d common".
        edge_spacing: [m].
        edition: SDPWS edition.
        nominal: nominal unit shear of the heavier face [N/m], for the seismic categories; None if not known.
        seismic_category: one of SEISMIC_CATEGORIES or `D`, `F`; None if not known.
        both_faces: sheathed on both faces with this nailing.
        joints_offset: joints of the two faces fall on different framing; None if not known.

    Raises:
        ValueError: an input out of range or an unknown word.
    """
    limit = nominal_trigger(edition)
    if seismic_category is not None:
        one_of(seismic_category, (*SEISMIC_CATEGORIES, "D", "F"), "Seismic design category")
    spacing = positive(edge_spacing, "Edge nail spacing") - SPACING_TOLERANCE
    reasons = []
    if spacing <= 2 * IN:
        reasons.append("edge nails at 2 in or closer")
    if nail == "10d common" and spacing <= 3 * IN:
        reasons.append("10d nails at 3 in or closer")
    if (nominal is not None and positive(nominal, "Nominal unit shear") > limit * (1 + 1e-9)
            and seismic_category is not None and seismic_category[0] in "DEF"):
        reasons.append(f"nominal unit shear over {limit / PLF:.0f} plf in seismic design category "
                       f"{seismic_category}")
    if both_faces and joints_offset is False and edge_spacing < 6 * IN - SPACING_TOLERANCE:
        reasons.append("both faces nailed closer than 6 in with joints on the same framing")
    return tuple(reasons)
