"""Deflection at the top of a wall, and the end post under the push. Loads and schedules are invented.

Deflection: SDPWS Eq. 4.3-1 (from memory), 8 v h3 / (E A b) + v h / (1000 G_a) + h D_a / b, here in consistent units:
2 v h3 / (3 E A b) + v h / G_a + h D_a / b. G_a 22 kip/in for 7/16 in OSB with 8d at 4 in (SDPWS 2015 Table 4.3A), E of
spruce-pine-fir No. 2 1,400,000 psi, E_min 510,000 psi (NDS 2018 Supplement Table 4A). Post: 0.822 E_min / (l/d)2 (NDS
2018 3.7.1.5).
"""

from __future__ import annotations

from math import inf

import pytest

from modellint.rulebook.judge import judge
from modellint.rulebook.load import load_rules
from modellint.rulebook.shipped import rules_folder
from tests.builders_lateral import block
from tests.lateral_job.houses import DEMANDS, ENDS, KNOWN, ask_of, end_of, small

RULES = {rule.id: rule for rule in load_rules([rules_folder() / "lateral"], KNOWN)}
PSI, STIFFNESS = 6894.757, 22 * 175_126.8
LOWER = "wall:1:0@start"
SHEARS = DEMANDS + "S2,Level 1,9,0,ASD wind\nS2,Level 2,5,0,ASD wind\n"
WALLS = "mark,sheathing grade,sheathing thickness (mm),nail,edge spacing (mm),deflection limit (mm)\n"
TIES = "mark,allowable tension (kN),level,minimum post thickness (mm),device slip (mm),post compression (kN)\n"
PULL = (5_000 * 2.4 + 9_000 * 2.7) / 2.251  # 16.1 kN


def house(slip="3", limit="", post="", **more):
    walls = WALLS + f"S2,OSB structural,11.1,8d common,102,{limit}\n"
    build = small(
        wall_demands=SHEARS, shear_walls=walls, hold_downs=TIES + f"TD-3,22,ASD wind,76,{slip},{post}\n", **more
    )
    for key, part in build.parts.items():
        if key.startswith("post:"):
            part.element.materials = ("Spruce-pine-fir, No. 2",)
    return build


def lower_segment(ask):
    return next(row for row in ask.house.nodes["wall_segment"] if row.line.key == "wall:1:0")


def outcomes(build, rule):
    ask = ask_of(build)
    return {row.subject_key: (row.outcome, row.message) for row in judge([RULES[rule]], ask.house, ask).findings}


def by_hand(slip):
    """v = 9 kN / 2.4 m, h = b = 2.4 m, posts 76 by 140 mm."""
    v, high, long = 9_000 / 2.4, 2.4, 2.4
    bending = 2 * v * high**3 / (3 * 1.4e6 * PSI * 0.076 * 0.140 * long)
    return bending + v * high / STIFFNESS + high * slip / long


def test_deflection_of_a_wall_by_hand():
    ask = ask_of(house())
    found = ask.measure("wall_deflection", lower_segment(ask))
    # the device gives 3 mm at 22 kN: 2.2 mm at 16.1 kN
    assert found.low == pytest.approx(by_hand(0.003 * PULL / 22_000), rel=1e-3)
    assert found.known
    assert any("from memory" in fact.what for fact in found.evidence)


def test_an_unknown_slip_leaves_the_deflection_open_upward():
    build = house(slip="", limit="12")
    ask = ask_of(build)
    found = ask.measure("wall_deflection", lower_segment(ask))
    assert (found.low, found.high) == (pytest.approx(by_hand(0.0), rel=1e-3), inf)
    assert found.missing[0].quantity == "device slip"
    assert outcomes(build, "wall-deflects-too-far")[lower_segment(ask).key][0] == "open"


