"""Seeded defects of houses with several vents or slabs."""

from __future__ import annotations

from dataclasses import replace

from ..pieces import House, PipeJoint
from ..soil_variants import WEST
from .base import Defect
from .edit import on, raised, retube


def west_vent_missing(house: House) -> None:
    """The vent of the western pocket is left out, the footing still parts the gravel."""
    house.remove(*[key for key in house.pieces if key.startswith(f"{WEST}/")])


def west_exit_low(house: House) -> None:
    """The second vent ends 250 mm lower than it should over the roof."""
    riser, top = house.pieces[f"{WEST}/riser-2"], house.pieces[f"{WEST}/terminal"]
    low = raised(riser.ports[1], -0.25)
    retube(riser, end=low)
    retube(top, low, raised(top.shape.points[-1], -0.25))  # type: ignore[union-attr]


def west_coupling_missing(house: House) -> None:
    """The coupling of the second vent is gone; the first vent is whole."""
    house.remove(f"{WEST}/coupling-1")


def west_label_missing(house: House) -> None:
    """The second vent has no label on the upper storey."""
    house.remove(f"{WEST}/label-2")


def west_collector_short(house: House) -> None:
    """The northern collector of the second vent is 0.75 m long instead of 1.6 m."""
    pipe, cap = house.pieces[f"{WEST}/collector-north"], house.pieces[f"{WEST}/cap-north"]
    start = pipe.ports[0]
    end = (start[0], start[1] + 0.75, start[2])
    retube(pipe, end=end)
    retube(cap, end, (end[0], end[1] + 0.04, end[2]))


def crossing_missing(house: House) -> None:
    """No pipe goes through the footing to the gravel of the western slab."""
    house.remove(
        *(
            f"soil-gas/{name}"
            for name in ("coupling-crossing-1", "crossing", "coupling-crossing-2", "collector-far", "cap-far")
        )
    )
    cap = house.pieces["soil-gas/cap-east"]
    end = house.pieces["soil-gas/collector-west"].ports[1]
    tip = (end[0] - 0.04, end[1], end[2])
    house.add(replace(cap, key="soil-gas/cap-west", shape=replace(cap.shape, points=(end, tip)), ports=(end,)))  # type: ignore[type-var]
    house.pipe_joints.append(PipeJoint("soil-gas/collector-west", 1, "soil-gas/cap-west", 0))


def west_gravel_missing(house: House) -> None:
    """The western slab lies on the soil: no gravel under it."""
    house.remove("foundation/gravel-west")


def west_membrane_missing(house: House) -> None:
    """No membrane under the western slab."""
    house.remove("foundation/membrane-west")


def _defect(
    change: object, rule: str, house: str, where: object, also: tuple[str, ...] = (), expect: str = "fail"
) -> Defect:
    name = change.__name__.replace("_", "-")  # type: ignore[attr-defined]
    return Defect(name, rule, expect, change.__doc__ or "", change, {house: where}, also)  # type: ignore[arg-type,dict-item]


_TWO, _SPLIT, _ONE = "two-risers", "split-slab", "Level 1"
DEFECTS = (
    _defect(west_vent_missing, "gravel-pocket-served", _TWO, on(_ONE, "foundation/gravel", host="foundation/slab")),
    _defect(west_exit_low, "exit-above-roof", _TWO, on("Attic", f"{WEST}/terminal", f"{WEST}/riser-2")),
    _defect(
        west_coupling_missing,
        "vent-joined",
        _TWO,
        on(_ONE, f"{WEST}/coupling-1", f"{WEST}/riser-1", f"{WEST}/riser-2"),
        ("vent-open-end",),
    ),
    _defect(
        west_label_missing, "vent-label-per-storey", _TWO, on("Level 2", f"{WEST}/label-2", host=f"{WEST}/riser-2")
    ),
    _defect(west_collector_short, "collector-too-short", _TWO, on(_ONE, f"{WEST}/collector-north", host=f"{WEST}/tee")),
    _defect(crossing_missing, "gravel-pocket-served", _SPLIT, on(_ONE, "foundation/gravel-west", "soil-gas/crossing")),
    _defect(
        west_gravel_missing,
        "gravel-under-slab",
        _SPLIT,
        on(_ONE, "foundation/gravel-west", "foundation/slab-west"),
        ("collector-in-gravel", "gravel-pocket-served"),
        "open",  # with one other slab nobody can tell an undrawn layer from a missing one
    ),
    _defect(
        west_membrane_missing,
        "membrane-under-slab",
        _SPLIT,
        on(_ONE, "foundation/membrane-west", "foundation/slab-west"),
        expect="open",
    ),
)
