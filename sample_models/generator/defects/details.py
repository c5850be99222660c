"""Seeded defects of details: nuts, posts and straps, anchors in their concrete, pipes beside them, roof ties."""

from __future__ import annotations

from ..pieces import House, Measure, Opening, Piece
from ..shapes import Tube, Vec, box
from ..sizes import PLY, WALL
from .base import Defect, Where
from .edit import at_end, both, ends_of, in_wall, on, rebox, retube, shift


def _pipe(house: House, key: str, start: Vec, end: Vec, outside: float, storey: int = 1) -> Piece:
    """A drain of its own, joined to nothing."""
    name = f"Drain {outside * 1000:.0f}"
    return house.add(Piece(f"plumbing/{key}", "plumbing_pipe", name, storey,
                           Tube((start, end), outside / 2, outside / 2 - 0.002), material="PVC pipe", system="drainage",
                           ports=(start, end), type_name=name,
                           props={"outside_diameter": Measure(outside),
                                  "inside_diameter": Measure(round(outside - 0.004, 6))}))


def _bolts(house: House, plate: str) -> list[int]:
    return [int(p.key.rsplit("-", 1)[1]) for p in house.of_kind("anchor_bolt") if p.variant == plate]


def bolt_off_middle(house: House) -> None:
    """The first bolt of SW-4 stands 35 mm off the middle of its plate, its washer and nut with it."""
    number = _bolts(house, "SW-4/L1/sole-1")[0]
    shift(house, [f"SW-4/L1/{name}-{number}" for name in ("bolt", "washer", "nut")], (0.035, 0.0, 0.0))


def _anchor(house: House) -> str:
    """The rod at the first end of SW-2: an anchor, or the first piece of a continuous one."""
    return next(f"SW-2/L1/1a/{name}" for name in ("anchor", "rod") if f"SW-2/L1/1a/{name}" in house.pieces)


def stem_thin(house: House) -> None:
    """The stem wall under SW-2 ends 20 mm beside the rods, where a brick ledge was cut into it."""
    stem = house.pieces["foundation/stem-SW-2"]
    _, high = ends_of(house, _anchor(house))
    rebox(stem, 1, high=high[1] + 0.020)


def rod_in_soil(house: House) -> None:
    """The anchor rod at one end of SW-5 reaches to 20 mm above the underside of its footing."""
    start, _ = ends_of(house, "SW-5/L1/1a/anchor")
    bottom = house.pieces["foundation/thickening-SW-5"].shape.bounds()[0][2]  # type: ignore[union-attr]
    retube(house.pieces["SW-5/L1/1a/anchor"], start=(start[0], start[1], bottom + 0.020))


def nut_half_on(house: House) -> None:
    """The anchor rod at an end of SW-1 ends 6 mm below the top of its nut."""
    nut = house.pieces["SW-1/L1/2a/base-nut"].shape.bounds()[1][2]  # type: ignore[union-attr]
    _, high = ends_of(house, "SW-1/L1/2a/anchor")
    retube(house.pieces["SW-1/L1/2a/anchor"], end=(high[0], high[1], nut - 0.006))


def roof_tie_gone(house: House) -> None:
    """The roof tie of one rafter is missing."""
    house.remove("roof/tie-south-4")


def drain_at_anchor(house: House) -> None:
    """A 60 mm drain goes through the stem wall 20 mm beside an anchor rod."""
    low, _ = ends_of(house, "SW-1/L1/3a/anchor")
    x = low[0] + 0.0159 / 2 + 0.020 + 0.030
    _pipe(house, "drain-at-anchor", (x, -0.40, -0.30), (x, 0.195, -0.30), 0.060)


def drain_in_cone(house: House) -> None:
    """A 60 mm drain goes through the stem wall 300 mm beside an anchor rod that is 350 mm deep."""
    low, _ = ends_of(house, "SW-1/L1/3b/anchor")
    x = low[0] - 0.300
    _pipe(house, "drain-in-cone", (x, -0.40, -0.20), (x, 0.195, -0.20), 0.060)


