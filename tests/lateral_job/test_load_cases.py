"""Wind beside seismic loads, sources that disagree. The house of tests/builders_lateral.py; all loads invented.

Statics (arithmetic): T = V h / d per storey, d = 2.4 - 0.111 - 0.038 = 2.251 m; floor to floor 2.7 m, top storey 2.4 m.
"""

from __future__ import annotations

import pytest

from modellint.ifc.model import PropertyValue
from modellint.rulebook.judge import judge
from modellint.rulebook.load import load_rules
from modellint.rulebook.shipped import rules_folder
from tests.lateral_job.houses import DEMANDS, ENDS, KNOWN, TIES, ask_of, end_of, small

ARM = 2.251
LOWER, UPPER = "wall:1:0@start", "wall:1:1@start"
BOTH = DEMANDS + (
    "S2,Level 1,9,0,ASD wind\nS2,Level 2,5,0,ASD wind\nS2,Level 1,8,0,ASD seismic\nS2,Level 2,4,0,ASD seismic\n"
)
WIND_PULL, SEISMIC_PULL = (5 * 2.4 + 9 * 2.7) / ARM, (4 * 2.4 + 8 * 2.7) / ARM  # 16.1 and 13.9 kN
ROWS = "TD-3,{wind},ASD wind,16,76,250,50\nTD-3,{seismic},ASD seismic,16,76,250,50\n"
RULES = {rule.id: rule for rule in load_rules([rules_folder() / "lateral"], KNOWN)}


def outcomes(build, rule):
    ask = ask_of(build)
    found = judge([RULES[rule]], ask.house, ask).findings
    return [(row.outcome, row.subject_key, row.message) for row in found]


@pytest.mark.parametrize(
    ("wind", "seismic", "case", "pull"),
    [
        (22, 22, "ASD wind", WIND_PULL),  # 73 % against 63 %
        (22, 15, "ASD seismic", SEISMIC_PULL),  # 73 % against 92 %: the smaller force governs
    ],
)
def test_the_larger_share_governs_not_the_larger_force(wind, seismic, case, pull):
    ask = ask_of(small(wall_demands=BOTH, hold_downs=TIES + ROWS.format(wind=wind, seismic=seismic)))
    end = end_of(ask, LOWER)
    assert ask.measure("load_case", end).words == {case}
    found = ask.measure("uplift_demand", end)
    assert (found.low / 1000, found.level) == (pytest.approx(pull, abs=0.01), case)
    assert ask.measure("chain_capacity", end).level == case
    told = next(fact.what for fact in found.evidence if "governs" in fact.what)
    assert "ASD wind 73%" in told
    assert f"ASD seismic {100 * SEISMIC_PULL / seismic:.0f}%" in told


def test_a_case_that_fails_governs_over_one_that_holds_and_one_that_is_open():
    rows = TIES + "TD-3,22,ASD wind,16,76,250,50\nTD-3,13,ASD seismic,16,76,250,50\n"
    build = small(wall_demands=BOTH, hold_downs=rows)
    failed = [row for row in outcomes(build, "pull-exceeds-weakest-link") if row[0] == "fail"]
    assert {row[1] for row in failed} == {LOWER, "wall:1:0@end"}
    assert all("Load case: ASD seismic" in row[2] for row in failed)


def test_a_seismic_load_without_a_seismic_capacity_is_open_though_the_wind_holds():
    build = small(wall_demands=BOTH, hold_downs=TIES + "TD-3,22,ASD wind,16,76,250,50\n")
    assert ("open", LOWER) in {row[:2] for row in outcomes(build, "pull-exceeds-weakest-link")}


def test_a_case_that_a_lower_storey_lacks_is_asked_for():
    rows = BOTH.replace("S2,Level 1,8,0,ASD seismic\n", "")
    ask = ask_of(small(wall_demands=rows, hold_downs=TIES + ROWS.format(wind=30, seismic=30)))
    found = ask.measure("uplift_demand", end_of(ask, LOWER))
    assert not found.known
    assert [fact.of for fact in found.missing] == ["wall S2, Level 1 at ASD seismic"]


def test_pulls_given_for_both_hazards_stand_beside_each_other():
    ends = ENDS + "S2,Level 1,west,,,10,ASD wind\nS2,Level 1,west,,,8,ASD seismic\n"
    ask = ask_of(small(wall_ends=ends, hold_downs=TIES + ROWS.format(wind=22, seismic=10)))
    found = ask.measure("uplift_demand", end_of(ask, LOWER))
    assert (found.low, found.level) == (8_000, "ASD seismic")  # 80 % against 45 %


