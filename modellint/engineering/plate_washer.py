"""Plate washers of sill bolts: size, and reach to the sheathed edge of the plate (SDPWS 4.3.6.4.3)."""

from __future__ import annotations

from modellint.engineering.require import one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import ARITHMETIC, RESTATED
from modellint.engineering.us_units import IN, PLF

SOURCES = {
    "MINIMUM_WASHER": Source("standard", "SDPWS 2008 to 2021", "4.3.6.4.3", note="four places agree"),
    "EDGE_GAP_LIMIT": Source("standard", "SDPWS 2008 to 2021", "4.3.6.4.3", note=RESTATED),
    "edge_rule_applies": Source("standard", "SDPWS 2021", "4.3.6.4.3", note=RESTATED),
    "cut_washer_allowed": Source("standard", "SDPWS 2015", "4.3.6.4.3 exc.", memory=True),
    "slot_allowed": Source("standard", "SDPWS 2008", "4.3.6.4.3", note=RESTATED),
    "edge_gap": ARITHMETIC,
    "bolt_distance_limit": ARITHMETIC,
}

MINIMUM_WASHER = {"side": 3 * IN, "thickness": 0.229 * IN}
"""Least plate washer: side of the square and thickness [m]."""
EDGE_GAP_LIMIT = 0.5 * IN
"""Farthest the washer's edge may stay from the sheathed edge of the plate [m]."""
EDGE_RULE_NOMINAL = 400 * PLF
"""Nominal unit shear above which the edge rule applies to a side [N/m]."""


def edge_rule_applies(nominal: float) -> bool:
    """Whether the washer must reach to within 1/2 in of a sheathed edge: nominal unit shear above 400 plf.

    Args:
        nominal: nominal unit shear of the sheathing on that side, wind or seismic [N/m].

    Raises:
        ValueError: not above zero.
    """
    return positive(nominal, "Nominal unit shear") > EDGE_RULE_NOMINAL * (1 + 1e-9)


def edge_gap(bolt_from_edge: float, washer_side: float) -> float:
    """Distance from the washer's edge to the sheathed edge of the plate [m]; negative where the washer
    overhangs.

    >>> round(edge_gap(0.070, 0.076), 3)
    0.032

    Args:
        bolt_from_edge: bolt centre from the sheathed edge [m].
        washer_side: side of the square washer [m].

    Raises:
        ValueError: an input not above zero.
    """
    return positive(bolt_from_edge, "Bolt distance") - positive(washer_side, "Washer side") / 2.0


def bolt_distance_limit(washer_side: float) -> float:
    """Farthest bolt centre from the sheathed edge that still meets the edge rule [m].

    Raises:
        ValueError: side not above zero.
    """
    return positive(washer_side, "Washer side") / 2.0 + EDGE_GAP_LIMIT


def slot_allowed(width: float, length: float, bolt: float, cut_washer: bool) -> bool:
    """Whether a slotted washer hole is allowed: at most 3/16 in wider than the bolt, 1-3/4 in long, cut
    washer on top.

    Raises:
        ValueError: an input not above zero.
    """
    return (positive(width, "Slot width") <= positive(bolt, "Bolt diameter") + 3 / 16 * IN + 1e-9
            and positive(length, "Slot length") <= 1.75 * IN + 1e-9 and cut_washer)


def cut_washer_allowed(nominal: float, load: str, ratio: float, *, shear_only: bool | None,
                       hold_downs_without_dead_load: bool | None) -> bool | None:
    """Whether standard cut washers may replace plate washers (exception, from memory).

    Bolts resist shear only, hold-downs at the ends are sized without dead load, height to length at most 2,
    nominal at most 980 plf seismic or 1,370 plf wind.

    Args:
        nominal: nominal unit shear [N/m].
        load: `wind` or `seismic`.
        ratio: height over length.
        shear_only: bolts resist shear only; None if not known.
        hold_downs_without_dead_load: None if not known.

    Returns:
        True, False, or None where a fact that decides is not known.

    Raises:
        ValueError: an input out of range or unknown load.
    """
    one_of(load, ("wind", "seismic"), "Load")
    limit = (1370.0 if load == "wind" else 980.0) * PLF
    within = positive(nominal, "Nominal unit shear") <= limit * (1 + 1e-9)
    if not within or positive(ratio, "Height to length ratio") > 2.0 or False in (shear_only,
                                                                                  hold_downs_without_dead_load):
        return False
    return None if None in (shear_only, hold_downs_without_dead_load) else True
