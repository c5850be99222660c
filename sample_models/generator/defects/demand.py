"""Seeded defects of demand and capacity, hardware as a set, washers, plates, nailing, fixtures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ..house import three_storey, two_storey
from ..pieces import House, Measure, Piece
from ..shapes import box
from .base import Defect, Where
from .edit import at_end, both, in_wall, on, rebox, shift, top_storey

PULL, SET, TIE = "pull-exceeds-weakest-link", "hardware-not-a-set", "tie-not-as-scheduled"
LOOSE = "plumbing/loose-basin"


def set_cell(house: House, table: str, first: tuple[str, ...], column: str, value: str) -> None:
    """Change a cell of a schedule: the row that begins with `first`, the column whose title begins so."""
    rows = house.schedules[table]
    place = next(k for k, title in enumerate(rows[0]) if title.startswith(column))
    row = next(row for row in rows[1:] if tuple(row[: len(first)]) == first)
    row[place] = value


def cell(house: House, table: str, first: tuple[str, ...], column: str) -> str:
    """A cell of a schedule, see `set_cell`."""
    rows = house.schedules[table]
    place = next(k for k, title in enumerate(rows[0]) if title.startswith(column))
    return next(row for row in rows[1:] if tuple(row[: len(first)]) == first)[place]


def remark(piece: Piece, mark: str) -> None:
    """Make a tie-down one of another mark."""
    piece.mark, piece.name, piece.type_name = mark, f"Tie-down {mark}", f"Tie-down {mark}"
    piece.props["mark"] = mark


def add_row(
    house: House, mark: str, tension: str, rod: str, post: str, embedment: str
) -> None:
    """A further row of the hold-down schedule; lengths in millimetres, tension in kN."""
    house.schedules["hold-downs"].append([mark, tension, "ASD wind", rod, post, embedment, "50"])


def _shear_times(house: House, wall: str, factor: float) -> None:
    key = (wall, "Level 1")
    set_cell(
        house,
        "wall-demands",
        key,
        "shear",
        f"{factor * float(cell(house, 'wall-demands', key, 'shear')):.2f}",
    )


def demand_grown(house: House) -> None:
    """The engineer's shear of SW-1 on Level 1 is four times as large, the hardware is as before."""
    _shear_times(house, "SW-1", 4.0)


def nailing_overloaded(house: House) -> None:
    """The engineer's shear of SW-4 on Level 1 is four times as large, the nailing is as before."""
    _shear_times(house, "SW-4", 4.0)


def upsized_alone(house: House) -> None:
    """A larger device TD-3 on the old rod and anchor."""
    add_row(house, "TD-3", "40", "22.2", "76", "450")
    remark(house.pieces["SW-1/L1/1a/base-tie"], "TD-3")


def smaller_device(house: House) -> None:
    """The schedule puts TD-2 at the west end of SW-2, the model shows TD-1."""
    remark(
        house.pieces["SW-2/L1/1a/base-tie" if house.name == "two-storey" else "SW-1/L1/1a/base-tie"], "TD-1"
    )


def given_twice(house: House) -> None:
    """The engineer gives 12 kN for an end whose wall shear makes another pull."""
    key = ("SW-1", "Level 1", "west")
    set_cell(house, "wall-ends", key, "tension", "12")
    set_cell(house, "wall-ends", key, "level", "ASD wind")


def pushed(house: House) -> None:
    """The engineer gives a compression of 90 kN for an end post on a sill of southern pine."""
    key = ("SW-1", "Level 1", "west")
    set_cell(house, "wall-ends", key, "compression", "90")
    set_cell(house, "wall-ends", key, "level", "ASD wind")


def segment_narrow(house: House) -> None:
    """The inner wall of the top storey is 0.65 m long."""
    other = (two_storey if house.name == "two-storey" else three_storey)(0.65)
    house.pieces, house.joints, house.openings = other.pieces, other.joints, other.openings


def washer_missing(house: House) -> None:
    """A sill bolt of SW-1 without its plate washer."""
    house.remove("SW-1/L1/washer-1")


def washer_small(house: House) -> None:
    """A plate washer 50 mm wide."""
    low, _ = house.pieces["SW-1/L1/washer-1"].shape.bounds()  # type: ignore[union-attr]
    rebox(house.pieces["SW-1/L1/washer-1"], 0, low=low[0] + 0.0135, high=low[0] + 0.0635)


def washer_off_edge(house: House) -> None:
    """A square plate washer in the middle of a wide sill."""
    low, high = house.pieces["SW-1/L1/washer-1"].shape.bounds()  # type: ignore[union-attr]
    middle = (low[1] + high[1]) / 2
    rebox(house.pieces["SW-1/L1/washer-1"], 1, low=middle - 0.0385, high=middle + 0.0385)


def nails_close(house: House) -> None:
    """Edge nails of SW-1 on Level 2 at 50 mm, on single studs."""
    house.pieces["SW-1/L2"].props["edge_nail_spacing"] = Measure(0.050)


