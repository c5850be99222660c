"""Where a finding is: a place one can walk to, from the subject, the item and the house."""

from __future__ import annotations

from typing import Any

import numpy as np

from modellint.graph.house import BuildingSubject, House
from modellint.graph.storeys import storey_at, storeys_of
from modellint.graph.wall_nodes import ChainStep, PlatePiece, WallEnd, WallLine, WallSegment
from modellint.ifc.solid import Array
from modellint.measures.quantity import Place
from modellint.roles.part import Part

# a part further than this from a wall line is not placed by it, metres (common practice, no source)
NEAR_WALL = 0.30


class PlaceFinder:
    """Answers places for one building; remembers its wall lines."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.lines: tuple[WallLine, ...] = tuple(house.nodes.get("wall_line", ()))
        self.storeys = storeys_of(house.model, house.key)

    def place(self, subject: Any, item: Any, house: Any = None) -> Place:
        """Place of a finding; the item's where it is more precise than the subject's."""
        if isinstance(item, ChainStep):
            return self._wall_end(item.end, item.name)
        if isinstance(subject, WallEnd):
            return self._wall_end(subject)
        if isinstance(subject, WallSegment):
            line = subject.line
            centre = (subject.start + subject.end) / 2
            return Place(
                subject.name,
                line.point(centre, subject.sole),
                line.storey,
                line.walls[0].element.key,
                "",
                centre,
            )
        if isinstance(subject, PlatePiece):
            middle = np.append(subject.start + subject.direction * subject.length / 2, subject.bottom)
            return Place(subject.name, middle, self._storey(middle), subject.plate.element.key)
        if isinstance(subject, BuildingSubject):
            return self._of_parts(item, item) if item is not None else Place(subject.name)
        return self._of_parts(subject, item)

    def _wall_end(self, end: WallEnd, more: str = "") -> Place:
        part = (end.base_ties or end.rods or end.posts or (None,))[0]
        inset = ""
        if part is not None and part.box is not None and not more:
            along = abs(float(end.line.along(part.box.centre)[0]) - end.position)
            inset = f", {1000 * along:.0f} mm from the end" if along > 0.01 else ""
        return Place(
            end.name + inset, end.point, end.line.storey, end.key.split("@")[0], end.word, end.position
        )

    def _of_parts(self, subject: Any, item: Any) -> Place:
        point = self._point(subject)
        if point is None:
            point = self._point(item)
        host = subject.parts[0].element.key if subject.parts else ""
        if point is None:
            return Place(subject.name, None, "", host)
        storey = self._storey(point)
        line = self._line_near(point)
        if line is not None and isinstance(subject, Part):
            along = float(line.along(point)[0])
            text = f"{subject.name}, wall {line.name}, {along:.2f} m from its {line.compass[0]} end"
            return Place(", ".join(row for row in (text, storey) if row), point, storey, host, "", along)
        x, y = point[:2] + self.house.model.origin[:2]
        text = f"{subject.name} at x {x:.2f} m y {y:.2f} m"
        return Place(", ".join(row for row in (text, storey) if row), point, storey, host)

    def _line_near(self, point: Array) -> WallLine | None:
        for line in self.lines:
            along = float(line.along(point)[0])
            if abs(float(line.across(point)[0])) <= line.thickness / 2 + NEAR_WALL and -NEAR_WALL <= along \
                    <= line.length + NEAR_WALL and line.bottom - 0.4 <= float(point[2]) <= line.top + 0.1:
                return line
        return None

    def _storey(self, point: Array) -> str:
        found = storey_at(self.storeys, float(point[2]))
        return found.name if found is not None else ""

    def _point(self, thing: Any) -> Array | None:
        if thing is None:
            return None
        point = getattr(thing, "point", None)
        if isinstance(point, np.ndarray) and point.shape == (3,):
            return point
        end = getattr(thing, "end", None)
        if end is not None and getattr(end, "point", None) is not None:
            return np.asarray(end.point)
        for part in thing.parts:
            if part.box is not None:
                return np.asarray(part.box.centre)
        return None
