"""Seeded defects of the collection under the slab: collectors, penetrations, sumps and drains."""

from __future__ import annotations

from ..pieces import House, Measure, Piece
from ..pipes import PipeLine
from ..shapes import Vec, box
from ..sizes import GRAVEL, MEMBRANE, PIPE_BORE, PIPE_OUTSIDE, SLAB
from ..soil_gas import LEVEL, PERFORATED
from .base import Defect
from .edit import both, foreign_pipe, on, rebox, retube

SHORT, LONGER = 0.9, 66.0


def collector_short(house: House) -> None:
    """The eastern collector is 0.9 m long instead of 1.8 m."""
    pipe, cap = house.pieces["soil-gas/collector-east"], house.pieces["soil-gas/cap-east"]
    start = pipe.ports[0]
    end: Vec = (start[0] + SHORT, start[1], start[2])
    retube(pipe, end=end)
    retube(cap, end, (end[0] + 0.04, end[1], end[2]))


def loop_near_wall(house: House) -> None:
    """The collector is a loop in the eastern half of the slab, 150 mm from the stem walls."""
    keys = [k for k in house.pieces if k.startswith(("soil-gas/collector", "soil-gas/cap"))]
    house.remove(*keys)
    line = PipeLine(house, "soil-gas", "soil-gas", ("collector", "vent_fitting"), (PIPE_OUTSIDE, PIPE_BORE))
    x, y = house.facts["riser"]
    near = 0.20 + 0.15 + PIPE_OUTSIDE / 2
    west, east, south = x - 0.6, house.facts["length"] - near, near
    corners: list[Vec] = [(west, y, LEVEL), (west, south, LEVEL), (east, south, LEVEL), (east, y, LEVEL)]
    tee = house.pieces["soil-gas/tee"]
    for n, corner in enumerate(corners):
        before = corners[n - 1] if n else tee.ports[0]
        after = corners[n + 1] if n < 3 else tee.ports[1]
        towards = tuple((p[0] - corner[0], p[1] - corner[1], 0.0) for p in (before, after))
        line.bend(f"loop-bend-{n + 1}", 1, corner, towards)  # type: ignore[arg-type]
    ends = [tee.ports[0]]
    for n in range(4):
        ends += house.pieces[f"soil-gas/loop-bend-{n + 1}"].ports
    ends.append(tee.ports[1])
    for n, (a, b) in enumerate(zip(ends[::2], ends[1::2], strict=True), 1):
        line.pipe(
            f"collector-{n}", 1, a, b, f"Perforated collector {n}", props=PERFORATED, variant="collector"
        )
        first = ("tee", 0) if n == 1 else (f"loop-bend-{n - 1}", 1)
        second = ("tee", 1) if n == 5 else (f"loop-bend-{n}", 0)
        line.join(first[0], first[1], f"collector-{n}", 0)
        line.join(f"collector-{n}", 1, second[0], second[1])


def slab_too_large(house: House) -> None:
    """Slab, membrane and gravel go on for 66 m to the east, with no further vent."""
    for key in ("slab", "membrane", "gravel"):
        rebox(house.pieces[f"foundation/{key}"], 0, high=house.facts["length"] + LONGER)


def slab_gap_open(house: House) -> None:
    """The drain stack's gap in the slab is noted as not sealed."""
    house.pieces["plumbing/stack-1"].props["slab_seal"] = False


def membrane_gap_open(house: House) -> None:
    """The membrane is noted as not sealed round the riser."""
    house.pieces["soil-gas/riser-1"].props["membrane_seal"] = False


def sump_lid_loose(house: House) -> None:
    """A sump pit stands in the gravel with a lid that is not sealed."""
    low = -SLAB - MEMBRANE - GRAVEL - 0.3
    house.add(
        Piece(
            "drainage/sump",
            "sump",
            "Sump pit",
            1,
            box((1.0, 1.0, low), (1.45, 1.45, 0.0), 2),
            material="Plastic",
            type_name="Sump pit 450",
            props={"lid_seal": False},
        )
    )


def footing_drain_open(house: House) -> None:
    """A footing drain lies in the gravel along the south wall; nothing keeps air out of it."""
    drain = foreign_pipe(house, (0.8, 0.6, LEVEL), (house.facts["length"] - 0.8, 0.6, LEVEL), 0.089, 1)
    drain.name, drain.type_name = "Footing drain tile 89", "Footing drain tile 89"
    drain.props |= {"air_trap": False, "outside_diameter": Measure(0.089)}


DEFECTS = (
    Defect(
        "collector-short",
        "collector-too-short",
        "fail",
        collector_short.__doc__ or "",
        collector_short,
        both(on("Level 1", "soil-gas/collector-east", "soil-gas/tee", host="soil-gas/tee")),
    ),
    Defect(
        "loop-near-wall",
        "collector-loop-off-wall",
        "fail",
        loop_near_wall.__doc__ or "",
        loop_near_wall,
        {"two-storey": on("Level 1", "soil-gas/collector-3", "soil-gas/collector-4")},
    ),
    Defect(
        "slab-too-large",
        "exit-serves-too-large-area",
        "fail",
        slab_too_large.__doc__ or "",
        slab_too_large,
        both(on("Level 1", "foundation/slab", host="soil-gas/riser-1")),
        ("gravel-pocket-served",),
    ),
    Defect(
        "slab-gap-open",
        "slab-gap-unsealed",
        "fail",
        slab_gap_open.__doc__ or "",
        slab_gap_open,
        both(on("Level 1", "plumbing/stack-1", host="foundation/slab")),
    ),
    Defect(
        "membrane-gap-open",
        "membrane-gap-unsealed",
        "fail",
        membrane_gap_open.__doc__ or "",
        membrane_gap_open,
        both(on("Level 1", "soil-gas/riser-1", host="foundation/membrane")),
    ),
    Defect(
        "sump-lid-loose",
        "sump-lid-open",
        "fail",
        sump_lid_loose.__doc__ or "",
        sump_lid_loose,
        both(on("Level 1", "drainage/sump")),
    ),
    Defect(
        "footing-drain-open",
        "drain-open-to-air",
        "fail",
        footing_drain_open.__doc__ or "",
        footing_drain_open,
        both(on("Level 1", "plumbing/stray-drain")),
        ("drain-in-anchor-cone",),
    ),
)
