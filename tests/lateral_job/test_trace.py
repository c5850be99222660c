"""Trace shows what each link takes beside the pull and marks the weakest; free bays are named beside pipes."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema

from modellint.reports.trace_text import render_path
from sample_models.generator.defects.crossings import DEFECTS
from tests.lateral_job.houses import report_of, sample

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "report.schema.json").read_text(encoding="utf-8"))


def test_loads_beside_capacities(tmp_path):
    report = report_of(sample(), tmp_path)
    jsonschema.validate(report, SCHEMA)
    path = next(row for row in report["paths"] if row["kind"] == "uplift" and "SW-5" in row["name"]
                and "north" in row["name"])
    weakest = [(row["storey"], row["link"]) for row in path["loads"] if row["weakest"]]
    assert weakest == [("Level 2", "Tie-down TD-1"), ("Level 1", "Tie-down TD-2")]
    text = render_path(path, width=100)
    assert "WHAT EACH LINK TAKES" in text
    assert "Level 1: pull 6.7 kN, ASD wind" in text
    assert "22 kN           Tie-down TD-2 <- weakest link" in text


def test_a_chain_without_demand_or_capacity_shows_no_loads(tmp_path):
    house = sample()
    house.schedules = {name: rows[:1] for name, rows in house.schedules.items()}
    report = report_of(house, tmp_path)
    assert not [row for row in report["paths"] if row.get("loads")]
    jsonschema.validate(report, SCHEMA)


def test_the_free_bay_beside_a_pierced_post_is_named(tmp_path):
    defect = next(row for row in DEFECTS if row.name == "drain-through-post")
    report = report_of(defect.apply(sample()), tmp_path)
    row = next(row for row in report["findings"] if row["rule"] == "pipe-through-hardware")
    assert "the bay between" in row["remedy"]
    assert "m from the west end" in row["remedy"]