def post_moved_in(house: House) -> None:
    """Top storey: post and tie stand 300 mm further in, in the field of the panel."""
    top = top_storey(house.name)
    keys = [f"SW-4/L{top}/1b/{name}" for name in ("post", "base-tie", "base-nut", "rod")]
    shift(
        house, [*keys, *(f"SW-4/L{top - 1}/1b/{name}" for name in ("top-tie", "top-nut"))], (0.0, -0.300, 0.0)
    )


def floor_nut_missing(house: House) -> None:
    """No nut on the bearing plate of the middle storey."""
    house.remove("SW-2/L2/2a/bearing-nut")


def plates_parted(house: House) -> None:
    """The joints of both top plates lie over each other."""
    lower = house.pieces["SW-1/L1/top-lower-1"].shape.bounds()[1][0]  # type: ignore[union-attr]
    rebox(house.pieces["SW-1/L1/top-upper-1"], 0, high=lower)
    rebox(house.pieces["SW-1/L1/top-upper-2"], 0, low=lower)


def basin_unpiped(house: House) -> None:
    """A basin against the shear wall SW-4 without any pipe."""
    face = house.facts["length"] - 0.140
    house.add(
        Piece(
            LOOSE,
            "plumbing_fixture",
            "Wash basin",
            1,
            box((face - 0.5, 1.0, 0.70), (face, 1.55, 0.85), 2),
            material="Ceramic",
            type_name="Wash basin",
            variant="basin",
            system="drainage",
        )
    )


def _defect(
    name: str,
    rule: str,
    change: Callable[[House], None],
    where: dict[str, Where],
    *also: str,
    expect: str = "fail",
    needs: str = "",
) -> Defect:
    return Defect(
        name,
        rule,
        expect,
        change.__doc__ or "",
        change,
        where,
        also,
        needs=needs,
    )


_TOP = {name: at_end("SW-4", top_storey(name), "1b", "post") for name in ("two-storey", "three-storey")}
_INNER = {"two-storey": in_wall("SW-5", 2), "three-storey": in_wall("SW-6", 3)}
_SMALLER = {
    "two-storey": at_end("SW-2", 1, "1a", "base-tie"),
    "three-storey": at_end("SW-1", 1, "1a", "base-tie"),
}

DEFECTS = (
    _defect(
        "post-pressed-too-hard",
        "post-crushes-plate",
        pushed,
        both(at_end("SW-1", 1, "1a", "post")),
        "push-exceeds-post",
        needs="schedules",
    ),
    _defect(
        "demand-grown",
        PULL,
        demand_grown,
        both(at_end("SW-1", 1, "1a", "base-tie")),
        "shear-exceeds-nailing",
        "shear-exceeds-sill-bolts",
        needs="schedules",
    ),
    _defect(
        "device-upsized-alone",
        SET,
        upsized_alone,
        both(at_end("SW-1", 1, "1a", "base-tie")),
        TIE,
        "rod-embedded",
        needs="schedules",
    ),
    _defect("device-smaller-than-scheduled", TIE, smaller_device, _SMALLER, PULL, needs="schedules"),
    _defect(
        "demand-given-twice",
        "demand-given-twice",
        given_twice,
        both(at_end("SW-1", 1, "1a", "base-tie")),
        needs="schedules",
    ),
    _defect(
        "shear-over-nailing",
        "shear-exceeds-nailing",
        nailing_overloaded,
        both(in_wall("SW-4", 1)),
        PULL,
        "shear-exceeds-sill-bolts",
        needs="schedules",
    ),
    _defect(
        "segment-narrow",
        "segment-too-narrow",
        segment_narrow,
        _INNER,
        "upper-end-stands-on-lower-end",
        "tie-reaches-foundation",
        "wall-end-has-tie",
    ),
    _defect(
        "plate-washer-missing", "plate-washer-missing", washer_missing, both(in_wall("SW-1", 1, "bolt-1"))
    ),
    _defect("plate-washer-small", "plate-washer-too-small", washer_small, both(in_wall("SW-1", 1, "bolt-1"))),
    _defect(
        "plate-washer-off-edge",
        "plate-washer-off-edge",
        washer_off_edge,
        both(in_wall("SW-1", 1, "bolt-1")),
        needs="schedules",
    ),
    _defect(
        "close-nails-on-thin-studs", "framing-too-thin-for-nailing", nails_close, both(in_wall("SW-1", 2))
    ),
    _defect(
        "tie-post-off-the-edge-nailing",
        "edge-nailing-misses-post",
        post_moved_in,
        _TOP,
        "tie-reaches-foundation",
        "tie-distance-from-end",
        "floor-empty-under-post",
        expect="open",
    ),
    _defect(
        "floor-nut-missing",
        "rod-floor-without-plate",
        floor_nut_missing,
        {"three-storey": at_end("SW-2", 2, "2a", "bearing-plate")},
        "tie-reaches-foundation",
    ),
    _defect("top-plates-parted", "top-plates-parted", plates_parted, both(in_wall("SW-1", 1, "top-upper-1"))),
    _defect(
        "fixture-unpiped",
        "fixture-without-pipe",
        basin_unpiped,
        both(replace(on("Level 1", LOOSE), wall="SW-4")),
    ),
)
