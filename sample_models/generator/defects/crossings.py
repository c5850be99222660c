"""Seeded defects where pipes run through wood and steel."""

from __future__ import annotations

from dataclasses import replace

from ..pieces import House
from .base import Defect, Where
from .edit import STRAY, at_end, both, ends_of, foreign_pipe, in_wall


def drain_through_rod(house: House) -> None:
    """A 60 mm drain in the floor runs through a tie rod."""
    low, high = ends_of(house, "SW-1/L2/2a/rod")
    z = (low[2] + high[2]) / 2
    foreign_pipe(house, (low[0] + 0.01, -0.05, z), (low[0] + 0.01, 1.2, z), 0.0603, 2)


def drain_through_post(house: House) -> None:
    """A 60 mm drain runs through an end post."""
    a, b = house.pieces["SW-1/L1/2b/post"].shape.bounds()  # type: ignore[union-attr]
    x = (a[0] + b[0]) / 2
    foreign_pipe(house, (x, -0.05, 1.2), (x, 0.9, 1.2), 0.0603, 1)


def _crossed_stud(house: House) -> tuple[str, float]:
    """The stud of SW-4 nearest to 0.81 m from its start, and its place along y."""
    studs = [p for p in house.pieces.values() if p.key.startswith("SW-4/L1/stud-")]
    middle = {p.key: (p.shape.bounds()[0][1] + p.shape.bounds()[1][1]) / 2 for p in studs}  # type: ignore[union-attr]
    key = min(middle, key=lambda k: abs(middle[k] - 0.95))
    return key, middle[key]


def hole_too_large(house: House) -> None:
    """An 89 mm drain runs along an exterior wall through the middle of a stud."""
    _, y = _crossed_stud(house)
    x = house.facts["length"] - 0.070
    foreign_pipe(house, (x, y - 0.15, 0.9), (x, y + 0.15, 0.9), 0.0889, 1)


def notch_too_deep(house: House) -> None:
    """A 60 mm drain is let 50 mm into the inner edge of a stud."""
    _, y = _crossed_stud(house)
    x = house.facts["length"] - 0.140 + 0.050 - 0.0603 / 2
    foreign_pipe(house, (x, y - 0.15, 0.9), (x, y + 0.15, 0.9), 0.0603, 1)


def plate_cut(house: House) -> None:
    """An 89 mm drain goes up through the top plates of an exterior wall."""
    _, y = _crossed_stud(house)
    x, y = house.facts["length"] - 0.070, y + 0.2
    top = house.facts["storey_height"]
    foreign_pipe(house, (x, y, 0.6), (x, y, top - 0.02), 0.0889, 1)


def _with_stray(where: Where) -> Where:
    return replace(where, pieces=(*where.pieces, STRAY))


DEFECTS = (
    Defect(
        "drain-through-rod",
        "pipe-through-hardware",
        "fail",
        drain_through_rod.__doc__ or "",
        drain_through_rod,
        both(_with_stray(at_end("SW-1", 2, "2a", "rod"))),
    ),
    Defect(
        "drain-through-post",
        "pipe-through-hardware",
        "fail",
        drain_through_post.__doc__ or "",
        drain_through_post,
        both(_with_stray(at_end("SW-1", 1, "2b", "post"))),
        ("stud-hole-too-large", "sheathing-pierced"),
    ),
    Defect(
        "stud-hole-too-large",
        "stud-hole-too-large",
        "fail",
        hole_too_large.__doc__ or "",
        hole_too_large,
        both(_with_stray(in_wall("SW-4", 1, "stud-2"))),
    ),
    Defect(
        "stud-notch-too-deep",
        "stud-notch-too-deep",
        "fail",
        notch_too_deep.__doc__ or "",
        notch_too_deep,
        both(_with_stray(in_wall("SW-4", 1, "stud-2"))),
    ),
    Defect(
        "plate-cut-too-large",
        "plate-cut-too-large",
        "fail",
        plate_cut.__doc__ or "",
        plate_cut,
        both(_with_stray(in_wall("SW-4", 1, "top-lower-1", "top-upper-1"))),
        ("shear-wall-plate-bored",),
    ),
)
