"""Water that stands in a round pipe: area, closed share of the bore, volume in a sloped piece."""

from math import acos, atan2, cos, hypot, pi, sqrt, tan

from modellint.engineering.pipe_friction import bore_area
from modellint.engineering.source import Source

SEGMENT_SOURCE = Source("arithmetic", "Geometry of the circular segment", "", grade="D")


def water_area(depth: float, bore: float) -> float:
    """Return the area of water of a depth in a round bore (circular segment).

    Args:
        depth: Depth above the invert [m]; below zero counts as dry, over the bore as full.
        bore: Inside diameter [m].

    Returns:
        Area [m²].

    Raises:
        ValueError: If the bore is not above zero.
    """
    if not bore > 0.0:
        raise ValueError(f"Water needs a bore above zero to stand in, not {bore:g} m.")
    radius = bore / 2.0
    depth = min(max(depth, 0.0), bore)
    below = radius - depth
    return radius * radius * acos(below / radius) - below * sqrt(max(0.0, depth * (bore - depth)))


def closed_share(depth: float, bore: float) -> float:
    """Return the share of the bore's area, 0 to 1, that water of a depth [m] closes in a bore [m]."""
    return water_area(depth, bore) / bore_area(bore)


def _area_under(depth: float, bore: float) -> float:
    """Integral of ``water_area`` over depth from 0 [m³]; a full bore goes on growing by its area."""
    radius = bore / 2.0
    if depth <= 0.0:
        return 0.0
    if depth >= bore:
        return pi * radius**3 + bore_area(bore) * (depth - bore)
    below = radius - depth
    half_width = sqrt(depth * (bore - depth))
    return radius * radius * (half_width - below * acos(below / radius)) - half_width**3 / 3.0


def water_volume(
    level: float, invert_start: float, invert_end: float, plan_length: float, bore: float
) -> float:
    """Return the water below a level in a straight piece of pipe.

    Cross-sections are cut square to the pipe's axis, and so are its ends; the integral along the axis is
    exact.

    Args:
        level: Height of the water surface [m].
        invert_start: Height of the invert at one end [m].
        invert_end: Height of the invert at the other end [m].
        plan_length: Length in plan [m], 0 for a vertical pipe.
        bore: Inside diameter [m].

    Returns:
        Volume [m³].

    Raises:
        ValueError: If the bore is not above zero, or the plan length is negative.
    """
    if not (bore > 0.0 and plan_length >= 0.0):
        raise ValueError("Standing water needs a bore above zero and a plan length of zero or more.")
    low, high = min(invert_start, invert_end), max(invert_start, invert_end)
    rise = high - low
    angle = atan2(rise, plan_length)
    length = hypot(rise, plan_length)
    if plan_length <= 1e-9 * length:
        return bore_area(bore) * min(max(level - low, 0.0), rise)
    deep, shallow = (level - low) / cos(angle), (level - high) / cos(angle)
    if deep - shallow < 1e-5 * bore:
        return water_area(0.5 * (deep + shallow), bore) * length
    return (_area_under(deep, bore) - _area_under(shallow, bore)) / tan(angle)


def wet_length(level: float, invert_start: float, invert_end: float, plan_length: float) -> float:
    """Return the length along a straight pipe over which its invert lies under the water.

    Args:
        level: Height of the water surface [m].
        invert_start: Height of the invert at one end [m].
        invert_end: Height of the invert at the other end [m].
        plan_length: Length in plan [m].

    Returns:
        Length [m].
    """
    low, high = min(invert_start, invert_end), max(invert_start, invert_end)
    length = hypot(high - low, plan_length)
    if level <= low:
        return 0.0
    if level >= high:
        return length
    return length * (level - low) / (high - low)
