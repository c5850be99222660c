"""Seeded defects under the slab and above the roof."""

from __future__ import annotations

from ..pieces import House, Measure, Piece
from ..roof import roof_window_shape
from ..shapes import box
from .base import Defect
from .edit import both, on, raised, rebox, retube

NEAR = 2.4  # metres along the roof's length between the pipe's rim and the window's edge


def exit_low(house: House) -> None:
    """The vent ends 200 mm above the roof instead of 450 mm."""
    top = house.pieces["soil-gas/terminal"]
    retube(house.pieces["soil-gas/exit"], end=raised(house.pieces["soil-gas/exit"].ports[1], -0.250))
    top.shape = top.shape.moved((0.0, 0.0, -0.250))  # type: ignore[union-attr]
    top.ports = (raised(top.ports[0], -0.250),)


def roof_window_near(house: House) -> None:
    """The roof window is 2.4 m from the exit, its top about half a metre lower."""
    plan = house.facts["plan"]
    window, void = house.pieces["roof/opening-1/window"], house.pieces["roof/opening-1/void"]
    y = window.shape.bounds()[1][1] - window.shape.z[1] * window.shape.depth  # type: ignore[union-attr]
    wide = window.props["overall_width"].value
    x = plan.exit_at[0] - 0.063 - NEAR - wide
    window.shape = roof_window_shape(plan, x, y)
    void.shape = roof_window_shape(plan, x, y, 0.01, -0.02)


def neighbour_window(house: House) -> None:
    """A window of the neighbouring dwelling, close off the north wall, opens 2.9 m from the exit."""
    plan = house.facts["plan"]
    x, z = plan.exit_at[0], house.pieces["soil-gas/terminal"].shape.points[-1][2]  # type: ignore[union-attr]
    name = "Neighbour, lot 5"
    face = plan.exit_at[1] + 2.95
    house.add(
        Piece(
            "neighbour/wall",
            "other_wall",
            "Neighbour's wall",
            1,
            box((x - 3.0, face, 0.0), (x + 3.0, face + 0.14, z + 1.0), 2),
            "N-1",
            "N-1",
            "Wood framing",
            {"exterior": True, "load_bearing": False},
            building=name,
            type_name="Neighbour wall",
        )
    )
    house.add(
        Piece(
            "neighbour/window",
            "window",
            "Neighbour's window",
            1,
            box((x - 0.5, face + 0.01, z - 0.5), (x + 0.5, face + 0.13, z + 0.5), 2),
            "N-1",
            material="Wood frame, glazed",
            building=name,
            type_name="Window 1000",
            props={
                "operable": True,
                "exterior": True,
                "adjoining_dwelling": True,
                "overall_width": Measure(1.0),
                "overall_height": Measure(1.0),
            },
        )
    )


def gravel_missing(house: House) -> None:
    """No permeable layer is drawn under the slab."""
    house.remove("foundation/gravel")


def gravel_half(house: House) -> None:
    """The gravel lies under the eastern half of the slab only."""
    rebox(house.pieces["foundation/gravel"], 0, low=house.facts["length"] / 2)


def membrane_missing(house: House) -> None:
    """No membrane is drawn under the slab."""
    house.remove("foundation/membrane")


def membrane_half(house: House) -> None:
    """The membrane lies under the eastern half of the slab only."""
    rebox(house.pieces["foundation/membrane"], 0, low=house.facts["length"] / 2)


def pocket_unserved(house: House) -> None:
    """A footing cuts the gravel in two and no pipe reaches the western part (the pipe that did is cut short)."""
    if house.name == "three-storey":
        far = [
            f"soil-gas/{n}"
            for n in ("coupling-crossing-1", "crossing", "coupling-crossing-2", "collector-far")
        ]
        house.remove(*far)
        cap = house.pieces["soil-gas/cap-far"]
        end = house.pieces["soil-gas/collector-west"].ports[1]
    else:
        rebox(house.pieces["foundation/thickening-SW-5"], 1, high=house.facts["breadth"] - 0.20)
        pipe, cap = house.pieces["soil-gas/collector-west"], house.pieces["soil-gas/cap-west"]
        end = (5.70, *pipe.ports[1][1:])
        retube(pipe, end=end)  # type: ignore[arg-type]
    retube(cap, end, (end[0] - 0.04, end[1], end[2]))  # type: ignore[arg-type]
    if house.name == "three-storey":
        from ..pieces import PipeJoint

        house.pipe_joints.append(PipeJoint("soil-gas/collector-west", 1, cap.key, 0))


DEFECTS = (
    Defect(
        "exit-too-low",
        "exit-above-roof",
        "fail",
        exit_low.__doc__ or "",
        exit_low,
        both(on("Attic", "soil-gas/terminal", "soil-gas/exit")),
    ),
    Defect(
        "roof-window-near-exit",
        "exit-near-opening",
        "fail",
        roof_window_near.__doc__ or "",
        roof_window_near,
        both(on("Attic", "soil-gas/terminal", "roof/opening-1/window")),
    ),
    Defect(
        "neighbour-window-near-exit",
        "exit-near-neighbour-opening",
        "fail",
        neighbour_window.__doc__ or "",
        neighbour_window,
        both(on("Attic", "soil-gas/terminal", "neighbour/window")),
    ),
    Defect(
        "gravel-missing",
        "gravel-under-slab",
        "open",
        gravel_missing.__doc__ or "",
        gravel_missing,
        both(on("Level 1", "foundation/gravel", host="foundation/slab")),
        ("collector-in-gravel", "gravel-pocket-served"),
    ),
    Defect(
        "gravel-half",
        "gravel-under-slab",
        "fail",
        gravel_half.__doc__ or "",
        gravel_half,
        both(on("Level 1", "foundation/gravel", host="foundation/slab")),
        ("collector-in-gravel", "gravel-pocket-served"),
    ),
    Defect(
        "membrane-missing",
        "membrane-under-slab",
        "open",
        membrane_missing.__doc__ or "",
        membrane_missing,
        both(on("Level 1", "foundation/membrane", host="foundation/slab")),
    ),
    Defect(
        "membrane-half",
        "membrane-under-slab",
        "fail",
        membrane_half.__doc__ or "",
        membrane_half,
        both(on("Level 1", "foundation/membrane", host="foundation/slab")),
    ),
    Defect(
        "pocket-unserved",
        "gravel-pocket-served",
        "fail",
        pocket_unserved.__doc__ or "",
        pocket_unserved,
        {
            "two-storey": on(
                "Level 1", "foundation/thickening-SW-5", "soil-gas/collector-west", host="foundation/gravel"
            ),
            "three-storey": on(
                "Level 1", "soil-gas/collector-far", "soil-gas/crossing", host="foundation/gravel"
            ),
        },
        ("collector-too-short",),
    ),
)
