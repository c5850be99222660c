"""Pressure test of a vent as a record tells it, and the radon result at hand-over; nothing is filled in."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from math import inf
from typing import Any

from modellint.engineering.constants import STANDARD_PRESSURE
from modellint.engineering.pressure_test import Reading, estimate_drop
from modellint.graph.house import BuildingSubject
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.soil_gas import piping_of
from modellint.graph.vent_fingerprint import fingerprint
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import (
    FALSE,
    Evidence,
    Missing,
    Quantity,
    between,
    exact,
    truth,
    unknown,
    word,
)
from modellint.roles.part import Rung

TABLE, RADON_TABLE = "vent_tests", "radon_tests"
MEDIA = ("air", "water", "vacuum")
WANTED = ("medium", "pressure", "duration", "date", "boundary")
FIELDS = {
    "medium": "test_medium",
    "pressure": "test_pressure",
    "duration": "test_duration",
    "date": "test_date",
    "boundary": "test_boundary",
    "fingerprint": "test_fingerprint",
}
_PLASTIC = re.compile(
    r"\b(pvc|abs|cpvc|hdpe|pe|pp|plastic|polyethylene|polypropylene|vinyl)\b", re.IGNORECASE
)
# air pressure outside changes little in a test of an hour or less (common practice, no source)
WEATHER, HOUR = 100.0, 3600.0


@dataclass
class Record:
    """One test as recorded: column to value in SI or text, where each was read, and the rung."""

    cells: dict[str, Any] = field(default_factory=dict)
    seen: tuple[Evidence, ...] = ()
    rung: Rung = Rung.SCHEDULED

    def get(self, name: str) -> Any:
        """A cell, None if it was not given."""
        return self.cells.get(name)


def names_vent(vent: str, run: VentRun) -> bool:
    """Whether a name in a table means this vent: its own name, or a word of it."""
    wanted, label = " ".join(vent.lower().split()), " ".join(run.name.lower().split())
    return wanted == label or bool(re.search(rf"(?<!\w){re.escape(wanted)}(?!\w)", label))


def record_of(run: VentRun, ask: Ask) -> Record | None:
    """The last test recorded for a vent: from the project's table, else from properties of its pieces."""
    table = ask.house.schedules.get(TABLE)
    rows = [row for row in (table.rows if table is not None else ()) if names_vent(str(row.get("vent", "")), run)]
    if table is not None and rows:
        row = max(rows, key=lambda one: (str(one.get("date", "")), one.line))
        what = f"{table.file}, line {row.line}: " + ", ".join(f"{k} {v}" for k, v in row.written.items())
        return Record(dict(row.cells), (Evidence(what, None, "", Rung.SCHEDULED),))
    return _from_properties(run, ask)


def _from_properties(run: VentRun, ask: Ask) -> Record | None:
    facts = piping_of(ask.house).facts
    found = Record(rung=Rung.DECLARED)
    for part in run.parts:
        for name, quantity in FIELDS.items():
            rows = facts.readings(part.element, quantity)
            if rows and name not in found.cells:
                ask.part(part)
                found.cells[name] = rows[0].value
                found.rung = min(found.rung, rows[0].rung)
                found.seen += (Evidence(rows[0].where, None, "", rows[0].rung, part.element.global_id),)
    return found if found.cells else None


