"""The gas-permeable layer under a building: where it lies and whether a point is in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from modellint.contacts.polylines import usable
from modellint.contacts.surfaces import plan_of
from modellint.graph.house import House
from modellint.ifc.solid import Array
from modellint.roles.part import Part

if TYPE_CHECKING:
    from shapely import Geometry

LEVEL = 0.001  # metres; arithmetic noise of levels


@dataclass(eq=False)
class Layer:
    """One drawn part of the permeable layer: its plan and its bottom and top, metres."""

    part: Part
    plan: Geometry
    bottom: float
    top: float

    def holds(self, point: Array) -> bool:
        """Whether a point lies in it."""
        import shapely

        return self.bottom - LEVEL <= float(point[2]) <= self.top + LEVEL and bool(
            self.plan.distance(shapely.Point(point[:2])) <= LEVEL
        )


def layers_of(house: House) -> tuple[Layer, ...]:
    """All drawn parts of the permeable layer, by key."""
    found = []
    for part in house.with_role("permeable_layer"):
        if part.box is None or not usable(part.box.corners):
            continue
        plan = plan_of(part.solids)
        if not plan.is_empty:
            found.append(Layer(part, plan, float(part.box.low[2]), float(part.box.high[2])))
    return tuple(found)


def in_layer(layers: tuple[Layer, ...], point: Array | None) -> bool:
    """Whether a point lies in any part of the layer."""
    return point is not None and any(layer.holds(point) for layer in layers)
