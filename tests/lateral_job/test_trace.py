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


def test_the_numbers_of_a_continuous_rod_stand_beside_its_loads(tmp_path):
    """Level 2 of SW-2: three plates of 38 mm and a joist of 302 mm shrink 416 x 0.0175 = 7.3 mm (arithmetic)."""
    report = report_of(sample("three-storey"), tmp_path)
    jsonschema.validate(report, SCHEMA)
    path = next(row for row in report["paths"] if row["kind"] == "uplift" and "SW-2" in row["name"]
                and "west end" in row["name"])
    second = {row["name"]: row for row in path["numbers"] if row["storey"] == "Level 2"}
    assert second["shrinkage of this storey's wood"]["low"] == 0.0073
    stretch = second["stretch of the rod at this storey"]
    below = next(row for row in path["numbers"] if row["storey"] == "Level 1" and row["name"] == stretch["name"])
    total = second["stretch of the rod from the foundation up"]
    assert abs(total["low"] - stretch["low"] - below["low"]) <= 1e-4
    assert {row["link"] for row in path["loads"]} >= {"Coupler nut M16", "Bearing plate 76x64x12"}
    assert all(row["capacity"][0] for row in path["loads"])
    text = render_path(path, width=100)
    assert "7.3 mm                        shrinkage of this storey's wood" in text
    assert "deflection at the top of the wall" in text


def test_break_even_is_printed_without_any_demand_and_each_load_case_with_two(tmp_path):
    house = sample()
    rows = house.schedules["wall-demands"]
    house.schedules["wall-demands"] = rows[:1]
    path = next(row for row in report_of(house, tmp_path)["paths"] if row["kind"] == "uplift" and "SW-5" in row["name"])
    text = render_path(path, width=100)
    assert "pull not known" in text
    # 22 kN of the device at an arm of 2.751 m
    assert "60.52 kN m ASD wind" in " ".join(text.split())
    house.schedules["wall-demands"] = [*rows, *([*row[:4], "ASD seismic"] for row in rows[1:])]
    path = next(row for row in report_of(house, tmp_path)["paths"] if row["kind"] == "uplift" and "SW-5" in row["name"])
    names = {row["name"] for row in path["numbers"]}
    assert {"pull, ASD wind", "pull, ASD seismic", "weakest link takes, ASD wind"} <= names


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
