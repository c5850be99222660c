"""Small timber houses built from parts, without a file: walls, posts, ties, rods, straps, footings.

The house is invented. Its walls run along x, one stack of walls every three metres in y, two storeys of 2.4 m
with a floor of 0.3 m between them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from modellint.graph.crossings import Crossings
from modellint.graph.house import House
from modellint.graph.lateral import connect
from modellint.ifc.model import Element, Model, PropertyValue, Relation, SpatialNode
from modellint.ifc.solid import Box, Solid
from modellint.measures.ask import Ask
from modellint.measures.registry import all_measures, all_sets
from modellint.roles.part import Ground, Part, Rung
from modellint.roles.parts import with_shape
from modellint.roles.properties import load_properties

RULES = Path(__file__).parent.parent / "rules"
LENGTH, THICK, HEIGHT, FLOOR = 2.4, 0.14, 2.4, 0.3
SOLES = (0.0, HEIGHT + FLOOR)


def turned(degrees: float) -> np.ndarray:
    """Unit row vectors of a frame turned about the vertical."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])


def block(low, high, axes=None) -> Solid:
    """An extrusion along z between two corners given in the frame `axes` (the world's if None)."""
    low, high = np.array(low, float), np.array(high, float)
    axes = np.eye(3) if axes is None else np.array(axes, float)
    outline = np.array([[low[0], low[1], low[2]], [high[0], low[1], low[2]], [high[0], high[1], low[2]],
                        [low[0], high[1], low[2]]]) @ axes
    middle = (low + high) / 2
    return Solid("extrusion", Box(middle @ axes, axes, (high - low) / 2), outline=outline,
                 sweep=axes[2] * (high[2] - low[2]))


def bar(start, end, radius=0.008) -> Solid:
    """A straight round bar."""
    start, end = np.array(start, float), np.array(end, float)
    along = end - start
    length = float(np.linalg.norm(along))
    z = along / length
    x = np.cross(z, [0.0, 1.0, 0.0] if abs(z[1]) < 0.9 else [1.0, 0.0, 0.0])
    x /= np.linalg.norm(x)
    box = Box((start + end) / 2, np.array([x, np.cross(z, x), z]), np.array([radius, radius, length / 2]))
    return Solid("disk", box, axis=np.array([start, end]), radius=radius)


@dataclass
class Build:
    """Collects parts with given roles; `house()` connects them."""

    parts: dict[str, Part] = field(default_factory=dict)
    relations: list[Relation] = field(default_factory=list)
    openings: dict[str, Element] = field(default_factory=dict)
    north: np.ndarray | None = field(default_factory=lambda: np.array([0.0, 1.0]))
    storeys: tuple[tuple[str, float], ...] = (("Level 1", 0.0), ("Level 2", SOLES[1]))
    settings: dict[str, float] = field(default_factory=dict)
    schedules: dict = field(default_factory=dict)

    def add(self, key, role, *solids, rung=Rung.DECLARED, name="", ifc_class="IfcBuildingElementProxy",
            **properties) -> Part:
        given = {
            ("Set", k): v if isinstance(v, PropertyValue) else PropertyValue(v) for k, v in properties.items()
        }
        element = Element(key, key, len(self.parts) + 1, ifc_class, name=name or key, building="B",
                          solids=solids, properties=given)
        part = with_shape(
            Part(key, element, roles={role: rung}, grounds={role: (Ground("declared", "built"),)}), solids
        )
        self.parts[key] = part
        return part

    def wall(self, key, low, high, shear=True, axes=None, **more) -> Part:
        return self.add(
            key, "shear_wall" if shear else "other_wall", block(low, high, axes), ifc_class="IfcWall", **more
        )

    def stated(self, one, other, *between) -> None:
        self.relations.append(Relation("realizes" if between else "connects", one, other, tuple(between)))

    def opening(self, key, wall, low, high, filling="") -> None:
        self.openings[key] = Element(key, key, 0, "IfcOpeningElement", solids=(block(low, high),))
        self.relations.append(Relation("voids", wall, key))
        if filling:
            self.relations.append(Relation("fills", key, filling))

    def drop(self, *keys) -> Build:
        for key in keys:
            del self.parts[key]
        return self

    def house(self) -> House:
        spaces = {name: SpatialNode(name, "storey", name, "B", elevation=z) for name, z in self.storeys}
        if self.storeys:
            spaces["B"] = SpatialNode("B", "building", "House")
        parts = dict(sorted(self.parts.items()))
        elements = {part.element.key: part.element for part in parts.values()} | self.openings
        model = Model(
            (), dict(sorted(elements.items())), spaces, {}, tuple(self.relations), np.zeros(3), self.north
        )
        house = House(
            "B" if self.storeys else "",
            "House",
            model,
            parts,
            properties=load_properties(RULES / "properties"),
            settings=dict(self.settings),
            schedules=dict(self.schedules),
        )
        connect(house)
        house.crossings = Crossings(house)
        return house


