"""The soil-gas system: collector in the gravel, riser, attic offset that drains back, exit above the roof."""

from __future__ import annotations

from .pieces import Piece
from .pipes import PipeLine
from .plan import Plan
from .roof import SLOPE, surface
from .shapes import box
from .sizes import GRAVEL, MEMBRANE, PIPE_BORE, PIPE_OUTSIDE, SLAB, STEP

LEVEL = -SLAB - MEMBRANE - GRAVEL / 2
FALL = 0.02
EXIT = 0.450
LEG = 0.10
COUPLING = 0.080
PERFORATED = {"perforated": True}
SOLID = {"perforated": False}


def build_soil_gas(plan: Plan, crossing_at: float | None = None) -> None:
    """Add the system; `crossing_at` is the plan x of a footing that the collector crosses."""
    line = PipeLine(
        plan.house, "soil-gas", "soil-gas", ("vent_pipe", "vent_fitting"), (PIPE_OUTSIDE, PIPE_BORE)
    )
    _collector(plan, line, crossing_at)
    top = _riser(plan, line)
    _offset(plan, line, top)
    _surroundings(plan, top)


def _collector(plan: Plan, line: PipeLine, crossing_at: float | None) -> None:
    x, y = plan.riser
    line.tee(
        "tee",
        1,
        ((x - LEG, y, LEVEL), (x + LEG, y, LEVEL)),
        (x, y, LEVEL + line.side),
        "Suction tee",
        kind="suction_point",
    )
    plan.house.pieces["soil-gas/tee"].props["role_note"] = "suction point"
    for side, sign, port in (("west", -1, 0), ("east", 1, 1)):
        a, b = (x + sign * LEG, y, LEVEL), (x + sign * (LEG + 1.8), y, LEVEL)
        line.pipe(
            f"collector-{side}",
            1,
            a,
            b,
            f"Perforated collector {side}",
            props=PERFORATED,
            variant="collector",
        )
        plan.house.pieces[f"soil-gas/collector-{side}"].kind = "collector"
        line.join("tee", port, f"collector-{side}", 0)
        if side == "west" and crossing_at is not None:
            _crossing(plan, line, b[0], crossing_at)
            continue
        _cap(line, side, f"collector-{side}", b, sign)


def _cap(line: PipeLine, side: str, pipe: str, at: tuple[float, float, float], sign: int) -> None:
    line.fitting(f"cap-{side}", 1, (at, (at[0] + sign * 0.04, at[1], at[2])), "End cap", "cap")
    line.join(pipe, 1, f"cap-{side}", 0)


def _crossing(plan: Plan, line: PipeLine, start: float, footing: float) -> None:
    """A solid length through the footing and one more perforated length in the pocket beyond it."""
    y = plan.riser[1]
    points = [
        start,
        start - COUPLING,
        footing - 0.40,
        footing - 0.40 - COUPLING,
        footing - 0.40 - COUPLING - 1.8,
    ]
    p = [(x, y, LEVEL) for x in points]
    line.fitting("coupling-crossing-1", 1, (p[0], p[1]), "Coupling", "coupling")
    line.pipe("crossing", 1, p[1], p[2], "Crossing pipe through footing", props=SOLID, variant="crossing")
    line.fitting("coupling-crossing-2", 1, (p[2], p[3]), "Coupling", "coupling")
    line.pipe(
        "collector-far",
        1,
        p[3],
        p[4],
        "Perforated collector far pocket",
        props=PERFORATED,
        variant="collector",
    )
    plan.house.pieces["soil-gas/collector-far"].kind = "collector"
    for a, i, b, j in (
        ("collector-west", 1, "coupling-crossing-1", 0),
        ("coupling-crossing-1", 1, "crossing", 0),
        ("crossing", 1, "coupling-crossing-2", 0),
        ("coupling-crossing-2", 1, "collector-far", 0),
    ):
        line.join(a, i, b, j)
    _cap(line, "far", "collector-far", p[4], -1)


