"""What the drawings of one building need, as plain data in metres, from its connected parts.

World coordinates are the model's shifted ones (the report's `origin` was subtracted). Plan coordinates are
turned by `frame.angle`; elevations are (distance along the wall line, z); the riser is (plan length walked
from the suction point, z).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from modellint.drawings.frame import frame_of
from modellint.drawings.scene_elevation import elevations
from modellint.drawings.scene_plan import plans
from modellint.drawings.scene_riser import risers
from modellint.graph.house import House

Forces = Callable[[Any], Mapping[str, Any]]


def scene(house: House, forces: Forces | None = None) -> dict[str, Any]:
    """Drawing data of one building.

    Args:
        house: connected.
        forces: gives the known force measures of a wall end as `{measure: {low, high}}` in newtons.
    """
    frame = frame_of(house)
    north = list(frame.north) if frame.north else None
    return {
        "building": house.key,
        "name": house.name,
        "frame": {"angle": round(frame.angle, 6) + 0.0, "north": north},
        "plans": plans(house, frame),
        "elevations": elevations(house, forces),
        "risers": risers(house),
    }
