"""Several soil-gas defects in one house, found in each manner and with all, half or none of the pipe joints stated.

`python -m sample_models.benchmark` seeds each of them alone, in every house and manner. The houses are invented.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from modellint import pipeline
from sample_models.benchmark import _at, checked, clean_fails
from sample_models.generator import DEFECTS, build, write
from sample_models.generator.defects.vents import set_fall

BY_NAME = {defect.name: defect for defect in DEFECTS}
# defects that do not touch the same piece; the second group asks for a screen and has another riser
FIRST = ("joist-bored", "rated-floor", "cold-pipe-bare", "hatch-behind-wall", "screen-fine", "covered-first",
         "piece-changed", "labels-per-storey", "fan-downstairs", "membrane-thin", "radon-test-late")
SECOND = ("i-joist-bored", "riser-in-garage", "screen-wide", "sump-as-suction")


@pytest.mark.parametrize(
    ("names", "manner"),
    [(FIRST, "plain"), (FIRST, "ports-none"), (SECOND, "ports-half")],
)
def test_defects_beside_each_other_are_all_found(names: tuple[str, ...], manner: str) -> None:
    clean = build("two-storey")
    house, settings, also = clean, {}, set()
    for name in names:
        house = BY_NAME[name].apply(house)
        settings |= BY_NAME[name].settings
        also |= {BY_NAME[name].rule, *BY_NAME[name].also}
    schedules = any(BY_NAME[name].needs for name in names)
    report = checked(house, manner, schedules=schedules, settings=settings)
    missed = [
        name
        for name in names
        if not any(
            row["rule"] == BY_NAME[name].rule
            and row["outcome"] == BY_NAME[name].expect
            and _at(row, BY_NAME[name].where["two-storey"], house, clean)
            for row in report["findings"]
        )
    ]
    assert not missed
    assert {row["rule"] for row in report["findings"] if row["outcome"] == "fail"} <= also


@pytest.mark.parametrize(("house", "manner"), [("two-risers", "plain"), ("split-slab", "panelised")])
def test_clean_variants_have_no_fail(house: str, manner: str) -> None:
    assert clean_fails(house, manner) == []


# --- an attic offset that falls the wrong way, from file to finding -------------------------------------------

BORE, DROP, LENGTH, FAR, PITCH = 0.1015, 0.020, 1.2, 0.1, 96


def _offset(tmp_path: Path, rise: float, manner: str) -> dict[str, Any]:
    house = build("two-storey")
    set_fall(house, rise)
    path = tmp_path / f"{manner}.ifc"
    write(house, manner, path)
    return pipeline.check({"models": [str(path)]})


def _by_hand() -> tuple[float, float, float]:
    """Depth, volume and closed share of the pool in the pipe between its two bends, by slices.

    Between their corners the bends lie 1.2 m apart and 20 mm out of level; the pipe is 1.0 m of that, and falls
    16.7 mm. The water is a wedge in a bore of 101.5 mm.
    """
    depth = DROP * (LENGTH - 2 * FAR) / LENGTH
    heights = (np.arange(4000) + 0.5) / 4000 * depth
    radius = BORE / 2

    def segment(h: Any) -> Any:
        angle = 2 * np.arccos((radius - h) / radius)
        return radius**2 / 2 * (angle - np.sin(angle))

    volume = float(np.mean(segment(heights))) * (LENGTH - 2 * FAR)
    return depth, volume, float(segment(depth)) / (np.pi * radius**2)


def test_the_pool_of_a_wrong_offset_is_that_of_a_hand_calculation(tmp_path: Path) -> None:
    manner = "plain"
    depth, volume, closed = _by_hand()
    assert depth == pytest.approx(0.01667, abs=1e-5)
    assert volume * 1000 == pytest.approx(0.35, abs=0.01)
    assert closed == pytest.approx(0.107, abs=0.002)
    wrong = _offset(tmp_path, -DROP, manner)
    (pool,) = [row for row in wrong["findings"] if row["rule"] == "vent-low-point" and row["outcome"] == "fail"]
    (limit,) = [row for row in pool["limits"] if row["measure"] == "water_depth"]
    assert limit["low"] == pytest.approx(depth, abs=2e-4)
    assert f"holds {volume * 1000:.2f} L" in pool["message"]
    assert f"closes {closed:.0%} of the bore" in pool["message"]
    cured = _offset(tmp_path, LENGTH / PITCH, manner)
    rules = {row["rule"] for row in cured["findings"] if row["outcome"] == "fail"}
    assert not rules & {"vent-low-point", "vent-falls-back", "vent-fall-too-flat", "exit-above-roof"}
    counts = {row["rule"]: (row["pass"], row["fail"]) for report in (wrong, cured) for row in report["rules"]}
    assert counts["exit-above-roof"] == (1, 0)
    ends = [next(row for row in report["paths"] if row["kind"] == "vent")["slots"][-1] for report in (wrong, cured)]
    assert ends[0]["text"].split(",")[0] == ends[1]["text"].split(",")[0]  # the mouth stays where it was
