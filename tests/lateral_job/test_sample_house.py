"""The sample house with demands, end to end: moved ties, swapped devices, exceptions that are no false alarm.

The house and its schedules are invented. Wall SW-5 is 2.9 m long on both storeys; its shear on Level 2 is 2.90 kN
and on Level 1 5.22 kN, dead load 1.16 kN each (0.4 kN/m); walls 2.467 m high, floors 2.787 m apart; posts 76 mm,
ties with their middle 111 mm in. The sums beside the checks are arithmetic.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from modellint import pipeline
from sample_models.generator import House
from sample_models.generator.defects.demand import add_row, remark, set_cell
from sample_models.generator.defects.edit import ends_of, rebox, retube, shift
from sample_models.generator.house import three_storey_transfer
from sample_models.generator.pieces import Measure
from tests.lateral_job.houses import asked, report_of, sample, written

END, LOWER = "SW-5/L1/1b", ("SW-5", "Level 1")
PULL, SET = "pull-exceeds-weakest-link", "hardware-not-a-set"
ARM = 2.9 - 0.111 - 0.038
DEAD = 1.16 * (1.45 - 0.038)
UPPER_PULL = (2.90 * 2.467 - DEAD) / ARM  # 2.01 kN


def pulls(path: Path) -> dict[str, float]:
    """Pull at the ends of SW-5 on Level 1 in kN, by compass word."""
    found = {}
    for ask in asked(path):
        for end in ask.house.nodes["wall_end"]:
            if "SW-5" in end.line.name and end.line.storey == "Level 1":
                found[end.word] = ask.measure("uplift_demand", end).low / 1000
    return found


def outcomes(report, rule):
    return [(row["outcome"], row["subject"]["name"]) for row in report["findings"] if row["rule"] == rule]


def messages(report, rule):
    return " ".join(row["message"] for row in report["findings"] if row["rule"] == rule)


@pytest.mark.parametrize("manner", ["semantic", "plain", "panelised"])
def test_pull_of_the_clean_house_by_hand(manner, tmp_path):
    whole = UPPER_PULL + (5.22 * 2.787 - DEAD) / ARM  # 2.01 + 12.91 / 2.751 = 6.70 kN
    assert whole == pytest.approx(6.70, abs=0.01)
    assert pulls(written(sample(), tmp_path, manner)) == pytest.approx({"south": whole, "north": whole}, abs=0.1)


@pytest.mark.parametrize("manner", ["semantic", "plain", "panelised"])
def test_tie_and_post_300_mm_inward_change_both_ends(manner, tmp_path):
    house = sample()
    shift(house, [f"{END}/{name}" for name in ("post", "base-tie", "base-nut", "anchor")], (0.0, -0.300, 0.0))
    # north end pulled: its tie stands 411 mm in, the south post answers at 38 mm: arm 2.9 - 0.411 - 0.038 = 2.451 m
    north = UPPER_PULL + (5.22 * 2.787 - DEAD) / 2.451  # 2.01 + 12.91 / 2.451 = 7.27 kN
    # south end pulled: its tie is where it was, but the post that answers stands 338 mm in: arm 2.451 m, and the
    # dead load turns about that post: 1.16 x (1.45 - 0.338) = 1.29 kN m
    south = UPPER_PULL + (5.22 * 2.787 - 1.16 * (1.45 - 0.338)) / 2.451  # 2.01 + 13.26 / 2.451 = 7.41 kN
    assert (north, south) == pytest.approx((7.27, 7.41), abs=0.01)
    assert pulls(written(house, tmp_path, manner)) == pytest.approx({"north": north, "south": south}, abs=0.1)


def overloaded() -> House:
    """SW-5 with 4.5 times its shear on Level 1: 2.01 + (23.49 x 2.787 - 1.64) / 2.751 = 25.2 kN against 22 kN."""
    house = sample()
    set_cell(house, "wall-demands", LOWER, "shear", "23.49")
    return house


def overloaded_higher() -> House:
    """The three-storey house: SW-6, 3.0 m long on all storeys, posts 114 mm, dead load 1.2 kN each.

    Arm 3.0 - 0.152 - 0.057 = 2.791 m; 3.00, 5.40 and now 17 kN of shear: (3.00 x 2.467 + 5.40 x 2.787 + 17 x 2.787 -
    3 x 1.2 x 1.443) / 2.791 = 23.2 kN against 22 kN.
    """
    house = sample("three-storey")
    set_cell(house, "wall-demands", ("SW-6", "Level 1"), "shear", "17")
    return house


def swap_device(house: House, wall: str = "SW-5", post: str = "114") -> None:
    """TD-3 of 40 kN, which asks for a 22.2 mm rod 450 mm deep and a post of 114 mm (or `post`)."""
    if not any(row[0] == "TD-3" for row in house.schedules["hold-downs"]):
        add_row(house, "TD-3", "40", "22.2", post, "450")
    for side in "ab":
        remark(house.pieces[f"{wall}/L1/1{side}/base-tie"], "TD-3")


def swap_rest(house: House, wall: str = "SW-5") -> None:
    """Rod, post and anchorage of TD-3 at both ends of a wall on Level 1; the tie moves along with its thicker post."""
    for side, way in (("a", 1.0), ("b", -1.0)):
        key = f"{wall}/L1/1{side}"
        low, high = house.pieces[f"{key}/post"].shape.bounds()
        if side == "a":
            rebox(house.pieces[f"{key}/post"], 1, high=high[1] + 0.038)
        else:
            rebox(house.pieces[f"{key}/post"], 1, low=low[1] - 0.038)
        shift(house, [f"{key}/{name}" for name in ("base-tie", "base-nut", "anchor")], (0.0, way * 0.038, 0.0))
        rod = house.pieces[f"{key}/anchor"]
        start, end = ends_of(house, rod.key)
        retube(rod, start=(start[0], start[1], -0.390), end=end)
        rod.shape = type(rod.shape)(rod.shape.points, 0.0111, rod.shape.inner)
        rod.props |= {"rod_diameter": Measure(0.0222), "embedment": Measure(0.390)}


def test_the_overloaded_end_fails_and_names_its_weakest_link(tmp_path):
    report = report_of(overloaded(), tmp_path)
    assert {outcome for outcome, _ in outcomes(report, PULL)} == {"fail"}
    assert "25.2" in messages(report, PULL)
    assert "Tie-down TD-2" in messages(report, PULL)


CASES = pytest.mark.parametrize(("made", "wall", "post"), [(overloaded, "SW-5", "114"),
                                                           (overloaded_higher, "SW-6", "152")])


@CASES
def test_swapping_the_device_alone_clears_nothing(made, wall, post, tmp_path):
    house = made()
    swap_device(house, wall, post)
    report = report_of(house, tmp_path)
    assert {outcome for outcome, _ in outcomes(report, PULL)} == {"fail"}
    assert "Tie-down TD-3" not in messages(report, PULL)
    assert {outcome for outcome, _ in outcomes(report, SET)} == {"fail"}


@CASES
def test_swapping_the_whole_set_clears_both(made, wall, post, tmp_path):
    """The thickening is 0.3 m deep under a slab of 0.1 m, so the row asks for 380 mm here."""
    house = made()
    before = {outcome for outcome, name in outcomes(report_of(house, tmp_path), PULL) if wall in name}
    assert before == {"fail"}
    add_row(house, "TD-3", "40", "22.2", post, "380")
    swap_device(house, wall, post)
    swap_rest(house, wall)
    report = report_of(house, tmp_path)
    assert outcomes(report, PULL) == []
    assert outcomes(report, SET) == []


def test_a_stronger_device_with_its_set_counts_as_the_scheduled_one(tmp_path):
    house = sample()
    add_row(house, "TD-3", "40", "22.2", "114", "380")
    swap_device(house)
    assert {outcome for outcome, _ in outcomes(report_of(house, tmp_path), "tie-not-as-scheduled")} == {"fail"}
    swap_rest(house)
    assert outcomes(report_of(house, tmp_path), "tie-not-as-scheduled") == []


def test_an_inset_with_the_engineers_calculation_passes(tmp_path):
    """The engineer gives the pull for the tie where it stands and accepts the distance in the project file."""
    house = sample()
    top = ("SW-5", "Level 2")
    keys = [f"SW-5/L2/1b/{name}" for name in ("post", "base-tie", "base-nut", "rod")]
    shift(house, [*keys, "SW-5/L1/1b/top-tie", "SW-5/L1/1b/top-nut", *(f"{END}/{name}" for name in (
        "post", "base-tie", "base-nut", "anchor")), "floor-2/block-SW-5-L2-1b"], (0.0, -0.300, 0.0))
    for where, pull in ((top, "2.3"), (LOWER, "7.6")):
        for word in ("south", "north"):
            set_cell(house, "wall-ends", (*where, word), "tension", pull)
            set_cell(house, "wall-ends", (*where, word), "level", "ASD wind")
        set_cell(house, "wall-demands", where, "shear", "")
    path = written(house, tmp_path)
    with (tmp_path / "modellint.yaml").open("a", encoding="utf-8") as project:
        project.write("settings:\n  tie-distance-from-end.distance: 18 in\n")
    report = pipeline.check({"models": [str(path)]})
    assert [row["rule"] for row in report["findings"] if row["outcome"] == "fail"] == []
    assert outcomes(report, PULL) == []


def test_a_transfer_beam_is_no_false_alarm(tmp_path):
    report = report_of(three_storey_transfer(), tmp_path)
    assert [row["message"] for row in report["findings"] if row["outcome"] == "fail"] == []


def test_without_any_schedule_there_is_one_question(tmp_path):
    path = written(sample(), tmp_path)
    (tmp_path / "modellint.yaml").write_text("units: metric\n", encoding="utf-8")
    report = pipeline.check({"models": [str(path)]})
    rows = [row for row in report["findings"] if row["rule"] in {PULL, "shear-exceeds-nailing"}]
    assert {row["outcome"] for row in rows} == {"open"}
    assert len({row["group"] for row in rows}) == 1
    assert "Break-even" in rows[0]["question"]
    quiet = {SET, "tie-not-as-scheduled", "demand-given-twice", "plate-washer-off-edge"}
    assert [row for row in report["findings"] if row["rule"] in quiet] == []
