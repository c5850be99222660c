"""Seeded defects of the model itself: stripped, wrong storeys, parts without a name."""

from __future__ import annotations

from dataclasses import replace

from ..pieces import House
from .base import Defect
from .edit import at_end, both, on

KEPT = {"space", "window", "door", "other_wall", "floor", "opening", "roof"}


def stripped(house: House) -> None:
    """Only plain walls, floors, roof, rooms and windows are left: no shear wall, no tie, no vent."""
    house.remove(*(k for k, p in house.pieces.items() if p.kind not in KEPT))


def storeys_wrong(house: House) -> None:
    """Level 2 is stated at ten times its height."""
    house.storeys = [replace(s, elevation=10 * s.elevation) if s.number == 2 else s for s in house.storeys]


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
