"""Twelve stories of a change: a house before and after, as they come up on site."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from . import transform
from .defects.edit import foreign_pipe, rebox, shift
from .house import two_storey
from .pieces import House, Measure, Piece
from .shapes import Extrusion, Shape, Tube, Vec, box
from .sizes import DECK, DEPTH, PLY, STEP, WALL

MOVED_IN = 0.300
DEEPER = 0.054
WIDER = 0.600
STEPPED, STEP_AT = 0.300, 3.48
END, OTHER_END = "SW-3/L1/2b", "SW-3/L2/2b"


@dataclass(frozen=True)
class Story:
    """A change: `text` in one sentence; `before` and `after` make the house."""

    name: str
    text: str
    before: Callable[[], House]
    after: Callable[[], House]


def _clean() -> House:
    return two_storey()


def _keys(house: House, *prefixes: str) -> list[str]:
    return [key for key in house.pieces if key.startswith(prefixes)]


def _ends_of(house: House, *ends: str) -> list[str]:
    """Posts, ties, rods and nuts of wall ends."""
    return _keys(house, *(f"{end}/" for end in ends))


def _pipe_in_wall(house: House, x: float, y: float, z: tuple[float, float], storey: int) -> Piece:
    return foreign_pipe(house, (x, y, z[0]), (x, y, z[1]), 0.0603, storey)


# 1 -------------------------------------------------------------------------------------------------------------


def tie_round_a_drain() -> House:
    """The tie at the north end of SW-3 stands 300 mm further in on both storeys, to clear a basin drain there."""
    house = _clean()
    shift(house, _ends_of(house, END, OTHER_END), (0.0, -MOVED_IN, 0.0))
    north = house.pieces["SW-3/L1"].shape.bounds()[1][1]  # type: ignore[union-attr]
    pipe = _pipe_in_wall(house, DEPTH / 2, north - 0.20, (0.60, WALL + 0.20), 1)
    pipe.name = pipe.type_name = "Basin drain 60"
    return house


def basin_deleted() -> House:
    """The basin and its drain are gone; the tie stays where it is."""
    house = tie_round_a_drain()
    house.remove("plumbing/stray-drain", "plumbing/basin-1")
    return house


# 2, 3 ----------------------------------------------------------------------------------------------------------


def shower_added() -> House:
    """A 60 mm drain for a new shower runs down through the rod of SW-1 on Level 2."""
    house = _clean()
    rod = house.pieces["SW-1/L2/1a/rod"].shape
    x, y, _ = rod.points[0]  # type: ignore[union-attr]
    low = STEP + PLY + 0.05
    _pipe_in_wall(house, x, y, (low, low + 1.2), 2)
    return house


def ties_moved_in() -> House:
    """Post, tie and rod of one end of SW-1 stand 300 mm further in on both storeys."""
    house = _clean()
    shift(house, _ends_of(house, "SW-1/L1/2a", "SW-1/L2/2a"), (MOVED_IN, 0.0, 0.0))
    return house


def ties_moved_in_below() -> House:
    """The same on Level 1 only."""
    house = _clean()
    shift(house, _ends_of(house, "SW-1/L1/2a"), (MOVED_IN, 0.0, 0.0))
    return house


# 4, 5 ----------------------------------------------------------------------------------------------------------


def upsized() -> House:
    """One tie is the next size up, for a 22.2 mm rod; its anchor, post and place stay."""
    house = _clean()
    tie = house.pieces["SW-3/L1/2b/base-tie"]
    tie.name = tie.type_name = "Tie-down TD-3"
    tie.mark = "TD-3"
    tie.props = {"mark": "TD-3", "rod_diameter": Measure(0.0222)}
    house.schedules["hold-downs"].append(["TD-3", "36", "ASD wind", "22.2", "114", "450", "50"])
    return house


def two_straps() -> House:
    """Two straps on the end post stand for one tie."""
    house = _clean()
    post = house.pieces["SW-3/L1/2b/post"]
    (x0, y0, _), (_, y1, _) = post.shape.bounds()  # type: ignore[union-attr]
    house.remove("SW-3/L1/2b/base-tie")
    for k, y in enumerate((y0 + 0.010, y1 - 0.042), 1):
        house.add(
            Piece(
                f"SW-3/L1/2b/strap-{k}",
                "strap",
                "Strap tie ST-2 32x1.5",
                1,
                box((x0 - 0.0015, y, -0.10), (x0, y + 0.032, 0.55), 2),
                "SW-3",
                "ST-2",
                "Steel, galvanised",
                {"mark": "ST-2"},
                type_name="Strap tie ST-2",
            )
        )
    return house


# 6, 7 ----------------------------------------------------------------------------------------------------------


def riser_moved() -> House:
    """The soil-gas riser stands 1.8 m further west, with its attic offset and exit, to free a closet."""
    return two_storey(riser=(4.8, 3.6))


def window_widened() -> House:
    """The first window of SW-1 on Level 1 ends 600 mm further east; the storey above and the storey shears stay."""
    house = two_storey(window_end=3.3 + WIDER)
    house.schedules = _clean().schedules
    return house


# 8 -------------------------------------------------------------------------------------------------------------


def deeper_joists() -> House:
    """The floor's joists are 54 mm deeper; all above is that much higher and what runs through is longer."""
    house = _clean()
    level = STEP - DECK
    for piece in house.pieces.values():
        piece.shape = _raised(piece.shape, level) if piece.shape is not None else None
        piece.more_shapes = tuple(_raised(shape, level) for shape in piece.more_shapes)
        piece.ports = tuple(_lift(point, level) for point in piece.ports)
        if piece.axis is not None:
            piece.axis = (_lift(piece.axis[0], level), _lift(piece.axis[1], level))
    house.storeys = [
        replace(row, elevation=row.elevation + (DEEPER if row.number > 1 else 0.0)) for row in house.storeys
    ]
    return house


