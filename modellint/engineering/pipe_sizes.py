"""Sizes of Schedule 40 PVC pipe: outside diameter, bore and wall by nominal size."""

from dataclasses import dataclass

from modellint.engineering.constants import CUBIC_FOOT_PER_MINUTE
from modellint.engineering.pipe_friction import bore_area
from modellint.engineering.source import Source
from modellint.engineering.us_units import IN


@dataclass(frozen=True, slots=True)
class PipeSize:
    """One nominal size.

    Attributes:
        nominal: Trade size [in].
        outside: Outside diameter [m].
        bore: Average inside diameter [m]; not outside less two minimum walls.
        wall: Minimum wall [m].
        source: Where the row was seen.
    """

    nominal: int
    outside: float
    bore: float
    wall: float
    source: Source

    @property
    def area(self) -> float:
        """Area of the bore [m²]."""
        return bore_area(self.bore)


_D1785 = Source("standard", "ASTM D1785", "Schedule 40", grade="C", note="seen in secondary tables only")
_D1785_WALL = Source(
    "standard", "ASTM D1785", "Schedule 40", grade="C", note="secondary tables; wall of 6 in pipe from memory"
)
PVC_SCHEDULE_40: dict[int, PipeSize] = {
    2: PipeSize(2, 2.375 * IN, 2.047 * IN, 0.154 * IN, _D1785),
    3: PipeSize(3, 3.500 * IN, 3.042 * IN, 0.216 * IN, _D1785),
    4: PipeSize(4, 4.500 * IN, 3.998 * IN, 0.237 * IN, _D1785),
    6: PipeSize(6, 6.625 * IN, 6.031 * IN, 0.280 * IN, _D1785_WALL),
}
"""Schedule 40 PVC by nominal size [in]. Steel pipe of the same schedule has other bores."""
NOMINAL_SIZES = tuple(PVC_SCHEDULE_40)

SMALLEST_VENT_PIPE = 3 * IN
"""Smallest vent pipe of a new house [m] (3 in)."""
SMALLEST_VENT_SOURCE = Source("code", "IRC 2012", "AF103.6.1", grade="A")
RETROFIT_SOURCE = Source(
    "standard", "ANSI/AARST SGM-SF-2017 (12/20)", "6.3.1 to 6.3.3", grade="A", note="same in RMS-LB-2018"
)


def size_of_outside(outside: float, tolerance: float = 1.5e-3) -> PipeSize | None:
    """Return the size whose outside diameter lies within a tolerance of the drawn one.

    Args:
        outside: Outside diameter [m].
        tolerance: How far the drawing may be off [m] (common practice, no source).

    Returns:
        The size, or None.
    """
    nearest = min(PVC_SCHEDULE_40.values(), key=lambda size: abs(size.outside - outside))
    return nearest if abs(nearest.outside - outside) <= tolerance else None


def nominal_of_bore(bore: float, tolerance: float = 0.05) -> int | None:
    """Return the nominal size whose bore is nearest, or None if none is near.

    Args:
        bore: Inside diameter [m]; the trade size itself (76 mm, 100 mm) is taken as well.
        tolerance: Share of the bore by which it may differ (common practice, no source).

    Returns:
        Nominal size [in], or None.
    """
    nearest = min(PVC_SCHEDULE_40.values(), key=lambda size: abs(size.bore - bore))
    return nearest.nominal if abs(nearest.bore - bore) <= tolerance * nearest.bore else None


def retrofit_nominal(flow: float) -> int:
    """Return the smallest pipe [in] that the standard for existing houses allows for a fan's flow.

    Not for new houses, where 3 in is the least.

    Args:
        flow: Verified flow [m³/s].

    Returns:
        2 up to 40 cfm, 3 up to 80 cfm, else 4.
    """
    if flow <= 40 * CUBIC_FOOT_PER_MINUTE:
        return 2
    return 3 if flow <= 80 * CUBIC_FOOT_PER_MINUTE else 4
