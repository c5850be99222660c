"""How a revised house lies in relation to the earlier one: moved, turned or mirrored as a whole, or not at all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from math import atan2, cos, degrees, hypot, sin

import numpy as np
from numpy.typing import NDArray

from modellint.compare.things import Revision, Thing
from modellint.ifc.solid import Array

# things this near, metres in plan, lie at one place when two drawings are laid on one another (judgement, no source)
NEAR, TIGHT = 0.020, 0.002
# enough agreement to look no further; and the most rows that are looked at (judgement, no source)
ENOUGH, MOST_PAIRS, MOST_ALIKE = 0.9, 30_000, 40
FOUNDATION = ("footing", "stem_wall", "foundation_slab", "pile", "anchor_bolt", "permeable_layer")
ANCHORS = (*FOUNDATION, "shear_wall", "other_wall", "floor", "roof")


@dataclass(frozen=True, eq=False)
class Frame:
    """A rigid motion in plan with a rise: what carries a place of BEFORE to its place in AFTER.

    Attributes:
        angle: radians, counter-clockwise, after the mirror.
        mirrored: x became -x first.
        shift: (3,) metres, last.
        share: part of the compared things that it lays on a thing of equal kind and size.
        moved_by: (3,) metres by which the house's middle moved in the files' own coordinates.
    """

    angle: float
    mirrored: bool
    shift: Array
    share: float
    moved_by: Array

    @property
    def matrix(self) -> Array:
        """(2, 2) of the plan motion."""
        c, s = cos(self.angle), sin(self.angle)
        turn = np.array([[c, -s], [s, c]])
        return turn @ np.diag([-1.0, 1.0]) if self.mirrored else turn

    def points(self, points: Array) -> Array:
        """Places (n, 3) of BEFORE as places of AFTER."""
        moved = np.array(points, dtype=float).reshape(-1, 3).copy()
        moved[:, :2] = moved[:, :2] @ self.matrix.T
        return moved + self.shift

    def plan(self, direction: Array) -> Array:
        """A plan direction (2,) of BEFORE in AFTER."""
        turned: Array = self.matrix @ direction
        return turned

    @property
    def same(self) -> bool:
        """Nothing moved as a whole."""
        return not self.mirrored and abs(self.angle) < 1e-5 and float(np.abs(self.moved_by).max()) < 0.002

    @property
    def text(self) -> str:
        """What was seen, as a sentence."""
        if self.same:
            return "Both revisions lie at the same place."
        done = ["was mirrored"] if self.mirrored else []
        turned = degrees(self.angle) % 360
        if min(turned, 360 - turned) > 0.001:
            done.append(f"turned by {turned:.2f} degrees")
        moved = [f"{value:.3f} m in {axis}" for axis, value in zip("xyz", self.moved_by, strict=True)
                 if abs(value) >= 0.002]
        if moved:
            done.append(f"moved by {', '.join(moved)}")
        what = ", ".join(done[:-1]) + (" and " if len(done) > 1 else "") + done[-1] if done else "was laid anew"
        if not self.mirrored:
            what = f"was {what}"
        return (f"The house as a whole {what}, as its walls, footings and other parts show ({self.share:.0%} of "
                "those compared lie on one of their kind); that is no change of a part.")


def frame_between(before: Revision, after: Revision) -> Frame | None:
    """The motion that lays most things of BEFORE on things of equal kind and size; None if nothing can be laid."""
    pairs = _alike(before, after)
    if not len(pairs):
        return None
    offset = after.model.origin - before.model.origin
    total = len(np.unique(pairs[:, 0]))
    best: tuple[int, float, bool, Array] | None = None
    for angle, mirrored, shift in _guesses(before, after, offset):
        number = _laid(before, after, pairs, angle, mirrored, shift)
        if best is None or number > best[0]:
            best = (number, angle, mirrored, shift)
        if number >= ENOUGH * total:
            break
    if best is None or best[0] < 2:
        return None
    return _refined(before, after, pairs, best)


def _alike(before: Revision, after: Revision) -> NDArray[np.int64]:
    """Row pairs of equal kind and size, those of the rarest shapes first."""
    groups: dict[tuple[object, ...], tuple[list[int], list[int]]] = defaultdict(lambda: ([], []))
    for side, one in enumerate((before, after)):
        for k, thing in enumerate(one.drawn):
            groups[thing.shape][side].append(k)
    rows: list[NDArray[np.int64]] = []
    number = 0
    for shape in sorted(groups, key=lambda key: (len(groups[key][0]) * len(groups[key][1]), str(key))):
        first, second = groups[shape]
        if not first or not second or max(len(first), len(second)) > MOST_ALIKE:
            continue
        pairs = (np.repeat(np.array(first, np.int64), len(second)), np.tile(np.array(second, np.int64), len(first)))
        rows.append(np.column_stack(pairs))
        number += len(rows[-1])
        if number > MOST_PAIRS:
            break
    return np.concatenate(rows) if rows else np.empty((0, 2), dtype=np.int64)


def _guesses(before: Revision, after: Revision, offset: Array) -> Iterator[tuple[float, bool, Array]]:
    """Motions worth trying: none; those of parts with equal ids; those of two rare parts that keep their distance."""
    yield 0.0, False, -offset
    known = [(thing, after.things[thing.key]) for thing in before.drawn
             if thing.key in after.things and after.things[thing.key].box is not None and thing.kind in ANCHORS]
    for (a, b), (c, d) in list(combinations(known, 2))[:12]:
        yield from _of_pair(a, c, b, d)
    by_shape: dict[tuple[object, ...], list[Thing]] = defaultdict(list)
    for thing in after.drawn:
        by_shape[thing.shape].append(thing)
    anchors = _anchors(before, by_shape)
    far = sorted(combinations(anchors, 2), key=lambda two: (_rarity(two, by_shape), -_apart(*two), two[0].key))
    for one, other in [two for two in far if _apart(*two) > 2.0][:15]:
        for first in by_shape[one.shape]:
            for second in by_shape[other.shape]:
                if first is not second and abs(_apart(first, second) - _apart(one, other)) < NEAR:
                    yield from _of_pair(one, other, first, second)


def _anchors(before: Revision, by_shape: dict[tuple[object, ...], list[Thing]]) -> list[Thing]:
    """Up to 24 walls, footings and the like whose shape is rare in AFTER; any rare things where there are none."""
    def rare(things: list[Thing]) -> list[Thing]:
        found = [thing for thing in things if 0 < len(by_shape.get(thing.shape, ())) <= 8]
        return sorted(found, key=lambda thing: (len(by_shape[thing.shape]), -thing.sizes[0], thing.key))[:24]

    anchors = rare([thing for thing in before.drawn if thing.kind in ANCHORS])
    return anchors if len(anchors) >= 3 else anchors + rare(list(before.drawn))


def _rarity(two: tuple[Thing, Thing], by_shape: dict[tuple[object, ...], list[Thing]]) -> int:
    return len(by_shape[two[0].shape]) * len(by_shape[two[1].shape])


def _plan(thing: Thing) -> Array:
    return thing.middle


def _apart(one: Thing, other: Thing) -> float:
    offset = _plan(other) - _plan(one)
    return hypot(float(offset[0]), float(offset[1]))


def _of_pair(one: Thing, other: Thing, first: Thing, second: Thing) -> Iterator[tuple[float, bool, Array]]:
    """The motion, and the mirrored one, that carries two things to two others."""
    goal = _plan(second) - _plan(first)
    for mirrored in (False, True):
        flip = np.array([-1.0 if mirrored else 1.0, 1.0, 1.0])
        way = (_plan(other) - _plan(one)) * flip
        angle = atan2(float(goal[1]), float(goal[0])) - atan2(float(way[1]), float(way[0]))
        c, s = cos(angle), sin(angle)
        x, y, z = _plan(one) * flip
        start = np.array([c * x - s * y, s * x + c * y, z])
        yield angle, mirrored, _plan(first) - start


def _laid(before: Revision, after: Revision, pairs: NDArray[np.int64], angle: float, mirrored: bool,
          shift: Array) -> int:
    """Number of things of BEFORE that come to lie on one of their kind, in plan."""
    frame = Frame(angle, mirrored, shift, 0.0, shift)
    moved = frame.points(before.centre[pairs[:, 0]])
    off = np.hypot(*(moved - after.centre[pairs[:, 1]])[:, :2].T)
    return len(np.unique(pairs[off < NEAR, 0]))


def _refined(before: Revision, after: Revision, pairs: NDArray[np.int64],
             best: tuple[int, float, bool, Array]) -> Frame:
    """The motion fitted to everything that it lays together (least squares in plan); the rise from the foundation."""
    number, angle, mirrored, shift = best
    frame = Frame(angle, mirrored, shift, 0.0, shift)
    moved = frame.points(before.centre[pairs[:, 0]])
    goal = after.centre[pairs[:, 1]]
    off = np.hypot(*(moved - goal)[:, :2].T)
    near, close = off < NEAR, off < TIGHT
    near = close if 2 * int(close.sum()) >= int(near.sum()) else near  # what moved a little is no guide
    rise = _rise(before, pairs[near], (goal - moved)[near, 2])
    same_level = near & (np.abs(goal[:, 2] - moved[:, 2] - rise) < NEAR)
    use = same_level if int(same_level.sum()) >= 2 else near
    start, end = moved[use, :2], goal[use, :2]
    middle, target = start.mean(axis=0), end.mean(axis=0)
    a, b = start - middle, end - target
    more = atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum()))
    if abs(more) < 1e-6 and float(np.hypot(*(target - middle))) < 1e-5:  # noise of the two drawings
        more, target = 0.0, middle
    c, s = cos(more), sin(more)
    turn = np.array([[c, -s], [s, c]])
    plan = turn @ (shift[:2] - middle) + target
    final = np.array([plan[0], plan[1], shift[2] + rise])
    whole = Frame(_wrapped(angle + more), mirrored, final, number / len(np.unique(pairs[:, 0])), final)
    centre = before.centre.mean(axis=0)
    by = whole.points(centre)[0] + after.model.origin - centre - before.model.origin
    return Frame(whole.angle, mirrored, final, whole.share, by)


def _rise(before: Revision, pairs: NDArray[np.int64], rises: Array) -> float:
    """Most frequent rise, to the millimetre, of what stands in the ground; of everything where nothing does."""
    ground = np.array([before.drawn[k].kind in FOUNDATION for k in pairs[:, 0].tolist()], dtype=bool)
    used = rises[ground] if bool(ground.any()) else rises
    steps, counts = np.unique(np.round(used, 3), return_counts=True)
    often = steps[counts == counts.max()]
    middle = float(often[int(np.argmin(np.abs(often)))])
    return float(np.median(used[np.abs(used - middle) < 0.001]))


def _wrapped(angle: float) -> float:
    return atan2(sin(angle), cos(angle))
