"""Sites, buildings, storeys and spaces, and which of them holds an element."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from modellint.ifc.model import SpatialNode
from modellint.ifc.placements import PlacementError, Placements
from modellint.ifc.source import Source

KINDS = (
    ("IfcSite", "site"),
    ("IfcBuildingStorey", "storey"),
    ("IfcBuilding", "building"),
    ("IfcSpace", "space"),
    ("IfcFacility", "building"),
)

LEVEL_TOLERANCE = 1e-3
"""Stated storey elevations further than this, metres, from the storey's placement are noted."""

MAX_NESTING = 200
"""Levels of parts within parts that are followed; a house has under ten (judgement, no source)."""


def kind_of(row: Any) -> str:
    """Kind of a spatial container; "" for those that are only passed through (zones, parts, the project)."""
    return next((kind for name, kind in KINDS if row.is_a(name)), "")


@dataclass(eq=False)
class Tree:
    """Who lies in whom, by STEP id.

    Attributes:
        above: part to whole, by aggregation and nesting.
        inside: element to spatial container.
        children: whole to parts, in the order of the relations.
        rows: STEP id to spatial instance.
    """

    above: dict[int, int] = field(default_factory=dict)
    inside: dict[int, int] = field(default_factory=dict)
    children: dict[int, list[int]] = field(default_factory=lambda: defaultdict(list))
    rows: dict[int, Any] = field(default_factory=dict)
    _ways: dict[int, tuple[dict[str, int], set[int]]] = field(default_factory=dict)

    def containers_of_element(self, step_id: int, around: dict[int, int]) -> dict[str, int]:
        """As `containers`, of what is no container itself; the way up from its holder is walked once."""
        holder = next((step for step in (self.inside.get(step_id), self.above.get(step_id), around.get(step_id))
                       if step is not None), None)
        if holder is None:
            return {}
        known = self._ways.get(holder)
        if known is None:
            found, seen = self._walked(holder, around)
            kind = kind_of(self.rows[holder]) if holder in self.rows else ""
            known = self._ways[holder] = ({**found, kind: holder} if kind else found, seen)
        # whoever lies in itself has to be walked on its own
        return known[0] if step_id not in known[1] else self.containers(step_id, around)

    def containers(self, step_id: int, around: dict[int, int]) -> dict[str, int]:
        """Nearest site, building, storey and space of an element or container, as STEP ids by kind.

        Args:
            step_id: where to start; itself does not count.
            around: opening or filling to its host, for those that nothing contains.
        """
        return self._walked(step_id, around)[0]

    def _walked(self, step_id: int, around: dict[int, int]) -> tuple[dict[str, int], set[int]]:
        """The containers on the way up, and all that was passed."""
        found: dict[str, int] = {}
        seen: set[int] = set()
        here: int | None = step_id
        while here is not None and here not in seen:
            seen.add(here)
            if here != step_id and here in self.rows:
                kind = kind_of(self.rows[here])
                if kind:
                    found.setdefault(kind, here)
            following = (self.inside.get(here), self.above.get(here), around.get(here))
            here = next((step for step in following if step is not None and step not in seen), None)
        return found, seen


def read_tree(source: Source) -> Tree:
    """Containment, aggregation and nesting by forward scans."""
    tree = Tree()
    for name in ("IfcSpatialStructureElement", "IfcSpatialElement"):
        for row in source.rows(name):
            tree.rows[row.id()] = row
    for name in ("IfcRelAggregates", "IfcRelNests"):
        for relation in source.rows(name):
            whole = relation[4]
            for part in relation[5] or () if whole is not None else ():
                if part.id() not in tree.above:
                    tree.above[part.id()] = whole.id()
                    tree.children[whole.id()].append(part.id())
    for relation in source.rows("IfcRelContainedInSpatialStructure"):
        for part in relation[4] or () if relation[5] is not None else ():
            tree.inside.setdefault(part.id(), relation[5].id())
    _cut_deep(source, tree)
    return tree


