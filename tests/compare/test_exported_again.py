"""The same house with all ids new, moved and turned: nothing new, nothing cleared, waivers still attached."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from modellint import pipeline
from sample_models.generator import DEFECTS, HOUSES, MANNERS, House, build, transform
from sample_models.generator.changes import mirrored_lot, renewed
from tests.compare.pairs import compared, written

SEEDED = ("offset-sags", "bolt-too-far-from-end", "rod-missing")


def house_with_findings(name: str) -> House:
    house = build(name)
    for defect in SEEDED:
        house = next(row for row in DEFECTS if row.name == defect).apply(house)
    return house


def waive_all(report: dict[str, Any], folder: Path) -> int:
    """A project file that accepts every finding of a report."""
    lines = ["waivers:"]
    for row in report["findings"]:
        lines += [f'- id: "{row["id"]}"', f'  state: "{row["state"]}"', "  by: A. Rivera", "  reason: seen on site"]
    (folder / "modellint.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return len(report["findings"])


CASES = [(name, manner, moved) for name in HOUSES for manner in MANNERS for moved in (False, True)
         if (moved and (name == "two-storey" or manner == "panelised")) or (name, manner) == ("two-storey", "semantic")]


@pytest.mark.parametrize(("name", "manner", "moved"), CASES)
def test_nothing_new_and_waivers_attached(name: str, manner: str, moved: bool, tmp_path: Path) -> None:
    before = house_with_findings(name)
    report = pipeline.check({"models": [str(written(before, manner, tmp_path / "before.ifc"))]})
    number = waive_all(report, tmp_path)
    assert any(row["outcome"] == "fail" for row in report["findings"])
    made = compared(before, renewed(before, moved=moved), manner, tmp_path)
    assert made["counts"] == {"new": 0, "returned": 0, "cleared": 0, "unchanged": number}
    assert made["changes"] == []
    assert not made["matching"]["ids_kept"]
    assert made["report"]["summary"]["accepted"] == number
    codes = {note["code"] for note in made["report"]["input_notes"]}
    assert "waiver-renamed" in codes
    assert not codes & {"waiver-unmatched", "waiver-part-changed", "waiver-expired"}
    assert made["exit"]["status"] == 0


@pytest.mark.parametrize("manner", MANNERS)
def test_a_mirrored_export_changes_no_finding(manner: str, tmp_path: Path) -> None:
    """All ids new, moved, turned and mirrored: nothing new, nothing cleared, no part changed."""
    before = house_with_findings("two-storey")
    made = compared(before, transform.mirror(renewed(before, moved=True)), manner, tmp_path)
    assert made["matching"]["frame"]["mirrored"]
    assert made["counts"]["new"] == made["counts"]["cleared"] == 0
    assert made["counts"]["unchanged"] > 0
    assert made["changes"] == made["numbers"] == []
    assert made["exit"]["status"] == 0


def test_one_kept_id_changes_nothing(tmp_path: Path) -> None:
    """Same ids, house moved: findings keep id and state, so a plain check keeps its waivers."""
    before = house_with_findings("two-storey")
    first = pipeline.check({"models": [str(written(before, "semantic", tmp_path / "a.ifc"))]})
    number = waive_all(first, tmp_path)
    moved = transform.rotate(transform.move(before, (12.0, 7.5, 0.0)), 90.0)
    second = pipeline.check({"models": [str(written(moved, "semantic", tmp_path / "b.ifc"))]})
    assert second["summary"]["accepted"] == number


def test_a_mirrored_house_is_another_one_for_waivers(tmp_path: Path) -> None:
    before = build("two-storey")
    report = pipeline.check({"models": [str(written(before, "semantic", tmp_path / "before.ifc"))]})
    assert waive_all(report, tmp_path)
    made = compared(before, mirrored_lot(), "semantic", tmp_path)
    assert made["report"]["summary"]["accepted"] == 0
    assert [note["code"] for note in made["report"]["input_notes"] if note["code"].startswith("waiver")] == [
        "waiver-not-carried"]
