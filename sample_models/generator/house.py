"""The two sample houses on an invented windy coast: Gull Point, lots 4 and 7 of Saltgrass Lane."""

from __future__ import annotations

from dataclasses import replace

from .floors import build_floor
from .foundation import build_foundation
from .framing import frame_wall
from .hardware import hold_down, sill_bolts
from .pieces import House, Measure, Piece
from .plan import Hole, Plan, WallPlan, storeys
from .plumbing import build_plumbing
from .roof import add_roof_window, build_roof
from .schedules import add_schedules
from .shapes import box
from .sizes import DEPTH, PLATES, PLY, STEP, WALL
from .soil_gas import build_soil_gas
from .transfer import move_end_to_beam

BREADTH = 6.0
ROOF_WINDOW = 4.65
# invented for the demonstration
DESIGN_BASIS = {"BuildingCode": "IRC 2018", "BasicWindSpeed": "58 m/s, exposure D", "SeismicDesignCategory": "B"}
SHORT = BREADTH - 2 * DEPTH


def window(start: float, end: float, sill: float = 0.9, name: str = "", operable: bool = True) -> Hole:
    """A window with its head at 2.1 m."""
    return Hole(start, end, sill, 2.1, "window", name, operable)


def door(start: float, end: float, name: str = "") -> Hole:
    """A door 2.1 m high."""
    return Hole(start, end, 0.0, 2.1, "door", name)


def two_storey(
    top_end: float = 2.9, riser: tuple[float, float] = (6.6, 3.6), window_end: float = 3.3
) -> House:
    """Lot 4: 10.8 m by 6.0 m, five shear walls a storey, tie-downs with rods through the floor.

    `top_end`: length of SW-5 on the top storey, metres; `riser`: plan place of the soil-gas riser; `window_end`:
    where the first window of SW-1 on Level 1 ends.
    """
    plan = _plan("two-storey", "Gull Point, Saltgrass Lane, lot 4", 10.8, 2, riser=riser, stack=(2.2, 3.67))
    for n in (1, 2):
        first = window(1.5, window_end if n == 1 else 3.3)
        south = (first, door(7.5, 9.3, "Patio door") if n == 1 else window(7.5, 9.3))
        north = (
            window(1.5, 2.7),
            door(6.0, 7.0, "Entry door") if n == 1 else window(6.0, 7.0, operable=False),
        )
        plan.walls += _outside(plan, n, (south, north, (window(1.9, 3.4),), ()))
        plan.walls.append(WallPlan("SW-5", n, (5.33, DEPTH), 1, 1, top_end if n == 2 else 2.9, True, False))
        plan.walls.append(
            WallPlan("P-1", n, (DEPTH, 3.6), 0, 1, 4.8, False, False, (door(3.6, 4.4, "Bath door"),))
        )
    _build(plan)
    add_roof_window(plan, 2.9, ROOF_WINDOW)
    return plan.house


def three_storey(top_end: float = 3.0) -> House:
    """Lot 7: 12.6 m by 6.0 m, six shear walls a storey; continuous rods in SW-2, straps in SW-3.

    `top_end`: length of SW-6 on the top storey, metres.
    """
    return _three(top_end).house


def three_storey_transfer() -> House:
    """Lot 7 with one upper end of SW-6 moved off the end below, onto a beam that is tied to a post."""
    plan = _three(2.1)
    move_end_to_beam(plan)
    return plan.house


def _three(top_end: float) -> Plan:
    plan = _plan(
        "three-storey", "Gull Point, Saltgrass Lane, lot 7", 12.6, 3, riser=(7.4, 3.25), stack=(1.9, 3.67)
    )
    wide = 3 * PLY
    for n in (1, 2, 3):
        south = (
            window(1.8, 3.3),
            window(5.4, 6.6),
            door(9.3, 11.1, "Patio door") if n == 1 else window(9.3, 11.1),
        )
        north = (
            window(2.1, 3.6),
            door(6.6, 7.6, "Entry door") if n == 1 else window(6.6, 7.6, operable=False),
            window(9.6, 10.8),
        )
        for wall in _outside(plan, n, (south, north, (window(2.0, 3.5),), (window(2.2, 3.2, 1.2),)), wide):
            plan.walls.append(wall)
        plan.walls.append(
            WallPlan("SW-5", n, (4.53, DEPTH), 1, 1, SHORT, True, False, (door(3.9, 4.8),), post=wide)
        )
        plan.walls.append(
            WallPlan("SW-6", n, (8.53, DEPTH), 1, 1, top_end if n == 3 else 3.0, True, False, post=wide)
        )
        plan.walls.append(
            WallPlan("P-1", n, (DEPTH, 3.6), 0, 1, 4.2, False, False, (door(3.1, 3.9, "Bath door"),))
        )
    plan.walls = [_held(wall) for wall in plan.walls]
    _build(plan, crossing_at=4.6)
    add_roof_window(plan, 3.7, ROOF_WINDOW - 0.3)
    return plan


