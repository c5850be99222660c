"""A baseline: what was known does not count; what is new does; and the number of open ones may not grow."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from modellint import pipeline
from modellint.errors import UsageProblem
from modellint.reports.baseline import apply_baseline, read_report
from modellint.reports.exit_status import meaning
from sample_models.generator import DEFECTS, House, build
from tests.compare.pairs import written

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "report.schema.json").read_text(encoding="utf-8"))


def defective(*names: str) -> House:
    house = build("two-storey")
    for name in names:
        house = next(row for row in DEFECTS if row.name == name).apply(house)
    return house


@pytest.fixture(scope="module")
def reports(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    folder = tmp_path_factory.mktemp("baseline")
    found = {}
    for name, defects in (("old", ("rod-missing",)), ("new", ("rod-missing", "bolt-too-far-from-end"))):
        found[name] = pipeline.check({"models": [str(written(defective(*defects), "semantic", folder / "h.ifc"))]})
    return found


def again(report: dict[str, Any]) -> dict[str, Any]:
    return json.loads(json.dumps(report))  # type: ignore[no-any-return]


def test_what_was_known_does_not_count(reports: dict[str, dict[str, Any]]) -> None:
    report = again(reports["old"])
    assert report["exit"]["status"] == 1
    apply_baseline(report, reports["old"], "old.json")
    assert report["exit"] == {**report["exit"], "status": 0, "reasons": []}
    assert report["baseline"]["known"] == len(report["findings"])
    assert all(row["extra"]["known"] for row in report["findings"])
    assert meaning(report) == "no new due error fails"
    jsonschema.validate(report, SCHEMA)


def test_what_is_new_counts(reports: dict[str, dict[str, Any]]) -> None:
    report = again(reports["new"])
    report["exit"]["fail_on"] = "warning"
    apply_baseline(report, reports["old"], "old.json")
    assert report["exit"]["status"] == 1
    new = {row["rule"] for row in report["findings"] if not row["extra"]["known"]}
    assert "sill-bolt-end-distance" in new
    assert "rod-meets-hold-down" not in new


def test_an_open_one_that_became_a_fail_is_new(reports: dict[str, dict[str, Any]]) -> None:
    report, baseline = again(reports["old"]), again(reports["old"])
    failed = next(row for row in baseline["findings"] if row["outcome"] == "fail" and row["level"] == "error")
    failed["outcome"] = "open"
    apply_baseline(report, baseline, "old.json")
    assert report["exit"]["status"] == 1
    assert report["baseline"]["new"] == 1


def test_the_number_of_open_ones_may_not_grow(reports: dict[str, dict[str, Any]]) -> None:
    report, baseline = again(reports["old"]), again(reports["old"])
    gone = next(row for row in baseline["findings"] if row["outcome"] == "open")
    baseline["findings"].remove(gone)
    apply_baseline(report, baseline, "old.json")
    assert report["exit"]["status"] == 1
    assert "may not grow" in report["exit"]["reasons"][-1]
    assert report["baseline"]["open_now"] == report["baseline"]["open_before"] + 1


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"findings": [1]}', "not json", '{"findings": {}}'])
def test_a_file_that_is_no_report(text: str, tmp_path: Path) -> None:
    (tmp_path / "r.json").write_text(text, encoding="utf-8")
    with pytest.raises(UsageProblem, match="not a JSON report"):
        read_report(tmp_path / "r.json")
    with pytest.raises(UsageProblem, match="cannot be read"):
        read_report(tmp_path / "absent.json")
