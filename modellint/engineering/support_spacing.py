"""Supports of plastic vent pipe: how far apart."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from modellint.engineering.source import Source
from modellint.engineering.us_units import FT, IN


@dataclass(frozen=True, slots=True)
class SpacingRule:
    """Greatest distance between supports.

    Attributes:
        horizontal: For pipe nearer to level than to plumb [m].
        vertical: For pipe nearer to plumb [m].
        source: Where it is printed.
    """

    horizontal: float
    vertical: float
    source: Source


SPACING_RULES: dict[str, SpacingRule] = {
    "current": SpacingRule(
        4 * FT, 10 * FT,
        Source("standard", "ANSI/AARST CC-1000-2018", "8.5", grade="A",
               note="same in RMS-LB-2018 6.2.7.2, IRC 2018 Table P2605.1 and IPC 2021 Table 308.5"),
    ),
    "older": SpacingRule(
        6 * FT, 8 * FT,
        Source("guide", "EPA Radon Mitigation Standards, EPA 402-R-93-078", grade="C", note="superseded"),
    ),
}
"""Spacing rules by name. Some cities ask for less on verticals."""

SUPPORT_NEAR_EXIT = 3 * FT
"""Support within this distance of the exit [m] (3 ft), advice."""
SUPPORT_NEAR_FAN = 18 * IN
"""Support within this distance above and below an attic fan [m] (18 in), advice."""
NEAR_SOURCE = Source("standard", "ANSI/AARST SGM-SF-2017 (12/20)", "6.4.14.1", grade="B", note="advisory")


def support_limit(inclination: float, rule: SpacingRule = SPACING_RULES["current"]) -> float:
    """Return the greatest support spacing for a pipe.

    Args:
        inclination: Angle to the horizontal [degree]; the split at 45° is common practice, no source.
        rule: The spacing rule.

    Returns:
        Distance [m].
    """
    return rule.horizontal if abs(inclination) <= 45.0 else rule.vertical


def widest_gap(stations: Iterable[float]) -> float | None:
    """Return the widest distance between neighbouring supports.

    Args:
        stations: Distance of each support along the pipe [m], in any order.

    Returns:
        Distance [m]; None with fewer than two supports.
    """
    places = sorted(stations)
    if len(places) < 2:
        return None
    return max(after - before for before, after in pairwise(places))


def supports_for(length: float, spacing: float) -> int:
    """Return how many equal bays a length between two fixed ends needs, less one: the supports between them.

    Args:
        length: Length between fixed ends [m].
        spacing: Greatest support spacing [m].

    Returns:
        Number of supports, 0 or more.

    Raises:
        ValueError: If the length is negative or the spacing is not above zero.
    """
    if length < 0.0 or not spacing > 0.0:
        raise ValueError("Supports need a length of zero or more and a spacing above zero.")
    # The tenth of a millimetre keeps a length drawn as an exact multiple from asking for one more.
    bays = -int(-(length - 1e-4) // spacing)
    return max(bays - 1, 0)