def _held(wall: WallPlan) -> WallPlan:
    if wall.mark == "SW-2":
        return replace(wall, hold="continuous")
    if wall.mark == "SW-3":
        return replace(wall, straps=True)
    return wall


def _plan(name: str, title: str, length: float, count: int, **places: tuple[float, float]) -> Plan:
    house = House(name, title, storeys(count), props={"soil_gas_level": "passive", "dwellings": 1,
                                                     "design_basis": dict(DESIGN_BASIS)})
    return Plan(house, length, BREADTH, count, riser=places["riser"], stack=places["stack"])


def _outside(
    plan: Plan, n: int, holes: tuple[tuple[Hole, ...], ...], post: float = 2 * PLY
) -> list[WallPlan]:
    """The four outer walls of a storey; holes of the south, north, west and east one."""
    south, north, west, east = holes
    return [
        WallPlan("SW-1", n, (0.0, 0.0), 0, 1, plan.length, True, True, south, post=post),
        WallPlan("SW-2", n, (0.0, plan.breadth), 0, -1, plan.length, True, True, north, post=post),
        WallPlan("SW-3", n, (0.0, DEPTH), 1, 1, SHORT, True, True, west, post=post),
        WallPlan("SW-4", n, (plan.length, DEPTH), 1, -1, SHORT, True, True, east, post=post),
    ]


def _build(plan: Plan, crossing_at: float | None = None) -> None:
    build_foundation(plan)
    for n in range(1, plan.storeys + 1):
        if n > 1:
            build_floor(plan, n)
        for wall in plan.on(n):
            frame_wall(plan, wall)
        for wall in plan.on(n, shear=True):
            hold_down(plan, wall)
            if n == 1:
                sill_bolts(plan, wall)
        _rooms(plan, n)
    build_roof(plan)
    build_soil_gas(plan, crossing_at)
    build_plumbing(plan)
    plan.house.facts |= {
        "length": plan.length,
        "breadth": plan.breadth,
        "storey_height": STEP,
        "riser": plan.riser,
        "exit_at": plan.exit_at,
        "roof_base": plan.roof_base,
        "stud_top": WALL - PLATES,
        "plan": plan,
    }
    add_schedules(plan)


def _rooms(plan: Plan, n: int) -> None:
    """Rooms as plain boxes between the walls."""
    base, top = (n - 1) * STEP, (n - 1) * STEP + WALL
    wet = plan.wall("P-1", n)
    split = plan.wall("SW-5", n)
    if wet is None or split is None:
        raise ValueError("the plan needs P-1 and SW-5")
    x = split.origin[0]
    back = plan.breadth - DEPTH
    names = ("Living", "Bath", "Kitchen") if n == 1 else ("Bedroom", "Bath", "Study")
    rooms = (
        (names[0], (DEPTH, DEPTH), (x, wet.origin[1])),
        (names[1], (DEPTH, wet.origin[1] + DEPTH), (x, back)),
        (names[2], (x + DEPTH, DEPTH), (plan.length - DEPTH, back)),
    )
    for k, (name, low, high) in enumerate(rooms, 1):
        plan.house.add(
            Piece(
                f"space-{n}-{k}",
                "space",
                f"{name} {n}0{k}",
                n,
                box((*low, base), (*high, top), 2),
                props={
                    "habitable": name != "Bath",
                    "area": Measure(round((high[0] - low[0]) * (high[1] - low[1]), 3), "area"),
                },
            )
        )