def _riser(plan: Plan, line: PipeLine) -> float:
    """Vertical pieces, one per storey; returns the elevation of the offset's lower corner."""
    x, y = plan.riser
    corner = plan.roof_base + 0.50
    start, below, port = LEVEL + line.side, "tee", 2
    for n in range(1, plan.storeys + 1):
        last = n == plan.storeys
        end = corner - LEG if last else (n - 1) * STEP + 1.6
        line.pipe(
            f"riser-{n}",
            n,
            (x, y, start),
            (x, y, end),
            f"Soil-gas riser Level {n}",
            props=SOLID,
            variant="riser",
        )
        line.join(below, port, f"riser-{n}", 0)
        if not last:
            line.fitting(f"coupling-{n}", n, ((x, y, end), (x, y, end + COUPLING)), "Coupling", "coupling")
            line.join(f"riser-{n}", 1, f"coupling-{n}", 0)
        start, below, port = end + COUPLING, f"coupling-{n}", 1
    return corner


def _offset(plan: Plan, line: PipeLine, corner: float) -> None:
    """The attic offset rises 1:50 away from the suction side, then the vent goes up through the roof."""
    (x, y), (ex, ey) = plan.riser, plan.exit_at
    attic, n = plan.storeys + 1, plan.storeys
    far = corner + FALL * plan.offset
    out, up = (ex - x, ey - y, far - corner), (0.0, 0.0, 1.0)
    low = line.bend("bend-1", attic, (x, y, corner), ((0, 0, -1.0), out))
    high = line.bend("bend-2", attic, (ex, ey, far), ((x - ex, y - ey, corner - far), up))
    line.pipe(
        "offset", attic, low.ports[1], high.ports[0], "Soil-gas attic offset", props=SOLID, variant="offset"
    )
    nearest = min(abs(ey - plan.breadth / 2), PIPE_OUTSIDE / 2 + 0.006)
    mouth = surface(plan, ey) + SLOPE * nearest + EXIT
    line.pipe(
        "exit",
        attic,
        high.ports[1],
        (ex, ey, mouth - 0.10),
        "Soil-gas vent through roof",
        props=SOLID,
        variant="exit",
    )
    line.fitting("terminal", attic, ((ex, ey, mouth - 0.10), (ex, ey, mouth)), "Vent terminal", "terminal")
    plan.house.pieces["soil-gas/terminal"].kind = "vent_terminal"
    plan.house.pieces["soil-gas/terminal"].ports = ((ex, ey, mouth - 0.10),)
    for a, i, b, j in (
        (f"riser-{n}", 1, "bend-1", 0),
        ("bend-1", 1, "offset", 0),
        ("offset", 1, "bend-2", 0),
        ("bend-2", 1, "exit", 0),
        ("exit", 1, "terminal", 0),
    ):
        line.join(a, i, b, j)


def _surroundings(plan: Plan, corner: float) -> None:
    """Labels on each storey and in the attic, pipe supports, and a power outlet near the fan space."""
    house = plan.house
    (x, y), reach = plan.riser, PIPE_OUTSIDE / 2
    for n in range(1, plan.storeys + 2):
        z = plan.roof_base + 0.30 if n > plan.storeys else (n - 1) * STEP + 1.20
        house.add(
            Piece(
                f"soil-gas/label-{n}",
                "label",
                "Label: Radon Reduction System",
                n,
                box((x - 0.05, y - reach - 0.001, z - 0.03), (x + 0.05, y - reach, z + 0.03), 1),
                material="Vinyl",
                system="soil-gas",
                props={"text": "Radon Reduction System"},
                type_name="Vent label",
            )
        )
        if n <= plan.storeys:
            house.add(
                Piece(
                    f"soil-gas/support-{n}",
                    "pipe_support",
                    "Pipe support",
                    n,
                    box(
                        (x + reach, y - 0.02, (n - 1) * STEP + 2.0),
                        (x + reach + 0.06, y + 0.02, (n - 1) * STEP + 2.04),
                        2,
                    ),
                    material="Steel, galvanised",
                    type_name="Pipe support 114",
                )
            )
    house.add(
        Piece(
            "soil-gas/support-offset",
            "pipe_support",
            "Pipe support",
            plan.storeys + 1,
            box((x + 0.58, y - 0.02, plan.roof_base + 0.14), (x + 0.62, y + 0.02, corner + 0.012 - reach), 2),
            material="Steel, galvanised",
            type_name="Pipe support offset",
        )
    )
    house.add(
        Piece(
            "soil-gas/outlet",
            "power_outlet",
            "Power outlet, future fan",
            plan.storeys + 1,
            box((x - 0.5, y - 0.05, plan.roof_base + 0.2), (x - 0.4, y + 0.05, plan.roof_base + 0.3), 2),
            material="Plastic",
            type_name="Power outlet",
        )
    )
