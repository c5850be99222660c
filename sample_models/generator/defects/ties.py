"""Seeded defects in the chain of ties, rods, posts and anchors."""

from __future__ import annotations

from dataclasses import replace
from math import radians, tan

from ..house import three_storey, two_storey
from ..pieces import House, Measure, Piece
from ..shapes import Tube
from .base import Defect, Where
from .edit import BOTH, at_end, both, ends_of, in_wall, raised, rebox, retube, shift, top_storey

CHAIN = "tie-reaches-foundation"


def _top(wall: str, end: str, *names: str) -> dict[str, Where]:
    return {name: at_end(wall, top_storey(name), end, *names) for name in BOTH}


def _roof_level(house: House) -> int:
    return top_storey(house.name)


def tie_missing(house: House) -> None:
    """Top storey: the base tie and its nut are gone, the rod still stands."""
    house.remove(*(f"SW-1/L{_roof_level(house)}/2a/{n}" for n in ("base-tie", "base-nut")))


def end_bare(house: House) -> None:
    """Top storey: nothing of the tie, rod and tie below."""
    top = _roof_level(house)
    house.remove(
        *(f"SW-4/L{top}/1b/{n}" for n in ("base-tie", "base-nut", "rod")),
        *(f"SW-4/L{top - 1}/1b/{n}" for n in ("top-tie", "top-nut")),
    )


def strap_missing(house: House) -> None:
    """The strap over the floor is gone."""
    house.remove("SW-3/L3/2b/strap")


def rod_missing(house: House) -> None:
    """The rod through the floor is gone."""
    house.remove("SW-1/L2/2a/rod")


def top_tie_missing(house: House) -> None:
    """The inverted tie under the floor is gone."""
    house.remove("SW-1/L1/2b/top-tie", "SW-1/L1/2b/top-nut")


def base_tie_missing(house: House) -> None:
    """The ground tie is gone though the anchor is there."""
    house.remove("SW-1/L1/3b/base-tie", "SW-1/L1/3b/base-nut")


def middle_tie_missing(house: House) -> None:
    """The base tie of the middle storey is gone."""
    house.remove("SW-1/L2/3a/base-tie", "SW-1/L2/3a/base-nut")


def anchor_missing(house: House) -> None:
    """The cast-in rod is gone."""
    house.remove("SW-1/L1/2a/anchor")


def coupler_missing(house: House) -> None:
    """No coupler, and 60 mm between the rod pieces."""
    house.remove("SW-2/L2/2a/coupler")
    start, _ = ends_of(house, "SW-2/L2/2a/rod")
    retube(house.pieces["SW-2/L2/2a/rod"], start=raised(start, 0.060))


def bearing_plate_missing(house: House) -> None:
    """The top bearing plate and its nut are gone."""
    house.remove(*(f"SW-2/L3/2b/{name}" for name in ("bearing-plate", "bearing-nut", "take-up")))


def rod_stops_short(house: House) -> None:
    """The rod ends 150 mm under the tie it should run into."""
    rod = house.pieces["SW-1/L2/2a/rod"]
    _, end = ends_of(house, rod.key)
    low = house.pieces["SW-1/L2/2a/base-tie"].shape.bounds()[0][2]  # type: ignore[union-attr]
    retube(rod, end=(end[0], end[1], low - 0.150))


def rod_stops_above(house: House) -> None:
    """The rod ends 80 mm over the inverted tie."""
    rod = house.pieces["SW-1/L2/2b/rod"]
    start, _ = ends_of(house, rod.key)
    high = house.pieces["SW-1/L1/2b/top-tie"].shape.bounds()[1][2]  # type: ignore[union-attr]
    retube(rod, start=(start[0], start[1], high + 0.080))


def thread_shallow(house: House) -> None:
    """The rod reaches 4 mm into the tie: no nut can be on it."""
    rod = house.pieces["SW-4/L2/1a/rod"]
    _, end = ends_of(house, rod.key)
    low = house.pieces["SW-4/L2/1a/base-tie"].shape.bounds()[0][2]  # type: ignore[union-attr]
    retube(rod, end=(end[0], end[1], low + 0.004))


def rod_leans(house: House) -> None:
    """The anchor rod stands 7 degrees off plumb along the wall."""
    rod = house.pieces["SW-1/L1/3b/anchor"]
    start, end = ends_of(house, rod.key)
    retube(rod, start=(start[0] - (end[2] - start[2]) * tan(radians(7.0)), start[1], start[2]))


def anchor_shallow(house: House) -> None:
    """The anchor rod is 90 mm in the concrete."""
    rod = house.pieces["SW-1/L1/1b/anchor"]
    start, _ = ends_of(house, rod.key)
    retube(rod, start=(start[0], start[1], -0.090))
    rod.props["embedment"] = Measure(0.090)