@measure("truth", "vent_run", example="true where medium, pressure and all the rest are on record")
def vent_test_recorded(run: VentRun, ask: Ask) -> Quantity:
    """Whether a pressure test of this vent is on record with medium, pressure, duration, date and boundary.

    False only where the project's table of tests names other vents and not this one. No pressure is ever
    assumed: a record without one is not known.
    """
    record, table = record_of(run, ask), ask.house.schedules.get(TABLE)
    now = Evidence(f"fingerprint of the vent as it stands: {fingerprint(run)}", None, "", run.rung)
    if record is None:
        if table is not None and table.rows:
            return Quantity(
                "truth",
                words=FALSE,
                rung=Rung.SCHEDULED,
                evidence=(Evidence(f"{table.file} names no test of it", None, "", Rung.SCHEDULED), now),
            )
        hint = "record medium, pressure, duration, date and boundary in the table vent_tests or as properties"
        return unknown("truth", Missing("pressure test", run.name, hint), evidence=(now,))
    lacking = [name for name in WANTED if record.get(name) in (None, "")]
    if lacking:
        return unknown(
            "truth",
            Missing(
                f"{lacking[0]} of the pressure test", run.name, f"complete the record: {', '.join(lacking)}"
            ),
            evidence=(*record.seen, now),
        )
    return truth(True, *record.seen, now, rung=record.rung)


@measure("choice", "vent_run", words=MEDIA, example="water")
def test_medium(run: VentRun, ask: Ask) -> Quantity:
    """With what the vent was tested: air, water or vacuum."""
    record = record_of(run, ask)
    said = str(record.get("medium") or "").strip().lower() if record is not None else ""
    for medium in ("vacuum", "water", "air"):
        if record is not None and re.search(rf"\b{medium}\b", said):
            return word(medium, *record.seen, rung=record.rung)
    return unknown(
        "choice",
        Missing("medium of the pressure test", run.name, "record air, water or vacuum"),
        words=frozenset(MEDIA),
    )


@measure("truth", "vent_run", example="true for PVC pipe")
def vent_is_plastic(run: VentRun, ask: Ask) -> Quantity:
    """Whether any pipe of the vent is plastic, by the material or type it names."""
    pipes = [part for part in run.parts if part.has("vent_pipe", "collector")]
    named = [
        (part, f"{' '.join(part.element.materials)} {part.element.type_name} {part.name}") for part in pipes
    ]
    for part, text in named:
        if _PLASTIC.search(text):
            ask.part(part)
            seen = Evidence(f"{part.name}: {text.strip()}", None, "", Rung.DECLARED, part.element.global_id)
            return truth(True, seen)
    if named and all(part.element.materials for part, _ in named):
        return truth(False, Evidence("no pipe names a plastic", None, "", Rung.INFERRED), rung=Rung.INFERRED)
    return unknown("truth", Missing("material of the pipe", run.name, "name the pipe's material"))


@measure("truth", "vent_run", example="false where a coupling was changed after the test")
def pieces_as_tested(run: VentRun, ask: Ask) -> Quantity:
    """Whether the vent stands as it was tested: the fingerprint on record is the present one."""
    record = record_of(run, ask)
    now = fingerprint(run)
    for part in run.parts:
        ask.part(part)
    then = str(record.get("fingerprint") or "").strip().lower() if record is not None else ""
    seen = Evidence(f"fingerprint of the vent as it stands: {now}", None, "", run.rung)
    if record is None or not then:
        hint = f"write the vent's fingerprint beside the test when it is made; as it stands it is {now}"
        return unknown("truth", Missing("fingerprint at the test", run.name, hint), evidence=(seen,))
    return truth(then == now, *record.seen, seen, rung=record.rung)


@measure("truth", "vent_run", example="false where neither the table nor a property tells of a test")
def vent_test_found(run: VentRun, ask: Ask) -> Quantity:
    """Whether anything at all is on record about a pressure test of the vent."""
    record = record_of(run, ask)
    return truth(
        record is not None,
        *(record.seen if record is not None else ()),
        rung=record.rung if record is not None else Rung.DECLARED,
    )


@measure("truth", "vent_run", example="true where the record holds the vent's fingerprint")
def fingerprint_recorded(run: VentRun, ask: Ask) -> Quantity:
    """Whether a test record of the vent holds its fingerprint."""
    record = record_of(run, ask)
    return truth(record is not None and bool(record.get("fingerprint")))


