"""Small soil-gas houses built from parts, without a file: gravel, slab, membrane, pipes, roof, openings.

The house is invented. Sizes are Schedule 40 PVC as listed in modellint/graph/pipe_facts.py.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from modellint.graph.house import House
from modellint.graph.soil_gas import connect
from modellint.ifc.model import Element, Model, Port, PropertyValue, Relation, SpatialNode
from modellint.ifc.solid import Box, Solid
from modellint.roles.part import Part, Rung
from modellint.roles.properties import PropertyBook, load_properties

RULES = Path(__file__).parent.parent / "rules"
OD3, OD4 = 0.0889, 0.1143


def property_book() -> PropertyBook:
    return load_properties(RULES / "properties")


def block(low, high) -> Solid:
    """An upright extrusion from corner to corner."""
    low, high = np.array(low, float), np.array(high, float)
    box = Box((low + high) / 2, np.eye(3), (high - low) / 2)
    x0, y0, z0 = low
    x1, y1, _ = high
    outline = np.array([[x0, y0, z0], [x1, y0, z0], [x1, y1, z0], [x0, y1, z0]])
    return Solid("extrusion", box, outline=outline, sweep=np.array([0, 0, high[2] - z0]))


def slope_slab(corners, thick=0.02) -> Solid:
    """A roof slab: four corners of its top face in order, extruded down by its thickness."""
    top = np.array(corners, float)
    outline = top - np.array([0, 0, thick])
    points = np.vstack([top, outline])
    low, high = points.min(axis=0), points.max(axis=0)
    return Solid(
        "extrusion",
        Box((low + high) / 2, np.eye(3), (high - low) / 2),
        outline=outline,
        sweep=np.array([0, 0, thick]),
    )


def tube(start, end, radius) -> Solid:
    """A straight round pipe as an extrusion along its axis."""
    start, end = np.array(start, float), np.array(end, float)
    along = end - start
    length = float(np.linalg.norm(along))
    z = along / length
    x = np.cross(z, [0, 0, 1.0]) if abs(z[2]) < 0.9 else np.cross(z, [1.0, 0, 0])
    x /= np.linalg.norm(x)
    axes = np.array([x, np.cross(z, x), z])
    box = Box((start + end) / 2, axes, np.array([radius, radius, length / 2]))
    return Solid("extrusion", box, axis=np.array([start, end]), sweep=along, radius=radius)


def mesh_tube(start, end, radius, sides=16) -> Solid:
    """The same pipe as triangles only, as some exporters write it; its box stands upright."""
    start, end = np.array(start, float), np.array(end, float)
    axes = tube(start, end, radius).box.axes
    turn = np.linspace(0, 2 * np.pi, sides, endpoint=False)
    ring = radius * (np.cos(turn)[:, None] * axes[0] + np.sin(turn)[:, None] * axes[1])
    points = np.vstack([start + ring, end + ring, start[None], end[None]])
    faces = []
    for k in range(sides):
        m = (k + 1) % sides
        faces += [
            (k, m, sides + m),
            (k, sides + m, sides + k),
            (k, m, 2 * sides),
            (sides + k, sides + m, 2 * sides + 1),
        ]
    low, high = points.min(axis=0), points.max(axis=0)
    return Solid("mesh", Box((low + high) / 2, np.eye(3), (high - low) / 2), mesh=(points, np.array(faces)))


@dataclass
class Build:
    """Collects parts; `house()` connects them."""

    building: str = "B"
    parts: dict[str, Part] = field(default_factory=dict)
    ports: dict[str, Port] = field(default_factory=dict)
    relations: list[Relation] = field(default_factory=list)
    spaces: dict[str, SpatialNode] = field(default_factory=dict)
    more: dict[str, Element] = field(default_factory=dict)

    def add(
        self,
        key,
        role,
        *solids,
        rung=Rung.DECLARED,
        name="",
        ifc_class="IfcBuildingElementProxy",
        systems=(),
        predefined="",
        **properties,
    ) -> Part:
        element = Element(
            key,
            key,
            len(self.parts) + 1,
            ifc_class,
            name=name or key,
            systems=tuple(systems),
            predefined=predefined,
            building=self.building,
            solids=solids,
            properties={("Project", k): PropertyValue(v) for k, v in properties.items()},
        )
        part = Part(key, element, roles={role: rung}, solids=solids)
        if solids:
            low = np.min([s.box.low for s in solids], axis=0)
            high = np.max([s.box.high for s in solids], axis=0)
            part.box = (
                solids[0].box if len(solids) == 1 else Box((low + high) / 2, np.eye(3), (high - low) / 2)
            )
            part.radius, part.inner_radius = solids[0].radius, solids[0].inner_radius
            axis = solids[0].axis
            part.axis = None if axis is None else axis if axis[0, 2] <= axis[-1, 2] else axis[::-1]
        self.parts[key] = part
        return part

    def pipe(self, key, start, end, *, od=OD3, role="vent_pipe", mesh=False, **more) -> Part:
        solid = mesh_tube(start, end, od / 2) if mesh else tube(start, end, od / 2)
        return self.add(key, role, solid, ifc_class="IfcPipeSegment", **more)

    def elbow(self, key, at, role="vent_fitting", half=0.08, predefined="BEND", **more) -> Part:
        at = np.array(at, float)
        return self.add(
            key, role, block(at - half, at + half), ifc_class="IfcPipeFitting", predefined=predefined, **more
        )

    def storey(self, key, elevation, name="") -> None:
        self.spaces[key] = SpatialNode(key, "storey", name or key, parent=self.building, elevation=elevation)

    def port(self, key, part, position) -> str:
        self.ports[key] = Port(key, part, None if position is None else np.array(position, float))
        element = self.parts[part].element
        element.ports = (*element.ports, key)
        return key

    def join(self, first, second) -> None:
        self.relations.append(Relation("ports", first, second))

    def house(self) -> House:
        self.spaces.setdefault(self.building, SpatialNode(self.building, "building", "House"))
        elements = {part.element.key: part.element for part in self.parts.values()} | self.more
        model = Model(
            (), elements, dict(sorted(self.spaces.items())), self.ports, tuple(self.relations), np.zeros(3)
        )
        house = House(
            self.building, "House", model, dict(sorted(self.parts.items())), properties=property_book()
        )
        connect(house)
        return house


def ridge(x: float) -> float:
    """Roof height over x: pitch 6 in 12, eaves 5.5 m at x = 0 and 10, ridge at 5."""
    return 5.5 + 0.5 * min(x, 10 - x)


def small_house(
    *,
    fall=1 / 96,
    exit_above=0.305,
    mesh=False,
    skip=(),
    gap=0.0,
    plumbing=False,
    labels=("L1", "L2"),
    cap=False,
) -> Build:
    """Two storeys, 10 m x 8 m: collector and tee in gravel, riser, attic offset of 1.2 m, exit through the
    roof.

    The offset rises from (6, 4, 5.8) toward (7.2, 4) by `fall`; the exit stands `exit_above` over the roof's
    highest point under its mouth.
    """
    b = Build()
    b.storey("L1", 0.0, "Level 1")
    b.storey("L2", 2.8, "Level 2")
    b.add("slab", "foundation_slab", block((0, 0, -0.1), (10, 8, 0)))
    b.add("gravel", "permeable_layer", block((0, 0, -0.202), (10, 8, -0.1)))
    b.add("sheet", "membrane", block((0, 0, -0.1004), (10, 8, -0.1)))
    b.add("roof-w", "roof", slope_slab([(0, 0, 5.5), (5, 0, 8), (5, 8, 8), (0, 8, 5.5)]))
    b.add("roof-e", "roof", slope_slab([(5, 0, 8), (10, 0, 5.5), (10, 8, 5.5), (5, 8, 8)]))
    z, low = -0.15, 5.8
    high = low + 1.2 * fall
    inside = 0.077267  # Schedule 40, 3 in
    top = ridge(7.2 - inside / 2) + exit_above
    b.pipe("col-1", (4.4, 4, z), (5.95, 4, z), role="collector", mesh=mesh, name="Perforated collector")
    b.pipe("col-2", (6.05, 4, z), (7.6, 4, z), role="collector", mesh=mesh, name="Perforated collector")
    b.elbow("tee", (6, 4, z), role="suction_point", predefined="JUNCTION", name="Suction tee")
    b.pipe("riser", (6, 4, z + 0.06), (6, 4, low - gap - 0.06), mesh=mesh)
    b.elbow("elbow-1", (6, 4, low))
    b.pipe("offset", (6.06, 4, low + 0.06 * fall), (7.14, 4, high - 0.06 * fall), mesh=mesh)
    b.elbow("elbow-2", (7.2, 4, high))
    b.pipe("stack", (7.2, 4, high + 0.06), (7.2, 4, top), mesh=mesh)
    for key, level in (("L1", 1.5), ("L2", 4.3)):
        if key in labels:
            b.add(f"label-{key}", "label", block((5.95, 3.94, level), (6.05, 3.96, level + 0.1)))
    if plumbing:
        b.pipe(
            "laundry", (8.5, 4, high + 0.9), (7.2, 4, high + 0.9), role="plumbing_pipe", systems=("Sanitary",)
        )
    if cap:
        b.elbow("lid", (7.2, 4, top + 0.02), predefined="OBSTRUCTION", name="End cap", half=0.05)
    for key in skip:
        b.parts.pop(key)
    return b
