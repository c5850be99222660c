"""Seeded defects of the vent's way: stated gradient, length, supports."""

from __future__ import annotations

from ..pieces import House
from ..pipes import PipeLine
from ..shapes import Vec
from ..soil_gas import SOLID
from .base import Defect
from .edit import both, on
from .vents import resize

DETOUR, FALL = 9.0, 0.012
THREE_INCH = (0.0889, 0.0779)


def gradient_wrong(house: House) -> None:
    """The attic offset is drawn at 2 % and stated at 4 %."""
    house.pieces["soil-gas/offset"].props["gradient"] = "4 %"


def detour(house: House) -> None:
    """The vent is 89 mm pipe, and its attic offset goes 9 m to the east gable and back before the exit."""
    keys = ("soil-gas/offset", "soil-gas/bend-2", "soil-gas/exit", "soil-gas/support-offset")
    mouth = house.pieces["soil-gas/exit"].ports[1]
    house.remove(*keys)
    line = PipeLine(house, "soil-gas", "soil-gas", ("vent_pipe", "vent_fitting"), (0.1143, 0.1015))
    low = house.pieces["soil-gas/bend-1"]
    a: Vec = low.shape.points[1]  # type: ignore[union-attr]
    turn = a[0] + 1.2 - DETOUR
    attic = low.storey
    corners: list[Vec] = [a]
    for x, y in ((turn, a[1]), (turn, a[1] - 0.6), (mouth[0], a[1] - 0.6), (mouth[0], mouth[1])):
        before = corners[-1]
        run = abs(x - before[0]) + abs(y - before[1])
        corners.append((x, y, before[2] + FALL * run))
    house.remove("soil-gas/bend-1")
    ups: list[Vec] = [(a[0], a[1], a[2] - 1.0), *corners, (mouth[0], mouth[1], mouth[2])]
    for n in range(1, 6):
        corner = ups[n]
        towards = tuple(tuple(p[k] - corner[k] for k in range(3)) for p in (ups[n - 1], ups[n + 1]))
        line.bend(f"bend-{n}", attic, corner, towards)  # type: ignore[arg-type]
    for n in range(1, 5):
        start, end = (
            house.pieces[f"soil-gas/bend-{n}"].ports[1],
            house.pieces[f"soil-gas/bend-{n + 1}"].ports[0],
        )
        line.pipe(
            f"offset-{n}", attic, start, end, f"Soil-gas attic offset {n}", props=SOLID, variant="offset"
        )
        line.join(f"bend-{n}", 1, f"offset-{n}", 0)
        line.join(f"offset-{n}", 1, f"bend-{n + 1}", 0)
    line.pipe(
        "exit",
        attic,
        house.pieces["soil-gas/bend-5"].ports[1],
        mouth,
        "Soil-gas vent through roof",
        props=SOLID,
        variant="exit",
    )
    line.join("bend-5", 1, "exit", 0)
    line.join("exit", 1, "terminal", 0)
    top = max(k for k in house.pieces if k.startswith("soil-gas/riser-")).split("/")[1]
    line.join(top, 1, "bend-1", 0)
    resize(
        house,
        [
            k
            for k in house.pieces
            if k.startswith("soil-gas/") and "outside_diameter" in house.pieces[k].props
        ],
        *THREE_INCH,
    )


def support_missing(house: House) -> None:
    """The riser's support on the ground storey is left out."""
    house.remove("soil-gas/support-1")


_ATTIC = "Attic"
DEFECTS = (
    Defect(
        "gradient-wrong",
        "gradient-contradicts",
        "fail",
        gradient_wrong.__doc__ or "",
        gradient_wrong,
        both(on(_ATTIC, "soil-gas/offset")),
    ),
    Defect(
        "vent-detour",
        "vent-too-long",
        "fail",
        detour.__doc__ or "",
        detour,
        both(on(_ATTIC, "soil-gas/offset-1", "soil-gas/offset-3", host="soil-gas/riser-1")),
        ("vent-supports-far-apart", "pipe-through-hardware"),
    ),
    Defect(
        "support-missing",
        "vent-supports-far-apart",
        "fail",
        support_missing.__doc__ or "",
        support_missing,
        both(on("Level 1", "soil-gas/support-1", "soil-gas/riser-1", host="soil-gas/riser-1")),
    ),
)
