"""Seeded defects of loads and strengths: sources that disagree, perforated walls, continuous rods, leaning walls."""

from __future__ import annotations

from collections.abc import Callable

from ..pieces import House, Measure
from .base import Defect, Where
from .demand import cell, segment_narrow, set_cell
from .edit import at_end, both, in_wall, on

RUN = {"three-storey": at_end("SW-2", 2, "2a", "rod", "coupler", "bearing-plate")}


def add_column(house: House, table: str, title: str, cells: dict[str, str]) -> None:
    """A further column of a schedule, filled for the rows that begin with the given words."""
    rows = house.schedules[table]
    rows[0].append(title)
    for row in rows[1:]:
        row.append(cells.get(row[0], ""))


def demand_row_twice(house: House) -> None:
    """The demand schedule gives the shear of SW-1 on Level 1 twice, the second time 20 % less."""
    rows = house.schedules["wall-demands"]
    first = next(row for row in rows[1:] if row[:2] == ["SW-1", "Level 1"])
    rows.append([*first[:2], f"{0.8 * float(first[2]):.2f}", first[3], "wind ASD"])


def capacity_row_twice(house: House) -> None:
    """The hold-down schedule gives the tension of TD-2 twice, the second time larger."""
    rows = house.schedules["hold-downs"]
    first = next(row for row in rows[1:] if row[0] == "TD-2")
    rows.append([first[0], "26", "wind ASD", *first[3:]])


def perforated_plate_weak(house: House) -> None:
    """SW-4 is designed as perforated, but its sole plate is held against 0.5 kN/m of uplift only."""
    set_cell(house, "shear-walls", ("SW-4",), "method", "perforated")
    add_column(house, "shear-walls", "plate uplift (kN/m)", {"SW-4": "0.5"})
    add_column(house, "shear-walls", "level", {"SW-4": "ASD wind"})


def perforated_end_narrow(house: House) -> None:
    """The inner wall is designed as perforated, and on the top storey too short to count as full height at its ends."""
    segment_narrow(house)
    set_cell(house, "shear-walls", ("SW-5" if house.name == "two-storey" else "SW-6",), "method", "perforated")


def take_up_missing(house: House) -> None:
    """No take-up device under the nut of a continuous rod, over sawn joists."""
    house.remove("SW-2/L2/2a/take-up")
    nut = house.pieces["SW-2/L2/2a/bearing-nut"]
    if nut.shape is None:
        raise ValueError("the nut has no shape")
    nut.shape = nut.shape.moved((0.0, 0.0, -0.040))


def _thin(house: House, key: str) -> None:
    rod = house.pieces[key]
    points = rod.shape.points  # type: ignore[union-attr]
    rod.shape = type(rod.shape)(points, 0.00635, rod.shape.inner)  # type: ignore[union-attr, call-arg, arg-type]
    rod.props["rod_diameter"] = Measure(0.0127)
    rod.name = rod.type_name = rod.name.replace("15.9", "12.7")


def rod_thinner_below(house: House) -> None:
    """The lowest piece of a continuous rod is a size smaller than the one above."""
    _thin(house, "SW-2/L1/2a/rod")


def coupler_too_small(house: House) -> None:
    """The coupler between two pieces of 15.9 mm is one for 12.7 mm."""
    house.pieces["SW-2/L2/2a/coupler"].props["rod_diameter"] = Measure(0.0127)


def deflection_over_limit(house: House) -> None:
    """The engineer allows SW-4 to lean 1 mm only."""
    set_cell(house, "shear-walls", ("SW-4",), "deflection limit", "1")


def post_overpushed(house: House) -> None:
    """The engineer gives a compression of 35 kN, the scheduled post takes 30 kN."""
    key = ("SW-1", "Level 1", "west")
    set_cell(house, "wall-ends", key, "compression", "35")
    set_cell(house, "wall-ends", key, "level", "ASD wind")
    set_cell(house, "hold-downs", ("TD-2",), "post compression", "30")


def sill_bolts_overloaded(house: House) -> None:
    """The engineer's shear of SW-4 on Level 1 is 30 kN, which its nailing takes and its six sill bolts do not."""
    set_cell(house, "wall-demands", ("SW-4", "Level 1"), "shear", "30")


def seismic_governs(house: House) -> None:
    """Seismic shears as large as the wind's stand beside them; against these the devices are rated at 3 kN."""
    rows = house.schedules["wall-demands"]
    rows += [[row[0], row[1], row[2], row[3], "ASD seismic"] for row in rows[1:] if row[0] == "SW-1"]
    ties = house.schedules["hold-downs"]
    ties += [[row[0], "3", "ASD seismic", *row[3:]] for row in ties[1:] if row[0] in {"TD-1", "TD-2"}]
    if float(cell(house, "wall-demands", ("SW-1", "Level 1"), "shear")) <= 0:
        raise ValueError("SW-1 carries no shear")


def _defect(
    name: str, rule: str, change: Callable[[House], None], where: dict[str, Where], *also: str, needs: str = "schedules"
) -> Defect:
    return Defect(name, rule, "fail", change.__doc__ or "", change, where, also, needs=needs)


_INNER = {"two-storey": in_wall("SW-5", 2), "three-storey": in_wall("SW-6", 3)}
NARROW = ("segment-too-narrow", "upper-end-stands-on-lower-end", "tie-reaches-foundation", "wall-end-has-tie")

DEFECTS = (
    _defect("shear-in-two-rows", "demands-disagree", demand_row_twice, both(in_wall("SW-1", 1))),
    _defect("capacity-in-two-rows", "capacities-disagree", capacity_row_twice,
            both(on("Level 1", "SW-1/L1/1a/base-tie"))),
    _defect("perforated-plate-weak", "perforated-plate-uplift", perforated_plate_weak, both(in_wall("SW-4", 1))),
    _defect("perforated-end-narrow", "perforated-wall-conditions", perforated_end_narrow, _INNER, *NARROW,
            "pull-exceeds-weakest-link"),
    _defect("take-up-missing", "rod-movement-too-large", take_up_missing, RUN, needs=""),
    _defect("rod-thinner-below", "rod-thinner-below", rod_thinner_below,
            {"three-storey": at_end("SW-2", 2, "2a", "rod")}, needs=""),
    _defect("coupler-too-small", "coupler-misfits", coupler_too_small, RUN, needs=""),
    _defect("deflection-over-limit", "wall-deflects-too-far", deflection_over_limit, both(in_wall("SW-4", 1))),
    _defect("post-overpushed", "push-exceeds-post", post_overpushed, both(at_end("SW-1", 1, "1a", "post"))),
    _defect("sill-bolts-overloaded", "shear-exceeds-sill-bolts", sill_bolts_overloaded, both(in_wall("SW-4", 1)),
            "pull-exceeds-weakest-link"),
    _defect("seismic-governs", "pull-exceeds-weakest-link", seismic_governs, both(at_end("SW-1", 1, "1a", "base-tie"))),
)
