"""Seeded defects of the vent's exit and of the room for a fan."""

from __future__ import annotations

from dataclasses import replace

from ..pieces import House, Measure, Piece
from ..pipes import PipeLine
from ..shapes import Vec, box
from ..sizes import PIPE_BORE, PIPE_OUTSIDE
from ..soil_gas import LEG, SOLID
from .base import Defect
from .edit import both, on, raised, retube, shift

SIDE_OUT = 0.6


def exit_turned(house: House) -> None:
    """Above the roof the last pipe turns level; its mouth points east."""
    pipe, top = house.pieces["soil-gas/exit"], house.pieces["soil-gas/terminal"]
    end = pipe.ports[1]
    start: Vec = pipe.ports[0]
    corner = raised(end, 0.2)
    house.pipe_joints = [j for j in house.pipe_joints if j.second != "soil-gas/terminal"]
    retube(pipe, start=start, end=raised(corner, -LEG))
    line = PipeLine(house, "soil-gas", "soil-gas", ("vent_pipe", "vent_fitting"), (PIPE_OUTSIDE, PIPE_BORE))
    bend = line.bend("bend-top", pipe.storey, corner, ((0.0, 0.0, -1.0), (1.0, 0.0, 0.02)))
    out = bend.ports[1]
    last: Vec = (out[0] + 0.3, out[1], out[2] + 0.006)
    line.pipe("exit-level", pipe.storey, out, last, "Soil-gas vent end", props=SOLID, variant="exit")
    tip: Vec = (last[0] + 0.1, last[1], last[2] + 0.002)
    top.shape = replace(top.shape, points=(last, tip))  # type: ignore[type-var]
    top.ports = (last,)
    for a, i, b, j in (
        ("exit", 1, "bend-top", 0),
        ("bend-top", 1, "exit-level", 0),
        ("exit-level", 1, "terminal", 0),
    ):
        line.join(a, i, b, j)


def mouth_covered(house: House) -> None:
    """A beam lies 100 mm above the mouth."""
    top = house.pieces["soil-gas/terminal"].shape.points[-1]  # type: ignore[union-attr]
    low = (top[0] - 1.0, top[1] - 0.07, top[2] + 0.10)
    high = (top[0] + 1.0, top[1] + 0.07, top[2] + 0.24)
    house.add(
        Piece(
            "roof/sign-beam",
            "beam",
            "Beam over the roof 140x140",
            house.pieces["soil-gas/terminal"].storey,
            box(low, high, 0),
            material="Wood framing",
            type_name="Beam 140x140",
        )
    )


def side_exit(house: House) -> None:
    """The vent leaves through the north wall of the ground storey and ends 2.4 m above the ground."""
    keep = (
        "tee",
        "collector",
        "cap",
        "crossing",
        "coupling-crossing",
        "riser-1",
        "label-1",
        "terminal",
        "outlet",
    )
    gone = [k for k in house.pieces if k.startswith("soil-gas/") and not k.split("/")[1].startswith(keep)]
    house.remove(*gone)
    house.pipe_joints = [j for j in house.pipe_joints if j.second != "soil-gas/terminal"]
    riser, top = house.pieces["soil-gas/riser-1"], house.pieces["soil-gas/terminal"]
    line = PipeLine(house, "soil-gas", "soil-gas", ("vent_pipe", "vent_fitting"), (PIPE_OUTSIDE, PIPE_BORE))
    (x, y), face = house.facts["riser"], house.facts["breadth"] + SIDE_OUT
    corner: Vec = (x, y, 1.70)
    rise = 0.02 * (face - y)
    outside: Vec = (x, face, 1.70 + rise)
    way = (0.0, face - y, rise)
    retube(riser, end=raised(corner, -LEG))
    low = line.bend("bend-1", 1, corner, ((0.0, 0.0, -1.0), way))
    high = line.bend("bend-2", 1, outside, ((0.0, y - face, -rise), (0.0, 0.0, 1.0)))
    line.pipe("offset", 1, low.ports[1], high.ports[0], "Soil-gas offset", props=SOLID, variant="offset")
    mouth: Vec = (x, face, 2.40)
    line.pipe("exit", 1, high.ports[1], raised(mouth, -0.1), "Soil-gas vent end", props=SOLID, variant="exit")
    top.storey = 1
    top.shape = replace(top.shape, points=(raised(mouth, -0.1), mouth))  # type: ignore[type-var]
    top.ports = (raised(mouth, -0.1),)
    for a, i, b, j in (
        ("riser-1", 1, "bend-1", 0),
        ("bend-1", 1, "offset", 0),
        ("offset", 1, "bend-2", 0),
        ("bend-2", 1, "exit", 0),
        ("exit", 1, "terminal", 0),
    ):
        line.join(a, i, b, j)


def near_property_line(house: House) -> None:
    """The last pipe is noted as 1.2 m from the property line."""
    house.pieces["soil-gas/exit"].props["property_line_distance"] = Measure(1.2)


def power_far(house: House) -> None:
    """The power outlet of the attic stands 3.5 m further west."""
    shift(house, ["soil-gas/outlet"], (-3.5, 0.0, 0.0))


def label_wrong(house: House) -> None:
    """The label on the ground storey says "Vent pipe"."""
    label = house.pieces["soil-gas/label-1"]
    label.name, label.props = "Label: Vent pipe", {"text": "Vent pipe"}


def fan_without_room(house: House) -> None:
    """A fan is asked for, and no upright stretch in the low attic has room for it."""
    house.props["soil_gas_level"] = "fan"


_ATTIC = "Attic"
DEFECTS = (
    Defect(
        "exit-turned",
        "exit-mouth-turned",
        "fail",
        exit_turned.__doc__ or "",
        exit_turned,
        both(on(_ATTIC, "soil-gas/exit-level", "soil-gas/terminal")),
        ("exit-above-roof", "exit-near-opening"),
    ),
    Defect(
        "mouth-covered",
        "exit-mouth-covered",
        "fail",
        mouth_covered.__doc__ or "",
        mouth_covered,
        both(on(_ATTIC, "soil-gas/terminal", "roof/sign-beam")),
    ),
    Defect(
        "exit-at-side-wall",
        "exit-near-ground",
        "fail",
        side_exit.__doc__ or "",
        side_exit,
        both(on("Level 1", "soil-gas/terminal", "soil-gas/exit")),
        (
            "exit-above-roof",
            "exit-near-opening",
            "exit-mouth-covered",
            "fan-power-far",
            "vent-in-cold-place",
            "vent-supports-far-apart",
            "stud-hole-too-large",
            "stud-notch-too-deep",
            "plate-cut-too-large",
        ),
    ),
    Defect(
        "property-line-near",
        "exit-near-property-line",
        "fail",
        near_property_line.__doc__ or "",
        near_property_line,
        both(on(_ATTIC, "soil-gas/exit", "soil-gas/terminal")),
    ),
    Defect(
        "power-outlet-far",
        "fan-power-far",
        "fail",
        power_far.__doc__ or "",
        power_far,
        both(on(_ATTIC, "soil-gas/outlet", host="soil-gas/exit")),
    ),
    Defect(
        "label-wording-wrong",
        "label-wording",
        "fail",
        label_wrong.__doc__ or "",
        label_wrong,
        both(on("Level 1", "soil-gas/label-1")),
    ),
    Defect(
        "fan-without-room",
        "fan-room-too-small",
        "fail",
        fan_without_room.__doc__ or "",
        fan_without_room,
        both(on(_ATTIC, "soil-gas/exit", host="soil-gas/riser-1")),
    ),
)