def test_two_rows_of_one_level_that_disagree_are_told_and_the_larger_counts():
    rows = DEMANDS + 'S2,Level 1,9,0,ASD wind\nS2,Level 1,7,0,"wind, ASD"\nS2,Level 2,5,0,ASD wind\n'
    build = small(wall_demands=rows)
    ((outcome, key, message),) = outcomes(build, "demands-disagree")
    assert (outcome, key) == ("fail", "wall:1:0")
    assert "9 kN (wall-demand schedule, line 2) and 7 kN (wall-demand schedule, line 3)" in message
    ask = ask_of(build)
    assert ask.measure("uplift_demand", end_of(ask, LOWER)).low / 1000 == pytest.approx(WIND_PULL, abs=0.01)


@pytest.mark.parametrize(("level", "said"), [("wind, ASD", ["fail"]), ("LRFD wind", [])])
def test_schedule_and_property_disagree_only_at_one_level(level, said):
    build = small(wall_demands=DEMANDS + "S2,Level 1,9,0,ASD wind\nS2,Level 2,5,0,ASD wind\n")
    build.parts["wall:1:0"].element.properties |= {
        ("Structure", "Shear demand"): PropertyValue("6 kN"),
        ("Structure", "Load level"): PropertyValue(level),
    }
    assert [row[0] for row in outcomes(build, "demands-disagree")] == said


def test_a_walls_one_pull_stands_for_its_largest_end():
    ends = ENDS + "S2,Level 1,west,,,10,ASD wind\nS2,Level 1,east,,,12,ASD wind\n"
    build = small(wall_ends=ends)
    wall = build.parts["wall:1:0"].element
    wall.properties |= {
        ("Structure", "Tension demand"): PropertyValue("12 kN"),
        ("Structure", "Load level"): PropertyValue("ASD wind"),
    }
    assert outcomes(build, "demands-disagree") == []
    wall.properties["Structure", "Tension demand"] = PropertyValue("9 kN")
    assert [row[0] for row in outcomes(build, "demands-disagree")] == ["fail"]


@pytest.mark.parametrize(
    ("value", "level", "apart"),
    [("25 kN", "ASD wind", True), ("25 kN", "", True), ("22.2 kN", "ASD wind", False), ("25 kN", "LRFD wind", False)],
)
def test_schedule_and_device_disagree(value, level, apart):
    build = small(
        hold_downs=TIES + "TD-3,22,ASD wind,16,76,250,50\n", wall_ends=ENDS + "S2,Level 1,west,,,23,ASD wind\n"
    )
    given = {("Hardware", "Allowable tension"): PropertyValue(value)}
    if level:
        given["Hardware", "Load level"] = PropertyValue(level)
    build.parts["base:1:start:0"].element.properties |= given
    assert [row[0] for row in outcomes(build, "capacities-disagree")] == (["fail"] if apart else [])
    ask = ask_of(build)
    takes = ask.measure("chain_capacity", end_of(ask, LOWER))
    # rod, post and anchor are worth the row's 22 kN anyway, the device 22 to 25 kN
    assert (takes.low, takes.high) == (22_000, 22_000)


@pytest.mark.parametrize(
    ("table", "text", "twice"),
    [
        ("hold_downs", "mark,allowable tension (kN),level\nA,10,ASD wind\nA,12,ASD seismic\n", False),
        ("hold_downs", "mark,allowable tension (kN),level\nA,10,ASD wind\nA,12,ASD wind\n", False),
        ("hold_downs", "mark,allowable tension (kN),level\nA,10,ASD wind\nA,10,ASD wind\n", True),
        ("wall_demands", "wall,storey,shear (kN),level\nS,1,10,ASD wind\nS,1,12,ASD seismic\n", False),
        ("wall_demands", "wall,storey,shear (kN),level\nS,1,10,ASD wind\nS,1,10,ASD wind\n", True),
        ("rod_runs", "wall,storey,rod tension (kN)\nS,1,10\nS,1,12\n", True),
    ],
)
def test_one_line_for_each_level_and_no_line_twice(table, text, twice):
    from modellint.errors import FileProblems
    from modellint.rulebook.schedules import parse_schedule

    if not twice:
        assert len(parse_schedule(table, text, "t.csv").rows) == 2
        return
    with pytest.raises(FileProblems, match=r"t\.csv:3:1: .* are the same as on line 2"):
        parse_schedule(table, text, "t.csv")


def test_loads_and_sizes_are_not_below_zero():
    from modellint.errors import FileProblems
    from modellint.rulebook.schedules import parse_schedule

    with pytest.raises(FileProblems, match=r"t\.csv:2:3: shear: '-5' is below zero"):
        parse_schedule("wall_demands", "wall,storey,shear (kN)\nS,1,-5\n", "t.csv")
