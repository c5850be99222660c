"""Gable roof: rafters, ceiling joists, ridge, roof ties, gable walls and two sloped roof slabs."""

from __future__ import annotations

from math import hypot

from .framing import WOOD, free_place
from .pieces import Measure, Opening, Piece
from .plan import Plan
from .shapes import Extrusion, bar, box, slab
from .sizes import DEPTH, PLATES, PLY

SLOPE = 0.5
OVERHANG = 0.45
THICKNESS = 0.030
SPACING = 0.6096
ALONG = (1.0 / hypot(1, SLOPE), SLOPE / hypot(1, SLOPE))
RAISE = DEPTH / ALONG[0]
WINDOW_SIZE = (0.78, 0.98)


def underside(plan: Plan, y: float) -> float:
    """Elevation of the rafters' underside over a plan place, metres."""
    return plan.roof_base + SLOPE * min(y, plan.breadth - y)


def surface(plan: Plan, y: float) -> float:
    """Elevation of the roof surface over a plan place, metres."""
    return underside(plan, y) + (DEPTH + THICKNESS) / ALONG[0]


def build_roof(plan: Plan) -> None:
    """Add the roof framing, the gables and the roof."""
    house, storey = plan.house, plan.storeys + 1
    middle = plan.breadth / 2
    ridge = plan.roof_base + SLOPE * middle
    house.add(
        Piece(
            "roof/ridge",
            "beam",
            "Ridge board 38x184",
            storey,
            box(
                (-0.3, middle - PLY / 2, ridge - 0.03),
                (plan.length + 0.3, middle + PLY / 2, ridge + 0.154),
                0,
            ),
            material=WOOD,
            type_name="Ridge board 38x184",
        )
    )
    busy = [
        (plan.exit_at[0] - 0.08, plan.exit_at[0] + 0.08),
        (plan.riser[0] - 0.08, plan.riser[0] + 0.08),
        (plan.stack[0] - 0.06, plan.stack[0] + 0.06),
    ]
    for wall in plan.on(plan.storeys, shear=True):
        if wall.hold == "continuous" and wall.along == 0:
            busy += [(end.rod - 0.045, end.rod + 0.045) for end in wall.ends()]
    number = 0
    k = 0
    while 0.22 + k * SPACING < plan.length - 0.2:
        wanted = 0.22 + k * SPACING
        k += 1
        place = free_place(
            round(wanted + PLY / 2, 4), PLY, busy, (DEPTH + 0.02, plan.length - DEPTH - 0.02), 0.2
        )
        if place is not None:
            number += 1
            _pair(plan, number, place - PLY / 2)
    _gables(plan)
    _covering(plan)


def _pair(plan: Plan, number: int, x: float) -> None:
    """Two rafters at x, a ceiling joist beside them and a roof tie at each wall plate."""
    house, storey, middle = plan.house, plan.storeys + 1, plan.breadth / 2
    base = plan.roof_base
    house.add(
        Piece(
            f"roof/ceiling-joist-{number}",
            "joist",
            "Ceiling joist 38x140",
            storey,
            box((x + PLY / 2, 0, base), (x + PLY * 1.5, plan.breadth, base + DEPTH), 1),
            material=WOOD,
            type_name="Ceiling joist 38x140",
        )
    )
    half = DEPTH / 2
    for side, sign in (("south", 1.0), ("north", -1.0)):

        def place(y: float, sign: float = sign) -> float:
            return y if sign > 0 else plan.breadth - y

        start = (x, place(-OVERHANG - half * ALONG[1]), base - SLOPE * OVERHANG + half * ALONG[0])
        end = (
            x,
            place(middle - PLY / 2 - half * ALONG[1]),
            base + SLOPE * (middle - PLY / 2) + half * ALONG[0],
        )
        house.add(
            Piece(
                f"roof/rafter-{side}-{number}",
                "rafter",
                "Rafter 38x140",
                storey,
                bar(start, end, PLY, DEPTH, (1.0, 0.0, 0.0)),
                material=WOOD,
                type_name="Rafter 38x140",
            )
        )
        house.add(
            Piece(
                f"roof/tie-{side}-{number}",
                "roof_tie",
                "Roof tie RT-1",
                storey,
                box(
                    (x - PLY / 2 - 0.03, place(DEPTH), base - PLATES),
                    (x - PLY / 2, place(DEPTH + 0.015), base + 0.166),
                    2,
                ),
                material="Steel, galvanised",
                mark="RT-1",
                type_name="Roof tie RT-1",
            )
        )


