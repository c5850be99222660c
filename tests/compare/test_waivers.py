"""Waivers: bound to what was judged, ended by a day or a change, and never written silently."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from modellint import pipeline
from modellint.errors import UsageProblem
from modellint.findings.finding import Finding
from modellint.findings.waivers import Waiver, apply_waivers
from modellint.measures.quantity import Place
from modellint.rulebook.project import load_project
from modellint.rulebook.waiver_entries import add_waiver
from modellint.rulebook.yaml_text import parse_yaml
from sample_models.generator import DEFECTS, build
from sample_models.generator.defects.edit import shift
from tests.compare.pairs import written

ID, STATE, OTHER = "0123456789abcdef", "fedcba9876543210", "0000000000000000"
ROOT = Path(__file__).parents[2]


def finding(state: str = STATE) -> Finding:
    return Finding(ID, state, "some-rule", "Title", "lateral", "fail", "error", "pour", "engineer of record", "post",
                   "P", "post P", "", Place("post P"), ("P",), "It is not right.")


def waiver(**more: str) -> Waiver:
    facts = {"id": ID, "state": STATE, "by": "A. Rivera", "reason": "seen on site", **more}
    return Waiver(**facts)  # type: ignore[arg-type]


@pytest.mark.parametrize(("made", "state", "today", "code"), [
    (waiver(), STATE, "2026-11-25", ""),
    (waiver(until="2026-11-25"), STATE, "2026-11-25", ""),
    (waiver(until="2026-11-24"), STATE, "2026-11-25", "waiver-expired"),
    (waiver(until="2027-01-01"), STATE, "", "waiver-expired"),
    (waiver(), OTHER, "2026-11-25", "waiver-part-changed"),
    (waiver(id=OTHER), STATE, "2026-11-25", "waiver-unmatched"),
    (waiver(rule="another-rule"), STATE, "2026-11-25", "waiver-other-rule"),
])
def test_when_a_waiver_holds(made: Waiver, state: str, today: str, code: str) -> None:
    row = finding(state)
    notes, dated = apply_waivers([row], [made], today)
    assert [note.code for note in notes] == ([code] if code else [])
    assert (row.accepted is not None) == (code == "")
    assert dated == bool(made.until)
    if code == "waiver-part-changed":
        assert "was accepted, but a part it rests on has changed" in notes[0].text


PROJECT = """# the house on lot 4
units: us

waivers:
- id: aaaaaaaaaaaaaaaa   # the porch
  state: bbbbbbbbbbbbbbbb
  by: A. Rivera
  reason: porch

# limits
settings:
  line_gap: 60 mm
"""


@pytest.mark.parametrize("text", ["", "units: us\n", "units: us", "waivers: []\nunits: us\n", PROJECT,
                                  "waivers:\n    - id: a\n      state: b\n      by: c\n      reason: d\n"])
def test_an_entry_is_added_and_nothing_else_changes(text: str) -> None:
    made = waiver(reason='it is "fine": #4, no', until="2027-03-31")
    added = add_waiver(text, made, "modellint.yaml")
    before = parse_yaml(text, "f").data if text.strip() else {}
    after = parse_yaml(added.text, "f").data
    assert after["waivers"][:-1] == before.get("waivers", [])
    assert after["waivers"][-1] == {"id": ID, "state": STATE, "by": "A. Rivera", "until": "2027-03-31",
                                    "reason": 'it is "fine": #4, no'}
    assert {key: row for key, row in after.items() if key != "waivers"} == {
        key: row for key, row in before.items() if key != "waivers"}
    for line in text.splitlines():
        assert line in added.text or line == "waivers: []"
    assert added.lines in added.text


def test_a_list_in_brackets_is_left_alone() -> None:
    with pytest.raises(UsageProblem, match="paste this"):
        add_waiver("waivers: [{id: a, state: b, by: c, reason: d}]\n", waiver(), "modellint.yaml")


def test_waivers_in_a_file_of_their_own(tmp_path: Path) -> None:
    (tmp_path / "modellint.yaml").write_text("waivers: [accepted.yaml]\n", encoding="utf-8")
    (tmp_path / "accepted.yaml").write_text(add_waiver("", waiver(), "accepted.yaml").text, encoding="utf-8")
    project = load_project(tmp_path / "modellint.yaml")
    assert [(row.id, row.file, row.line) for row in project.waivers] == [(ID, "accepted.yaml", 2)]


def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "modellint.cli.main", *arguments], cwd=folder, capture_output=True,
                          text=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)})


def test_accept_and_what_becomes_of_it(tmp_path: Path) -> None:
    """Accepted: visible and not counted. After the last day, or once the tie has moved 50 mm, it counts again."""
    house = next(row for row in DEFECTS if row.name == "rod-missing").apply(build("two-storey"))
    path = written(house, "semantic", tmp_path / "house.ifc")
    report = pipeline.check({"models": [str(path)]})
    errors = [row for row in report["findings"] if row["outcome"] == "fail" and row["level"] == "error"]
    assert report["exit"]["status"] == 1
    for row in errors:
        done = run(tmp_path, "accept", "house.ifc", row["id"], "--by", "A. Rivera", "--reason", "rod comes later",
                   "--until", "2027-01-31", "--today", "2026-11-25")
        assert done.returncode == 0, done.stderr
        assert row["id"] in done.stdout
        assert "modellint.yaml" in done.stdout
        assert row["rule"] in done.stdout
    again = json.loads(run(tmp_path, "check", "house.ifc", "--format", "json", "--today", "2026-11-25").stdout)
    accepted = [row for row in again["findings"] if row["accepted"]]
    assert {row["id"] for row in accepted} == {row["id"] for row in errors}
    assert accepted[0]["accepted"] == {"by": "A. Rivera", "reason": "rod comes later", "on": "2026-11-25",
                                       "until": "2027-01-31"}
    assert again["exit"]["status"] == 0
    assert again["today"] == "2026-11-25"
    text = run(tmp_path, "check", "house.ifc", "--today", "2026-11-25").stdout
    assert "ACCEPTED BY A PERSON" in text
    twice = run(tmp_path, "accept", "house.ifc", errors[0]["id"], "--by", "B", "--reason", "c", "--until", "2027-01-31",
                "--today", "2026-11-25")
    assert twice.returncode == 2
    assert "accepted already" in twice.stderr
    late = pipeline.check({"models": [str(path)], "today": "2027-02-01"})
    assert late["exit"]["status"] == 1
    assert {note["code"] for note in late["input_notes"]} >= {"waiver-expired"}
    end = next(key.rsplit("/", 1)[0] for key in sorted(build("two-storey").pieces) if key not in house.pieces)
    shift(house, [key for key in house.pieces if key.startswith(f"{end}/")], (0.05, 0.05, 0.0))
    written(house, "semantic", path)
    moved = pipeline.check({"models": [str(path)], "today": "2026-11-25"})
    assert moved["exit"]["status"] == 1
    assert "waiver-part-changed" in {note["code"] for note in moved["input_notes"]}


def test_accept_wants_an_id_that_exists(tmp_path: Path) -> None:
    written(build("two-storey"), "semantic", tmp_path / "house.ifc")
    done = run(tmp_path, "accept", "house.ifc", ID, "--by", "A", "--reason", "b", "--until", "2030-01-01")
    assert done.returncode == 2
    assert f"There is no finding with the id '{ID}'" in done.stderr
    assert not (tmp_path / "modellint.yaml").exists()
    past = run(tmp_path, "accept", "house.ifc", ID, "--by", "A", "--reason", "b", "--until", "2001-01-01")
    assert past.returncode == 2
