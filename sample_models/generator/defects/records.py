"""Seeded defects of test records: tables of the project beside the model; all values invented."""

from __future__ import annotations

from ..pieces import House
from .base import Defect
from .edit import at_end, both, on

HEADER = [
    "vent",
    "date",
    "medium",
    "pressure (kPa)",
    "end pressure (kPa)",
    "duration (min)",
    "boundary",
    "start temperature (degC)",
    "end temperature (degC)",
    "fingerprint",
]
VENT = "Soil-gas vent SG-1"


def _record(house: House, **cells: str) -> None:
    row = {
        "vent": VENT,
        "date": "2026-10-02",
        "medium": "water",
        "pressure (kPa)": "30",
        "duration (min)": "15",
        "boundary": "tee to exit",
    } | cells
    house.schedules["vent-tests"] = [HEADER, [row.get(name, "") for name in HEADER]]


def other_vent_tested(house: House) -> None:
    """The table of tests names a vent SG-2 only."""
    _record(house, vent="Soil-gas vent SG-2")


def changed_after_test(house: House) -> None:
    """The record of the test holds another fingerprint than the vent's."""
    _record(house, fingerprint="0123456789ab")


def tested_with_air(house: House) -> None:
    """The plastic vent was tested with air."""
    _record(house, medium="compressed air")


def leaked_in_test(house: House) -> None:
    """Under vacuum the vent lost 1.2 kPa in a quarter of an hour at steady temperature."""
    _record(
        house,
        medium="vacuum",
        **{
            "pressure (kPa)": "-34.5",
            "end pressure (kPa)": "-33.3",
            "start temperature (degC)": "15",
            "end temperature (degC)": "15",
        },
    )


def radon_high(house: House) -> None:
    """At hand-over 260 Bq/m3 were measured in the living room."""
    house.schedules["radon-tests"] = [
        ["place", "date", "result", "duration (d)"],
        ["Living 101", "2027-02-14", "260 Bq/m3", "7"],
        ["Study 203", "2027-02-14", "2.1 pCi/L", "7"],
    ]


def _progress(house: House, **cells: str) -> None:
    house.schedules["progress"] = [list(cells), list(cells.values())]


def built_other_type(house: House) -> None:
    """At the west end of SW-1 on Level 1 a TD-5 is marked as framed, the model shows a TD-2."""
    _progress(house, wall="SW-1", storey="Level 1", end="west", state="framed", date="2026-09-14", type="TD-5")


def covered_untested(house: House) -> None:
    """The vent is marked as covered, and the table of tests names a vent SG-2 only."""
    _record(house, vent="Soil-gas vent SG-2")
    _progress(house, part=VENT, state="covered", date="2026-10-20")


_RUN = on("", "soil-gas/riser-1", host="soil-gas/tee")
DEFECTS = (
    Defect(
        "built-other-type",
        "built-not-as-modelled",
        "fail",
        built_other_type.__doc__ or "",
        built_other_type,
        both(at_end("SW-1", 1, "1a", "base-tie")),
        needs="schedules",
    ),
    Defect(
        "covered-untested",
        "covered-vent-untested",
        "fail",
        covered_untested.__doc__ or "",
        covered_untested,
        both(_RUN),
        also=("vent-test-missing",),
        needs="schedules",
    ),
    Defect(
        "test-of-other-vent",
        "vent-test-missing",
        "fail",
        other_vent_tested.__doc__ or "",
        other_vent_tested,
        both(_RUN),
        needs="schedules",
    ),
    Defect(
        "changed-after-test",
        "vent-test-outdated",
        "fail",
        changed_after_test.__doc__ or "",
        changed_after_test,
        both(_RUN),
        needs="schedules",
    ),
    Defect(
        "tested-with-air",
        "vent-test-air-on-plastic",
        "fail",
        tested_with_air.__doc__ or "",
        tested_with_air,
        both(_RUN),
        needs="schedules",
    ),
    Defect(
        "leaked-in-test",
        "vent-test-pressure-lost",
        "fail",
        leaked_in_test.__doc__ or "",
        leaked_in_test,
        both(_RUN),
        needs="schedules",
    ),
    Defect(
        "radon-high",
        "radon-above-action-level",
        "fail",
        radon_high.__doc__ or "",
        radon_high,
        both(on("", "building")),
        needs="schedules",
    ),
)
