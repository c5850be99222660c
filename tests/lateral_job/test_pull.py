"""Lever arms and pulls of a small house in code, worked out by hand beside each check.

Statics (arithmetic): T = (V h - D (b/2 - c)) / d per storey, storeys added from the top (SDPWS 2021 4.3.6.4.4).
The house: walls 2.4 m long and high, floor 0.3 m, posts 76 mm, ties with their middle 111 mm in.
"""

from __future__ import annotations

import pytest

from tests.builders_lateral import LENGTH, across_end, add_tie, block
from tests.lateral_job.houses import DEMANDS, ENDS, WALLS, ask_of, end_of, small

ARM = LENGTH - 0.111 - 0.038
SHEARS = DEMANDS + "S2,Level 1,9,4,ASD wind\nS2,Level 2,5,4,ASD wind\n"
LOWER, UPPER = "wall:1:0@start", "wall:1:1@start"


def value(ask, name, key):
    found = ask.measure(name, end_of(ask, key))
    assert found.known, found.missing
    return found.low


def test_lever_arm_runs_from_the_tie_to_the_middle_of_the_other_post():
    assert value(ask_of(small()), "lever_arm", LOWER) == pytest.approx(ARM)  # 2.4 - 0.111 - 0.038 = 2.251 m


def test_storeys_are_added_from_the_top_with_dead_load_as_given():
    ask = ask_of(small(wall_demands=SHEARS))
    dead = 4_000 * (LENGTH / 2 - 0.038)  # 4 kN at 1.2 m less the post's 38 mm: 4.648 kN m
    upper = (5_000 * 2.4 - dead) / ARM  # (12 - 4.648) / 2.251 = 3.27 kN
    lower = upper + (9_000 * 2.7 - dead) / ARM  # 3.27 + (24.3 - 4.648) / 2.251 = 12.0 kN
    assert value(ask, "uplift_demand", UPPER) == pytest.approx(upper, abs=1)
    assert value(ask, "uplift_demand", LOWER) == pytest.approx(lower, abs=1)
    assert lower == pytest.approx(11_997, abs=5)
    assert ask.measure("uplift_demand", end_of(ask, LOWER)).level == "ASD wind"


def test_dead_load_that_is_not_given_is_not_counted():
    ask = ask_of(small(wall_demands="wall,storey,shear (kN),level\nS2,Level 2,5,ASD wind\n"))
    assert value(ask, "uplift_demand", UPPER) == pytest.approx(5_000 * 2.4 / ARM, abs=1)


def test_dead_load_that_holds_the_end_down_helps_the_storey_below():
    ask = ask_of(small(wall_demands=DEMANDS + "S2,Level 1,9,0,ASD wind\nS2,Level 2,1,20,ASD wind\n"))
    above = (1_000 * 2.4 - 20_000 * (1.2 - 0.038)) / ARM  # below zero
    assert above < 0
    assert value(ask, "uplift_demand", UPPER) == 0.0
    assert value(ask, "uplift_demand", LOWER) == pytest.approx(above + 9_000 * 2.7 / ARM, abs=1)


def test_a_given_pull_beats_the_one_from_shear_and_the_difference_is_told():
    ask = ask_of(small(wall_demands=SHEARS, wall_ends=ENDS + "S2,Level 1,west,,,13,ASD wind\n"))
    end = end_of(ask, LOWER)
    assert value(ask, "uplift_demand", LOWER) == 13_000
    assert ask.measure("demand_difference", end).low == pytest.approx((13_000 - 11_997) / 13_000, abs=1e-3)
    assert value(ask, "uplift_demand", UPPER) == pytest.approx(3_266, abs=5)