def post_missing(house: House) -> None:
    """The end post of the ground storey is gone."""
    house.remove("SW-1/L1/3a/post")


def post_short(house: House) -> None:
    """The end post stops 300 mm under the plates."""
    post = house.pieces[f"SW-4/L{_roof_level(house)}/1a/post"]
    high = post.shape.bounds()[1][2]  # type: ignore[union-attr]
    rebox(post, 2, high=high - 0.300)


def upper_end_shifted(house: House) -> None:
    """The top wall is 500 mm shorter: its end, post, tie and rod stand off the end below."""
    new = two_storey(2.4) if house.name == "two-storey" else three_storey(2.5)
    house.__dict__.update(new.__dict__)


def column_off_end(house: House) -> None:
    """Post, ties and rods of one end stand 400 mm further in, on all storeys."""
    keys = [k for k, p in house.pieces.items() if k.startswith("SW-1/") and k.split("/")[2:3] == ["2b"]]
    keys += [k for k in house.pieces if "/block-SW-1-" in k and k.endswith("-2b")]
    shift(house, keys, (-0.400, 0.0, 0.0))


def loose_tie(house: House) -> None:
    """A tie in the middle of a segment, far from both ends."""
    house.add(
        Piece(
            "SW-1/L1/loose-tie",
            "hold_down",
            "Tie-down TD-2",
            1,
            _loose_shape(house),
            "SW-1",
            "TD-2",
            "Steel, galvanised",
            {"mark": "TD-2", "rod_diameter": Measure(0.0159)},
            variant="base",
            type_name="Tie-down TD-2",
        )
    )


def _loose_shape(house: House):  # type: ignore[no-untyped-def]
    """A copy of a base tie of the same segment, moved along."""
    key, along = ("SW-1/L1/2a", 1.50) if house.name == "two-storey" else ("SW-1/L1/3a", 1.20)
    return house.pieces[f"{key}/base-tie"].shape.moved((along, 0.0, 0.0))  # type: ignore[union-attr]


def wall_undrawn(house: House) -> None:
    """A shear wall without any shape, and nothing that it is made of."""
    top = _roof_level(house)
    wall = f"SW-4/L{top}"
    house.remove(
        *(k for k, p in house.pieces.items() if k.startswith(f"{wall}/")),
        *(
            k
            for k in house.pieces
            if k.startswith(f"SW-4/L{top - 1}/") and k.endswith(("top-tie", "top-nut"))
        ),
    )
    house.pieces[wall].shape = house.pieces[wall].axis = None


def _upper_wall(name: str) -> Where:
    wall = "SW-5" if name == "two-storey" else "SW-6"
    return at_end(wall, top_storey(name), "1b", "post", "base-tie", "rod")


