"""Small edits of a house from which the seeded defects are made."""

from __future__ import annotations

from collections.abc import Iterable

from ..pieces import House, Measure, Piece
from ..shapes import Extrusion, Tube, Vec, add, box
from .base import Where

BOTH = ("two-storey", "three-storey")
STRAY = "plumbing/stray-drain"
COMPASS = {"SW-1": ("west", "east"), "SW-2": ("west", "east")}


def top_storey(house_name: str) -> int:
    """Number of the highest storey."""
    return {"two-storey": 2, "three-storey": 3}[house_name]


def at_end(wall: str, storey: int, end: str, *names: str) -> Where:
    """Place at a wall end such as `2a`: pieces by their names at that end."""
    words = COMPASS.get(wall, ("south", "north"))
    pieces = tuple(f"{wall}/L{storey}/{end}/{name}" for name in names)
    return Where(pieces, f"{wall}/L{storey}", wall, f"Level {storey}", words["ab".index(end[1])], int(end[0]))


def in_wall(wall: str, storey: int, *names: str) -> Where:
    """Place in a wall: pieces by their names in it; the wall itself if none is given."""
    key = f"{wall}/L{storey}"
    return Where(tuple(f"{key}/{name}" for name in names) or (key,), key, wall, f"Level {storey}")


def on(storey: str, *pieces: str, host: str = "") -> Where:
    """Place by keys and storey name."""
    return Where(pieces, host or pieces[0], "", storey)


def both(where: Where) -> dict[str, Where]:
    """The same place in both houses."""
    return dict.fromkeys(BOTH, where)


def shift(house: House, keys: Iterable[str], by: Vec) -> None:
    """Move pieces with their ports."""
    for key in keys:
        piece = house.pieces[key]
        if piece.shape is not None:
            piece.shape = piece.shape.moved(by)
        piece.more_shapes = tuple(shape.moved(by) for shape in piece.more_shapes)
        piece.ports = tuple(add(p, by) for p in piece.ports)


def rebox(piece: Piece, axis: int, low: float | None = None, high: float | None = None) -> None:
    """Give an upright box other limits along one axis."""
    if not isinstance(piece.shape, Extrusion):
        raise TypeError(f"{piece.key} is not a box")
    a, b = (list(corner) for corner in piece.shape.bounds())
    a[axis] = a[axis] if low is None else low
    b[axis] = b[axis] if high is None else high
    along = max(range(3), key=lambda k: abs(piece.shape.z[k]))  # type: ignore[union-attr]
    piece.shape = box((a[0], a[1], a[2]), (b[0], b[1], b[2]), along)


def retube(piece: Piece, start: Vec | None = None, end: Vec | None = None) -> None:
    """Give a straight rod or pipe other ends; ports that sat on an end go along."""
    if not isinstance(piece.shape, Tube):
        raise TypeError(f"{piece.key} is not round")
    old = piece.shape.points
    new = (start or old[0], *old[1:-1], end or old[-1])
    ends = {old[0]: new[0], old[-1]: new[-1]}
    piece.ports = tuple(ends.get(p, p) for p in piece.ports)
    piece.shape = Tube(new, piece.shape.radius, piece.shape.inner)


def ends_of(house: House, key: str) -> tuple[Vec, Vec]:
    """Both ends of a rod or pipe."""
    shape = house.pieces[key].shape
    if not isinstance(shape, Tube):
        raise TypeError(f"{key} is not round")
    return shape.points[0], shape.points[-1]


def raised(point: Vec, z: float) -> Vec:
    """A point moved up."""
    return (point[0], point[1], point[2] + z)


def foreign_pipe(house: House, start: Vec, end: Vec, outside: float, storey: int) -> Piece:
    """A drain pipe of its own, joined to nothing."""
    return house.add(
        Piece(
            STRAY,
            "plumbing_pipe",
            f"Drain {outside * 1000:.0f}",
            storey,
            Tube((start, end), outside / 2, outside / 2 - 0.004),
            material="PVC pipe",
            system="drainage",
            ports=(start, end),
            type_name=f"Drain {outside * 1000:.0f}",
            props={
                "outside_diameter": Measure(outside),
                "inside_diameter": Measure(round(outside - 0.008, 6)),
            },
        )
    )
