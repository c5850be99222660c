"""Holes and notches in studs, plates and joists (IRC 2018 and 2021 R602.6, R602.6.1, R502.8)."""

from __future__ import annotations

from modellint.engineering.require import in_range, not_negative, positive
from modellint.engineering.source import Source
from modellint.engineering.us_units import IN

_IRC = ("code", "IRC 2018 and 2021")

SOURCES = {
    "stud_notch_limit": Source(*_IRC, "R602.6", note="five places agree"),
    "stud_hole_limit": Source(*_IRC, "R602.6", note="five places agree"),
    "STUD_HOLE_EDGE": Source(*_IRC, "R602.6",
                             note="printed 2018 text says not more than; the figure and a state code "
                             "make it a minimum"),
    "hole_edge_distances": Source("arithmetic"),
    "top_plate_tie_needed": Source(*_IRC, "R602.6.1", note="three places agree"),
    "TOP_PLATE_TIE": Source(*_IRC, "R602.6.1", note="three places agree"),
    "joist_hole_limit": Source(*_IRC, "R502.8.1", note="three places agree"),
    "JOIST_HOLE_EDGE": Source(*_IRC, "R502.8.1", note="three places agree"),
    "joist_notch_limit": Source(*_IRC, "R502.8.1", note="three places agree"),
    "notch_in_middle_third": Source(*_IRC, "R502.8.1", note="three places agree"),
}

STUD_HOLE_EDGE = 5 / 8 * IN
"""Least wood between a hole and the face of a stud [m]."""
JOIST_HOLE_EDGE = 2 * IN
"""Least wood between a hole and the top or bottom of a joist, and from any other hole or notch [m]."""
TOP_PLATE_TIE = {"thickness": 0.054 * IN, "width": 1.5 * IN, "nails_each_side": 8.0, "past_opening": 6 * IN}
"""Steel tie over a cut top plate: thickness, width and lap [m], 10d nails each side."""


def stud_notch_limit(depth: float, bearing: bool) -> float:
    """Deepest notch in a stud [m]: 25 % of its depth in exterior or bearing walls, 40 % in others.

    >>> stud_notch_limit(0.1, True)
    0.025

    Args:
        depth: stud depth, across the wall [m].
        bearing: the wall is an exterior or bearing wall.

    Raises:
        ValueError: depth not above zero.
    """
    return (0.25 if bearing else 0.40) * positive(depth, "Stud depth")


def stud_hole_limit(depth: float, bearing: bool, doubled: bool = False, successive_doubled: int = 1) -> float:
    """Widest bored hole in a stud [m]: 40 % of its depth in exterior or bearing walls, 60 % in others.

    60 % also where studs of a bearing wall are doubled, on not more than two successive doubled studs.

    Args:
        depth: stud depth [m].
        bearing: the wall is an exterior or bearing wall.
        doubled: the stud is doubled.
        successive_doubled: how many doubled studs in a row are bored.

    Raises:
        ValueError: depth not above zero, or a count below one.
    """
    if successive_doubled < 1:
        raise ValueError("At least one stud is bored.")
    wide = not bearing or (doubled and successive_doubled <= 2)
    return (0.60 if wide else 0.40) * positive(depth, "Stud depth")


def hole_edge_distances(depth: float, diameter: float, centre: float) -> tuple[float, float]:
    """Wood left between a hole and the two faces [m], negative where the hole runs out.

    Args:
        depth: member depth [m].
        diameter: hole diameter [m].
        centre: hole centre from the first face [m].

    Raises:
        ValueError: depth or diameter not above zero.
    """
    positive(depth, "Member depth")
    radius = positive(diameter, "Hole diameter") / 2
    return centre - radius, depth - centre - radius


def top_plate_tie_needed(cut: float, width: float) -> bool:
    """Whether a cut in a top plate of an exterior or bearing wall needs a steel tie: more than half its
    width.

    Args:
        cut: width of the cut, hole or notch across the plate [m].
        width: plate width [m].

    Raises:
        ValueError: negative cut, or width not above zero.
    """
    return not_negative(cut, "Cut") > 0.5 * positive(width, "Plate width") + 1e-9


def joist_hole_limit(depth: float) -> float:
    """Widest hole in a sawn joist [m]: a third of its depth.

    Raises:
        ValueError: depth not above zero.
    """
    return positive(depth, "Joist depth") / 3.0


def joist_notch_limit(depth: float, at_end: bool) -> float:
    """Deepest notch in a sawn joist [m]: a sixth of its depth, a quarter at its end.

    Raises:
        ValueError: depth not above zero.
    """
    return positive(depth, "Joist depth") / (4.0 if at_end else 6.0)


def notch_in_middle_third(position: float, span: float) -> bool:
    """Whether a place along a joist lies in the middle third of its span, where notches are not allowed.

    Args:
        position: from one support [m].
        span: clear span [m].

    Raises:
        ValueError: span not above zero, or a place outside it.
    """
    in_range(position, 0.0, positive(span, "Span"), "Place along the span")
    return span / 3.0 < position < 2.0 * span / 3.0
