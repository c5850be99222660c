"""Which element of the later revision is which of the earlier one, each with the ground for it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import zip_longest

import numpy as np

from modellint.compare.frame import Frame, frame_between
from modellint.compare.things import Revision, Thing, near_rows
from modellint.ifc.model import Model, SpatialNode
from modellint.ifc.solid import Array

# all judgement, no source: one place; how far a part of one house may have moved and still be the same one; cost
# above which two parts are not the same one; reach of a neighbour (metres, and metres of cost)
SAME, FARTHEST, COSTLIEST, NEIGHBOUR = 0.005, 5.0, 2.5, 0.060
MOST_PAIRS, STEPS = 2_000_000, 3
OTHER_TYPE, OTHER_NAME, OTHER_STOREY, OTHER_NEIGHBOURS = 0.4, 0.3, 1.0, 0.8


@dataclass(frozen=True)
class Match:
    """Two elements that are one: keys, the ground in words, and how far its middle lies off, metres."""

    before: str
    after: str
    ground: str
    off: float | None = None


@dataclass(eq=False)
class Matching:
    """All matches of two revisions.

    Attributes:
        frame: how the later house lies in relation to the earlier one, None if that cannot be told.
        of: BEFORE key to its match; back: AFTER key to it.
        spaces: keys of buildings, storeys and spaces.
        ids_kept: GlobalIds say which is which; else they were renewed.
    """

    frame: Frame | None
    of: dict[str, Match] = field(default_factory=dict)
    back: dict[str, Match] = field(default_factory=dict)
    spaces: dict[str, str] = field(default_factory=dict)
    ids_kept: bool = True

    def add(self, match: Match) -> None:
        """Remember a match."""
        self.of[match.before] = match
        self.back[match.after] = match

    def grounds(self) -> dict[str, int]:
        """Number of matches by ground, the most frequent first."""
        counts: dict[str, int] = defaultdict(int)
        for match in self.of.values():
            counts[match.ground] += 1
        return dict(sorted(counts.items(), key=lambda row: (-row[1], row[0])))


def match_revisions(before: Revision, after: Revision) -> Matching:
    """Match by GlobalId; else by kind, size and place; else by what is nearest in all respects."""
    frame = frame_between(before, after)
    made = Matching(frame, spaces=match_spaces(before.model, after.model))
    run = _Run(before, after, made, frame.points(before.centre) if frame else before.centre)
    run.by_id()
    run.at_place(lambda thing: thing.shape, "role, size and place")
    run.at_place(lambda thing: (thing.element.ifc_class, *thing.shape[1:]), "class, size and place")
    run.at_place(lambda thing: thing.kind, "role and place")
    for _ in range(STEPS):
        run.raised()
    run.by_cost()
    run.the_only_ones()
    run.undrawn()
    made.of = dict(sorted(made.of.items()))
    return made


class _Run:
    """The passes over what is left on both sides."""

    def __init__(self, before: Revision, after: Revision, made: Matching, places: Array) -> None:
        self.before, self.after, self.made, self.places = before, after, made, places

    def _left(self, side: Revision) -> list[int]:
        taken = self.made.of if side is self.before else self.made.back
        return [k for k, thing in enumerate(side.drawn) if thing.key not in taken]

    def _off(self, one: Thing, other: Thing) -> float | None:
        a, b = self.before.row.get(one.key), self.after.row.get(other.key)
        if a is None or b is None:
            return None
        return float(np.linalg.norm(self.places[a] - self.after.centre[b]))

    def by_id(self) -> None:
        """Equal GlobalIds of one kind, unless ids were handed out anew among parts that stayed where they are."""
        pairs = [(thing, self.after.things[key]) for key, thing in self.before.things.items()
                 if key in self.after.things]
        good = [(one, other) for one, other in pairs
                if one.kind == other.kind or one.element.ifc_class == other.element.ifc_class]
        if not good or 2 * (len(pairs) - len(good) + self._contradicted(good)) > len(pairs):
            self.made.ids_kept = False
            return
        for one, other in good:
            self.made.add(Match(one.key, other.key, "GlobalId", self._off(one, other)))

    def _contradicted(self, pairs: list[tuple[Thing, Thing]]) -> int:
        """How many lie elsewhere than their namesake while another of equal kind and size lies at their place."""
        away = [one for one, other in pairs if (self._off(one, other) or 0.0) > SAME]
        rows = [self.before.row[one.key] for one in away]
        spots = self.after.centre
        there = near_rows(self.places[rows], spots, spots, SAME) if rows else np.empty((0, 2), dtype=np.int64)
        return len({k for k, b in there.tolist() if away[k].shape == self.after.drawn[b].shape})

    def at_place(self, sort: Callable[[Thing], object], ground: str) -> None:
        """What is of one sort and lies within 5 mm of its place, the nearest first."""
        first, second = self._left(self.before), self._left(self.after)
        if not first or not second:
            return
        spots = self.after.centre[second]
        pairs = near_rows(self.places[first], spots, spots, SAME)
        rows = []
        for a, b in pairs.tolist():
            one, other = self.before.drawn[first[a]], self.after.drawn[second[b]]
            off = float(np.linalg.norm(self.places[first[a]] - spots[b]))
            if off <= SAME and sort(one) == sort(other):
                rows.append((round(off, 5), one.name != other.name, one.key, other.key, off))
        self._take(sorted(rows), ground)

    def _take(self, rows: Iterable[tuple[float, bool, str, str, float]], ground: str) -> None:
        for _, _, one, other, off in rows:
            if one not in self.made.of and other not in self.made.back:
                self.made.add(Match(one, other, ground, off))

    def raised(self) -> None:
        """What is left and lies in plan where it was: all that was raised or lowered by one and the same height."""
        first, second = self._left(self.before), self._left(self.after)
        if len(first) < 2 or len(second) < 2:
            return
        flat = self.places[first] * (1.0, 1.0, 0.0)
        spots = self.after.centre[second] * (1.0, 1.0, 0.0)
        pairs = [(a, b) for a, b in near_rows(flat, spots, spots, SAME).tolist()
                 if self.before.drawn[first[a]].shape == self.after.drawn[second[b]].shape]
        if not pairs:
            return
        rises = np.array([self.after.centre[second[b], 2] - self.places[first[a], 2] for a, b in pairs])
        steps, counts = np.unique(np.round(rises, 3), return_counts=True)
        if int(counts.max()) < 2:
            return
        often = steps[counts == counts.max()]
        rise = float(often[int(np.argmin(np.abs(often)))])
        rows = []
        for (a, b), one_rise in zip(pairs, rises.tolist(), strict=True):
            if abs(one_rise - rise) <= SAME:
                one, other = self.before.drawn[first[a]], self.after.drawn[second[b]]
                rows.append((round(abs(one_rise - rise), 5), one.name != other.name, one.key, other.key, abs(one_rise)))
        self._take(sorted(rows), "role, size and place in plan, raised with others")

    def the_only_ones(self) -> None:
        """What is left and is the only one of its kind, size, type, name and storey on both sides, however far off."""
        sides: dict[tuple[object, ...], tuple[list[Thing], list[Thing]]] = defaultdict(lambda: ([], []))
        for side, one in enumerate((self.before, self.after)):
            for k in self._left(one):
                thing = one.drawn[k]
                sides[(*thing.shape, thing.type, thing.name, thing.storey)][side].append(thing)
        for first, second in sides.values():
            if len(first) == 1 and len(second) == 1:
                off = self._off(first[0], second[0])
                self.made.add(Match(first[0].key, second[0].key, "the only one of its role, size, type and name", off))

    def by_cost(self) -> None:
        """What is left: least cost of distance, size, type, name, storey and neighbours, each pair of one kind."""
        first, second = self._left(self.before), self._left(self.after)
        kinds: dict[str, tuple[list[int], list[int]]] = defaultdict(lambda: ([], []))
        for side, rows in enumerate((first, second)):
            for k in rows:
                kinds[(self.before, self.after)[side].drawn[k].kind][side].append(k)
        near = (_neighbours(self.before, first), _neighbours(self.after, second))
        found = []
        for kind in sorted(kinds):
            own, others = kinds[kind]
            if not own or not others:
                continue
            reach = FARTHEST if len(own) * len(others) <= MOST_PAIRS else 0.5
            spots = self.after.centre[others]
            for a, b in near_rows(self.places[own], spots, spots, reach).tolist():
                found += self._cost(own[a], others[b], near)
        for cost, _, one, other, ground, off in sorted(found):
            if cost <= COSTLIEST and one not in self.made.of and other not in self.made.back:
                self.made.add(Match(one, other, ground, off))

    def _cost(self, a: int, b: int, near: tuple[dict[int, set[str]], dict[int, set[str]]]
              ) -> list[tuple[float, bool, str, str, str, float]]:
        one, other = self.before.drawn[a], self.after.drawn[b]
        off = float(np.linalg.norm(self.places[a] - self.after.centre[b]))
        if off > FARTHEST:
            return []
        size = sum(abs(x - y) for x, y in zip_longest(one.sizes, other.sizes, fillvalue=0.0))
        mine = {self.made.of[key].after for key in near[0][a] if key in self.made.of}
        theirs = {key for key in near[1][b] if key in self.made.back}
        shared = len(mine & theirs) / len(mine | theirs) if mine | theirs else 0.0
        named = one.name == other.name and one.element.mark == other.element.mark
        cost = off + size + OTHER_NEIGHBOURS * (1.0 - shared)
        cost += OTHER_TYPE * (one.type != other.type) + OTHER_NAME * (not named)
        cost += OTHER_STOREY * (one.storey != other.storey)
        grounds = [word for word, holds in (("size", size < 0.002), ("type", bool(one.type) and one.type == other.type),
                                            ("name", named), ("neighbours", shared > 0)) if holds]
        return [(round(cost, 4), not named, one.key, other.key, ", ".join(["role", *grounds, "nearest"]), off)]

    def undrawn(self) -> None:
        """What has no shape: alike in class, name, type, mark and what it is part of, as many on both sides."""
        sides: dict[tuple[str, ...], tuple[list[Thing], list[Thing]]] = defaultdict(lambda: ([], []))
        for side, revision in enumerate((self.before, self.after)):
            taken = self.made.of if side == 0 else self.made.back
            for thing in revision.things.values():
                if thing.key not in taken:
                    sides[self._words(thing, side)][side].append(thing)
        for words in sorted(sides):
            first, second = sides[words]
            if len(first) != len(second) or (len(first) > 1 and any(row.box for row in (*first, *second))):
                continue
            for one, other in zip(first, second, strict=True):
                if one.box is None or other.box is None:
                    ground = "class, name and mark" + (", one of several alike" if len(first) > 1 else "")
                    self.made.add(Match(one.key, other.key, ground))

    def _words(self, thing: Thing, side: int) -> tuple[str, ...]:
        element = thing.element
        match = self.made.of.get(element.parent) if side == 0 else None
        parent = match.after if match is not None else element.parent
        return (element.ifc_class, element.name, element.type_name, element.mark, parent)


def _neighbours(side: Revision, rows: list[int]) -> dict[int, set[str]]:
    """For each row the keys of what touches its box within 60 mm."""
    import shapely

    found: dict[int, set[str]] = {k: set() for k in rows}
    if not rows:
        return found
    low, high = side.low - NEIGHBOUR, side.high + NEIGHBOUR
    tree = shapely.STRtree(shapely.box(side.low[:, 0], side.low[:, 1], side.high[:, 0], side.high[:, 1]))
    own = np.array(rows)
    asked, others = tree.query(shapely.box(low[own, 0], low[own, 1], high[own, 0], high[own, 1]))
    for a, b in zip(own[asked].tolist(), others.tolist(), strict=True):
        if a != b and side.low[b, 2] <= high[a, 2] and side.high[b, 2] >= low[a, 2]:
            found[a].add(side.drawn[b].key)
    return found


def match_spaces(before: Model, after: Model) -> dict[str, str]:
    """Sites, buildings, storeys and spaces: by GlobalId, else by kind and name, else by their order in height."""
    made: dict[str, str] = {key: key for key, node in before.spaces.items()
                            if key in after.spaces and after.spaces[key].kind == node.kind}
    for words in (lambda node: (node.kind, node.name), lambda node: (node.kind,)):
        sides: list[dict[tuple[str, ...], list[SpatialNode]]] = []
        for model, taken in ((before, set(made)), (after, set(made.values()))):
            groups: dict[tuple[str, ...], list[SpatialNode]] = defaultdict(list)
            for key, node in model.spaces.items():
                if key not in taken:
                    groups[words(node)].append(node)
            sides.append(groups)
        for group, nodes in sides[0].items():
            others = sides[1].get(group, [])
            if len(nodes) == len(others):
                ordered = (sorted(row, key=lambda node: (node.elevation or 0.0, node.name, node.key))
                           for row in (nodes, others))
                made.update((one.key, other.key) for one, other in zip(*ordered, strict=True))
    return dict(sorted(made.items()))
