"""Continuous rods over two storeys: weakest link over the run, stretch, shrinkage, take-up, couplers, sizes.

The house of tests/builders_lateral.py with rods of 16 mm; loads and schedules invented. Stretch P L / (A_t E) with E
29,000 ksi (AISC 360) and the stress area A_t of the thread (ASME B1.1). Shrinkage 0.25 % of the depth for each point
of moisture (West Coast lumber grading rules); 4.5 in of plates and 9.25 in of joist from 19 to 12 %: 0.241 in
(arithmetic).
"""

from __future__ import annotations

from math import inf, pi

import pytest

from modellint.ifc.model import PropertyValue
from modellint.measures.capacity import end_links
from modellint.rulebook.judge import judge
from modellint.rulebook.load import load_rules
from modellint.rulebook.shipped import rules_folder
from tests.builders_lateral import FLOOR, HEIGHT, LENGTH, SOLES, bar, block
from tests.lateral_job.houses import DEMANDS, KNOWN, ask_of, end_of, small

RULES = {rule.id: rule for rule in load_rules([rules_folder() / "lateral"], KNOWN)}
SHEARS = DEMANDS + "S2,Level 1,9,0,ASD wind\nS2,Level 2,5,0,ASD wind\n"
RUNS = (
    "wall,storey,rod tension (kN),rod diameter (mm),coupler tension (kN),plate bearing (kN),"
    "take-up travel (mm),level\n"
)
LOWER, UPPER = "wall:1:0@start", "wall:1:1@start"
ARM = LENGTH - 0.111 - 0.038
PULLS = {UPPER: 5_000 * 2.4 / ARM, LOWER: 5_000 * 2.4 / ARM + 9_000 * 2.7 / ARM}  # 5.33 and 16.1 kN
# the drawn 16 mm instead of 15.875 mm: pi/4 (d - 0.9743/n)2, n = 11 threads per inch
AREA, MODULUS = pi / 4 * (0.016 - 0.9743 / 11 * 0.0254) ** 2, 29e6 * 6894.757
INCH = 0.0254


def outcomes(build, rule):
    ask = ask_of(build)
    found = judge([RULES[rule]], ask.house, ask).findings
    return {row.subject_key: (row.outcome, row.message) for row in found}


def value(ask, name, key):
    found = ask.measure(name, end_of(ask, key))
    assert found.known, found.missing
    return found.low


def framed(take_ups=(), joist="sawn joist 38x235", **texts):
    """The house with plates of 1.5 in and a joist of 9.25 in under the upper wall S2."""
    build = small("rod", **texts)
    for level, sole in enumerate(SOLES):
        top = sole + HEIGHT
        for k, (low, role) in enumerate(
            ((sole, "bottom_plate"), (top - 3 * INCH, "top_plate"), (top - 1.5 * INCH, "top_plate"))
        ):
            build.add(f"plate:{level}:{k}", role, block((0.0, 2.93, low), (LENGTH, 3.07, low + 1.5 * INCH)))
    build.add("joist", "joist", block((0.0, 2.9, HEIGHT), (LENGTH, 2.94, HEIGHT + 9.25 * INCH)), name=joist)
    for level in take_ups:
        for side in ("start", "end"):
            x, z = (0.111 if side == "start" else LENGTH - 0.111), SOLES[level] + HEIGHT + 0.012
            build.add(
                f"take-up:{side}:{level}", "take_up", bar((x, 3.0, z), (x, 3.0, z + 0.04), 0.02), name="take-up TU-1"
            )
            nut = f"nut:1:{side}:{level}"
            build.drop(nut)
            build.add(nut, "nut", block((x - 0.015, 2.985, z + 0.04), (x + 0.015, 3.015, z + 0.053)))
    return build


def test_the_floor_of_the_house_takes_the_joist():
    assert FLOOR > 9.25 * INCH


