"""Seeded defects at the foot of walls and in their sheathing."""

from __future__ import annotations

from ..pieces import House, Measure
from .base import Defect, Where
from .edit import BOTH, both, ends_of, in_wall, rebox, retube, shift


def _bolts(house: House, plate: str) -> list[int]:
    """Numbers of the bolts through one plate piece."""
    return [int(p.key.rsplit("-", 1)[1]) for p in house.of_kind("anchor_bolt") if p.variant == plate]


def _names(wall: str, number: int) -> list[str]:
    return [f"{wall}/{name}-{number}" for name in ("bolt", "washer", "nut")]


def one_bolt(house: House) -> None:
    """The last plate piece of SW-1 has one anchor bolt."""
    plate = max(k for k in house.pieces if k.startswith("SW-1/L1/sole-"))
    for number in _bolts(house, plate)[1:]:
        house.remove(*_names("SW-1/L1", number))


def bolt_shallow(house: House) -> None:
    """The first anchor bolt of SW-1's first plate piece is 100 mm in the concrete."""
    bolt = house.pieces[f"SW-1/L1/bolt-{_bolts(house, 'SW-1/L1/sole-1')[0]}"]
    start, _ = ends_of(house, bolt.key)
    retube(bolt, start=(start[0], start[1], -0.100))


def bolts_far_apart(house: House) -> None:
    """The bolts between the first and the last of a plate piece are gone."""
    for number in _bolts(house, "SW-4/L1/sole-1")[1:-1]:
        house.remove(*_names("SW-4/L1", number))


def bolt_too_near(house: House) -> None:
    """The first bolt past a splice is 50 mm from the plate's end."""
    first = _bolts(house, "SW-1/L1/sole-2")[0]
    shift(house, _names("SW-1/L1", first), (-0.100, 0.0, 0.0))


def bolt_too_far(house: House) -> None:
    """The first bolt is 450 mm from the plate's end."""
    first = _bolts(house, "SW-4/L1/sole-1")[0]
    at = house.pieces[f"SW-4/L1/bolt-{first}"].shape.points[0][1]  # type: ignore[union-attr]
    shift(house, _names("SW-4/L1", first), (0.0, 0.140 + 0.450 - at, 0.0))


def foundation_short(house: House) -> None:
    """Stem wall and footing under SW-3 stop at 3.0 m from the south face, before the wall's second length."""
    for part in ("stem", "footing"):
        rebox(house.pieces[f"foundation/{part}-SW-3"], 1, high=3.0)


def sheathing_missing(house: House) -> None:
    """A shear wall without panels."""
    house.remove(*(k for k in house.pieces if k.startswith("SW-4/L1/panel-")))


def nails_unsaid(house: House) -> None:
    """A shear wall whose nailing is not given."""
    for name in ("edge_nail_spacing", "field_nail_spacing", "nail_diameter"):
        del house.pieces["SW-1/L1"].props[name]


def nails_other(house: House) -> None:
    """Edge nails at 152.4 mm where the schedule says 101.6 mm."""
    house.pieces["SW-1/L2"].props["edge_nail_spacing"] = Measure(0.1524)


_LAST = {"two-storey": "sole-3", "three-storey": "sole-3"}

DEFECTS = (
    Defect(
        "plate-with-one-bolt",
        "sill-bolts-per-plate-piece",
        "fail",
        one_bolt.__doc__ or "",
        one_bolt,
        {name: in_wall("SW-1", 1, sole) for name, sole in _LAST.items()},
        ("sill-bolt-spacing", "sill-bolt-end-distance"),
    ),
    Defect(
        "bolt-shallow",
        "sill-bolt-embedded",
        "fail",
        bolt_shallow.__doc__ or "",
        bolt_shallow,
        both(in_wall("SW-1", 1)),
    ),
    Defect(
        "bolts-far-apart",
        "sill-bolt-spacing",
        "fail",
        bolts_far_apart.__doc__ or "",
        bolts_far_apart,
        both(in_wall("SW-4", 1, "sole-1")),
    ),
    Defect(
        "bolt-too-near-end",
        "sill-bolt-end-distance",
        "fail",
        bolt_too_near.__doc__ or "",
        bolt_too_near,
        both(in_wall("SW-1", 1, "sole-2")),
    ),
    Defect(
        "bolt-too-far-from-end",
        "sill-bolt-end-distance",
        "fail",
        bolt_too_far.__doc__ or "",
        bolt_too_far,
        both(in_wall("SW-4", 1, "sole-1")),
    ),
    Defect(
        "foundation-short",
        "foundation-under-end",
        "fail",
        foundation_short.__doc__ or "",
        foundation_short,
        {
            name: Where(
                ("foundation/stem-SW-3", "foundation/footing-SW-3"), "SW-3/L1", "SW-3", "Level 1", "south", 2
            )
            for name in BOTH
        },
        ("rod-embedded", "tie-reaches-foundation", "sill-bolt-embedded"),
    ),
    Defect(
        "sheathing-missing",
        "sheathing-present",
        "fail",
        sheathing_missing.__doc__ or "",
        sheathing_missing,
        both(in_wall("SW-4", 1)),
        ("nail-pattern-present",),
    ),
    Defect(
        "nailing-unsaid",
        "nail-pattern-present",
        "fail",
        nails_unsaid.__doc__ or "",
        nails_unsaid,
        both(in_wall("SW-1", 1)),
        ("nail-pattern-as-scheduled",),
    ),
    Defect(
        "nailing-not-as-scheduled",
        "nail-pattern-as-scheduled",
        "fail",
        nails_other.__doc__ or "",
        nails_other,
        both(in_wall("SW-1", 2)),
        needs="schedules",
    ),
)
