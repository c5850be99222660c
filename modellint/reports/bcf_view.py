"""The camera of a topic: looking down at the place from a few steps away."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import cos, isfinite, radians, sin, sqrt, tan
from typing import Any

FIELD_OF_VIEW = 60.0
"""Degrees, vertical; the one value that BCF 2.1 (45 to 60) and 3.0 both allow and viewers use."""
ASPECT = 1.5
_TURN, _TILT = radians(35), radians(25)  # seen from the south-west and from above
_NEAREST = 4.0  # metres: the wall end and a storey above and below fit into the picture

Vector = tuple[float, float, float]


@dataclass(frozen=True)
class Camera:
    """A perspective camera in the file's world coordinates, metres; direction and up are unit vectors."""

    position: Vector
    direction: Vector
    up: Vector


def camera(points: Iterable[Vector]) -> Camera | None:
    """A camera that frames all points; None for no point.

    The distance is that at which a sphere around the points fills half the field of view, and at least 4 m.
    """
    known = [point for point in points if all(isfinite(value) for value in point)]
    if not known:
        return None
    low, high = (tuple(pick(point[axis] for point in known) for axis in range(3)) for pick in (min, max))
    centre = tuple((a + b) / 2 for a, b in zip(low, high, strict=True))
    radius = sqrt(sum((b - a) ** 2 for a, b in zip(low, high, strict=True))) / 2
    distance = max(_NEAREST, 2 * radius / tan(radians(FIELD_OF_VIEW / 2)))
    direction = (sin(_TURN) * cos(_TILT), cos(_TURN) * cos(_TILT), -sin(_TILT))
    up = (sin(_TURN) * sin(_TILT), cos(_TURN) * sin(_TILT), cos(_TILT))
    position = tuple(c - distance * d for c, d in zip(centre, direction, strict=True))
    return Camera((position[0], position[1], position[2]), direction, up)


def points_of(findings: Iterable[Mapping[str, Any]]) -> list[Vector]:
    """Places of findings that have one."""
    places = (finding["place"] for finding in findings)
    return [
        (float(place["x"]), float(place["y"]), float(place["z"]))
        for place in places
        if None not in (place["x"], place["y"], place["z"])
    ]
