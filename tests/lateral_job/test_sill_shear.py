"""Shear at the foot of a wall against its sill's anchor bolts. House, bolts and loads are invented.

NDS 2018 Table 12E: 1/2 in bolt in a 1-1/2 in plate of Douglas fir-larch, load along the grain, 650 lb (a restatement;
ICC RB-290 uses 620 lb of the 2001 table); times 1.6 for wind and seismic load (NDS 2018 Table 2.3.2).
"""

from __future__ import annotations

import pytest

from modellint.engineering.us_units import IN, LBF
from modellint.rulebook.judge import judge
from modellint.rulebook.load import load_rules
from modellint.rulebook.shipped import rules_folder
from tests.builders_lateral import LENGTH, bar, block
from tests.lateral_job.houses import DEMANDS, KNOWN, ask_of, small, tables

RULES = {rule.id: rule for rule in load_rules([rules_folder() / "lateral"], KNOWN)}


def house(shear, wood="Douglas fir-larch", level="ASD wind", bolts=3, method=""):
    build = small(wall_demands=DEMANDS + f"S2,Level 1,{shear},0,{level}\n", shear_walls=f"mark,method\nS2,{method}\n")
    sill = build.add("sill", "sill_plate", block((0.0, 2.93, 0.0), (LENGTH, 3.07, 1.5 * IN)), name="sill plate")
    sill.element.materials = (wood,)
    for k in range(bolts):
        x = 0.3 + 0.9 * k
        build.add(f"bolt:{k}", "anchor_bolt", bar((x, 3.0, -0.19), (x, 3.0, 0.06), 0.25 * IN), name=f"bolt {k}")
    return build


def line_of(ask):
    return next(line for line in ask.house.nodes["wall_line"] if line.key == "wall:1:0")


def outcome(build):
    ask = ask_of(build)
    found = judge([RULES["shear-exceeds-sill-bolts"]], ask.house, ask).findings
    return next((row.outcome for row in found if row.subject_key == "wall:1:0"), None)


def test_three_bolts_take_three_times_the_table():
    ask = ask_of(house(9))
    found = ask.measure("sill_bolts_take", line_of(ask))
    assert found.low / LBF == pytest.approx(3 * 650 * 1.6, rel=0.005)  # the table rounds 648 lb to 650
    assert (found.low, found.level) == (found.high, "ASD wind")


@pytest.mark.parametrize(("shear", "said"), [(13.5, None), (14.0, "fail")])
def test_the_shear_meets_all_bolts_of_the_line(shear, said):
    """3 x 648 lb x 1.6 = 13.84 kN."""
    assert outcome(house(shear)) == said


@pytest.mark.parametrize("change", [{"wood": "softwood"}, {"level": "LRFD wind"}, {"bolts": 0}])
def test_what_is_not_known_is_open(change):
    assert outcome(house(13.5, **change)) == "open"


def test_wood_of_unknown_kind_still_fails_beyond_the_heaviest():
    """Not even G 0.50 makes more than 13.84 kN of it."""
    assert outcome(house(14.0, wood="softwood")) == "fail"


def test_an_upper_wall_and_one_without_shear_are_not_asked():
    build = house(9)
    build.schedules |= tables(wall_demands=DEMANDS + "S2,Level 2,9,0,ASD wind\n")
    ask = ask_of(build)
    assert judge([RULES["shear-exceeds-sill-bolts"]], ask.house, ask).findings == []


def test_a_perforated_wall_shears_its_sill_by_more():
    """With a door of 0.9 m by 2.1 m in 2.4 m: the counted lengths carry V / (C_o sum b) each."""
    build = house(5, method="perforated")
    build.opening("door", "wall:1:0", (0.8, 2.9, 0.0), (1.7, 3.1, 2.1))
    ask = ask_of(build)
    line = line_of(ask)
    factor = ask.measure("opening_factor_of_wall", line)
    found = ask.measure("sill_shear", line)
    assert found.low == pytest.approx(5_000 / factor.high)
    assert found.high == pytest.approx(5_000 / factor.low)
    assert found.low > 5_000
