"""The frame a house is drawn in: turned in plan so that its walls lie level on the sheet, north upward."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, pi, sin
from typing import Any

import numpy as np

from modellint.graph.house import House
from modellint.graph.wall_lines import COMPASS
from modellint.ifc.solid import Array


@dataclass(frozen=True)
class Frame:
    """A turn in plan about the world origin.

    Attributes:
        angle: from world x to the frame's x, radians.
        north: unit vector of true north in the frame, or None.
    """

    angle: float
    north: tuple[float, float] | None = None

    def plan(self, points: Array) -> Array:
        """Plan points (n, 2) of world points (n, 2+)."""
        turn = np.array([[cos(self.angle), -sin(self.angle)], [sin(self.angle), cos(self.angle)]])
        turned: Array = np.atleast_2d(points)[:, :2] @ turn
        return turned

    def point(self, point: Array) -> list[float]:
        """One plan point, rounded to a millimetre."""
        return rounded(self.plan(point)[0])


def frame_of(house: House) -> Frame:
    """The frame in which most metres of wall lie level or upright, with north as near upward as it can be."""
    lengths: dict[float, float] = {}
    for line in house.nodes.get("wall_line", ()):
        angle = round(atan2(float(line.direction[1]), float(line.direction[0])) % (pi / 2), 3)
        angle = angle if angle < pi / 2 - 0.002 else 0.0
        lengths[angle] = lengths.get(angle, 0.0) + line.length
    angle = max(sorted(lengths), key=lambda key: lengths[key]) if lengths else 0.0
    angle = angle - pi / 2 if angle > pi / 4 else angle
    north = house.model.north
    if north is None:
        return Frame(angle)
    turns = [angle + k * pi / 2 for k in (0, 1, -1, 2)]
    best = max(turns, key=lambda turn: (round(float(Frame(turn).plan(north)[0][1]), 3), -abs(turn)))
    x, y = Frame(best).plan(north)[0]
    return Frame(best, (round(float(x), 4) + 0.0, round(float(y), 4) + 0.0))


def seen_from(house: House, direction: Array) -> str:
    """Side on which one stands to see `direction` run to the right, as a compass word; "" without north."""
    north = house.model.north
    if north is None:
        return ""
    stand = np.array([direction[1], -direction[0]])
    east = np.array([north[1], -north[0]])
    bearing = np.degrees(np.arctan2(float(stand @ east), float(stand @ north))) % 360
    return COMPASS[round(bearing / 45) % 8]


def rounded(values: Any) -> list[float]:
    """Numbers to a millimetre, never -0.0."""
    return [mm(value) for value in values]


def mm(value: float) -> float:
    """A length in metres, to a millimetre."""
    return round(float(value), 3) + 0.0