def _cut_deep(source: Source, tree: Tree) -> None:
    """Take chains of parts within parts apart where they are deeper than any building is; rings stay as they are."""
    depth: dict[int, int] = {}
    for start in tree.above:
        path, seen, here = [], set(), start
        while here in tree.above and here not in depth and here not in seen:
            seen.add(here)
            path.append(here)
            here = tree.above[here]
        level = depth.get(here, 0)
        for one in reversed(path):
            level += 1
            depth[one] = level
    deep = sorted(one for one, level in depth.items() if level % MAX_NESTING == 0)
    if deep:
        source.note("nested-too-deep", f"parts lie within parts {max(depth.values()):,} levels deep; the chain is cut "
                    f"every {MAX_NESTING} levels", serious=True)
    for one in deep:
        tree.children[tree.above[one]].remove(one)
        del tree.above[one]


def hosts(source: Source) -> dict[int, int]:
    """Opening to the element it voids, and filling to its opening, as STEP ids."""
    found: dict[int, int] = {}
    for name in ("IfcRelVoidsElement", "IfcRelFillsElement"):
        for relation in source.rows(name):
            if relation[4] is not None and relation[5] is not None:
                found.setdefault(relation[5].id(), relation[4].id())
    return found


def read_spaces(source: Source, tree: Tree, placements: Placements, scale: float) -> dict[str, SpatialNode]:
    """Spatial nodes by key, in key order; parents are the nearest of the four kinds."""
    nodes: dict[str, SpatialNode] = {}
    stated: dict[str, float] = {}
    for step_id, row in sorted(tree.rows.items()):
        kind = kind_of(row)
        key = source.keys.get(step_id)
        if not kind or key is None:
            continue
        around = tree.containers(step_id, {})
        parent = next((around[k] for k in ("space", "storey", "building", "site") if k in around), None)
        node = SpatialNode(
            key,
            kind,
            str(row[2] or ""),
            source.keys.get(parent or 0, ""),
            str(row[7] or ""),
            _predefined(row),
            source=source.index,
            composition=str(row[8] or ""),
        )
        if row[5] is not None:
            try:
                node.position = placements.world(row[5])[:3, 3]
                node.elevation = float(node.position[2])
            except (PlacementError, RuntimeError, TypeError, IndexError, AttributeError) as problem:
                source.note("space-unplaced", f"the {kind}'s place cannot be read: {problem}", row)
        if kind == "storey" and isinstance(row[9], int | float):
            stated[key] = float(row[9]) * scale
        nodes[key] = node
    _storey_levels(source, nodes, stated)
    return dict(sorted(nodes.items()))


def _predefined(row: Any) -> str:
    """`INTERNAL`, `EXTERNAL`, … or the ObjectType of a space."""
    value = str(row[9] or "") if row.is_a("IfcSpace") else ""
    return value if value not in {"", "NOTDEFINED", "USERDEFINED"} else str(row[4] or "")


def _storey_levels(source: Source, nodes: dict[str, SpatialNode], stated: dict[str, float]) -> None:
    """Stated elevations count above the building; they stand in where storeys have no places of their own.

    ISO 16739-1, IfcBuildingStorey.Elevation: relative to the internal 0.00 of the building.
    """
    by_building: dict[str, list[str]] = defaultdict(list)
    for key in stated:
        by_building[nodes[key].parent].append(key)
    for building, keys in sorted(by_building.items()):
        base = nodes[building].elevation if building in nodes else None
        levels = {key: (base or 0.0) + stated[key] for key in keys}
        placed = {nodes[key].elevation for key in keys}
        piled = len(keys) > 1 and len(placed) == 1 and len(set(levels.values())) > 1
        for key in sorted(keys):
            node = nodes[key]
            if node.elevation is None or piled:
                node.elevation = levels[key]
            elif abs(node.elevation - levels[key]) > LEVEL_TOLERANCE:
                source.note(
                    "storey-elevation",
                    f"storey {node.name!r} is placed at {node.elevation:.3f} m but "
                    f"states {levels[key]:.3f} m; its placement counts",
                )
