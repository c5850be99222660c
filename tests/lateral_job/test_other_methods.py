"""Perforated, force-transfer and portal walls: shear, pull at the line's ends, uplift of the plate, conditions.

SDPWS 2015 Eq. 4.3-5 (2021 Eq. 4.3-6) for C_o, SDPWS 2021 4.3.6.1.3 for V h / (C_o sum b), 4.3.6.4.2.1 for the uplift
between the ends, 4.3.2.3 and 4.3.3.4 for conditions and narrow lengths; all by restatements, printed pages not seen.
Wall a is case a of an engineering office's recomputation set: h 10 ft, L 40 ft, one opening 8 by 7 ft, V 8,000 lb:
A_o 56 ft2, C_o 0.8197, v_max 305.0 plf, T 3,050 lb. The ties stand in here, so their insets come off the lengths.
"""

from __future__ import annotations

import pytest

from modellint.engineering.us_units import FT, LBF, PLF
from modellint.rulebook.judge import judge
from modellint.rulebook.load import load_rules
from modellint.rulebook.shipped import rules_folder
from tests.builders_lateral import Build, bar, block
from tests.lateral_job.houses import DEMANDS, ENDS, KNOWN, TIES, ask_of, tables

RULES = {rule.id: rule for rule in load_rules([rules_folder() / "lateral"], KNOWN)}
HIGH, LONG = 10 * FT, 40 * FT
TIE, POST = 0.111, 0.038  # insets of tie and post, metres
SHEAR = 8_000 * LBF / 1000
WALLS = "mark,method,plate uplift (kN/m),level\n"


def wall(
    method: str, openings=((16, 24, 1.5, 8.5),), *, panels: str = "whole", dead: float = 0.0, held: str = ""
) -> Build:
    """One wall of 40 by 10 ft with openings (from, to, sill, head in feet), tied at the ends of the line."""
    build = Build()
    build.wall("w", (0.0, -0.07, 0.0), (LONG, 0.07, HIGH), name="P1")
    build.add("foot", "footing", block((-0.2, -0.25, -0.6), (LONG + 0.2, 0.25, 0.0)))
    for k, (start, end, low, high) in enumerate(openings):
        build.opening(f"hole{k}", "w", (start * FT, -0.1, low * FT), (end * FT, 0.1, high * FT))
    for name, x, way in (("a", 0.0, 1.0), ("b", LONG, -1.0)):
        post, tie = sorted((x, x + way * 0.076)), sorted((x + way * 0.076, x + way * 0.146))
        build.add(f"post{name}", "post", block((post[0], -0.07, 0.038), (post[1], 0.07, HIGH - 0.076)))
        build.add(f"tie{name}", "hold_down", block((tie[0], -0.035, 0.1), (tie[1], 0.035, 0.4)), name="tie-down TD-3")
        build.add(f"rod{name}", "rod", bar((x + way * TIE, 0.0, -0.4), (x + way * TIE, 0.0, 0.3)))
    bays = (
        [(0, 40)] if panels == "whole" else [(0, openings[0][0]), (openings[0][1], 40)] if panels == "piers" else []
    )
    for k, (start, end) in enumerate(bays):
        build.add(f"panel{k}", "sheathing", block((start * FT, 0.07, 0.0), (end * FT, 0.081, HIGH)))
    build.schedules = tables(
        shear_walls=WALLS + f"P1,{method},{held},ASD wind\n",
        wall_demands=DEMANDS + f"P1,Level 1,{SHEAR},{dead},ASD wind\n",
        hold_downs=TIES + "TD-3,60,ASD wind,16,76,250,50\n",
    )
    return build


def end_of(ask, side="start"):
    return next(end for end in ask.house.nodes["wall_end"] if end.outer and end.side == side)


def outcomes(build, rule):
    ask = ask_of(build)
    found = judge([RULES[rule]], ask.house, ask).findings
    return [(row.outcome, row.message) for row in found]


def pull(ask):
    return ask.measure("uplift_demand", end_of(ask))


def test_opening_factor_shear_and_pull_of_the_worked_wall():
    ask = ask_of(wall("perforated"))
    (line,) = ask.house.nodes["wall_line"]
    assert ask.measure("opening_factor_of_wall", line).low == pytest.approx(0.8197, abs=5e-5)
    for segment in line.segments:
        assert ask.measure("unit_shear", segment).low / PLF == pytest.approx(305.0, abs=0.1)
    # V h / (C_o (32 ft - insets)): with the insets at nothing this is the set's 3,050 lb
    arm = 0.8197 * (32 * FT - TIE - POST)
    assert ask.measure("lever_arm", end_of(ask)).low == pytest.approx(arm, rel=1e-4)
    assert pull(ask).low == pytest.approx(8_000 * LBF * HIGH / arm, rel=1e-4)
    assert pull(ask).low / LBF == pytest.approx(3_050 * 32 * FT / (32 * FT - TIE - POST), abs=1)


def test_without_sheathing_over_and_under_it_the_opening_counts_in_full():
    """8 x 10 ft: r = 1/(1 + 80/320) = 0.8, C_o = 0.8/(3 - 1.6) x 40/32 = 0.7143."""
    ask = ask_of(wall("perforated", panels="piers"))
    (line,) = ask.house.nodes["wall_line"]
    assert ask.measure("opening_factor_of_wall", line).low == pytest.approx(0.7143, abs=5e-5)


