"""What changed from one revision to the next: moved, resized, retyped, other properties, appeared, vanished."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from modellint.compare.matching import Match, Matching
from modellint.compare.things import Revision, Thing
from modellint.graph.wall_lines import COMPASS
from modellint.ifc.model import PropertyValue
from modellint.ifc.solid import Array

# what counts as moved or resized, metres (judgement, no source: above drawing noise, below what a tape shows)
MOVED = 0.002
# so many parts with the same change are said in one sentence (judgement, no source)
TOGETHER = 6
Show = Callable[[float, str], str]


@dataclass(frozen=True, eq=False)
class Change:
    """One element that is not what it was.

    Attributes:
        kinds: of `moved`, `resized`, `retyped`, `properties`, `roles`; or `appeared` or `vanished` alone.
        before, after: keys, "" on the side where it is not.
        text: what changed, a phrase that can follow the name.
        offset: (3,) metres in AFTER's world by which its middle moved; None if that cannot be told.
        point: (3,) where it is, or was, in AFTER's world, metres; None if undrawn.
        hosts: AFTER keys of the walls that an opening or what fills it sits in.
    """

    kinds: tuple[str, ...]
    before: str
    after: str
    name: str
    role: str
    storey: str
    text: str
    offset: Array | None = None
    point: Array | None = None
    hosts: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """A name for it within one comparison."""
        return self.after or f"-{self.before}"


def changes_between(before: Revision, after: Revision, matching: Matching, show: Show) -> list[Change]:
    """All changes, what vanished first, then by key of what is there now."""
    hosts, filled = (_hosts(before), _hosts(after)), (_filled(before), _filled(after))
    found = []
    for key, thing in before.things.items():
        if key not in matching.of and key not in filled[0]:
            at = None if thing.box is None else _carried(thing.middle, matching)
            walls = tuple(sorted(matching.of[host].after for host in hosts[0][key] if host in matching.of))
            found.append(_alone("vanished", thing, "is gone", at, walls))
    for key, thing in after.things.items():
        if key in filled[1]:
            continue
        match = matching.back.get(key)
        walls = tuple(sorted(hosts[1][key]))
        if match is None:
            at = None if thing.box is None else thing.middle
            found.append(_alone("appeared", thing, "is new", at, walls))
            continue
        change = _of_pair(before.things[match.before], thing, match, matching, after, show)
        if change is not None:
            found.append(change if not walls else _hosted(change, walls))
    return found


def _alone(kind: str, thing: Thing, text: str, at: Array | None, walls: tuple[str, ...]) -> Change:
    before, after = (thing.key, "") if kind == "vanished" else ("", thing.key)
    return Change((kind,), before, after, thing.name, thing.kind, thing.storey, text, None, at, walls)


def _carried(point: Array, matching: Matching) -> Array:
    moved: Array = matching.frame.points(point)[0] if matching.frame is not None else point
    return moved


def _hosted(change: Change, walls: tuple[str, ...]) -> Change:
    return Change(change.kinds, change.before, change.after, change.name, change.role, change.storey, change.text,
                  change.offset, change.point, walls)


def _hosts(side: Revision) -> dict[str, set[str]]:
    """Walls that an opening, or what fills it, sits in."""
    found: dict[str, set[str]] = defaultdict(set)
    for relation in side.model.relations:
        if relation.kind == "voids":
            found[relation.second].add(relation.first)
    for relation in side.model.relations:
        if relation.kind == "fills":
            found[relation.second] |= found[relation.first]
    return found


def _filled(side: Revision) -> set[str]:
    """Openings with a window or door in them, which tells all that is to tell."""
    return {relation.first for relation in side.model.relations if relation.kind == "fills"}


def _of_pair(one: Thing, two: Thing, match: Match, matching: Matching, after: Revision, show: Show) -> Change | None:
    kinds: list[str] = []
    said: list[str] = []
    offset = None
    if one.box is not None and two.box is not None:
        offset = two.middle - _carried(one.middle, matching)
        sizes = _resized(one, two, show)
        if sizes:
            kinds.append("resized")
            said.append(sizes)
        if float(np.linalg.norm(offset)) > MOVED:
            kinds.append("moved")
            said.append(("its middle moved " if sizes else "moved ") + way(offset, after.model.north, show))
    elif (one.box is None) != (two.box is None):
        kinds.append("resized")
        said.append("is drawn now" if one.box is None else "is no longer drawn")
    rows = {"retyped": _retyped(one, two), "properties": _properties(one, two, show), "roles": _roles(one, two)}
    kinds += [kind for kind, found in rows.items() if found]
    said += _worded(row for found in rows.values() for row in found)
    if not kinds:
        return None
    point = two.middle if two.box is not None else None
    return Change(tuple(kinds), one.key, two.key, two.name, two.kind, two.storey, "; ".join(said), offset, point)


def _resized(one: Thing, two: Thing, show: Show) -> str:
    if len(one.sizes) != len(two.sizes):
        return f"is drawn as {len(two.sizes) // 3} bodies, before as {len(one.sizes) // 3}"
    pairs = [(a, b) for a, b in zip(one.sizes, two.sizes, strict=True) if abs(a - b) > MOVED]
    return "; ".join(f"{show(a, 'length')} became {show(b, 'length')}" for a, b in pairs)


def way(offset: Array, north: Array | None, show: Show) -> str:
    """A movement in words: so much to the east, so much up."""
    said = []
    plan = offset[:2]
    size = float(np.hypot(*plan))
    if size > MOVED:
        said.append(f"{show(size, 'length')} {_bearing(plan, north)}")
    if abs(float(offset[2])) > MOVED:
        said.append(f"{show(abs(float(offset[2])), 'length')} {'up' if offset[2] > 0 else 'down'}")
    return " and ".join(said) or show(float(np.linalg.norm(offset)), "length")


def _bearing(plan: Array, north: Array | None) -> str:
    if north is None:
        return f"in plan (x {1000 * plan[0]:+.0f} mm, y {1000 * plan[1]:+.0f} mm)"
    east = np.array([north[1], -north[0]])
    degrees = float(np.degrees(np.arctan2(float(plan @ east), float(plan @ north)))) % 360
    return f"to the {COMPASS[round(degrees / 45) % 8]}"


Row = tuple[str, str, str]


def _worded(rows: Iterable[Row]) -> list[str]:
    """`(what, old, new)` in words; what changed alike is said once."""
    alike: dict[tuple[str, str], list[str]] = defaultdict(list)
    for what, old, new in rows:
        alike[old, new].append(what)
    return [f"{', '.join(what)} {old} became {new}" for (old, new), what in alike.items()]


def _retyped(one: Thing, two: Thing) -> list[Row]:
    a, b = one.element, two.element
    rows = (("type", one.type, two.type), ("mark", a.mark, b.mark), ("name", a.name, b.name),
            ("material", ", ".join(a.materials), ", ".join(b.materials)))
    return [(what, f"'{old}'", f"'{new}'") for what, old, new in rows if old != new]


def _roles(one: Thing, two: Thing) -> list[Row]:
    if one.part is None or two.part is None or set(one.part.roles) == set(two.part.roles):
        return []
    old, new = (", ".join(sorted(part.roles)).replace("_", " ") or "nothing" for part in (one.part, two.part))
    return [("what it is read as:", old, new)]


def _properties(one: Thing, two: Thing, show: Show) -> list[Row]:
    if one.part is None and two.part is None:
        return []
    old, new = one.element.properties, two.element.properties
    return [(key[1], _value(old.get(key), show), _value(new.get(key), show)) for key in sorted({*old, *new})
            if not _equal(old.get(key), new.get(key))]


def _equal(one: PropertyValue | None, two: PropertyValue | None) -> bool:
    if one is None or two is None:
        return one is two
    if isinstance(one.value, float) and isinstance(two.value, float):
        return bool(np.isclose(one.value, two.value, rtol=1e-6, atol=1e-6))
    return bool(one.value == two.value)


def _value(value: PropertyValue | None, show: Show) -> str:
    if value is None:
        return "(not given)"
    if value.dimension and isinstance(value.value, int | float) and not isinstance(value.value, bool):
        return show(float(value.value), value.dimension)
    return f"'{value.value}'" if isinstance(value.value, str) else str(value.value)


def groups(changes: list[Change], places: Mapping[str, str] | None = None) -> Iterator[tuple[str, list[Change]]]:
    """Changes as sentences: those of many parts with one and the same change together.

    Args:
        changes: what to say.
        places: change key to the place in words, which begins with the name; the storey is said without.
    """
    alike: dict[tuple[Any, ...], list[Change]] = defaultdict(list)
    for change in changes:
        alike[change.kinds, change.text, change.storey].append(change)
    for members in alike.values():
        if len(members) >= TOGETHER:
            yield _many(members), members
            continue
        same: dict[str, list[Change]] = defaultdict(list)
        for change in members:
            where = f"{change.name}, {change.storey}" if change.storey else change.name
            same[(places or {}).get(change.key) or where].append(change)
        for where, those in same.items():
            count = f"{len(those)} x " if len(those) > 1 else ""
            yield f"{count}{where}: {those[0].text}", those


def _many(members: list[Change]) -> str:
    counts: dict[str, int] = defaultdict(int)
    for change in members:
        counts[change.role.removeprefix("Ifc").replace("_", " ")] += 1
    kinds = ", ".join(f"{number} {role}" for role, number in sorted(counts.items(), key=lambda row: (-row[1], row[0])))
    where = f", {members[0].storey}" if members[0].storey else ""
    return f"{len(members)} parts{where} ({kinds}): each {members[0].text}"
