"""Seeded defects of the model itself: stripped, wrong storeys, parts without a name."""

from __future__ import annotations

from dataclasses import replace

from ..pieces import House, Piece
from ..shapes import box
from .base import Defect
from .edit import at_end, both, on

KEPT = {"space", "window", "door", "other_wall", "floor", "opening", "roof"}


def stripped(house: House) -> None:
    """Only plain walls, floors, roof, rooms and windows are left: no shear wall, no tie, no vent."""
    house.remove(*(k for k, p in house.pieces.items() if p.kind not in KEPT))


def storeys_wrong(house: House) -> None:
    """Level 2 is stated at ten times its height."""
    house.storeys = [replace(s, elevation=10 * s.elevation) if s.number == 2 else s for s in house.storeys]


def far_wall(house: House) -> None:
    """A wall left over from the site plan stands 300 m away."""
    house.add(Piece("stray-wall", "other_wall", "Old fence wall", 1, box((300.0, 0.0, 0.0), (304.0, 0.14, 2.4)),
                    material="Timber"))


def no_vent(house: House) -> None:
    """The whole soil-gas system is left out, though the building asks for a passive vent."""
    house.remove(*(key for key in house.pieces if key.startswith("soil-gas/")))


def unnamed(house: House) -> None:
    """A tie has no name, no mark and no type."""
    piece = house.pieces["SW-1/L1/2a/base-tie"]
    piece.name = piece.type_name = piece.mark = ""
    piece.props = {}


DEFECTS = (
    Defect(
        "stripped",
        "nothing-recognised",
        "fail",
        stripped.__doc__ or "",
        stripped,
        both(on("", "building")),
        ("wall-end-has-tie", "collector-present"),
    ),
    Defect(
        "storeys-too-high",
        "storey-heights-believable",
        "fail",
        storeys_wrong.__doc__ or "",
        storeys_wrong,
        both(on("Level 2", "storey-2", host="building")),
        ("part-on-other-storey", "wall-ends-of-one-name"),
    ),
    Defect(
        "far-wall",
        "extent-believable",
        "fail",
        far_wall.__doc__ or "",
        far_wall,
        both(on("Level 1", "stray-wall")),
    ),
    Defect(
        "vent-missing",
        "soil-gas-vent-present",
        "open",
        no_vent.__doc__ or "",
        no_vent,
        both(on("", "building")),
        ("collector-present", "gravel-pocket-served", "vent-label-per-storey"),
    ),
    Defect(
        "tie-unnamed",
        "part-unnamed",
        "fail",
        unnamed.__doc__ or "",
        unnamed,
        both(replace(at_end("SW-1", 1, "2a", "base-tie"), host="building")),
        ("wall-end-has-tie", "tie-reaches-foundation"),
    ),
)