def test_with_no_panel_drawn_both_are_possible():
    ask = ask_of(wall("perforated", panels="none"))
    (line,) = ask.house.nodes["wall_line"]
    factor = ask.measure("opening_factor_of_wall", line)
    assert (factor.low, factor.high) == (pytest.approx(0.7143, abs=5e-5), pytest.approx(0.8197, abs=5e-5))
    assert not pull(ask).known
    assert pull(ask).missing[0].quantity == "sheathing over and under openings"


def test_dead_load_holds_by_statics_over_the_whole_line():
    """10 kN on 12.192 m: 10 x (6.096 - 0.038) / (12.192 - 0.149) = 5.03 kN less."""
    free, loaded = (pull(ask_of(wall("perforated", dead=dead))).low for dead in (0.0, 10.0))
    assert (free - loaded) / 1000 == pytest.approx(10 * (LONG / 2 - POST) / (LONG - TIE - POST), abs=0.01)


def test_narrow_lengths_count_at_twice_their_square_over_the_height():
    """SDPWS 2021 4.3.3.4: piers of 8, 4, 3 and 2.5 ft at 10 ft count 8 + 3.2 + 1.8 + 0 = 13.0 ft (case f)."""
    from modellint.measures.opening_walls import bays, counted

    holes = ((8, 18, 1.5, 8.5), (22, 28, 1.5, 8.5), (31, 37.5, 1.5, 8.5))
    ask = ask_of(wall("perforated", holes))
    (line,) = ask.house.nodes["wall_line"]
    assert counted(line) / FT == pytest.approx(13.0, abs=0.01)
    # the last length of 2.5 ft is higher than 3.5 times its length: it counts as an opening of full height
    assert bays(line)[-1].height == pytest.approx(HIGH)
    assert bays(line)[-1].end == pytest.approx(LONG)


@pytest.mark.parametrize(("held", "outcome"), [("5", []), ("4", ["fail", "fail"]), ("", ["open", "open"])])
def test_plate_between_the_ends_is_held_against_the_unit_shear(held, outcome):
    """t = v_max = 305 plf = 4.45 kN/m on both full-height lengths."""
    found = outcomes(wall("perforated", held=held), "perforated-plate-uplift")
    assert [row[0] for row in found] == outcome
    assert not found or held != "4" or "4.45 kN/m" in found[0][1]


def test_segmented_walls_have_no_uplift_between_their_ends():
    assert outcomes(wall("segmented"), "perforated-plate-uplift") == []


@pytest.mark.parametrize(
    ("holes", "outcome"),
    [
        (((16, 24, 1.5, 8.5),), "open"),  # nailing is not given, so the nominal shear stays open
        (((16, 24, 1.5, 8.5), (34, 40, 0, 8.5)), "fail"),  # a door at the very end of the wall
    ],
)
def test_conditions_of_the_method(holes, outcome):
    found = outcomes(wall("perforated", holes), "perforated-wall-conditions")
    assert [row[0] for row in found] == [outcome]
    assert outcome == "open" or "full-height segment at each end" in found[0][1]


def test_force_transfer_turns_as_one_and_leaves_the_piers_to_the_engineer():
    """T = V h / (L - insets) = 35.59 x 3.048 / 12.043 = 9.01 kN; the mean shear V / 32 ft is only the least."""
    ask = ask_of(wall("force_transfer"))
    assert pull(ask).low / 1000 == pytest.approx(SHEAR * HIGH / (LONG - TIE - POST), abs=0.01)
    shear = ask.measure("unit_shear", ask.house.nodes["wall_segment"][0])
    assert (shear.low / PLF, shear.high) == (pytest.approx(250.0, abs=0.1), float("inf"))
    assert shear.missing[0].quantity == "force-transfer calculation"


def test_portal_frames_take_the_schedules_pull_and_may_be_narrow():
    build = wall("portal", ((2, 38, 0, 8),))
    build.schedules |= tables(wall_ends=ENDS + "P1,Level 1,west,,,9,ASD wind\nP1,Level 1,east,,,9,ASD wind\n")
    ask = ask_of(build)
    assert (pull(ask).low, pull(ask).known) == (9_000, True)
    assert outcomes(build, "segment-too-narrow") == []
    assert [row[0] for row in outcomes(build, "shear-exceeds-nailing")] == ["open", "open"]
    build.schedules |= tables(shear_walls="mark,method,unit shear (kN/m),level\nP1,portal,30,ASD wind\n")
    assert outcomes(build, "shear-exceeds-nailing") == []  # 35.6 kN over 2 x 2 ft: 29.2 kN/m
    build.schedules |= tables(shear_walls="mark,method,unit shear (kN/m),level\nP1,segmented,30,ASD wind\n")
    assert len(outcomes(build, "segment-too-narrow")) == 2


def test_break_even_of_a_perforated_wall():
    """Moved in by the break-even the pull equals 60 kN: the arm shrinks by C_o for each metre."""
    build = wall("perforated", dead=10.0)
    far = ask_of(build).measure("tie_may_move", end_of(ask_of(build))).low
    arm = 0.8197 * (32 * FT - TIE - POST - far)
    held = 10 * (LONG / 2 - POST) / (LONG - TIE - POST)
    assert SHEAR * HIGH / arm - held == pytest.approx(60.0, rel=1e-3)
