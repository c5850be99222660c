"""The roof as vents see it: its surface, its plan, and how high a mouth stands above it."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from modellint.contacts.polylines import usable
from modellint.contacts.surfaces import all_triangles, height_under_circle, plan_of
from modellint.graph.house import House
from modellint.ifc.solid import Array
from modellint.roles.part import Part, Rung

if TYPE_CHECKING:
    from shapely import Geometry


@dataclass(eq=False)
class Roof:
    """All roof parts of a building.

    Attributes:
        parts: with role `roof`, drawn or not.
        triangles: (t, 3, 3) of those that are drawn.
        plan: their plan area; empty if none is drawn.
        below: hull of the slabs and floors under it, or None: over these an undrawn roof is likelier than
            open air.
        clipped: part of it is drawn larger than it is (a boolean was not carried out).
    """

    parts: tuple[Part, ...]
    triangles: Array
    plan: Geometry
    clipped: bool = False
    rung: Rung = Rung.DECLARED
    below: Geometry = None
    by_part: tuple[tuple[Part, Array], ...] = field(default=(), repr=False)

    @cached_property
    def lowest(self) -> float:
        """Least z of its surface, metres; infinite if none is drawn."""
        return float(self.triangles[:, :, 2].min(initial=np.inf))

    @property
    def drawn(self) -> bool:
        """Whether any of it has a surface."""
        return len(self.triangles) > 0

    def side_of(self, point: Array) -> str:
        """Where a point lies in plan: `over` the roof, `outside` its outline, or in a `gap` of what is
        drawn."""
        import shapely

        if not self.drawn:
            return "gap"
        spot = shapely.Point(point[:2])
        if self.plan.distance(spot) <= 1e-6:
            return "over"
        # a notch in a drawn roof is as likely an undrawn piece as open air
        if self.plan.convex_hull.contains(spot) or (self.below is not None and self.below.contains(spot)):
            return "gap"
        return "outside"


def roof_of(house: House) -> Roof:
    """The building's roof parts with their surfaces."""
    parts = house.with_role("roof")
    drawn = [part for part in parts if part.box is not None and usable(part.box.corners)]
    by_part = tuple((part, all_triangles(part.solids)) for part in drawn)
    triangles = np.concatenate([t for _, t in by_part]) if by_part else np.empty((0, 3, 3))
    solids = [solid for part in drawn for solid in part.solids]
    return Roof(
        parts,
        triangles,
        plan_of(solids),
        any(solid.clipped for solid in solids),
        min((part.rung_as("roof") for part in parts), default=Rung.INFERRED),
        _below(house),
        by_part,
    )


def _below(house: House) -> Geometry:
    import shapely

    boxes = [part.box for part in house.with_role("foundation_slab", "floor") if part.box is not None]
    corners = [corner[:2] for box in boxes if usable(box.corners) for corner in box.corners]
    return shapely.MultiPoint(corners).convex_hull if corners else None


@dataclass(frozen=True)
class RoofHeight:
    """Height of a mouth above the roof: possible range in metres, where it stands, which part is below it."""

    low: float
    high: float
    side: str
    part: Part | None = None


def height_above(roof: Roof, point: Array, radius: float) -> RoofHeight:
    """Vertical distance from a mouth down to the highest roof surface straight below its circle.

    Outside the roof's outline it is the height over the nearest roof edge; where no roof is drawn below,
    nothing
    is known. A clipped roof's box may reach too high, so the height is then a lower bound.
    """
    import shapely

    side = roof.side_of(point)
    if side == "gap":
        found = [z for z in (height_under_circle(roof.triangles, point, radius),) if z is not None]
        return RoofHeight(-np.inf, float(point[2]) - found[0] if found else np.inf, side)
    where = point
    if side == "outside":
        edge = shapely.shortest_line(roof.plan, shapely.Point(point[:2])).coords[0]
        where = np.array([*edge, point[2]])
        radius = max(radius, 0.01)
    tops = [
        (z, part.key, part)
        for part, triangles in roof.by_part
        if (z := height_under_circle(triangles, where, radius)) is not None
    ]
    if not tops:
        return RoofHeight(-np.inf, np.inf, "gap")
    top, _, part = max(tops, key=lambda row: row[:2])
    height = float(point[2]) - top
    return RoofHeight(height, np.inf if roof.clipped else height, side, part)