def _gables(plan: Plan) -> None:
    house, storey, middle = plan.house, plan.storeys + 1, plan.breadth / 2
    ridge = plan.roof_base + SLOPE * middle
    for side, x in (("west", 0.0), ("east", plan.length - DEPTH)):
        outline = ((0.0, 0.0), (plan.breadth, 0.0), (middle, ridge - plan.roof_base))
        shape = Extrusion((x, 0.0, plan.roof_base), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0), DEPTH, outline=outline)
        house.add(
            Piece(
                f"roof/gable-{side}",
                "other_wall",
                f"Gable wall {side}",
                storey,
                shape,
                material=WOOD,
                props={"exterior": True, "load_bearing": False},
                type_name="Gable wall 2x6",
                axis=((x + DEPTH / 2, 0.0, plan.roof_base), (x + DEPTH / 2, plan.breadth, plan.roof_base)),
                wall=f"G-{side[0].upper()}",
                mark=f"G-{side[0].upper()}",
            )
        )


def _covering(plan: Plan) -> None:
    house, storey, middle = plan.house, plan.storeys + 1, plan.breadth / 2
    house.add(Piece("roof", "roof", "Gable roof", storey, None, type_name="Gable roof"))
    low, high = -OVERHANG - DEPTH * ALONG[1], middle
    a, b = -0.3, plan.length + 0.3
    z = [plan.roof_base + RAISE + SLOPE * y for y in (low, high)]
    sides = {
        "south": ((a, low, z[0]), (b, low, z[0]), (b, high, z[1]), (a, high, z[1])),
        "north": (
            (b, plan.breadth - low, z[0]),
            (a, plan.breadth - low, z[0]),
            (a, high, z[1]),
            (b, high, z[1]),
        ),
    }
    for side, corners in sides.items():
        house.add(
            Piece(
                f"roof/slab-{side}",
                "roof",
                f"Roof slab {side}",
                storey,
                slab(corners, THICKNESS),
                material="Plywood and metal roofing",
                parent="roof",
                props={"pitch": "6:12"},
                type_name="Roof slab 30 mm",
            )
        )


def roof_window_shape(plan: Plan, x: float, y: float, margin: float = 0.0, lift: float = 0.0) -> Extrusion:
    """A window lying in the north slope, its lower edge at plan place y; x is its western edge."""
    wide, high = WINDOW_SIZE
    rise = high * ALONG[0]
    low_y, top_y = y + margin, y - rise - margin
    z = [underside(plan, yy) + RAISE + lift for yy in (low_y, top_y)]
    a, b = x - margin, x + wide + margin
    return slab(((b, low_y, z[0]), (a, low_y, z[0]), (a, top_y, z[1]), (b, top_y, z[1])), 0.09 - 2 * lift)


def add_roof_window(plan: Plan, x: float, y: float) -> None:
    """A roof window that opens, with its hole in the north roof slab."""
    house, storey = plan.house, plan.storeys + 1
    house.add(
        Piece(
            "roof/opening-1/void",
            "opening",
            "Roof opening",
            storey,
            roof_window_shape(plan, x, y, 0.01, -0.02),
        )
    )
    house.add(
        Piece(
            "roof/opening-1/window",
            "window",
            "Roof window RW-1",
            storey,
            roof_window_shape(plan, x, y),
            material="Wood frame, glazed",
            type_name="Roof window 780x980",
            mark="RW-1",
            variant="roof",
            props={
                "operable": True,
                "exterior": True,
                "overall_width": Measure(WINDOW_SIZE[0]),
                "overall_height": Measure(WINDOW_SIZE[1]),
            },
        )
    )
    house.openings["roof/opening-1/void"] = Opening(
        "roof/opening-1/void", "roof/slab-north", "roof/opening-1/window"
    )


__all__ = ["ALONG", "add_roof_window", "build_roof", "roof_window_shape", "surface", "underside"]