def test_moving_tie_and_post_changes_both_directions():
    build = small(wall_demands=SHEARS)
    y, x = 3.0, across_end("end", 0.300, 0.376)
    build.drop("post:1:end:0", "base:1:end:0")
    build.add("post:1:end:0", "post", block((x[0], y - 0.07, 0.038), (x[1], y + 0.07, 2.324)), name="end post")
    add_tie(build, "base:1:end:0", y, "end", 0.1, 0.4)
    t = across_end("end", 0.376, 0.446)
    build.drop("base:1:end:0")
    build.add("base:1:end:0", "hold_down", block((t[0], y - 0.035, 0.1), (t[1], y + 0.035, 0.4)), name="tie-down TD-3")
    ask = ask_of(build)
    upper = (5_000 * 2.4 - 4_000 * 1.162) / ARM
    here = upper + (9_000 * 2.7 - 4_000 * 1.162) / (ARM - 0.300)  # this tie pulled: its own arm is shorter
    there = upper + (9_000 * 2.7 - 4_000 * 0.862) / (ARM - 0.300)  # the other pulled: the post that answers moved
    assert value(ask, "uplift_demand", "wall:1:0@end") == pytest.approx(here, abs=1)
    assert value(ask, "uplift_demand", LOWER) == pytest.approx(there, abs=1)


def test_unlike_levels_of_two_storeys_are_not_added():
    ask = ask_of(small(wall_demands=DEMANDS + "S2,Level 1,9,4,ASD wind\nS2,Level 2,5,4,LRFD wind\n"))
    found = ask.measure("uplift_demand", end_of(ask, LOWER))
    assert not found.known
    assert [fact.of for fact in found.missing] == ["wall S2, Level 2 at ASD wind"]


def test_an_undrawn_post_leaves_a_range_up_to_the_whole_length():
    ask = ask_of(small(wall_demands=SHEARS).drop("post:1:end:0"))
    arm = ask.measure("lever_arm", end_of(ask, LOWER))
    assert (arm.low, arm.high) == (0.0, pytest.approx(LENGTH - 0.111))
    assert not ask.measure("uplift_demand", end_of(ask, LOWER)).known


def test_pull_of_portal_frames_must_be_given():
    walls = WALLS + "S2,,,,,,,portal\n"
    ask = ask_of(small(wall_demands=SHEARS, shear_walls=walls))
    assert not ask.measure("uplift_demand", end_of(ask, LOWER)).known
    ask = ask_of(small(wall_demands=SHEARS, shear_walls=walls, wall_ends=ENDS + "S2,Level 1,west,,,9,ASD wind\n"))
    assert value(ask, "uplift_demand", LOWER) == 9_000


def test_properties_of_a_wall_stand_in_for_the_schedule():
    build = small()
    wall = build.parts["wall:1:1"].element
    from modellint.ifc.model import PropertyValue

    wall.properties |= {("Structure", "Shear demand"): PropertyValue("5 kN"),
                        ("Structure", "Load level"): PropertyValue("wind, ASD")}
    ask = ask_of(build)
    found = ask.measure("uplift_demand", end_of(ask, UPPER))
    assert (found.low, found.level) == (pytest.approx(5_000 * 2.4 / ARM, abs=1), "ASD wind")


def test_push_is_given_or_at_least_the_pull_it_answers():
    ask = ask_of(small(wall_demands=SHEARS))
    push = ask.measure("push_demand", end_of(ask, "wall:1:0@end"))
    assert (push.low, push.high) == (pytest.approx(11_997, abs=5), float("inf"))
    given = ENDS.replace("tension", "compression") + "S2,Level 1,east,,,31,ASD wind\n"
    ask = ask_of(small(wall_demands=SHEARS, wall_ends=given))
    assert ask.measure("push_demand", end_of(ask, "wall:1:0@end")).low == 31_000


def test_bearing_of_a_post_across_the_grain():
    """NDS 2018 Table 4A: southern pine 565 psi; 76 x 140 mm: 565 psi x 10,640 mm2 = 41.4 kN."""
    build = small(wall_demands=SHEARS)
    build.add("sole", "sill_plate", block((0.0, 2.93, 0.0), (LENGTH, 3.07, 0.038)), name="sill plate")
    build.parts["sole"].element.materials = ("Southern pine, treated",)
    ask = ask_of(build)
    found = ask.measure("post_bearing", end_of(ask, LOWER)).low
    assert found == pytest.approx(565 * 6894.757 * 0.076 * 0.140, rel=1e-4)