@pytest.mark.parametrize(("limit", "outcome"), [("12", None), ("3", "fail"), ("", "open")])
def test_the_limit_is_the_schedules(limit, outcome):
    build = house(limit=limit)
    key = lower_segment(ask_of(build)).key
    assert outcomes(build, "wall-deflects-too-far").get(key, (None,))[0] == outcome


def test_a_wall_of_another_method_is_not_worked_out():
    build = house(limit="12")
    head = "mark,sheathing grade,sheathing thickness (mm),nail,edge spacing (mm),method\n"
    rows = head + "S2,OSB,11.1,8d common,102,perforated\n"
    from tests.lateral_job.houses import tables

    build.schedules |= tables(shear_walls=rows)
    ask = ask_of(build)
    assert (
        ask.measure("wall_deflection", lower_segment(ask)).missing[0].quantity == "deflection of the perforated wall"
    )


def pushed(value, **more):
    return house(wall_ends=ENDS.replace("tension", "compression") + f"S2,Level 1,west,,,{value},ASD wind\n", **more)


@pytest.mark.parametrize(("push", "post", "outcome"), [("50", "60", None), ("65", "60", "fail"), ("50", "", "open")])
def test_the_post_takes_what_its_schedule_row_says(push, post, outcome):
    assert outcomes(pushed(push, post=post), "push-exceeds-post").get(LOWER, (None,))[0] == outcome


def test_a_post_thinner_than_the_row_does_not_count():
    build = pushed("50", post="60")
    build.drop("post:1:start:0")
    build.add("post:1:start:0", "post", block((0.038, 2.93, 0.038), (0.076, 3.07, 2.324)), name="end post")
    assert outcomes(build, "push-exceeds-post")[LOWER][0] == "open"


def test_buckling_is_an_upper_bound_only():
    """0.822 x 510,000 psi / (2.286 / 0.140)2 x 76 x 140 mm = 115 kN: more is a fail, less is open."""
    bound = 0.822 * 510_000 * PSI / (2.286 / 0.140) ** 2 * 0.076 * 0.140
    ask = ask_of(pushed("50"))
    found = ask.measure("post_strength", end_of(ask, LOWER))
    assert (found.low, found.high) == (0.0, pytest.approx(bound, rel=1e-3))
    assert bound / 1000 == pytest.approx(115.4, abs=0.2)
    assert outcomes(pushed("120"), "push-exceeds-post")[LOWER][0] == "fail"


def test_of_two_pushes_the_larger_at_allowable_level_is_judged():
    ends = ENDS.replace("tension", "compression") + (
        "S2,Level 1,west,,,30,ASD wind\nS2,Level 1,west,,,45,ASD seismic\nS2,Level 1,west,,,70,LRFD wind\n"
    )
    ask = ask_of(house(wall_ends=ends))
    push = ask.measure("push_demand", end_of(ask, LOWER))
    assert (push.low, push.level) == (45_000, "ASD seismic")


@pytest.mark.parametrize(("low", "high", "depth"), [(2.93, 3.07, 0.140), (2.95, 3.09, 0.120), (2.93, 3.00, 0.070)])
def test_a_post_bears_on_what_of_the_plate_lies_under_it(low, high, depth):
    """NDS 2018 Table 4A: southern pine 565 psi across the grain, on the part of a plate 140 mm wide under the post."""
    build = house(wall_ends=ENDS.replace("tension", "compression") + "S2,Level 1,west,,,30,ASD wind\n")
    build.drop("post:1:start:0")
    build.add("post:1:start:0", "post", block((0.0, low, 0.038), (0.076, high, 2.324)), name="end post")
    build.add("sole", "sill_plate", block((0.0, 2.93, 0.0), (2.4, 3.07, 0.038)), name="sill plate")
    build.parts["sole"].element.materials = ("Southern pine, treated",)
    ask = ask_of(build)
    takes = ask.measure("post_bearing", end_of(ask, LOWER)).low
    assert takes == pytest.approx(565 * PSI * 0.076 * depth, rel=1e-4)
