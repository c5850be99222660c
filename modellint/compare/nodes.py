"""Keys of the earlier revision in the words of the later one: parts, wall ends, runs and all that is made of them."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field
from math import hypot
from typing import Any

import numpy as np

from modellint.compare.frame import Frame
from modellint.compare.matching import Matching
from modellint.compare.things import Revision
from modellint.graph.house import House
from modellint.ifc.solid import Array

_GLOBAL_ID = re.compile(r"[0-9A-Za-z_$]{22}(?:~\d+)?")
_OTHER_WAY = {"@start": "@end", "@end": "@start", "@before": "@after", "@after": "@before"}
# two nodes of one kind this near, metres, are one (judgement, no source)
ONE_PLACE = 0.300
_SIDE = re.compile(r"@(?:start|end|before|after)(?![0-9A-Za-z])")


@dataclass(eq=False)
class Keys:
    """BEFORE keys of subjects and items to AFTER keys.

    Attributes:
        nodes: key of a derived node to its match's key, by kind.
        ends: pairs of wall ends that are one.
        lines: wall element's key to its wall line in the later revision.
        kinds: kinds of derived nodes that the houses have, and `building`.
    """

    matching: Matching
    nodes: dict[str, str] = field(default_factory=dict)
    ends: list[tuple[Any, Any]] = field(default_factory=list)
    lines: dict[str, Any] = field(default_factory=dict)
    kinds: set[str] = field(default_factory=lambda: {"building"})

    def translated(self, key: str, kind: str = "") -> str:
        """The AFTER key; GlobalIds without a match stay as they are.

        Args:
            kind: of what has the key, "" if not known. A vent has the key of one of its pipes, so it takes the kind to
                tell the vent from the pipe.
        """
        if key in self.nodes and (not kind or kind in self.kinds):
            return self.nodes[key]
        head, sign, rest = key.partition("|")
        if sign and head in self.nodes:  # a step of a chain: wall end, slot, link
            return f"{self.nodes[head]}{sign}{self.replaced(rest)}"
        return self.replaced(key)

    def replaced(self, key: str) -> str:
        """Every GlobalId in a key by that of its match."""
        return _GLOBAL_ID.sub(lambda found: self._one(found[0]), key)

    def _one(self, key: str) -> str:
        match = self.matching.of.get(key)
        return match.after if match is not None else self.matching.spaces.get(key, key)


def match_keys(before: Revision, after: Revision, matching: Matching) -> Keys:
    """Match the derived nodes of two revisions: by the keys of their parts, else by shared parts and place."""
    keys = Keys(matching)
    others = {house.key: house for house in after.houses}
    for k, house in enumerate(before.houses):
        other = others.get(matching.spaces.get(house.key, house.key))
        if other is None and len(before.houses) == len(after.houses):
            other = after.houses[k]
        if other is None:
            continue
        keys.lines.update((wall.element.key, line) for line in other.nodes.get("wall_line", ()) for wall in line.walls)
        keys.nodes[house.key or "building"] = other.key or "building"
        keys.kinds |= house.nodes.keys() | other.nodes.keys()
        for kind in sorted(house.nodes):
            _match_kind(house, other, kind, keys)
    return keys


def _match_kind(house: House, other: House, kind: str, keys: Keys) -> None:
    mine, theirs = _subjects(house, kind), _subjects(other, kind)
    known = {node.key: node for node in theirs}
    left, taken = [], set()
    for node in mine:
        said = _worded(node, kind, keys)
        if said in known and said not in taken:
            _pair(node, known[said], kind, keys)
            taken.add(said)
        else:
            left.append(node)
    rows = _nearest(left, [node for node in theirs if node.key not in taken], keys.matching)
    done: set[str] = set()
    for _, _, one, two in sorted(rows, key=lambda row: (row[0], row[1], row[2].key, row[3].key)):
        if one.key not in done and two.key not in taken:
            _pair(one, two, kind, keys)
            done.add(one.key)
            taken.add(two.key)


def _subjects(house: House, kind: str) -> list[Any]:
    return [node for node in house.nodes[kind] if hasattr(node, "key")] if kind in house.nodes else []


def _pair(one: Any, two: Any, kind: str, keys: Keys) -> None:
    keys.nodes[one.key] = two.key
    if kind == "wall_end":
        keys.ends.append((one, two))


def _worded(node: Any, kind: str, keys: Keys) -> str:
    """The node's key with its parts' ids replaced, and with start and end swapped where the wall runs the other way."""
    said = keys.replaced(node.key)
    line = getattr(node, "line", None)
    if kind not in {"wall_end", "wall_segment"} or line is None or keys.matching.frame is None:
        return said
    partner = _line_key(line, keys)
    if not partner:
        return said
    if kind == "wall_segment":
        ends = said.partition("@")[2].split("..")
        if _turned(line, keys):
            ends = [{"start": "end", "end": "start"}.get(word, word) for word in reversed(ends)]
        return f"{said.partition('@')[0]}@{'..'.join(ends)}"
    return _SIDE.sub(lambda found: _OTHER_WAY[found[0]], said) if _turned(line, keys) else said


def _line_key(line: Any, keys: Keys) -> str:
    return next((keys.matching.of[wall.element.key].after for wall in line.walls
                 if wall.element.key in keys.matching.of), "")


def _turned(line: Any, keys: Keys) -> bool:
    """Whether the later wall's own direction runs against the earlier one's."""
    frame = keys.matching.frame
    partner = keys.lines.get(_line_key(line, keys))
    if frame is None or partner is None:
        return False
    return bool(float(frame.plan(line.direction) @ partner.direction) < 0)


def _nearest(mine: list[Any], theirs: list[Any], matching: Matching) -> list[tuple[float, float, Any, Any]]:
    """Pairs that share a part or a place: share of parts not in common, distance of their places.

    A low point between two pipes belongs to either of them, so nodes at one place are one without a common part.
    """
    by_part: dict[str, list[Any]] = defaultdict(list)
    for node in theirs:
        for part in _elements(node):
            by_part[part].append(node)
    rows = []
    for node in mine:
        own = {matching.of[key].after for key in _elements(node) if key in matching.of}
        near = {other.key: other for key in sorted(own) for other in by_part[key]}
        near.update((other.key, other) for other in theirs
                    if place_of(other) is not None and _apart(node, other, matching.frame) < ONE_PLACE)
        for other in near.values():
            theirs_too = _elements(other)
            apart = 1 - len(own & theirs_too) / max(len(own | theirs_too), 1)
            rows.append((round(apart, 3), round(_apart(node, other, matching.frame), 4), node, other))
    return rows


def _elements(node: Any) -> set[str]:
    return {part.element.key for part in node.parts} if hasattr(node, "parts") else set()


def _apart(one: Any, other: Any, frame: Frame | None) -> float:
    a, b = place_of(one), place_of(other)
    if a is None or b is None:
        return 1.0
    moved = frame.points(a)[0] if frame is not None else a
    return hypot(*(float(value) for value in moved - b))


def place_of(node: Any) -> Array | None:
    """A point of a node in world metres, None if it has none."""
    point = getattr(node, "point", None)
    if isinstance(point, np.ndarray) and point.shape == (3,):
        return point
    if hasattr(node, "line") and hasattr(node, "sole"):
        made: Array = node.line.point((node.start + node.end) / 2, node.sole)
        return made
    if hasattr(node, "plate"):
        return np.array([*(node.start + node.direction * node.length / 2)[:2], node.bottom])
    end = getattr(node, "end", None)
    if end is not None and isinstance(getattr(end, "point", None), np.ndarray):
        return np.asarray(end.point)
    boxes = [part.box.centre for part in getattr(node, "parts", ()) if part.box is not None]
    return np.mean(boxes, axis=0) if boxes else None
