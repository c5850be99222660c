"""Dwelling units in one building: each is judged on its own, however the model states them.

A semi-detached house made of the sample house and its mirror image; the houses are invented. ISO 16739-1 has three
ways to say that one building holds several units: IfcZone over spaces, IfcSpatialZone, and buildings of composition
PARTIAL within one.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from modellint import pipeline
from modellint.errors import FileProblems
from modellint.graph.house import House
from modellint.rulebook.settings import in_si
from sample_models.generator.twin import NAMES, WAYS, twins, write_twins

PROJECT = "dwellings:\n  - {name: Left, space: ['A *']}\n  - {name: Right, space: B *, storey: none}\n"
RULES = ("wall-end-has-tie", "tie-reaches-foundation", "vent-joined", "soil-gas-vent-present", "sill-bolt-spacing",
         "top-plates-parted", "sheathing-present", "loose-tie", "foundation-under-end", "exit-near-opening")
BARE = frozenset({"joist", "rafter", "roof_tie", "blocking", "nut", "plate_washer", "stud", "sheathing", "top_plate",
                  "plumbing_pipe", "plumbing_fixture", "anchor_bolt", "header", "rough_sill"})


def fails(report: dict[str, Any]) -> list[dict[str, Any]]:
    return [row for row in report["findings"] if row["outcome"] == "fail"]


def counts(report: dict[str, Any]) -> dict[str, tuple[int, int, int]]:
    return {row["rule"]: (row["pass"], row["fail"], row["open"]) for row in report["rules"]}


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    sample = Path(__file__).resolve().parents[2] / "sample_models" / "two-storey" / "semantic.ifc"
    copy = tmp_path_factory.mktemp("one") / "house.ifc"  # away from the sample's project file
    copy.write_bytes(sample.read_bytes())
    return check(copy)


def check(path: Path) -> dict[str, Any]:
    return pipeline.check({"models": [str(path)], "only": RULES})


def test_each_unit_is_judged_on_its_own(one: dict[str, Any], tmp_path: Path) -> None:
    """Two leaves of a party wall 25 mm apart; the second unit lacks one anchor rod."""
    first, second = twins()
    second.remove("SW-1/L1/1a/anchor")
    write_twins(first, second, tmp_path / "twin.ifc", "zones")
    report = check(tmp_path / "twin.ifc")
    assert [(row["name"], row["part_of"]) for row in report["model"]["buildings"]] == [
        (name, first.title) for name in NAMES]
    broken = [row for row in fails(report) if row["rule"] == "tie-reaches-foundation"]
    assert len(broken) == 1
    assert {second.guid("SW-1/L1"), second.guid("SW-1/L2")} & set(broken[0]["elements"])
    for rule in [rule for rule in RULES if rule not in {"tie-reaches-foundation", "exit-near-opening"}]:
        assert counts(report)[rule] == tuple(2 * number for number in counts(one)[rule]), rule
    names = [row["id"] for row in report["findings"]]
    assert len(names) == len(set(names))
    assert any(note["code"] == "dwellings" and "stated by zones" in note["text"] for note in report["input_notes"])


def test_a_wall_of_two_units_is_judged_once(one: dict[str, Any], tmp_path: Path) -> None:
    """The units come from the project file; one tie of the party wall is missing."""
    first, second = twins(one_party_wall=True)
    lost = next(key for key, piece in first.pieces.items() if piece.wall == "SW-4" and piece.kind == "hold_down"
                and piece.storey == 1)
    first.remove(lost)
    write_twins(first, second, tmp_path / "twin.ifc", "nothing")
    (tmp_path / "modellint.yaml").write_text(PROJECT)
    report = check(tmp_path / "twin.ifc")
    assert [row["name"] for row in report["model"]["buildings"]] == ["Left", "Right"]
    ties = [row for row in fails(report) if row["rule"] == "wall-end-has-tie"]
    assert len(ties) == 1
    assert first.guid("SW-4/L1") in ties[0]["elements"]
    known = {row["rule"] for row in fails(one)}
    assert not [row["message"] for row in fails(report) if row["rule"] not in known
                and first.guid("SW-4/L1") not in row["elements"] and first.guid("SW-4/L2") not in row["elements"]]
    chains = [path["key"] if "key" in path else path["name"] for path in report["paths"] if path["kind"] == "uplift"]
    assert len(chains) == 2 * sum(path["kind"] == "uplift" for path in one["paths"]) - 2  # SW-4 stands once


def bare(way: str, path: Path) -> list[House]:
    """The houses of the twins without what takes long and matters little here."""
    pair = twins()
    for house in pair:
        for key, piece in list(house.pieces.items()):
            if piece.kind in BARE and key in house.pieces:
                house.remove(key)
    write_twins(*pair, path, way)
    books = pipeline.load_books(path)
    notes: list[Any] = []
    model = pipeline.read_model([path], frozenset(), lambda _: None)
    found = pipeline.houses(model, books, in_si(books.settings), notes)
    assert bool(notes) == (way != "nothing")
    return found


@pytest.mark.parametrize("way", WAYS)
def test_units_are_found_however_they_are_stated(way: str, tmp_path: Path) -> None:
    found = bare(way, tmp_path / "twin.ifc")
    if way == "nothing":
        assert [house.dwelling for house in found] == [False]
        assert len(found[0].nodes["wall_end"]) == 80  # tied on both sides of the gap, the walls are two all the same
        return
    assert sorted(house.name for house in found) == list(NAMES)
    for house in found:
        assert len(house.nodes["vent_run"]) == 1
        assert len(house.nodes["wall_end"]) == 40
        windows = {part.element.building for part in house.with_role("window")}
        assert windows == {house.key}
        neighbours = {node.key for node in house.model.spaces.values()
                      if node.kind in {"building", "dwelling"}} - {house.key, house.within}
        assert len(neighbours) == 1  # the other unit, whose windows count as a neighbour's


def test_the_project_file_can_leave_a_building_whole(tmp_path: Path) -> None:
    (tmp_path / "modellint.yaml").write_text("dwellings: []\n")
    books = pipeline.load_books(tmp_path / "twin.ifc")
    assert books.dwellings == ()


@pytest.mark.parametrize(("text", "problem"), [
    ("dwellings: [{name: A}]", "names at least one of zone, space, storey"),
    ("dwellings: [{space: x}]", "A dwelling unit has a name"),
    ("dwellings: [{name: A, spaces: x}]", "The key 'spaces' is not known here; did you mean 'space'"),
    ("dwellings: [{name: A, zone: 3}]", "'zone' is a glob or a list of globs"),
    ("dwellings: [{name: A, zone: x}, {name: A, zone: y}]", "Two dwelling units are called 'A'"),
])
def test_a_wrong_entry_is_said_with_its_place(text: str, problem: str, tmp_path: Path) -> None:
    (tmp_path / "modellint.yaml").write_text(text + "\n")
    with pytest.raises(FileProblems, match=problem):
        pipeline.load_books(tmp_path / "house.ifc")
