"""Take any single part out of a chain that has no second way: the chain's first break is where the part was."""

from __future__ import annotations

from pathlib import Path

import pytest

from modellint import pipeline
from sample_models.generator import build, write

# an inner stack of a wall held by ties and rods, from its top storey down (invented house)
CHAIN = {
    "SW-1/L2/2a/post": "post", "SW-1/L2/2a/base-tie": "base tie", "SW-1/L2/2a/rod": "rod",
    "SW-1/L1/2a/top-tie": "top tie", "SW-1/L1/2a/post": "post", "SW-1/L1/2a/base-tie": "base tie",
    "SW-1/L1/2a/anchor": "anchor rod",
}


@pytest.mark.parametrize("key", CHAIN)
@pytest.mark.parametrize("manner", ["semantic", "plain", "panelised"])
def test_first_break_is_the_part_taken_out(key: str, manner: str, tmp_path: Path) -> None:
    house = build("two-storey")
    assert key in house.pieces
    house.remove(key)
    write(house, manner, tmp_path / "house.ifc")
    report = pipeline.check({"models": [str(tmp_path / "house.ifc")], "only": ["tie-reaches-foundation"]})
    fails = [row for row in report["findings"] if row["outcome"] == "fail"]
    assert len(fails) == 1
    key_of_end = fails[0]["subject"]["key"]
    chain = next(row for row in report["paths"] if row["kind"] == "uplift" and row["subject_key"] == key_of_end)
    broken = [slot for slot in chain["slots"] if slot["state"] == "broken"]
    storey = "Level 2" if "/L2/" in key else "Level 1"
    assert (broken[0]["name"], broken[0]["storey"]) == (CHAIN[key], storey)


@pytest.mark.parametrize("manner", ["semantic", "plain"])
def test_what_nobody_draws_is_open_not_fail(manner: str, tmp_path: Path) -> None:
    house = build("two-storey")
    house.remove(*[key for key, piece in house.pieces.items() if piece.kind == "rod"])
    write(house, manner, tmp_path / "house.ifc")
    report = pipeline.check({"models": [str(tmp_path / "house.ifc")], "only": ["tie-reaches-foundation"]})
    outcomes = {row["outcome"] for row in report["findings"]}
    assert outcomes == {"open"}
    assert report["exit"]["status"] == 0
