"""When the radon test after occupancy was started."""

from __future__ import annotations

from datetime import date
from typing import Any

from modellint.graph.house import BuildingSubject
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Rung

TABLE, DAY = "radon_tests", 86400.0


def _rows(building: BuildingSubject) -> list[Any]:
    table = building.house.schedules.get(TABLE)
    return [row for row in (table.rows if table is not None else ()) if row.get("occupied")]


@measure("truth", "building", example="true where the table radon_tests has a column occupied")
def occupancy_recorded(building: BuildingSubject, ask: Ask) -> Quantity:
    """Whether the day of occupancy stands beside a radon test."""
    return truth(bool(_rows(building)))


@measure("time", "building", example="45 d from moving in to the first test")
def radon_test_delay(building: BuildingSubject, ask: Ask) -> Quantity:
    """Time from occupancy to the start of the first radon test on record; days are written YYYY-MM-DD."""
    delays = []
    for row in _rows(building):
        try:
            begun, lived = (date.fromisoformat(str(row.get(name)).strip()[:10]) for name in ("date", "occupied"))
        except ValueError:
            lack = Missing("days of the radon test", building.name, "write the days as YYYY-MM-DD")
            return unknown("time", lack)
        said = f"lived in from {lived.isoformat()}, tested from {begun.isoformat()}, line {row.line}"
        delays.append(((begun - lived).days * DAY, said))
    if not delays:
        return unknown("time", Missing("day of occupancy", building.name, "record it in the table radon_tests"))
    delay, said = min(delays)
    return exact(delay, "time", Evidence(said, None, "", Rung.SCHEDULED), rung=Rung.SCHEDULED)
