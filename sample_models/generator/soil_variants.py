"""Variants of lot 4 for the soil-gas side: a slab that a footing parts, two vents, two slabs with one vent."""

from __future__ import annotations

from dataclasses import replace

from .hardware import foundation_key
from .house import two_storey
from .pieces import House, Piece
from .pipes import PipeLine
from .plan import Plan
from .roof import SLOPE, surface
from .shapes import box
from .sizes import DEPTH, PIPE_BORE, PIPE_OUTSIDE, PLY, STEM, STEP
from .soil_gas import COUPLING, EXIT, LEG, LEVEL, PERFORATED, SOLID

EAST_RISER = (7.6, 3.6)
WEST_RISER = (1.02, 2.1)
WEST = "soil-gas-2"


def two_risers() -> House:
    """Lot 4 with the footing under SW-5 from wall to wall; each pocket of gravel has its own vent."""
    house = _parted("two-risers")
    _west_vent(house.facts["plan"], house)
    return house


def split_slab() -> House:
    """Lot 4 with two slabs on both sides of that footing; a pipe through it joins the western gravel."""
    house = _parted("split-slab")
    footing = house.pieces["foundation/thickening-SW-5"].shape.bounds()  # type: ignore[union-attr]
    for key in ("slab", "membrane", "gravel"):
        whole = house.pieces[f"foundation/{key}"]
        low, high = whole.shape.bounds()  # type: ignore[union-attr]
        middle = (footing[0][0] + footing[1][0]) / 2
        whole.shape = box((middle, low[1], low[2]), high, 2)
        house.add(
            replace(
                whole,
                key=f"foundation/{key}-west",
                name=f"{whole.name}, west",
                shape=box(low, (middle, high[1], high[2]), 2),
            )
        )
    _crossing(house, footing[0][0])
    return house


def _parted(name: str) -> House:
    """Lot 4 with its riser further east, and the footing under SW-5 through the whole depth of the slab."""
    house = two_storey(riser=EAST_RISER)
    plan: Plan = house.facts["plan"]
    wall = plan.wall("SW-5", 1)
    if wall is None:
        raise ValueError("the plan needs SW-5")
    footing = house.pieces[foundation_key(wall)]
    low, high = footing.shape.bounds()  # type: ignore[union-attr]
    footing.shape = box((low[0], STEM, low[2]), (high[0], plan.breadth - STEM, high[2]), 2)
    house.name = name
    return house


def _line(house: House, prefix: str, system: str) -> PipeLine:
    return PipeLine(house, prefix, system, ("vent_pipe", "vent_fitting"), (PIPE_OUTSIDE, PIPE_BORE))


def _crossing(house: House, footing: float) -> None:
    """The western collector goes on as a solid pipe through the footing to a perforated one beyond it."""
    line, y = _line(house, "soil-gas", "soil-gas"), EAST_RISER[1]
    start = house.pieces["soil-gas/collector-west"].ports[1][0]
    house.remove("soil-gas/cap-west")
    points = [start, start - COUPLING, footing - 0.40, footing - 0.40 - COUPLING, footing - 0.40 - COUPLING - 1.8]
    p = [(x, y, LEVEL) for x in points]
    line.fitting("coupling-crossing-1", 1, (p[0], p[1]), "Coupling", "coupling")
    line.pipe("crossing", 1, p[1], p[2], "Crossing pipe through footing", props=SOLID, variant="crossing")
    line.fitting("coupling-crossing-2", 1, (p[2], p[3]), "Coupling", "coupling")
    far = line.pipe(
        "collector-far", 1, p[3], p[4], "Perforated collector, west slab", props=PERFORATED, variant="collector"
    )
    far.kind = "collector"
    line.fitting("cap-far", 1, (p[4], (p[4][0] - 0.04, y, LEVEL)), "End cap", "cap")
    for a, i, b, j in (
        ("collector-west", 1, "coupling-crossing-1", 0),
        ("coupling-crossing-1", 1, "crossing", 0),
        ("crossing", 1, "coupling-crossing-2", 0),
        ("coupling-crossing-2", 1, "collector-far", 0),
        ("collector-far", 1, "cap-far", 0),
    ):
        line.join(a, i, b, j)


