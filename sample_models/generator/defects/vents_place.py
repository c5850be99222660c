"""Seeded defects of what stands round a vent: fan, fire, cold, access, screen, labels, joists, records."""

from __future__ import annotations

from dataclasses import replace

from ..pieces import House, Measure, Piece
from ..shapes import box
from ..sizes import GRAVEL, JOIST, MEMBRANE, SLAB, WALL
from ..soil_gas import LEVEL
from .base import Defect
from .edit import both, foreign_pipe, on, raised, rebox, retube

VENT = "Soil-gas vent SG-1"
JOIST_3 = "floor-2/joist-3"


# --- joists -------------------------------------------------------------------------------------------------


def _drain_at_joist(house: House, y: float, z: float, outside: float) -> Piece:
    """A drain across the third joist of the floor over the ground storey."""
    low, high = house.pieces[JOIST_3].shape.bounds()  # type: ignore[union-attr]
    return foreign_pipe(house, (low[0] - 0.15, y, z), (high[0] + 0.15, y, z), outside, 2)


def joist_bored(house: House) -> None:
    """A 114 mm drain runs through the middle of a floor joist's depth."""
    _drain_at_joist(house, 1.0, WALL + JOIST / 2, 0.1143)


def joist_notched(house: House) -> None:
    """A 60 mm drain is let 55 mm into the underside of a floor joist at mid-span."""
    _drain_at_joist(house, house.facts["breadth"] / 2, WALL + 0.055 - 0.0603 / 2, 0.0603)


def i_joist_bored(house: House) -> None:
    """A 60 mm drain runs through an I-joist whose maker is noted as not allowing it."""
    joist = house.pieces[JOIST_3]
    joist.name = joist.type_name = "Floor I-joist 38x302"
    _drain_at_joist(house, 1.0, WALL + JOIST / 2, 0.0603).props["cut_approved"] = False


# --- fire and cold ------------------------------------------------------------------------------------------


def rated_floor(house: House) -> None:
    """The floor over the ground storey is rated 60 minutes; the riser through it is noted without firestop."""
    house.pieces["floor-2/deck"].props["fire_rating"] = "60"
    house.pieces["soil-gas/riser-2"].props["firestop"] = False


def riser_in_garage(house: House) -> None:
    """The room that the riser goes up through is a garage."""
    room = house.pieces["space-1-3"]
    room.name = "Garage 103"
    room.props = room.props | {"habitable": False}


def cold_pipe_bare(house: House) -> None:
    """The attic offset is noted as not insulated."""
    house.pieces["soil-gas/offset"].props["insulated"] = False


# --- fan and access -----------------------------------------------------------------------------------------


def fan_downstairs(house: House) -> None:
    """A fan stands in the riser in a room of the ground storey, where the first coupling was."""
    coupling = house.pieces["soil-gas/coupling-1"]
    coupling.kind, coupling.variant = "fan", ""
    coupling.name = coupling.type_name = "Soil-gas fan SF-1"


def hatch_behind_wall(house: House) -> None:
    """The attic's hatch lies beyond a wall that parts the attic."""
    base, attic = house.facts["roof_base"], house.pieces["soil-gas/exit"].storey
    middle = house.facts["breadth"] / 2
    house.add(
        Piece(
            "attic/hatch",
            "door",
            "Attic hatch 600x900",
            attic,
            box((2.0, middle - 0.45, base), (2.6, middle + 0.45, base + 0.02), 2),
            material="Plywood",
            type_name="Attic hatch",
        )
    )
    house.add(
        Piece(
            "attic/wall",
            "other_wall",
            "Attic dividing wall",
            attic,
            box((3.30, 0.9, base), (3.40, house.facts["breadth"] - 0.9, base + 0.45), 2),
            material="Wood framing",
            type_name="Attic wall",
        )
    )


# --- screen and labels --------------------------------------------------------------------------------------


def screen_fine(house: House) -> None:
    """The terminal's screen has a mesh of 6 mm."""
    house.pieces["soil-gas/terminal"].props["screen_mesh"] = Measure(0.006)


def screen_wide(house: House) -> None:
    """A screen is asked for; the terminal's has a mesh of 25 mm."""
    house.pieces["soil-gas/terminal"].props["screen_mesh"] = Measure(0.025)


def labels_per_storey(house: House) -> None:
    """Labels are asked for along the pipe; there is one on each storey only."""


# --- records ------------------------------------------------------------------------------------------------


def piece_changed(house: House) -> None:
    """The list of tested pieces holds another fingerprint for the attic offset, and no other piece."""
    offset = house.guid("soil-gas/offset")
    house.schedules["tested-pieces"] = [
        ["vent", "date", "piece", "fingerprint"],
        [VENT, "2026-10-02", offset, "0a0b0c"],
    ]


