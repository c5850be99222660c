"""Measures of the floor under upper walls: blocks under posts, blocking under soles, and straps across it."""

from __future__ import annotations

from weakref import WeakKeyDictionary

import numpy as np

from modellint.contacts.boxes import box_gap
from modellint.graph.boxed import boxed
from modellint.graph.house import House
from modellint.graph.lever_arms import compression_post
from modellint.graph.wall_nodes import WallEnd, WallLine
from modellint.ifc.solid import Array, Box
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.roles.part import Part, Rung

FLOOR = ("joist", "rim", "blocking", "beam", "header")
# the floor's framing is looked for this far below the wall's sole: under any deck, within any joist, metres
# (common practice, no source)
PROBE = 0.080
# a strap lies on a post when their bodies come this near, metres (common practice, no source)
ON_POST = 0.020
# squares along each side of a post at which the wood below is looked for
GRID = 20

_FOUND: WeakKeyDictionary[House, dict[str, float]] = WeakKeyDictionary()


def _below(house: House, level: float, near: Box) -> list[Box]:
    """Boxes of floor framing at a level whose plan comes near a box."""
    rows = boxed(house, *FLOOR)
    hit = ((rows.low[:, 2] <= level) & (rows.high[:, 2] >= level)
           & (rows.low[:, :2] <= near.high[:2]).all(axis=1) & (rows.high[:, :2] >= near.low[:2]).all(axis=1))
    found = [rows.parts[k].box for k in np.flatnonzero(hit)]
    return [box for box in found if box is not None]


def _covered(points: Array, boxes: list[Box]) -> float:
    """Share of points that lie in any of the boxes."""
    inside = np.zeros(len(points), dtype=bool)
    for box in boxes:
        inside |= (np.abs(box.local(points)) <= box.half + 1e-6).all(axis=1)
    return float(inside.mean())


def _post_share(end: WallEnd, post: Part, house: House) -> float:
    box = post.box
    assert box is not None
    level = end.segment.sole - PROBE
    steps = (np.arange(GRID) + 0.5) / GRID * 2 - 1
    upright = int(np.abs(box.axes[:, 2]).argmax())
    one, two = (k for k in range(3) if k != upright)
    points = (box.centre + (steps[:, None] * box.half[one] * box.axes[one])[:, None]
              + (steps[:, None] * box.half[two] * box.axes[two])[None]).reshape(-1, 3)
    points[:, 2] = level
    return _covered(points, _below(house, level, box))


def _shares(house: House) -> dict[str, float]:
    """Share of wood under the post of each upper end, by its key."""
    if house not in _FOUND:
        found = {}
        for end in house.subjects("wall_end"):
            post = compression_post(end)
            if not end.on_foundation and post is not None and post.box is not None:
                found[end.key] = _post_share(end, post, house)
        _FOUND[house] = found
    return _FOUND[house]


def _held(values: list[float], house: House) -> bool:
    """Whether wood is drawn there as a matter of course."""
    held = sum(value >= 0.5 for value in values)
    return held >= house.limit("complete_at_least", 2.0) and held >= house.limit("complete_share", 0.5) * len(values)


@measure("truth", of=("wall_end", "wall_line"), example="true for a wall on Level 2")
def stands_on_floor(subject: WallEnd | WallLine, ask: Ask) -> Quantity:
    """Whether the wall stands on a framed floor rather than on the foundation."""
    if isinstance(subject, WallEnd):
        return truth(not subject.on_foundation)
    ends = [end for segment in subject.segments for end in segment.ends]
    return truth(bool(ends) and not any(end.on_foundation for end in ends))


@measure("ratio", of="wall_end", example="0.27 where a 38 mm rim is all the wood under a 140 mm post")
def wood_under_post(end: WallEnd, ask: Ask) -> Quantity:
    """Share of the end post's section that has joist, rim, beam or blocking in the floor right below it.

    Where floors are drawn without blocks under most posts, what is missing may only be undrawn.
    """
    house, post = ask.house, compression_post(end)
    if post is None or post.box is None:
        return unknown("ratio", Missing("post", end.name, "draw the end post"), low=0.0)
    ask.part(post)
    shares = _shares(house)
    value = shares.get(end.key, 0.0)
    for box_part in boxed(house, *FLOOR).over(float(post.box.centre[0]), float(post.box.centre[1]), 0.0):
        if box_part.box is not None and box_part.box.low[2] <= end.segment.sole - PROBE <= box_part.box.high[2]:
            ask.part(box_part)
    seen = Evidence(f"wood below {post.name}", value, "ratio", Rung.INFERRED, post.element.global_id)
    if value >= 0.999 or _held([share for key, share in shares.items() if key != end.key], house):
        return exact(value, "ratio", seen, rung=Rung.INFERRED)
    return between(value, 1.0, "ratio", seen, missing=(
        Missing("blocking", "the building", "draw the blocks under the end posts, or note them on the framing plan"),))