_DEFECTS = (
    Defect(
        "tie-missing",
        "wall-end-has-tie",
        "fail",
        tie_missing.__doc__ or "",
        tie_missing,
        _top("SW-1", "2a", "base-tie", "base-nut"),
        (CHAIN,),
    ),
    Defect(
        "end-bare",
        "wall-end-has-tie",
        "fail",
        end_bare.__doc__ or "",
        end_bare,
        _top("SW-4", "1b", "base-tie", "base-nut", "rod"),
        (CHAIN,),
    ),
    Defect(
        "strap-missing",
        "wall-end-has-tie",
        "fail",
        strap_missing.__doc__ or "",
        strap_missing,
        {"three-storey": at_end("SW-3", 3, "2b", "strap")},
        (CHAIN,),
    ),
    Defect(
        "rod-missing",
        CHAIN,
        "fail",
        rod_missing.__doc__ or "",
        rod_missing,
        both(at_end("SW-1", 2, "2a", "rod")),
    ),
    Defect(
        "top-tie-missing",
        CHAIN,
        "fail",
        top_tie_missing.__doc__ or "",
        top_tie_missing,
        both(at_end("SW-1", 1, "2b", "top-tie", "top-nut", "post")),
        ("rod-meets-hold-down",),
    ),
    Defect(
        "base-tie-missing",
        CHAIN,
        "fail",
        base_tie_missing.__doc__ or "",
        base_tie_missing,
        both(at_end("SW-1", 1, "3b", "base-tie", "base-nut", "post", "anchor")),
        ("wall-end-has-tie", "rod-meets-hold-down"),
    ),
    Defect(
        "middle-tie-missing",
        CHAIN,
        "fail",
        middle_tie_missing.__doc__ or "",
        middle_tie_missing,
        {"three-storey": at_end("SW-1", 2, "3a", "base-tie", "base-nut", "post", "rod")},
        ("wall-end-has-tie", "rod-meets-hold-down"),
    ),
    Defect(
        "anchor-missing",
        CHAIN,
        "fail",
        anchor_missing.__doc__ or "",
        anchor_missing,
        both(at_end("SW-1", 1, "2a", "anchor", "base-tie")),
        ("rod-embedded",),
    ),
    Defect(
        "coupler-missing",
        CHAIN,
        "fail",
        coupler_missing.__doc__ or "",
        coupler_missing,
        {"three-storey": at_end("SW-2", 2, "2a", "coupler", "rod")},
    ),
    Defect(
        "bearing-plate-missing",
        CHAIN,
        "fail",
        bearing_plate_missing.__doc__ or "",
        bearing_plate_missing,
        {"three-storey": at_end("SW-2", 3, "2b", "bearing-plate", "bearing-nut")},
        ("wall-end-has-tie", "rod-floor-without-plate", "rod-movement-too-large"),
    ),
    Defect(
        "post-missing-in-chain",
        CHAIN,
        "fail",
        post_missing.__doc__ or "",
        post_missing,
        both(at_end("SW-1", 1, "3a", "post", "top-tie", "base-tie")),
        ("end-post-present", "end-post-full-height"),
    ),
    Defect(
        "rod-stops-short",
        "rod-meets-hold-down",
        "fail",
        rod_stops_short.__doc__ or "",
        rod_stops_short,
        both(at_end("SW-1", 2, "2a", "rod", "base-tie")),
        (CHAIN, "rod-thread-engaged"),
    ),
    Defect(
        "rod-stops-above",
        "rod-meets-hold-down",
        "fail",
        rod_stops_above.__doc__ or "",
        rod_stops_above,
        both(at_end("SW-1", 2, "2b", "rod")),
        (CHAIN, "rod-thread-engaged"),
    ),
    Defect(
        "thread-shallow",
        "rod-thread-engaged",
        "fail",
        thread_shallow.__doc__ or "",
        thread_shallow,
        both(at_end("SW-4", 2, "1a", "rod", "base-tie")),
        ("nut-off-thread",),
    ),
    Defect(
        "rod-leans",
        "rod-lean",
        "fail",
        rod_leans.__doc__ or "",
        rod_leans,
        both(at_end("SW-1", 1, "3b", "anchor")),
    ),
    Defect(
        "anchor-shallow",
        "rod-embedded",
        "fail",
        anchor_shallow.__doc__ or "",
        anchor_shallow,
        both(at_end("SW-1", 1, "1b", "anchor")),
    ),
    Defect(
        "post-missing",
        "end-post-present",
        "fail",
        post_missing.__doc__ or "",
        post_missing,
        both(at_end("SW-1", 1, "3a", "post")),
        (CHAIN, "end-post-full-height"),
    ),
    Defect(
        "post-short",
        "end-post-full-height",
        "fail",
        post_short.__doc__ or "",
        post_short,
        _top("SW-4", "1a", "post"),
    ),
    Defect(
        "upper-end-shifted",
        "upper-end-stands-on-lower-end",
        "fail",
        upper_end_shifted.__doc__ or "",
        upper_end_shifted,
        {name: _upper_wall(name) for name in BOTH},
        (CHAIN, "rod-meets-hold-down", "rod-thread-engaged"),
    ),
    Defect(
        "column-off-end",
        "tie-distance-from-end",
        "fail",
        column_off_end.__doc__ or "",
        column_off_end,
        both(at_end("SW-1", 1, "2b", "base-tie", "anchor", "post")),
        ("end-post-present",),
    ),
    Defect(
        "loose-tie",
        "loose-tie",
        "fail",
        loose_tie.__doc__ or "",
        loose_tie,
        both(in_wall("SW-1", 1, "loose-tie")),
    ),
    Defect(
        "shear-wall-undrawn",
        "shear-wall-undrawn",
        "fail",
        wall_undrawn.__doc__ or "",
        wall_undrawn,
        {name: in_wall("SW-4", top_storey(name)) for name in BOTH},
        ("wall-end-has-tie",),
    ),
)


def _hung_at_top(defect: Defect) -> Defect:
    """A chain is told at the wall end it starts from: on the highest storey."""
    if defect.rule != CHAIN:
        return defect
    places = {name: replace(w, host=f"{w.wall}/L{top_storey(name)}") for name, w in defect.where.items()}
    return replace(defect, where=places)


DEFECTS = tuple(_hung_at_top(defect) for defect in _DEFECTS)

__all__ = ["DEFECTS", "Tube"]
