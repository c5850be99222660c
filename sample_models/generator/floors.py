"""Floors between storeys: rim, joists, blocking under posts, and deck."""

from __future__ import annotations

from collections.abc import Callable

from .framing import WOOD, free_place
from .pieces import Piece
from .plan import Plan
from .shapes import box
from .sizes import DECK, DEPTH, JOIST, PIPE_OUTSIDE, PLY, SPACING, STEP, WALL

Interval = tuple[float, float]
RIM = ("rim", "Rim board 38x302")
FLOOR_JOIST = ("joist", "Floor joist 38x302")
BLOCK = ("blocking", "Squash block under post")
Wood = Callable[[str, tuple[str, str], Interval, Interval, int], None]


def build_floor(plan: Plan, storey: int) -> None:
    """Add the floor that carries a storey above the ground."""
    house = plan.house
    low = (storey - 2) * STEP + WALL
    high = low + JOIST
    right, back = plan.length, plan.breadth

    def wood(key: str, what: tuple[str, str], a: Interval, b: Interval, along: int) -> None:
        kind, name = what
        house.add(
            Piece(
                f"floor-{storey}/{key}",
                kind,
                name,
                storey,
                box((*a, low), (*b, high), along),
                material=WOOD,
                type_name=name,
            )
        )

    half = round(right / 2, 3)
    for side, y in (("south", 0.0), ("north", back - PLY)):
        wood(f"rim-{side}-1", RIM, (0, y), (half, y + PLY), 0)
        wood(f"rim-{side}-2", RIM, (half, y), (right, y + PLY), 0)
    for side, x in (("west", 0.0), ("east", right - PLY)):
        wood(f"rim-{side}", RIM, (x, PLY), (x + PLY, back - PLY), 1)
    busy = _blocking(plan, storey, wood)
    count = 0
    for k in range(1, int(right / SPACING) + 1):
        place = free_place(round(k * SPACING, 4), PLY / 2, busy, (DEPTH, right - DEPTH), 0.2)
        if place is None:
            continue
        count += 1
        s = (place - PLY / 2, place + PLY / 2)
        busy.append(s)
        wood(f"joist-{count}", FLOOR_JOIST, (s[0], PLY), (s[1], back - PLY), 1)
    house.add(
        Piece(
            f"floor-{storey}/deck",
            "floor",
            "Floor deck 18 mm plywood",
            storey,
            box((0, 0, high), (right, back, high + DECK), 2),
            material="Plywood 18 mm",
            type_name="Floor deck 18 mm plywood",
        )
    )


def _blocking(plan: Plan, storey: int, wood: Wood) -> list[Interval]:
    """Blocks under the posts above; returns what joists must keep clear of along the house."""
    x = plan.riser[0]
    clear = PIPE_OUTSIDE / 2 + 0.02
    busy: list[Interval] = [(x - clear, x + clear)]
    busy += [(plan.stack[0] + dx - 0.06, plan.stack[0] + dx + 0.06) for dx in (0.0, 0.3, 2.2)]
    for wall in plan.on(storey, shear=True):
        if wall.along == 1 and not wall.exterior:
            busy.append((wall.origin[0], wall.origin[0] + DEPTH))
        for end in wall.ends():
            t = (PLY, DEPTH) if wall.exterior else (0.0, DEPTH)
            a, b = wall.point(end.post[0], t[0], 0), wall.point(end.post[1], t[1], 0)
            low, high = (min(a[0], b[0]), min(a[1], b[1])), (max(a[0], b[0]), max(a[1], b[1]))
            low = (max(low[0], PLY), low[1])
            high = (min(high[0], plan.length - PLY), high[1])
            name = end.key.replace("/", "-")
            wood(f"block-{name}", BLOCK, low, high, 2)
            if wall.along == 0:
                busy.append(end.reach(-PLY, wall.post + 0.08))
    return busy