def _outer(line: WallLine, house: House) -> bool | None:
    stated = [house.stated(wall, "exterior") for wall in line.walls]
    return next((bool(row.value) for row in stated if row is not None), None)


def _line_share(line: WallLine, house: House) -> float:
    level = line.bottom - PROBE
    along = (np.arange(64) + 0.5) / 64 * line.length
    half = line.thickness / 2
    wide = np.array([-0.7, 0.0, 0.7]) * half
    boxes = []
    for wall in line.walls:
        if wall.box is not None:
            boxes += _below(house, level, wall.box)
    hit = np.zeros(len(along), dtype=bool)
    for across in wide:
        plan = line.origin + along[:, None] * line.direction + across * line.normal
        points = np.column_stack([plan, np.full(len(along), level)])
        for box in boxes:
            hit |= (np.abs(box.local(points)) <= box.half + 1e-6).all(axis=1)
    return float(hit.mean())


@measure("ratio", of="wall_line", example="0.09 for a wall across joists at 400 mm without blocking")
def wood_under_sole(line: WallLine, ask: Ask) -> Quantity:
    """Share of the wall's length that has rim, joist, beam or blocking in the floor right below its sole.

    Compared with the other outer, or other inner, shear walls on framed floors: where most of these are drawn
    without, what is missing may only be undrawn.
    """
    house = ask.house
    value = _line_share(line, house)
    for wall in line.walls:
        ask.part(wall)
    seen = Evidence(f"wood below the sole of {line.name}", value, "ratio", Rung.INFERRED)
    outer = _outer(line, house)
    like = [row for row in house.subjects("wall_line") if row.key != line.key and row.shear is not None
            and _outer(row, house) == outer and "true" in ask.measure("stands_on_floor", row).words]
    if value >= 0.999 or _held([_line_share(row, house) for row in like], house):
        return exact(value, "ratio", seen, rung=Rung.INFERRED)
    hint = "draw the blocking under upper shear walls, or note it on the framing plan"
    return between(value, 1.0, "ratio", seen, missing=(Missing("framing below the sole", "the building", hint),))


def _on(strap: Part, house: House) -> list[float]:
    """Lengths of the strap on each post it lies on, metres, the lowest post first."""
    box = strap.box
    assert box is not None
    rows = boxed(house, "post")
    hit = ((rows.low <= box.high + ON_POST) & (rows.high >= box.low - ON_POST)).all(axis=1)
    found = []
    for k in np.flatnonzero(hit):
        post = rows.parts[k].box
        if post is not None and box_gap(post, box) <= ON_POST:
            reach = min(float(box.high[2]), float(post.high[2])) - max(float(box.low[2]), float(post.low[2]))
            if reach > 0:
                found.append((float(post.low[2]), reach))
    return [reach for _, reach in sorted(found)]


@measure("truth", of="strap", example="true for a strap nailed to the posts of two storeys")
def strap_joins_posts(strap: Part, ask: Ask) -> Quantity:
    """Whether the strap lies on two posts, one above the other."""
    return truth(strap.box is not None and len(_on(strap, ask.house)) > 1)


@measure("length", of="strap", example="320 mm where a 1,000 mm strap crosses a 360 mm floor")
def shorter_strap_end(strap: Part, ask: Ask) -> Quantity:
    """Length of the strap on the post that it covers less of, metres."""
    reach = _on(strap, ask.house) if strap.box is not None else []
    if len(reach) < 2:
        return unknown("length", Missing("post", strap.name, "draw the posts that the strap is nailed to"), low=0.0)
    value = min(reach)
    return exact(value, "length", Evidence(f"{strap.name} on its shorter end", value, "length", Rung.DECLARED,
                                           strap.element.global_id), rung=max(strap.roles.values()))