def _west_vent(plan: Plan, house: House) -> None:
    """A second vent, straight up from the western pocket."""
    line, (x, y) = _line(house, WEST, WEST), WEST_RISER
    line.tee(
        "tee",
        1,
        ((x, y - LEG, LEVEL), (x, y + LEG, LEVEL)),
        (x, y, LEVEL + line.side),
        "Suction tee",
        kind="suction_point",
    )
    for side, sign, port, length in (("south", -1, 0, 1.6), ("north", 1, 1, 1.6)):
        a, b = (x, y + sign * LEG, LEVEL), (x, y + sign * (LEG + length), LEVEL)
        line.pipe(f"collector-{side}", 1, a, b, f"Perforated collector {side}", props=PERFORATED, variant="collector")
        house.pieces[f"{WEST}/collector-{side}"].kind = "collector"
        line.fitting(f"cap-{side}", 1, (b, (x, b[1] + sign * 0.04, LEVEL)), "End cap", "cap")
        line.join("tee", port, f"collector-{side}", 0)
        line.join(f"collector-{side}", 1, f"cap-{side}", 0)
    mouth = surface(plan, y) + SLOPE * (PIPE_OUTSIDE / 2 + 0.006) + EXIT
    start, below, port = LEVEL + line.side, "tee", 2
    for n in range(1, plan.storeys + 1):
        last = n == plan.storeys
        end = mouth - 0.10 if last else (n - 1) * STEP + 1.6
        line.pipe(
            f"riser-{n}", n, (x, y, start), (x, y, end), f"Soil-gas riser west Level {n}", props=SOLID, variant="riser"
        )
        line.join(below, port, f"riser-{n}", 0)
        if not last:
            line.fitting(f"coupling-{n}", n, ((x, y, end), (x, y, end + COUPLING)), "Coupling", "coupling")
            line.join(f"riser-{n}", 1, f"coupling-{n}", 0)
        start, below, port = end + COUPLING, f"coupling-{n}", 1
    top = line.fitting("terminal", plan.storeys + 1, ((x, y, mouth - 0.10), (x, y, mouth)), "Vent terminal", "terminal")
    top.kind, top.ports = "vent_terminal", ((x, y, mouth - 0.10),)
    line.join(f"riser-{plan.storeys}", 1, "terminal", 0)
    _beside_west(plan, house)


def _beside_west(plan: Plan, house: House) -> None:
    """Labels, supports and an outlet of the second vent."""
    (x, y), reach, attic = WEST_RISER, PIPE_OUTSIDE / 2, plan.storeys + 1
    for n in range(1, attic + 1):
        z = plan.roof_base + 0.25 if n == attic else (n - 1) * STEP + 1.20
        house.add(
            Piece(
                f"{WEST}/label-{n}",
                "label",
                "Label: Radon Reduction System",
                n,
                box((x - 0.05, y - reach - 0.001, z - 0.03), (x + 0.05, y - reach, z + 0.03), 1),
                material="Vinyl",
                system=WEST,
                props={"text": "Radon Reduction System"},
                type_name="Vent label",
            )
        )
        if n < attic:
            low = (n - 1) * STEP + 2.0
            house.add(
                Piece(
                    f"{WEST}/support-{n}",
                    "pipe_support",
                    "Pipe support",
                    n,
                    box((x + reach, y - 0.02, low), (x + reach + 0.06, y + 0.02, low + 0.04), 2),
                    material="Steel, galvanised",
                    type_name="Pipe support 114",
                )
            )
    base = plan.roof_base + 0.20
    house.add(
        Piece(
            f"{WEST}/outlet",
            "power_outlet",
            "Power outlet, future fan",
            attic,
            box((x - 0.3 - PLY, y - DEPTH / 2, base), (x - 0.3, y - DEPTH / 2 + 0.1, base + 0.1), 2),
            material="Plastic",
            type_name="Power outlet",
        )
    )
