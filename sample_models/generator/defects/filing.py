"""Seeded defects of filing: wrong storeys, walls and schedules that do not meet, design basis unsaid or said twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ..pieces import House
from .base import Defect, Where
from .edit import at_end, both, in_wall, on


def wrong_storey(house: House) -> None:
    """A tie of Level 1 is filed on Level 2."""
    house.pieces["SW-1/L1/2a/base-tie"].storey = 2


def wall_not_drawn(house: House) -> None:
    """The shear-wall schedule has a wall SW-9 that nobody drew."""
    rows = house.schedules["shear-walls"]
    rows.append(["SW-9", *rows[-1][1:]])


def wall_not_scheduled(house: House) -> None:
    """The shear-wall schedule has no row for SW-4."""
    house.schedules["shear-walls"] = [row for row in house.schedules["shear-walls"] if row[0] != "SW-4"]


def nail_half_said(house: House) -> None:
    """The schedule gives the nail of SW-3 as 8d."""
    rows = house.schedules["shear-walls"]
    nail = rows[0].index("nail")
    house.schedules["shear-walls"] = [[*row[:nail], "8d", *row[nail + 1:]] if row[0] == "SW-3" else row for row in rows]


def no_wind(house: House) -> None:
    """The model names no design wind."""
    basis = house.props["design_basis"]
    house.props["design_basis"] = {name: value for name, value in basis.items() if "Wind" not in name}


def other_wind(house: House) -> None:
    """The site names another design wind than the building."""
    house.props["site_design_basis"] = {"BasicWindSpeed": "51 m/s, exposure C"}


def vent_as_plumbing(house: House) -> None:
    """The whole soil-gas vent is filed in the system of the plumbing vents."""
    for piece in house.pieces.values():
        if piece.system == "soil-gas":
            piece.system = "plumbing-vent"


def name_twice(house: House) -> None:
    """SW-4 has the name and mark of SW-3."""
    for wall in (piece for piece in house.pieces.values() if piece.key in {"SW-4/L1", "SW-4/L2", "SW-4/L3"}):
        wall.name, wall.mark, wall.wall = wall.name.replace("SW-4", "SW-3"), "SW-3", "SW-3"


def post_unsaid(house: House) -> None:
    """The hold-down schedule gives TD-2's tension without the post that it is meant for."""
    rows = house.schedules["hold-downs"]
    post = rows[0].index("minimum post thickness (mm)")
    house.schedules["hold-downs"] = [
        [*row[:post], "", *row[post + 1:]] if row[0] == "TD-2" else row for row in rows]


def _defect(name: str, rule: str, change: Callable[[House], None], where: dict[str, Where], expect: str = "fail",
            **more: object) -> Defect:
    return Defect(name, rule, expect, change.__doc__ or "", change, where, together=True, **more)  # type: ignore[arg-type]


DEFECTS = (
    _defect("tie-on-wrong-storey", "part-on-other-storey", wrong_storey,
            both(replace(at_end("SW-1", 1, "2a", "base-tie"), host="building"))),
    _defect("scheduled-wall-not-drawn", "scheduled-wall-not-found", wall_not_drawn, both(on("", "building")),
            needs="schedules"),
    _defect("wall-not-scheduled", "shear-wall-not-scheduled", wall_not_scheduled, both(in_wall("SW-4", 1)),
            needs="schedules"),
    _defect("nail-half-said", "sheathing-half-described", nail_half_said, both(in_wall("SW-3", 1)),
            needs="schedules"),
    _defect("wall-named-twice", "wall-ends-of-one-name", name_twice, both(on("", "building")),
            also=("scheduled-wall-not-found",)),
    _defect("post-unsaid", "device-half-described", post_unsaid, both(in_wall("SW-1", 1, "1a/base-tie")),
            needs="schedules"),
    _defect("no-design-wind", "design-basis-unsaid", no_wind, both(on("", "building")), "open"),
    _defect("vent-filed-as-plumbing", "vent-filed-as-plumbing", vent_as_plumbing, both(Where(("soil-gas/riser-1",)))),
    _defect("two-design-winds", "design-basis-disagrees", other_wind, both(on("", "building"))),
)