def _lift(point: Vec, level: float) -> Vec:
    return (point[0], point[1], point[2] + DEEPER) if point[2] >= level - 1e-6 else point


def _raised(shape: Shape, level: float) -> Shape:
    low, high = shape.bounds()
    if low[2] >= level - 1e-6:
        return shape.moved((0.0, 0.0, DEEPER))
    if high[2] < level - 1e-6:
        return shape
    if isinstance(shape, Tube):
        return replace(shape, points=tuple(_lift(point, level) for point in shape.points))
    top = (high[0], high[1], high[2] + DEEPER)
    along = max(range(3), key=lambda k: abs(shape.z[k])) if isinstance(shape, Extrusion) else None
    return box(low, top, along)


# 9 -------------------------------------------------------------------------------------------------------------


def footing_stepped() -> House:
    """Footing and stem wall of SW-1 step 300 mm down at x = 3.48 m for a lower garage slab; wall and anchors stay."""
    house = _clean()
    for part in ("footing", "stem"):
        piece = house.pieces[f"foundation/{part}-SW-1"]
        low, high = piece.shape.bounds()  # type: ignore[union-attr]
        rebox(piece, 0, high=STEP_AT)
        house.add(
            replace(
                piece,
                key=f"{piece.key}-low",
                name=f"{piece.name}, stepped down",
                shape=box((STEP_AT, low[1], low[2] - STEPPED), (high[0], high[1], high[2] - STEPPED), 2),
            )
        )
    return house


# 10, 11 --------------------------------------------------------------------------------------------------------


def tighter_nailing() -> House:
    """Edge nails of SW-1 on Level 1 at 50.8 mm instead of 101.6 mm."""
    house = _clean()
    house.pieces["SW-1/L1"].props["edge_nail_spacing"] = Measure(0.0508)
    return house


def bump_out() -> House:
    """A bay of 11 m2 on the east side: footings, three walls, a slab on its own gravel."""
    house = _clean()
    x0, x1, y0, y1 = 10.8 + 0.2, 13.4, 0.9, 5.1
    walls = {
        "south": ((x0, y0), (x1, y0 + DEPTH)),
        "north": ((x0, y1 - DEPTH), (x1, y1)),
        "east": ((x1 - DEPTH, y0 + DEPTH), (x1, y1 - DEPTH)),
    }
    for side, (low, high) in walls.items():
        house.add(
            Piece(
                f"bay/wall-{side}",
                "other_wall",
                f"Bay wall {side}",
                1,
                box((*low, 0.0), (*high, WALL), 2),
                type_name="Bay wall",
            )
        )
        house.add(
            Piece(
                f"bay/footing-{side}",
                "footing",
                f"Strip footing bay {side}",
                1,
                box((low[0] - 0.15, low[1] - 0.15, -0.75), (high[0] + 0.15, high[1] + 0.15, 0.0), 2),
                material="Concrete, cast in place",
                type_name="Strip footing",
            )
        )
    inside = ((x0, y0 + 0.3), (x1 - 0.3, y1 - 0.3))
    for key, z in (("slab", (-0.10, 0.0)), ("membrane", (-0.10025, -0.10)), ("gravel", (-0.25025, -0.10025))):
        like = house.pieces[f"foundation/{key}"]
        house.add(replace(like, key=f"bay/{key}", shape=box((*inside[0], z[0]), (*inside[1], z[1]), 2)))
    return house


# 12 ------------------------------------------------------------------------------------------------------------

KEPT_SIDE = ("plumbing/stack-", "plumbing/tee-", "plumbing/vent")


def mirrored_lot() -> House:
    """The house mirrored for the next lot, all ids new; the drain stack kept its old side."""
    house = transform.mirror(_clean())
    house.salt = "next lot/"
    old_side = -10.8 + 2 * 2.2
    shift(house, _keys(house, *KEPT_SIDE), (old_side, 0.0, 0.0))
    return house


def renewed(house: House, *, moved: bool = False) -> House:
    """The same house exported again with all ids new; also moved and turned if asked for."""
    made = house.copy()
    made.salt = "exported again/"
    return transform.rotate(transform.move(made, (310.0, -95.5, 0.0)), 37.0) if moved else made


STORIES: tuple[Story, ...] = tuple(
    Story(name, after.__doc__ or "", before, after)
    for name, before, after in (
        ("basin-deleted", tie_round_a_drain, basin_deleted),
        ("shower-added", _clean, shower_added),
        ("ties-moved-in", _clean, ties_moved_in),
        ("ties-moved-in-below", _clean, ties_moved_in_below),
        ("upsized", _clean, upsized),
        ("two-straps", _clean, two_straps),
        ("riser-moved", _clean, riser_moved),
        ("window-widened", _clean, window_widened),
        ("deeper-joists", _clean, deeper_joists),
        ("footing-stepped", _clean, footing_stepped),
        ("tighter-nailing", _clean, tighter_nailing),
        ("bump-out", _clean, bump_out),
        ("mirrored-lot", _clean, mirrored_lot),
    )
)


def story(name: str) -> Story:
    """A story by name."""
    return next(row for row in STORIES if row.name == name)


def names(stories: Iterable[Story] = STORIES) -> list[str]:
    """Names of stories."""
    return [row.name for row in stories]