def pipe_at_nut(house: House) -> None:
    """A 22 mm supply pipe stands 30 mm beside the nut of a tie."""
    nut = house.pieces["SW-1/L1/1b/base-nut"].shape.bounds()  # type: ignore[union-attr]
    x, z = nut[0][0] - 0.030 - 0.011, nut[0][2]
    y = (nut[0][1] + nut[1][1]) / 2
    _pipe(house, "supply-at-nut", (x, y, z + 0.005), (x, y, z + 0.600), 0.022)


def duct_through_panel(house: House) -> None:
    """A 102 mm pipe goes out through the sheathing of SW-4."""
    stud = house.pieces["SW-4/L1/stud-4"].shape.bounds()  # type: ignore[union-attr]
    y, x = stud[1][1] + 0.10, house.facts["length"]
    _pipe(house, "outlet-through-panel", (x - 0.30, y, 1.5), (x + 0.20, y, 1.5), 0.102)


def _electrical_box(house: House, key: str, low: Vec, high: Vec) -> None:
    house.add(Piece(f"electrical/{key}", "power_outlet", "Power outlet, wall", 1, box(low, high, 2), material="Plastic",
                    type_name="Power outlet wall"))


def box_in_post(house: House) -> None:
    """A power outlet's box is cut 30 mm into an end post of SW-4, at counter height."""
    low, _ = house.pieces["SW-4/L1/1b/post"].shape.bounds()  # type: ignore[union-attr]
    _electrical_box(house, "box-in-post", (low[0], low[1] - 0.05, 1.10), (low[0] + 0.06, low[1] + 0.03, 1.20))


def box_in_panel(house: House) -> None:
    """An outdoor power outlet's box is let into the sheathing of SW-4, between two studs."""
    stud = house.pieces["SW-4/L1/stud-4"].shape.bounds()  # type: ignore[union-attr]
    y, x = stud[1][1] + 0.10, house.facts["length"]
    _electrical_box(house, "box-in-panel", (x - 0.04, y, 1.30), (x + 0.03, y + 0.08, 1.40))


def plies_loose(house: House) -> None:
    """One end post says that its plies are not fastened to each other."""
    house.pieces["SW-1/L1/2b/post"].props["ply_fastening"] = "none"


def block_gone(house: House) -> None:
    """The squash block under one end post of SW-1 on Level 2 is left out."""
    house.remove("floor-2/block-SW-1-L2-2a")


def rim_gone(house: House) -> None:
    """Half the rim board on the north side of the floor of Level 2 is left out."""
    house.remove("floor-2/rim-north-1")


def strap_slipped(house: House) -> None:
    """A strap across the floor is set 200 mm too low."""
    shift(house, ["SW-3/L3/2b/strap"], (0.0, 0.0, -0.200))


def plate_bored(house: House) -> None:
    """A 48 mm drain goes up through the top plates of SW-4."""
    stud = house.pieces["SW-4/L1/stud-6"].shape.bounds()  # type: ignore[union-attr]
    x, y, top = house.facts["length"] - 0.070, stud[1][1] + 0.15, house.facts["storey_height"]
    _pipe(house, "drain-through-plate", (x, y, 1.8), (x, y, top - 0.02), 0.048)


def hole_cut(house: House) -> None:
    """A hole of 150 mm is cut through SW-3 for an outlet that nobody drew."""
    stud = house.pieces["SW-3/L2/stud-1"].shape.bounds()  # type: ignore[union-attr]
    y, z = stud[1][1] + 0.08, stud[0][2] + 1.0
    house.add(Piece("SW-3/L2/cut-out", "opening", "Cut-out", 2, box((-0.05, y, z), (0.20, y + 0.15, z + 0.15), 2),
                    "SW-3"))
    house.openings["SW-3/L2/cut-out"] = Opening("SW-3/L2/cut-out", "SW-3/L2", "")


def studs_gone(house: House) -> None:
    """Two studs of SW-4 on Level 2 are left out beside each other."""
    house.remove("SW-4/L2/stud-6", "SW-4/L2/stud-7")


