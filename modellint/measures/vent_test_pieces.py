"""A vent's test record against the vent as it stands: which pieces it covers, and tested before covered or not."""

from __future__ import annotations

from datetime import date
from typing import Any

from modellint.graph.pipe_nodes import VentRun
from modellint.graph.soil_gas import piping_of
from modellint.graph.vent_fingerprint import piece_fingerprints
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, truth, unknown
from modellint.measures.vent_test import names_vent, record_of
from modellint.roles.part import Part, Rung

TABLE = "tested_pieces"


def _rows(run: VentRun, ask: Ask) -> list[Any]:
    """Rows of the vent's last test in the table of tested pieces."""
    table = ask.house.schedules.get(TABLE)
    rows = [row for row in (table.rows if table is not None else ()) if names_vent(str(row.get("vent", "")), run)]
    last = max((str(row.get("date", "")) for row in rows), default="")
    return [row for row in rows if str(row.get("date", "")) == last]


@measure("truth", "vent_run", example="true where the table tested_pieces names the vent")
def piece_list_recorded(run: VentRun, ask: Ask) -> Quantity:
    """Whether the project lists the pieces of the vent that its last test covered."""
    rows = _rows(run, ask)
    table = ask.house.schedules.get(TABLE)
    said = (Evidence(f"{table.file}: {len(rows)} pieces", None, "", Rung.SCHEDULED),) if rows and table else ()
    return truth(bool(rows), *said, rung=Rung.SCHEDULED if rows else Rung.DECLARED)


@named_set("vent_run", gives="part")
def vent_own_pieces(run: VentRun, ask: Ask) -> Members:
    """Pipes and fittings of the vent by key, without plumbing that is tied into it."""
    keys = piece_fingerprints(run)
    return Members(tuple(ask.part(run.network.pieces[key].part) for key in sorted(keys)))


@measure("truth", "vent_run", item="part", example="false for an offset that was moved after the test")
def piece_as_tested(run: VentRun, part: Part, ask: Ask) -> Quantity:
    """Whether the last test on record covered this piece as it stands: its fingerprint is the one listed."""
    table = ask.house.schedules.get(TABLE)
    now = piece_fingerprints(run).get(part.key, "")
    names = {part.element.global_id.lower(), part.key.lower()}
    rows = [row for row in _rows(run, ask) if str(row.get("piece", "")).strip().lower() in names]
    seen = Evidence(f"fingerprint of {part.name} as it stands: {now}", None, "", Rung.DECLARED, part.element.global_id)
    if table is None or not now:
        return unknown("truth", Missing("list of tested pieces", run.name, "list them in the table tested_pieces"))
    if not rows:
        said = Evidence(f"{table.file} does not list it", None, "", Rung.SCHEDULED)
        return truth(False, said, seen, rung=Rung.SCHEDULED)
    then = str(rows[-1].get("fingerprint", "")).strip().lower()
    said = Evidence(f"{table.file}, line {rows[-1].line}: {then}", None, "", Rung.SCHEDULED)
    return truth(then == now, said, seen, rung=Rung.SCHEDULED)


@measure("count", "vent_run", example="7 of 9 pieces")
def pieces_covered(run: VentRun, ask: Ask) -> Quantity:
    """How many of the vent's pieces the last test on record covers as they stand."""
    pieces = vent_own_pieces(run, ask).items
    held = sum(ask.measure("piece_as_tested", run, piece).words == {"true"} for piece in pieces)
    return exact(float(held), "count", rung=Rung.SCHEDULED, text=f"{held} of {len(pieces)}")


# --- before cover -------------------------------------------------------------------------------------------


def _day(text: Any) -> date | None:
    try:
        return date.fromisoformat(str(text).strip()[:10])
    except ValueError:
        return None


def _covered(run: VentRun, ask: Ask) -> list[tuple[str, Evidence]]:
    """Days of cover on record, as written: the table's column, else properties of the pieces."""
    record = record_of(run, ask)
    if record is not None and record.get("covered"):
        return [(str(record.get("covered")), record.seen[0])]
    facts, found = piping_of(ask.house).facts, []
    for part in run.parts:
        for row in facts.readings(part.element, "cover_date"):
            ask.part(part)
            found.append((str(row.value), Evidence(row.where, str(row.value), "", row.rung, part.element.global_id)))
    return found


@measure("truth", "vent_run", example="true where the table vent_tests has a day of cover")
def cover_recorded(run: VentRun, ask: Ask) -> Quantity:
    """Whether the day on which the vent was covered is on record, for any of its pieces."""
    found = _covered(run, ask)
    return truth(bool(found), *(evidence for _, evidence in found[:1]))


@measure("truth", "vent_run", example="false where it was covered on 14 May and tested on 19 May")
def tested_before_cover(run: VentRun, ask: Ask) -> Quantity:
    """Whether the last test on record is no later than the first day of cover; days are written YYYY-MM-DD."""
    record, covers = record_of(run, ask), _covered(run, ask)
    tested = _day(record.get("date")) if record is not None else None
    days = [(day, evidence) for text, evidence in covers if (day := _day(text)) is not None]
    if tested is None:
        hint = "record the day of the test as YYYY-MM-DD"
        return unknown("truth", Missing("date of the pressure test", run.name, hint))
    if len(days) < len(covers) or not days:
        hint = "record the day of cover as YYYY-MM-DD"
        return unknown("truth", Missing("day of cover", run.name, hint))
    first, evidence = min(days, key=lambda row: row[0])
    said = (
        Evidence(f"tested on {tested.isoformat()}", None, "", record.rung if record else Rung.DECLARED),
        Evidence(f"covered on {first.isoformat()}", None, "", evidence.rung, evidence.global_id),
    )
    text = f"covered on {first.isoformat()}, tested on {tested.isoformat()}"
    return truth(tested <= first, *said, evidence, text=text)