def test_stretch_of_each_storey_and_of_the_run():
    ask = ask_of(small("rod", wall_demands=SHEARS))
    # from the top of the footing to the plate at 2.4 m, and from that plate's top at 2.412 m to 5.1 m
    lower = PULLS[LOWER] * 2.4 / (AREA * MODULUS)
    upper = PULLS[UPPER] * (5.1 - 2.412) / (AREA * MODULUS)
    assert value(ask, "rod_stretch", LOWER) == pytest.approx(lower, rel=2e-3)
    assert value(ask, "rod_stretch", UPPER) == pytest.approx(upper, rel=2e-3)
    assert value(ask, "rod_stretch_total", UPPER) == pytest.approx(lower + upper, rel=2e-3)


def test_without_a_pull_the_stretch_is_open_and_the_shrinkage_alone_may_fail():
    build = framed()
    ask = ask_of(build)
    assert ask.measure("rod_stretch", end_of(ask, UPPER)).high == inf
    assert value(ask, "floor_shrinkage", UPPER) == pytest.approx(0.241 * INCH, abs=0.0005 * INCH)
    assert outcomes(build, "rod-movement-too-large")[UPPER][0] == "fail"  # 6.11 mm against 5 mm
    assert outcomes(build, "rod-movement-too-large")[LOWER][0] == "open"  # 2.0 mm of plates, stretch not known


def test_engineered_joists_do_not_shrink_but_plates_do():
    ask = ask_of(framed(joist="I-joist 241"))
    assert value(ask, "floor_shrinkage", UPPER) == pytest.approx(4.5 * INCH * 0.0025 * 7)
    assert value(ask, "shrinkage_below", UPPER) == pytest.approx(2 * 4.5 * INCH * 0.0025 * 7)


def test_moisture_is_a_setting():
    build = framed()
    build.settings |= {"moisture_built": 0.15, "moisture_service": 0.10}
    ask = ask_of(build)
    assert value(ask, "floor_shrinkage", UPPER) == pytest.approx((4.5 + 9.25) * INCH * 0.0025 * 5)


@pytest.mark.parametrize(("travel", "slack"), [("25", 0.0), ("6", None)])
def test_a_take_up_device_must_follow_the_shrinkage_from_the_foundation_up(travel, slack):
    """At the upper plate 2.0 + 6.11 = 8.1 mm; a travel of 6 mm leaves 2.1 mm of slack, one of 25 mm none."""
    runs = RUNS + f"S2,Level 1,,,,,{travel},\nS2,Level 2,,,,,{travel},\n"
    ask = ask_of(framed((0, 1), wall_demands=SHEARS, rod_runs=runs))
    stretch = value(ask, "rod_stretch", UPPER)
    below = value(ask, "shrinkage_below", UPPER)
    assert below == pytest.approx((9.0 + 9.25) * INCH * 0.0025 * 7)
    left = below - 0.006 if slack is None else slack
    assert value(ask, "rod_movement", UPPER) == pytest.approx(stretch + left, abs=1e-6)


def test_a_take_up_device_of_unknown_travel_leaves_the_rule_open():
    build = framed((0, 1), wall_demands=SHEARS)
    assert outcomes(build, "rod-movement-too-large")[UPPER][0] == "open"
    assert outcomes(build, "tie-reaches-foundation") == {}  # the nut bears on the device, the device on the plate


def test_the_schedules_movement_limit_goes_before_the_shipped_one():
    runs = "wall,storey,take-up travel (mm),movement limit (mm)\nS2,Level 2,25,0.4\nS2,Level 1,25,9\n"
    found = outcomes(framed((0, 1), wall_demands=SHEARS, rod_runs=runs), "rod-movement-too-large")
    assert {key for key, row in found.items() if row[0] == "fail"} == {"wall:1:1@start", "wall:1:1@end"}
    assert "0.4 mm" in found[UPPER][1]