@measure("truth", "vent_run", example="true where start and end pressure are on record")
def end_pressure_recorded(run: VentRun, ask: Ask) -> Quantity:
    """Whether the record tells the pressure at the end of the test."""
    record = record_of(run, ask)
    return truth(record is not None and record.get("end_pressure") is not None)


@measure("pressure", "vent_run", example="120 Pa lost once 2 degrees of cooling are taken out")
def test_pressure_lost(run: VentRun, ask: Ask) -> Quantity:
    """Pressure that got lost in the test, positive for a leak.

    With air or vacuum the readings are corrected for temperature and weather by the gas law. Temperatures not
    on record leave it unknown; air pressure not on record may have changed by 100 Pa in a test of an hour
    or less.
    """
    record = record_of(run, ask)
    start, end = (record.get("pressure"), record.get("end_pressure")) if record is not None else (None, None)
    medium = ask.measure("test_medium", run)
    if record is None or start is None or end is None or not medium.known:
        hint = "record medium and pressure at start and end"
        return Quantity(
            "pressure", -inf, inf, missing=(Missing("readings of the pressure test", run.name, hint),)
        )
    if medium.words == {"water"}:
        return exact(start - end, "pressure", *record.seen, rung=record.rung)
    temperatures = (record.get("start_temperature"), record.get("end_temperature"))
    if None in temperatures:
        hint = "record the air temperature in the pipe at start and end"
        return Quantity(
            "pressure",
            -inf,
            inf,
            evidence=record.seen,
            missing=(Missing("temperature of the pressure test", run.name, hint),),
        )
    before, after = _weather(record)
    t1, t2 = (float(value) - 273.15 for value in temperatures)
    found = estimate_drop(Reading(start, (t1, t1), before), Reading(end, (t2, t2), after))
    sign = 1.0 if start >= 0 else -1.0  # under vacuum a leak lets air in
    low, high = sorted((sign * found.low, sign * found.high))
    if high - low < 1e-6:
        return exact(low, "pressure", *record.seen, rung=record.rung)
    lack = Missing("air pressure outside", run.name, "record the weather's air pressure at start and end")
    return between(low, high, "pressure", *record.seen, rung=record.rung, missing=(lack,))


def _weather(record: Record) -> tuple[tuple[float, float], tuple[float, float]]:
    before, after = record.get("start_air_pressure"), record.get("end_air_pressure")
    if before is not None and after is not None:
        return (before, before), (after, after)
    middle = before if before is not None else STANDARD_PRESSURE
    duration = record.get("duration")
    spread = WEATHER if duration is not None and duration <= HOUR else 20 * WEATHER
    return (middle, middle), (middle - spread, middle + spread)


@measure("activity", "building", example="120 Bq/m3 (3.2 pCi/L)")
def radon_result(building: BuildingSubject, ask: Ask) -> Quantity:
    """Radon level measured at hand-over, the highest on record.

    From the project's table radon_tests, else from a property of the building. Nothing is assumed.
    """
    house = building.house
    table = house.schedules.get(RADON_TABLE)
    rows = [row for row in (table.rows if table is not None else ()) if row.get("result") is not None]
    if table is not None and rows:
        row = max(rows, key=lambda one: float(one.get("result")))
        said = ", ".join(str(row.written.get(name, "")) for name in ("place", "date", "result"))
        what = f"{table.file}, line {row.line}: {said}"
        value = float(row.get("result"))
        return exact(
            value, "activity", Evidence(what, value, "activity", Rung.SCHEDULED), rung=Rung.SCHEDULED
        )
    node = house.model.spaces.get(house.key)
    readings = piping_of(house).facts.readings(node, "radon_result") if node is not None else []
    if readings:
        best = max(readings, key=lambda one: float(one.value))
        return exact(
            float(best.value),
            "activity",
            Evidence(best.where, float(best.value), "activity", best.rung, house.key),
            rung=best.rung,
        )
    hint = "test after occupancy and record the result with its unit in the table radon_tests"
    return unknown("activity", Missing("radon test result", building.name, hint), low=0.0)
