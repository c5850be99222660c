"""Room for a later fan: the clear cylinder round the pipe, its outlet, and the places where it may stand."""

from modellint.engineering.constants import CUBIC_FOOT_PER_MINUTE, INCH_OF_WATER
from modellint.engineering.source import Source
from modellint.engineering.us_units import FT, IN

CYLINDER_DIAMETER = 21 * IN
"""Diameter of the clear cylinder, centred on the pipe [m] (21 in)."""
CYLINDER_HEIGHT = 36 * IN
"""Height of the clear cylinder [m] (36 in)."""
CYLINDER_SOURCE = Source(
    "standard", "ANSI/AARST RRNC-2020", "701.1", grade="A", note="same in CCAH-2020 701.1 and IRC 2027 draft"
)

OUTLET_DISTANCE = 6 * FT
"""Farthest outlet from the fan's place [m] (6 ft)."""
OUTLET_SOURCE = Source("standard", "ANSI/AARST CCAH-2020", "701.4, 901.1(2)", grade="B")

ENCLOSURE_VENT_AREA = 25 * IN * IN
"""Vent opening of a fan's enclosure in an unvented attic, at least [m²] (25 in²)."""
ENCLOSURE_SOURCE = Source("standard", "ANSI/AARST RRNC-2020", "701.2.2", grade="B")

MINNESOTA_FAN_FLOW = 50 * CUBIC_FOOT_PER_MINUTE
"""Flow of a fan in Minnesota, at least [m³/s] (50 cfm)."""
MINNESOTA_FAN_PRESSURE = 0.5 * INCH_OF_WATER
"""Pressure at which it must move that flow [Pa] (1/2 in of water)."""
MINNESOTA_FAN_SOURCE = Source("code", "Minnesota Rules", "1303.2403 A", grade="B")

PLACE_SOURCE = Source("standard", "ANSI/AARST RRNC-2020", "701.2 to 701.2.1", grade="A")
FAN_PLACES: dict[str, bool] = {
    "attic": True,
    "basement under living space": False,
    "below ground": False,
    "crawl space under living space": False,
    "enclosure": True,
    "garage not under living space": True,
    "garage under living space": False,
    "living space": False,
    "outdoors": True,
}
"""Whether a fan may stand there; an enclosure must be an approved one."""


def cylinder_shortfall(clear_diameter: float, clear_height: float) -> tuple[float, float]:
    """Return what a free space round the pipe lacks for a fan.

    Args:
        clear_diameter: Diameter of the largest free cylinder centred on the pipe [m].
        clear_height: Its height [m].

    Returns:
        Missing diameter and missing height [m], 0 where there is enough.
    """
    return max(0.0, CYLINDER_DIAMETER - clear_diameter), max(0.0, CYLINDER_HEIGHT - clear_height)


def fan_may_stand(place: str) -> bool | None:
    """Return whether a fan may stand in a place of ``FAN_PLACES``; None for a place left out there."""
    return FAN_PLACES.get(place)