@pytest.mark.parametrize(
    ("runs", "weakest", "capacity"),
    [
        ("S2,Level 1,,,,30,,ASD wind", None, (0.0, 30_000 + PULLS[UPPER])),  # coupler and rod are not given
        ("S2,Level 1,22,16,14,30,,ASD wind", "coupler:1:start:0", (14_000, 14_000)),
        ("S2,Level 1,22,16,40,30,,ASD wind", "rod", (22_000, 22_000)),
        ("S2,Level 1,22,16,40,8,,ASD wind", "plate:1:start:0", (8_000 + PULLS[UPPER],) * 2),
        ("S2,Level 1,22,19,40,30,,ASD wind", None, (0.0, 30_000 + PULLS[UPPER])),  # thinner than the schedule's rod
    ],
)
def test_the_weakest_link_over_rod_coupler_and_plate(runs, weakest, capacity):
    build = small("rod", wall_demands=SHEARS, rod_runs=RUNS + runs + "\n")
    ask = ask_of(build)
    links = {link.name: link.capacity for link in end_links(end_of(ask, LOWER), ask) if "anchorage" not in link.name}
    low, high = min(row.low for row in links.values()), min(row.high for row in links.values())
    assert (low, high) == (pytest.approx(capacity[0], abs=1), pytest.approx(capacity[1], abs=1))
    if weakest:
        assert min(links, key=lambda name: links[name].high) == weakest


def test_a_grade_in_the_rod_run_schedule_is_worked_out():
    """AISC 360 J3.6: 0.75 x 58 ksi x A_b / 2.00 for 16 mm of ASTM F1554 grade 36: 30.2 kN."""
    runs = "wall,storey,rod grade,level\nS2,Level 1,ASTM F1554 Gr. 36,ASD wind\n"
    ask = ask_of(small("rod", wall_demands=SHEARS, rod_runs=runs))
    links = {link.name: link.capacity for link in end_links(end_of(ask, LOWER), ask)}
    assert links["rod"].low / 1000 == pytest.approx(30.2, abs=0.1)


def thinner(build, key, radius):
    """A piece of another diameter in the same place."""
    axis = build.parts[key].axis
    build.drop(key)
    build.add(key, "rod", bar(axis[0], axis[-1], radius), name=f"rod {2000 * radius:.1f}")
    return build


@pytest.mark.parametrize(
    ("lower", "upper", "outcome"), [(0.008, 0.008, None), (0.008, 0.00635, None), (0.00635, 0.008, "fail")]
)
def test_a_rod_may_step_down_upward_only(lower, upper, outcome):
    build = thinner(thinner(small("rod"), "rod:1:start:0", lower), "rod:1:start:1", upper)
    assert outcomes(build, "rod-thinner-below").get(LOWER, (None,))[0] == outcome


@pytest.mark.parametrize(
    ("upper", "sizes", "outcome"),
    [
        (0.008, None, None),  # two equal pieces and a coupler that says nothing: no question
        (0.00635, None, "open"),
        (0.00635, "12.7 x 16 mm", None),
        (0.00635, "5/8 x 1/2 in", None),
        (0.00635, "16 mm", "fail"),
        (0.008, "1/2 in", "fail"),
    ],
)
def test_couplers_fit_both_pieces(upper, sizes, outcome):
    build = thinner(small("rod"), "rod:1:start:1", upper)
    if sizes:
        build.parts["coupler:1:start:0"].element.properties["Coupler", "Coupler sizes"] = PropertyValue(sizes)
    assert outcomes(build, "coupler-misfits").get(LOWER, (None,))[0] == outcome


def test_rod_and_plate_as_the_rod_run_schedule_asks():
    """Drawn are 16 mm and 80 x 80 x 12 mm."""
    head = "wall,storey,rod diameter (mm),plate width (mm),plate length (mm),plate thickness (mm)\n"
    assert outcomes(small("rod", rod_runs=head + "S2,Level 1,16,80,80,12\n"), "hardware-not-a-set") == {}
    found = outcomes(small("rod", rod_runs=head + "S2,Level 1,22,80,100,12\n"), "hardware-not-a-set")
    assert {key for key, row in found.items() if row[0] == "fail"} == {"wall:1:0@start", "wall:1:0@end"}
