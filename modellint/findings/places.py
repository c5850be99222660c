"""Where a finding is: a place one can walk to, from the subject, the item and the house."""

from __future__ import annotations

from typing import Any

import numpy as np

from modellint.graph.house import BuildingSubject, House
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.storeys import storey_at, storeys_of
from modellint.graph.wall_lines import COMPASS
from modellint.graph.wall_nodes import ChainStep, PlatePiece, WallEnd, WallLine, WallSegment
from modellint.ifc.solid import Array
from modellint.measures.quantity import Place
from modellint.roles.part import Part

# a part further than this from a wall line is not placed by it, metres (common practice, no source)
NEAR_WALL = 0.30


def _is_sheet(subject: Any) -> bool:
    return isinstance(subject, Part) and subject.has("foundation_slab", "membrane")


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
        if item is not None and (isinstance(subject, VentRun) or _is_sheet(subject)):
            return self._of_item(item)
        if isinstance(subject, VentRun):
            return self._run(subject)
        return self._of_parts(subject, item)

    def _run(self, run: VentRun) -> Place:
        """Where a vent as a whole is met first: its lowest pipe above the gravel, at the foot."""
        keys = [*run.order, *(part.key for part in run.parts)]
        pipes = [run.network.pieces[key] for key in keys if run.network.pieces[key].part.has("vent_pipe")]
        piece = next((piece for piece in pipes if piece.line is not None and np.all(np.isfinite(piece.line))), None)
        if piece is None or piece.line is None:
            return self._of_parts(run, None)
        foot = np.asarray(piece.line[int(np.argmin(piece.line[:, 2]))])
        storey = self._storey(foot)
        text = ", ".join(row for row in (run.name, self._taped(foot), storey) if row)
        return Place(text, foot, storey, piece.part.element.key)

    def _of_item(self, item: Any) -> Place:
        """Where a low point, an open end or a pipe through the floor is, not the vent or slab as a whole."""
        point, host = self._point(item), item.parts[0]
        if point is None:
            return Place(host.name, None, "", host.element.key)
        storey = self._storey(point)
        text = ", ".join(row for row in (host.name, self._taped(point), storey) if row)
        return Place(text, point, storey, host.element.key)

    def _wall_end(self, end: WallEnd, more: str = "") -> Place:
        part = (end.base_ties or end.rods or end.posts or (None,))[0]
        inset = ""
        if part is not None and part.box is not None and not more:
            along = abs(float(end.line.along(part.box.centre)[0]) - end.position)
            inset = f" ({part.name} {1000 * along:.0f} mm in from it)" if along > 0.01 else ""
        host = end.key.rsplit("@", 1)[0] if end.outer else end.line.walls[0].element.key
        return Place(
            end.name + inset, end.point, end.line.storey, host, end.word, end.position
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
            text = f"{subject.name}, {line.said}, {along:.2f} m from its {line.compass[0]} end"
            return Place(", ".join(row for row in (text, storey) if row), point, storey, host, "", along)
        text = ", ".join(row for row in (subject.name, self._taped(point), storey) if row)
        return Place(text, point, storey, host)

    def _taped(self, point: Array) -> str:
        """Where a point lies as two distances from a wall, or its coordinates where there is no wall."""
        below = [line for line in self.lines if line.bottom - 0.5 <= float(point[2])]
        floor = max((line.bottom for line in below), default=0.0)
        walls = [line for line in below or self.lines if line.bottom >= floor - 0.5] if below else list(self.lines)
        if not walls:
            x, y = point[:2] + self.house.model.origin[:2]
            return f"at x {x:.2f} m y {y:.2f} m"
        line = min(walls, key=lambda row: (round(self._off(row, point), 3), row.key))
        across, along = float(line.across(point)[0]), float(line.along(point)[0])
        from_end = f"{abs(along):.2f} m {'along from' if along >= 0 else 'beyond'} its {line.compass[0]} end"
        if abs(across) < 0.05:
            return f"on the centreline of {line.said}, {from_end}"
        return f"{abs(across):.2f} m {self._side(line, across)} the centreline of {line.said}, {from_end}"

    @staticmethod
    def _off(line: WallLine, point: Array) -> float:
        along = float(line.along(point)[0])
        beyond = max(-along, along - line.length, 0.0)
        return float(np.hypot(beyond, float(line.across(point)[0])))

    def _side(self, line: WallLine, across: float) -> str:
        north = self.house.model.north
        if north is None:
            return "off"
        normal = line.normal * (1.0 if across >= 0 else -1.0)
        east = np.array([north[1], -north[0]])
        bearing = np.degrees(np.arctan2(float(normal @ east), float(normal @ north))) % 360
        return f"{COMPASS[round(bearing / 45) % 8]} of"

    def _line_near(self, point: Array) -> WallLine | None:
        near = [line for line in self.lines
                if self._off(line, point) <= line.thickness / 2 + NEAR_WALL
                and line.bottom - 0.4 <= float(point[2]) <= line.top + 0.1]
        return min(near, key=lambda line: (round(self._off(line, point), 3), line.key), default=None)

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