def wall_in_line(house: House) -> None:
    """An inner wall goes on in line with a shear wall, each with top plates of its own that end at the joint."""
    (x0, _, z0), (x1, y1, _) = house.pieces[_inner(house)].shape.bounds()  # type: ignore[union-attr]
    top = z0 + WALL
    house.add(Piece("P-9/L1", "other_wall", "P-9 partition", 1, box((x0, y1, z0), (x1, y1 + 1.2, top), 1), "P-9",
                    material="Timber"))
    for name, low in (("lower", top - 2 * PLY), ("upper", top - PLY)):
        house.add(Piece(f"P-9/L1/top-{name}-1", "top_plate", "Top plate 38x140", 1,
                        box((x0, y1, low), (x1, y1 + 1.2, low + PLY), 1), "P-9", material="Spruce", variant=name,
                        type_name="Top plate 38x140"))


def _inner(house: House) -> str:
    """The inner shear wall whose north end stands free."""
    return "SW-5/L1" if house.name == "two-storey" else "SW-6/L1"


def _defect(name: str, rule: str, change: object, where: dict[str, Where], *also: str,
            silent: tuple[str, ...] = ()) -> Defect:
    text = change.__doc__ or ""
    return Defect(name, rule, "fail", text, change, where, also, silent, together=True)  # type: ignore[arg-type]


DEFECTS = (
    _defect("bolt-off-middle", "sill-bolt-off-middle", bolt_off_middle, both(in_wall("SW-4", 1, "bolt-1"))),
    _defect("stem-thin", "rod-near-concrete-edge", stem_thin, {
        "two-storey": at_end("SW-2", 1, "1a", "anchor"), "three-storey": at_end("SW-2", 1, "1a", "rod")},
            "hardware-not-a-set", "pull-exceeds-weakest-link"),
    _defect("rod-in-soil", "rod-near-soil", rod_in_soil, both(at_end("SW-5", 1, "1a", "anchor"))),
    _defect("nut-half-on", "nut-off-thread", nut_half_on, both(at_end("SW-1", 1, "2a", "base-nut"))),
    _defect("roof-tie-gone", "roof-tie-missing", roof_tie_gone, both(on("", "roof/rafter-south-4"))),
    _defect("drain-at-anchor", "drain-near-anchor", drain_at_anchor,
            both(Where(("SW-1/L1/3a/anchor", "plumbing/drain-at-anchor"))), "drain-in-anchor-cone"),
    _defect("drain-in-cone", "drain-in-anchor-cone", drain_in_cone,
            both(Where(("SW-1/L1/3b/anchor", "plumbing/drain-in-cone")))),
    _defect("pipe-at-nut", "nut-out-of-reach", pipe_at_nut, both(at_end("SW-1", 1, "1b", "base-nut"))),
    _defect("pipe-through-panel", "sheathing-pierced", duct_through_panel,
            both(Where(("plumbing/outlet-through-panel",), "SW-4/L1", "SW-4", "Level 1"))),
    _defect("box-in-post", "electrical-box-in-hardware", box_in_post, both(on("Level 1", "electrical/box-in-post"))),
    _defect("box-in-panel", "electrical-box-in-hardware", box_in_panel, both(on("Level 1", "electrical/box-in-panel"))),
    _defect("plies-loose", "post-plies-loose", plies_loose, both(at_end("SW-1", 1, "2b", "post"))),
    _defect("block-gone", "floor-empty-under-post", block_gone, both(at_end("SW-1", 2, "2a", "post"))),
    _defect("rim-gone", "sole-without-blocking", rim_gone, both(in_wall("SW-2", 2)), "floor-empty-under-post"),
    _defect("strap-slipped", "strap-end-too-short", strap_slipped,
            {"three-storey": at_end("SW-3", 3, "2b", "strap")}),
    _defect("plate-bored", "shear-wall-plate-bored", plate_bored,
            both(Where(("plumbing/drain-through-plate",), "SW-4/L1", "SW-4", "Level 1"))),
    _defect("studs-gone", "studs-far-apart", studs_gone, both(in_wall("SW-4", 2))),
    _defect("wall-in-line", "collector-parted", wall_in_line,
            {"two-storey": in_wall("SW-5", 1), "three-storey": in_wall("SW-6", 1)}),
    _defect("hole-cut", "sheathing-cut-out", hole_cut, both(in_wall("SW-3", 2, "cut-out")),
            silent=("panelised",)),
)
