"""Capacity of each link, the weakest one, and break-even values of a small house in code.

Rod strength: AISC 360-16 J3.6, 0.75 Fu Ab / 2.00 with Fu 58 ksi (ASTM F1554 grade 36). Concrete breakout: ACI
318-19 17.6.2, screening only. The rest is arithmetic over an invented schedule.
"""

from __future__ import annotations

from math import inf, pi

import pytest

from modellint.ifc.model import PropertyValue
from tests.builders_lateral import bar
from tests.lateral_job.houses import DEMANDS, ENDS, ROW_3, TIES, ask_of, end_of, small

LOWER = "wall:1:0@start"
PULL = ENDS + "S2,Level 1,west,,,12,ASD wind\n"


def capacity(ask, key=LOWER):
    found = ask.measure("chain_capacity", end_of(ask, key))
    return found.low, found.high


def test_a_set_as_scheduled_takes_the_rows_tension():
    ask = ask_of(small(hold_downs=TIES + ROW_3, wall_ends=PULL))
    assert capacity(ask) == (22_000, 22_000)
    assert ask.measure("chain_capacity", end_of(ask, LOWER)).level == "ASD wind"
    assert ask.measure("weakest_link", end_of(ask, LOWER)).words == {"tie-down TD-3"}


@pytest.mark.parametrize("kind", ["rod", "post", "anchor"])
def test_a_larger_device_on_an_old_part_is_worth_the_old_row(kind):
    larger = {"rod": "40,ASD wind,22,76,250,50", "post": "40,ASD wind,16,114,250,50",
              "anchor": "40,ASD wind,16,76,500,50"}[kind]
    rows = TIES + f"TD-3,{larger}\nTD-2,22,ASD wind,16,76,250,50\n"
    assert capacity(ask_of(small(hold_downs=rows, wall_ends=PULL))) == (22_000, 22_000)


def test_a_part_that_fulfils_no_row_widens_down_to_zero():
    rows = TIES + "TD-3,22,ASD wind,16,76,500,50\n"
    ask = ask_of(small(hold_downs=rows, wall_ends=PULL))
    assert capacity(ask) == (0.0, 22_000)
    assert [fact.quantity for fact in ask.measure("chain_capacity", end_of(ask, LOWER)).missing] == ["anchorage"]


def test_without_a_schedule_nothing_is_known():
    ask = ask_of(small(wall_ends=PULL))
    assert capacity(ask) == (0.0, inf)


def test_a_rod_of_stated_grade_is_worked_out():
    build = small(hold_downs=TIES + ROW_3.replace("22,", "90,", 1), wall_ends=PULL)
    build.parts["anchor:1:start:0"].element.properties["Rod", "Rod grade"] = PropertyValue("ASTM F1554 Gr. 36")
    area = pi / 4 * 0.016**2
    assert capacity(ask_of(build))[1] == pytest.approx(0.75 * 58 * 6.894757e6 * area / 2.0, rel=1e-4)


def test_screening_of_the_concrete_is_an_upper_bound_only():
    build = small(hold_downs=TIES + "TD-3,90,ASD wind,16,76,500,50\n", wall_ends=PULL)
    build.parts["footing:1"].element.properties["Concrete", "Concrete strength"] = PropertyValue("20 MPa")
    low, high = capacity(ask_of(build))
    # N_b = 24 sqrt(2901) 15.75^1.5 = 80,790 lbf = 359 kN; the footing is 0.5 m wide and ends 0.311 m behind the
    # rod: A_Nc/A_Nco = (0.25 + 0.25)(0.6 + 0.311) / 1.2^2 = 0.3164, psi_ed = 0.7 + 0.3 x 0.25/0.6 = 0.825;
    # phi 0.70, and 0.6 of strength at ASD wind: 359.4 x 0.3164 x 0.825 x 0.42 = 39.4 kN
    assert low == 0.0
    assert high == pytest.approx(39_400, rel=0.01)


def test_another_load_level_is_no_number():
    ask = ask_of(small(hold_downs=TIES + ROW_3, wall_ends=ENDS + "S2,Level 1,west,,,12,LRFD wind\n"))
    assert ask.measure("chain_capacity", end_of(ask, LOWER)).level != "LRFD wind"


def test_break_even_without_any_demand():
    """Used up at 22 kN and at 22 kN x 2.251 m = 49.5 kN m."""
    ask = ask_of(small(hold_downs=TIES + ROW_3))
    end = end_of(ask, LOWER)
    assert capacity(ask) == (22_000, 22_000)
    assert ask.measure("break_even_moment", end).low == pytest.approx(22_000 * 2.251)


def test_break_even_inset_with_a_demand():
    """T d stays: 12 kN x 2.251 m = 27.0 kN m; at 22 kN the arm is 1.228 m, so 1.023 m further in."""
    ask = ask_of(small(hold_downs=TIES + ROW_3, wall_ends=PULL))
    assert ask.measure("tie_may_move", end_of(ask, LOWER)).low == pytest.approx(2.251 - 12 * 2.251 / 22, abs=1e-4)


def test_break_even_inset_of_a_stack_moves_its_own_storey_only():
    shears = DEMANDS + "S2,Level 1,9,0,ASD wind\nS2,Level 2,5,0,ASD wind\n"
    ask = ask_of(small(hold_downs=TIES + ROW_3, wall_demands=shears))
    above = 5 * 2.4 / 2.251
    assert ask.measure("tie_may_move", end_of(ask, LOWER)).low == pytest.approx(
        2.251 - 9 * 2.7 / (22 - above), abs=1e-4)


def test_a_broken_link_leaves_the_capacity_open():
    build = small(hold_downs=TIES + ROW_3, wall_ends=PULL)
    build.drop("anchor:1:start:0")
    build.add("anchor:1:start:0", "rod", bar((0.111, 3.0, -0.4), (0.111, 3.0, -0.05)), name="anchor rod")
    low, high = capacity(ask_of(build))
    assert (low, high) == (0.0, 22_000)


def test_a_plate_of_a_continuous_rod_carries_its_own_storey_only():
    """NDS 2018 3.10.2: 80 x 80 mm plate less a 17.6 mm hole on SPF, 425 psi: 18.0 kN, and 5.33 kN from above."""
    shears = DEMANDS + "S2,Level 1,9,0,ASD wind\nS2,Level 2,5,0,ASD wind\n"
    build = small("rod", wall_demands=shears)
    for level in (0, 1):
        build.add(f"top:{level}", "top_plate", build.parts[f"wall:1:{level}"].solids[0], name="top plate")
        build.parts[f"top:{level}"].element.materials = ("Spruce-pine-fir",)
    from modellint.measures.capacity import end_links

    ask = ask_of(build)
    links = {link.name: link.capacity for link in end_links(end_of(ask, LOWER), ask)}
    upper = ask.measure("uplift_demand", end_of(ask, "wall:1:1@start")).low
    area = 0.080**2 - pi / 4 * (0.016 + 0.0016) ** 2
    assert links["plate:1:start:0"].low == pytest.approx(425 * 6894.757 * area + upper, rel=1e-4)