def covered_first(house: House) -> None:
    """The vent was covered four days before it was tested."""
    house.schedules["vent-tests"] = [
        ["vent", "date", "covered", "medium", "pressure (kPa)", "duration (min)", "boundary"],
        [VENT, "2026-10-02", "2026-09-28", "water", "30", "15", "tee to exit"],
    ]


def membrane_thin(house: House) -> None:
    """The membrane is 0.10 mm thick."""
    sheet = house.pieces["foundation/membrane"]
    sheet.name = sheet.type_name = "Soil-gas membrane 0.10 mm polyethylene"
    sheet.material = "Polyethylene sheet 0.10 mm"
    sheet.props = sheet.props | {"thickness": Measure(0.0001)}
    rebox(sheet, 2, low=-SLAB - 0.0001)


def radon_test_late(house: House) -> None:
    """The radon test was started 100 days after the house was first lived in."""
    house.schedules["radon-tests"] = [
        ["place", "date", "occupied", "result", "duration (d)"],
        ["Living 101", "2027-05-12", "2027-02-01", "60 Bq/m3", "91"],
    ]


# --- sump ---------------------------------------------------------------------------------------------------


def sump_as_suction(house: House) -> None:
    """The riser starts in the sealed lid of a sump pit instead of a tee."""
    gone = ("tee", "collector", "cap", "crossing", "coupling-crossing")
    house.remove(*[k for k in house.pieces if k.startswith("soil-gas/") and k.split("/")[1].startswith(gone)])
    riser = house.pieces["soil-gas/riser-1"]
    x, y, _ = riser.ports[0]
    house.add(
        Piece(
            "drainage/sump",
            "sump",
            "Sump pit with sealed lid",
            1,
            box((x - 0.25, y - 0.25, -SLAB - MEMBRANE - GRAVEL - 0.3), (x + 0.25, y + 0.25, -0.02), 2),
            material="Plastic",
            type_name="Sump pit 500",
            props={"lid_seal": True},
        )
    )
    retube(riser, start=raised((x, y, LEVEL), 0.10))


_ATTIC, _ONE = "Attic", "Level 1"
_RUN = on("", "soil-gas/riser-1", host="soil-gas/tee")
_JOIST = both(replace(on("Level 2", JOIST_3, "plumbing/stray-drain"), storey=""))


def _defect(change: object, rule: str, where: object, also: tuple[str, ...] = (), **more: object) -> Defect:
    name = change.__name__.replace("_", "-")  # type: ignore[attr-defined]
    return Defect(name, rule, "fail", change.__doc__ or "", change, where, also, together=True, **more)  # type: ignore[arg-type]


DEFECTS = (
    _defect(joist_bored, "joist-hole-too-large", _JOIST),
    _defect(joist_notched, "joist-notch-too-deep", _JOIST),
    _defect(i_joist_bored, "engineered-joist-cut", _JOIST),
    _defect(
        rated_floor,
        "vent-crossing-without-firestop",
        both(on("Level 2", "soil-gas/riser-2", "floor-2/deck")),
    ),
    _defect(riser_in_garage, "vent-in-cold-place", both(on(_ONE, "soil-gas/riser-1"))),
    _defect(cold_pipe_bare, "vent-cold-pipe-bare", both(on(_ATTIC, "soil-gas/offset"))),
    _defect(fan_downstairs, "fan-in-wrong-place", both(on(_ONE, "soil-gas/coupling-1"))),
    _defect(hatch_behind_wall, "fan-out-of-reach", both(on(_ATTIC, "attic/hatch", "attic/wall"))),
    _defect(screen_fine, "exit-screen-too-fine", both(on(_ATTIC, "soil-gas/terminal", "soil-gas/exit"))),
    _defect(
        screen_wide,
        "exit-screen-missing",
        both(on(_ATTIC, "soil-gas/terminal", "soil-gas/exit")),
        settings={"exit_screen": "asked"},
    ),
    _defect(
        labels_per_storey,
        "vent-label-spacing",
        both(on(_ONE, "soil-gas/riser-1")),
        settings={"labels_along": "pipe"},
    ),
    _defect(
        piece_changed,
        "vent-piece-changed-since-test",
        both(on(_ATTIC, "soil-gas/offset")),
        needs="schedules",
    ),
    _defect(radon_test_late, "radon-test-late", both(on("", "building")), needs="schedules"),
    _defect(covered_first, "vent-covered-before-test", both(_RUN), needs="schedules"),
    _defect(membrane_thin, "membrane-too-thin", both(on(_ONE, "foundation/membrane", host="foundation/slab"))),
    _defect(
        sump_as_suction,
        "suction-through-sump",
        both(on(_ONE, "drainage/sump", "soil-gas/riser-1")),
        ("gravel-pocket-served", "collector-present"),
    ),
)
