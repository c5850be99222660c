"""What a builder marked as ordered, framed, poured or covered: read with line numbers, told, and louder in a change."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from modellint import comparison, pipeline
from modellint.errors import FileProblems
from modellint.ifc.model import PropertyValue
from modellint.rulebook.schedules import parse_schedule
from sample_models.generator import DEFECTS, build
from sample_models.generator.changes import deeper_joists, ties_moved_in_below
from sample_models.generator.schedules import write_schedules
from tests.compare.pairs import written

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "compare.schema.json").read_text(encoding="utf-8"))
HEADER = "part,wall,storey,end,state,date,type,as built\n"


def test_every_wrong_row_is_named_with_its_line() -> None:
    text = (HEADER + "X,SW-1,,,ordered\n,SW-1,Level 1,,Pored\nA,,,,covered,6/3/2026\nA,,,,covered,2026-13-01,,maybe\n"
            ",,,,poured\nB,,,,poured\nB,,,,poured\nC\n")
    with pytest.raises(FileProblems) as caught:
        parse_schedule("progress", text, "p.csv")
    said = str(caught.value).splitlines()
    for line in ("p.csv:2:1: Name either a part or a wall end", "p.csv:3:1: Name a part, or a wall end by",
                 "p.csv:3:1: The state 'Pored' is none of ordered, framed, poured, covered; did you mean 'poured'?",
                 "p.csv:4:1: date: '6/3/2026' is not a day", "p.csv:5:1: date: '2026-13-01' is not a day",
                 "p.csv:5:1: as_built: 'maybe' is neither", "p.csv:6:1: Name a part",
                 "p.csv:8:1: The same part has the same state on line 7.", "p.csv:9:1: 'state' is blank."):
        assert any(row.startswith(line) for row in said), line


def test_states_of_one_part_may_follow_one_another() -> None:
    rows = parse_schedule("progress", HEADER + "A,,,,ordered,2026-05-01\nA,,,,Poured,2026-06-03\n", "p.csv").rows
    assert [row.get("state") for row in rows] == ["ordered", "Poured"]


def project(folder: Path, *rows: str, house: Any = None) -> None:
    """The schedules of a house beside the models, with a progress table."""
    write_schedules(house or build("two-storey"), folder)
    (folder / "schedules" / "progress.csv").write_text(HEADER + "\n".join(rows) + "\n", encoding="utf-8")
    file = folder / "modellint.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "  progress: schedules/progress.csv\n", encoding="utf-8")


def test_a_check_tells_what_is_built_and_what_is_overdue(tmp_path: Path) -> None:
    """The anchor lacks; a stage before the pour is asked for, but the rod is poured: its finding is due all the same.

    A stage `permit` leaves out all that is cheap until the pour; `poured` says that this moment has passed.
    """
    house = next(row for row in DEFECTS if row.name == "rod-leans").apply(build("two-storey"))
    path = written(house, "semantic", tmp_path / "house.ifc")
    plain = pipeline.check({"models": [str(path)], "due": "permit"})
    lean = next(row for row in plain["findings"] if row["rule"] == "rod-lean")
    assert not lean["due"]
    rod = lean["elements"][0]
    project(tmp_path, f"{rod},,,,poured,2026-06-03", "No such part,,,,ordered", ",SW-1,Level 2,west,poured")
    report = pipeline.check({"models": [str(path)], "due": "permit"})
    lean = next(row for row in report["findings"] if row["rule"] == "rod-lean")
    assert lean["due"]
    assert lean["extra"]["built"]["state"] == "poured"
    assert lean["extra"]["built"]["date"] == "2026-06-03"
    assert lean["extra"]["built"]["global_id"] == rod
    notes = {(row["code"], row["line"]): row["text"] for row in report["input_notes"]}
    assert "1 poured" in notes["progress-read", None]
    assert "'No such part' as ordered" in notes["progress-unmatched", 3]
    assert "nothing at this end stands in concrete" in notes["progress-unmatched", 4]


def test_the_model_itself_may_tell_the_state(tmp_path: Path) -> None:
    path = written(next(row for row in DEFECTS if row.name == "rod-leans").apply(build("two-storey")), "semantic",
                   tmp_path / "house.ifc")
    books = pipeline.load_books(path)
    model = pipeline.read_model([path], frozenset(), lambda _: None)
    first = pipeline.judge_model(model, books, {})
    rod = next(row for row in first.findings if row.rule == "rod-lean").elements[0]
    for words, state in (("Cast 3 June", "poured"), ("not poured yet", "")):
        model.elements[rod] = replace(model.elements[rod], properties={
            **model.elements[rod].properties, ("Site", "Build status"): PropertyValue(words)})
        again = pipeline.judge_model(model, books, {})
        lean = next(row for row in again.findings if row.rule == "rod-lean")
        assert lean.extra.get("built", {}).get("state", "") == state


def test_a_change_of_what_is_poured_is_louder(tmp_path: Path) -> None:
    """The anchor at the west end of the second length of SW-1 is poured and moves 300 mm; its nuts are ordered.

    An order does not care where a nut stands, so only what is poured is told, to the superintendent and the engineer.
    """
    before = written(build("two-storey"), "semantic", tmp_path / "before.ifc")
    after = written(ties_moved_in_below(), "semantic", tmp_path / "after.ifc")
    rows = (",SW-1,Level 1,west 2,poured,2026-06-03,,{}", "Hex nut M16,,,,ordered,2026-05-02")
    for as_built, level in (("", "error"), ("yes", "note")):
        project(tmp_path, *(row.format(as_built) for row in rows))
        made = comparison.compare({"before": [str(before)], "models": [str(after)]})
        jsonschema.validate(made, SCHEMA)
        assert [(row["state"], row["date"], row["level"]) for row in made["built"]] == [("poured", "2026-06-03", level)]
        assert "moved 300 mm to the east" in made["built"][0]["text"]
        said = [reason for reason in made["exit"]["reasons"] if "marked: 1 poured" in reason]
        assert bool(said) == (level == "error")
        told = {row["who"]: row["text"] for row in made["tell"]}
        assert told["superintendent"].startswith(
            "Already ordered or built: Anchor rod 15.9 mm, Level 1 is marked poured on 2026-06-03")
        assert told["engineer of record"].startswith("Already ordered or built")


def test_what_is_ordered_and_no_longer_fits(tmp_path: Path) -> None:
    """302 + 54 = 356 mm joists make 20 rods through the floor 54 mm longer; they are ordered. A warning, no error."""
    before = written(build("two-storey"), "semantic", tmp_path / "before.ifc")
    after = written(deeper_joists(), "semantic", tmp_path / "after.ifc")
    project(tmp_path, "Threaded rod 15.9 mm,,,,ordered,2026-05-02")
    made = comparison.compare({"before": [str(before)], "models": [str(after)]})
    assert len(made["built"]) == 20
    assert {row["level"] for row in made["built"]} == {"warning"}
    assert all("604 mm became 658 mm" in row["text"] for row in made["built"])
    assert next(row["text"] for row in made["tell"] if row["who"] == "purchasing").startswith("Already ordered")
    assert made["exit"]["status"] == 0
    loud = comparison.compare({"before": [str(before)], "models": [str(after)], "fail_on": "warning"})
    assert loud["exit"]["status"] == 1