def ask_of(house: House) -> Ask:
    return Ask(house, all_measures(), all_sets(), {})


def ends_of(house: House) -> dict:
    return {end.key: end for end in house.nodes["wall_end"]}


def states(end) -> list[tuple[str, str]]:
    """Slot and state of each step, from the top."""
    return [(step.slot, step.state) for step in end.steps]


def first_not_joined(end):
    return next((step for step in end.steps if step.state != "joined"), None)


def verdict(end) -> str:
    found = {step.state for step in end.steps}
    return "broken" if "broken" in found else "unknown" if "unknown" in found else "joined"


def spot(side: str, inset: float) -> float:
    """Place along the wall of something `inset` from its start or end face."""
    return inset if side == "start" else LENGTH - inset


def across_end(side: str, near: float, far: float) -> tuple[float, float]:
    a, b = spot(side, near), spot(side, far)
    return min(a, b), max(a, b)


def add_post(build, key, y, side, level) -> None:
    x0, x1 = across_end(side, 0.0, 0.076)
    sole = SOLES[level]
    build.add(
        key,
        "post",
        block((x0, y - 0.07, sole + 0.038), (x1, y + 0.07, sole + HEIGHT - 0.076)),
        name="end post",
    )


def add_tie(build, key, y, side, low, high) -> None:
    x0, x1 = across_end(side, 0.076, 0.146)
    build.add(key, "hold_down", block((x0, y - 0.035, low), (x1, y + 0.035, high)), name="tie-down TD-3")


def add_end(build: Build, stack: int, side: str, kind: str) -> None:
    """Posts and hardware of one stack of ends; keys are `part:stack:side:storey`."""
    y, tag = 3.0 * stack, f"{stack}:{side}"
    for level in (0, 1):
        add_post(build, f"post:{tag}:{level}", y, side, level)
    x = spot(side, 0.111)
    if kind == "rod":
        build.add(f"rod:{tag}:0", "rod", bar((x, y, -0.4), (x, y, 1.5)), name="rod")
        build.add(f"rod:{tag}:1", "rod", bar((x, y, 1.5), (x, y, 5.2)), name="rod")
        build.add(
            f"coupler:{tag}:0", "coupler", block((x - 0.02, y - 0.02, 1.45), (x + 0.02, y + 0.02, 1.55))
        )
        for level in (0, 1):
            top = SOLES[level] + HEIGHT
            build.add(f"plate:{tag}:{level}", "bearing_plate",
                      block((x - 0.04, y - 0.04, top), (x + 0.04, y + 0.04, top + 0.012)))
            build.add(f"nut:{tag}:{level}", "nut",
                      block((x - 0.015, y - 0.015, top + 0.012), (x + 0.015, y + 0.015, top + 0.025)))
        return
    add_tie(build, f"base:{tag}:0", y, side, 0.1, 0.4)
    build.add(f"anchor:{tag}:0", "rod", bar((x, y, -0.4), (x, y, 0.3)), name="anchor rod")
    if kind == "strap":
        x0, x1 = across_end(side, 0.02, 0.06)
        build.add(f"strap:{tag}:1", "strap", block((x0, y + 0.07, 1.9), (x1, y + 0.073, 3.3)), name="strap")
    else:
        add_tie(build, f"base:{tag}:1", y, side, 2.8, 3.1)
        add_tie(build, f"top:{tag}:0", y, side, 2.0, 2.3)
        build.add(f"floorrod:{tag}:1", "rod", bar((x, y, 2.1), (x, y, 3.0)), name="floor rod")


def two_storey_stack(kind: str = "tie", stacks: int = 3) -> Build:
    """`stacks` two-storey shear walls, each tied at both ends by ties, a strap or a continuous rod."""
    build = Build()
    for k in range(stacks):
        y = 3.0 * k
        for level, sole in enumerate(SOLES):
            build.wall(
                f"wall:{k}:{level}",
                (0.0, y - THICK / 2, sole),
                (LENGTH, y + THICK / 2, sole + HEIGHT),
                name=f"S{k + 1}",
            )
        build.add(f"footing:{k}", "footing", block((-0.2, y - 0.25, -0.6), (LENGTH + 0.2, y + 0.25, 0.0)))
        for side in ("start", "end"):
            add_end(build, k, side, kind)
    return build
