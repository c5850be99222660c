"""Plumbing beside the soil-gas system: a stack with its own vent, branch drains, fixtures, a duct."""

from __future__ import annotations

from .pieces import Measure, Piece
from .pipes import PipeLine
from .plan import Plan
from .roof import surface
from .shapes import box, rod
from .sizes import STEP

OUTSIDE, BORE = 0.0603, 0.0525
BRANCH, BRANCH_BORE = 0.0483, 0.0409
SOIL, SOIL_BORE = 0.0889, 0.0779
UNDER = -0.45
LEG = 0.08


def build_plumbing(plan: Plan) -> None:
    """Add the stack in the wet wall, basin drains through its studs, soil drops, fixtures, a duct."""
    house = plan.house
    drain = PipeLine(house, "plumbing", "drainage", ("plumbing_pipe", "plumbing_fitting"), (OUTSIDE, BORE))
    x, y = plan.stack
    drain.pipe(
        "building-drain",
        1,
        (x + LEG, y, UNDER),
        (plan.length + 1.0, y, UNDER),
        "Building drain 60",
        variant="underground",
    )
    drain.fitting(
        "bend-foot", 1, ((x, y, UNDER + LEG), (x, y, UNDER), (x + LEG, y, UNDER)), "Bend 90", "bend"
    )
    drain.join("bend-foot", 1, "building-drain", 0)
    start, below, port = UNDER + LEG, "bend-foot", 0
    for n in range(1, plan.storeys + 1):
        z = (n - 1) * STEP + 0.45
        drain.pipe(f"stack-{n}", n, (x, y, start), (x, y, z - LEG), f"Drain stack Level {n}", variant="stack")
        drain.join(below, port, f"stack-{n}", 0)
        drain.tee(
            f"tee-{n}", n, ((x, y, z - LEG), (x, y, z + LEG)), (x + drain.side, y, z), "Stack tee 60x48"
        )
        drain.join(f"stack-{n}", 1, f"tee-{n}", 0)
        _branch(plan, n, z, drain.side)
        _fixtures(plan, n)
        start, below, port = z + LEG, f"tee-{n}", 1
    vent = PipeLine(
        house, "plumbing", "plumbing-vent", ("plumbing_pipe", "plumbing_fitting"), (OUTSIDE, BORE)
    )
    vent.pipe(
        "vent",
        plan.storeys + 1,
        (x, y, start),
        (x, y, surface(plan, y) + 0.30),
        "Plumbing vent through roof",
        variant="vent",
    )
    vent.join(below, port, "vent", 0)


def _branch(plan: Plan, n: int, z: float, side: float) -> None:
    """Basin drain along the wet wall, falling 1:48 to the stack."""
    x, y = plan.stack
    line = PipeLine(
        plan.house, "plumbing", "drainage", ("plumbing_pipe", "plumbing_fitting"), (BRANCH, BRANCH_BORE)
    )
    end = (x + LEG + 1.0, y, z + (LEG + 1.0 - side) / 48)
    line.pipe(f"basin-drain-{n}", n, (x + side, y, z), end, f"Basin drain Level {n}", variant="branch")
    line.join(f"tee-{n}", 2, f"basin-drain-{n}", 0)


def _fixtures(plan: Plan, n: int) -> None:
    house, base = plan.house, (n - 1) * STEP
    x, y = plan.stack
    face = y + 0.07
    for key, name, a, b, h in (
        ("basin", "Wash basin", 0.9, 1.45, (0.70, 0.85)),
        ("wc", "WC", 0.1, 0.5, (0.0, 0.42)),
        ("shower", "Shower tray", -1.3, -0.4, (0.0, 0.08)),
    ):
        house.add(
            Piece(
                f"plumbing/{key}-{n}",
                "plumbing_fixture",
                name,
                n,
                box(
                    (x + a, face, base + h[0]),
                    (x + b, face + (0.9 if key == "shower" else 0.5), base + h[1]),
                    2,
                ),
                material="Ceramic",
                type_name=name,
                variant=key,
                system="drainage",
            )
        )
    line = PipeLine(house, "plumbing", "drainage", ("plumbing_pipe", "plumbing_fitting"), (SOIL, SOIL_BORE))
    line.pipe(
        f"wc-drop-{n}",
        n,
        (x + 0.3, face + 0.25, base - 0.40),
        (x + 0.3, face + 0.25, base),
        f"WC drain Level {n}",
        variant="drop",
    )
    if n == 1:
        house.add(
            Piece(
                "ventilation/duct",
                "duct",
                "Exhaust duct 100",
                1,
                rod((x + 2.2, y + 0.8, STEP - 0.15), (x + 2.2, plan.breadth + 0.05, STEP - 0.15), 0.100),
                material="Sheet steel",
                system="ventilation",
                type_name="Duct 100",
                ports=((x + 2.2, y + 0.8, STEP - 0.15), (x + 2.2, plan.breadth + 0.05, STEP - 0.15)),
                props={"outside_diameter": Measure(0.100)},
            )
        )
