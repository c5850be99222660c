"""Hold-down forces, deflection and combinations against published and own examples."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering.load_combinations import combination
from modellint.engineering.overturning import (
    Storey,
    WallEnds,
    dead_load_moment,
    inset_for_capacity,
    lever_arms,
    moment_at_capacity,
    net_tension,
    overturning_moment,
    post_compression,
    segment_chord_force,
    stacked,
    tension_with_end_loads,
)
from modellint.engineering.us_units import FT, IN, KIP_PER_IN, LBF, PLF, PSI
from modellint.engineering.wall_deflection import four_term_deflection, three_term_deflection

LBFT = LBF * FT

# Five-Story Wood-Frame Structure over Podium Slab (Wood Products Council, December 2017), section 6, Tables 6
# to 12; SDPWS 2008, ASCE 7-10; seen in a restatement with its page numbers.
FIVE_FORCES = (12_989, 11_311, 8_590, 5_727, 2_863)
FIVE_DEAD = (156, 490, 490, 490, 490)  # plf that each level adds
FIVE_ARMS = (27.04, 27.04, 26.31, 26.31, 25.98)
FIVE_TENSIONS = (2_319, 5_333, 10_864, 17_770, 25_758)
FIVE_MOMENTS = (129_887, 372_889, 701_789, 1_087_954, 1_502_751)
FIVE_UNIT_SHEARS = (314, 587, 794, 932, 1_001)


def five_storeys(arms=FIVE_ARMS) -> list[Storey]:
    return [
        Storey(force * LBF, 10 * FT, arm * FT, dead_load_moment(dead * PLF, 29 * FT))
        for force, dead, arm in zip(FIVE_FORCES, FIVE_DEAD, arms, strict=True)
    ]


@pytest.mark.parametrize("level", range(5))
def test_five_storey_example(level) -> None:
    found = stacked(five_storeys(), "moment", lateral_factor=0.7, dead_factor=0.43)[level]
    assert found.net / LBF == pytest.approx(FIVE_TENSIONS[level], abs=6)
    assert found.moment / 0.7 / LBFT == pytest.approx(FIVE_MOMENTS[level], abs=15)
    assert found.shear / (29 * FT) / PLF == pytest.approx(FIVE_UNIT_SHEARS[level], abs=1)


def test_five_storey_dead_factor_and_moments() -> None:
    # Same example: 0.6 − 0.14 × 1.206 = 0.431; M_R at the roof 65,598 ft·lb, at the lowest level 889,778
    # ft·lb.
    assert combination("uplift", "ASD", "seismic", 1.206).dead == pytest.approx(0.431, abs=5e-4)
    assert dead_load_moment(156 * PLF, 29 * FT) / LBFT == pytest.approx(65_598, abs=1)
    assert dead_load_moment(2_116 * PLF, 29 * FT) / LBFT == pytest.approx(889_778, abs=1)


def test_wall_length_in_place_of_the_lever_arm_is_unsafe() -> None:
    # Arithmetic on the same example: with b = 29 ft 2,163 … 23,080 lb, 6.8 to 10.4 % too low.
    short = stacked(five_storeys((29.0,) * 5), "moment", lateral_factor=0.7, dead_factor=0.43)
    assert [round(step.net / LBF) for step in short] == pytest.approx([2163, 4973, 9857, 16123, 23080], abs=6)


def test_one_storey_teaching_example() -> None:
    # Open teaching text, residential engineering module, Worked Example 3: M 31,500, M_R 5,760 ft·lb, T
    # 3,217.5 lb.
    moment, dead = 3_500 * 9 * LBFT, 0.6 * dead_load_moment(300 * PLF, 8 * FT)
    assert moment / LBFT == pytest.approx(31_500)
    assert dead / LBFT == pytest.approx(5_760)
    assert net_tension(moment, dead, 8 * FT) / LBF == pytest.approx(3_217.5, abs=0.5)
    # Arithmetic: with its own S_DS 0.92 the factor is 0.4712 and T 3,372 lb.
    factor = combination("uplift", "ASD", "seismic", 0.92).dead
    assert factor == pytest.approx(0.4712)
    assert net_tension(moment, factor * dead_load_moment(300 * PLF, 8 * FT), 8 * FT) / LBF == pytest.approx(
        3_372, abs=1
    )


@pytest.mark.parametrize(("shear", "expected"), [(681.6, 278.2), (694.6, 283.5)])
def test_one_house_by_hand(shear, expected) -> None:
    # Hand calculation of one real house (public repository): v = V / 20.417 ft, h 8.333 ft, no dead load.
    assert segment_chord_force(shear * LBF, 8.333 * FT, 20.417 * FT) / LBF == pytest.approx(expected, abs=0.1)


def test_ircs_cumulative_hold_downs() -> None:
    # IRC 2018 Table R603.9.5(2) (cold-formed steel): 3,960, 7,920, 11,880 lb down the storeys.
    storeys = [Storey(3_960 * LBF, 3.0, 3.0), Storey(0.0, 3.0, 3.0), Storey(0.0, 3.0, 3.0)]
    assert [step.net / LBF for step in stacked(storeys, "sum")] == pytest.approx([3_960, 7_920, 11_880])


@pytest.mark.parametrize(("arm", "expected"), [(10.0, (2_700, 7_650, 13_950)), (9.5, (2_842, 8_053, 14_684))])
def test_three_storeys(arm, expected) -> None:
    # Arithmetic: h 9 ft, storey forces 3,000, 2,500, 1,500 lb; both methods agree at equal arms.
    storeys = [Storey(force * LBF, 9 * FT, arm * FT) for force in (3_000, 2_500, 1_500)]
    for method in ("sum", "moment"):
        assert [step.net / LBF for step in stacked(storeys, method)] == pytest.approx(expected, abs=1)


# Arithmetic: V 4,000 lb at 9 ft on 8 ft, 4x4 end posts; compression centre 1.75 in, bolt line 3.5 + 2-1/16 in
# from the end (trade value) and moved further in.
@pytest.mark.parametrize(
    ("moved", "arm", "tension"),
    [(None, 8.0, 4_500), (0, 7.3906, 4_871), (12, 6.3906, 5_633), (16, 6.0573, 5_943)],
)
def test_inset_hold_down(moved, arm, tension) -> None:
    ends = (
        WallEnds(8 * FT, 0, 0, 0, 0)
        if moved is None
        else WallEnds(8 * FT, (5.5625 + moved) * IN, 1.75 * IN, 5.5625 * IN, 1.75 * IN)
    )
    found = lever_arms(ends)[0]
    assert found / FT == pytest.approx(arm, abs=1e-4)
    assert net_tension(4_000 * 9 * LBFT, 0.0, found) / LBF == pytest.approx(tension, abs=1)


def test_inset_hold_down_with_dead_load() -> None:
    # Arithmetic: 200 plf, 0.6 D: 4,020 lb at d = b, 4,370 lb at the modelled arm about the compression
    # centre.
    moment = 4_000 * 9 * LBFT
    assert net_tension(moment, 0.6 * dead_load_moment(200 * PLF, 8 * FT), 8 * FT) / LBF == pytest.approx(
        4_020, abs=1
    )
    dead = 0.6 * dead_load_moment(200 * PLF, 8 * FT, 1.75 * IN)
    assert net_tension(moment, dead, 7.390625 * FT) / LBF == pytest.approx(4_370, abs=1)


def test_moving_one_end_inward_changes_both_directions() -> None:
    # Arithmetic: tie and post at the start 300 mm inward; 36 kN·m on 2.4 m. Start: 36/(2.4 − 0.12 − 0.06) =
    # 16.216 kN becomes 36/1.92 = 18.75; end, through the start's post: 16.216 becomes 18.75 too.
    before = lever_arms(WallEnds(2.4, 0.12, 0.06, 0.12, 0.06))
    after = lever_arms(WallEnds(2.4, 0.42, 0.36, 0.12, 0.06))
    assert [net_tension(36e3, 0, arm) / 1e3 for arm in before] == pytest.approx([16.2162, 16.2162], abs=1e-3)
    assert [net_tension(36e3, 0, arm) / 1e3 for arm in after] == pytest.approx([18.75, 18.75], abs=1e-3)
    tie_only = lever_arms(WallEnds(2.4, 0.42, 0.06, 0.12, 0.06))
    assert tie_only == pytest.approx((1.92, 2.22))


def test_tension_with_loads_over_the_end() -> None:
    # City calculation record: T = v H − 0.5 P1 − P2.
    assert tension_with_end_loads(350.0, 9.0, 400.0, 300.0) == pytest.approx(3_150 - 200 - 300)


def test_negative_steps_are_kept() -> None:
    # As the five-storey example's Table 10A shows, a storey may take force away; clipping it would lose 8 kN
    # here.
    storeys = [Storey(10e3, 3.0, 3.0), Storey(0.0, 3.0, 3.0, dead_moment=54e3)]
    top, bottom = stacked(storeys, "sum", dead_factor=1.0)
    assert (top.net, bottom.step, bottom.net) == pytest.approx((10e3, -8e3, 2e3))
    assert stacked([Storey(0.0, 3.0, 3.0, 30e3)], "sum", dead_factor=0.6)[0].tension == 0.0


def test_no_dead_load_is_credited_unless_asked() -> None:
    assert stacked([Storey(10e3, 3.0, 3.0, 9e3)], "sum")[0].net == pytest.approx(10e3)


def test_compression_and_break_even() -> None:
    # Arithmetic: a 60 kN tie at 2.170 m is used up at 130.2 kN·m.
    assert moment_at_capacity(60e3, 2.170) == pytest.approx(130.2e3)
    assert inset_for_capacity(130.2e3 / 2, 0.0, 60e3, 2.170, 0.115) == pytest.approx(0.115 + 1.085)
    assert post_compression(16e3, 5e3) == 21e3
    assert post_compression(-4e3, 5e3) == 5e3
    with pytest.raises(ValueError, match="no net overturning"):
        inset_for_capacity(1.0, 2.0, 1.0, 1.0, 0.0)
    assert overturning_moment([(12_989 * LBF, 20 * FT), (11_311 * LBF, 10 * FT)]) / LBFT == pytest.approx(
        372_889, abs=5
    )


@pytest.mark.parametrize(
    "ends", [WallEnds(1.0, 0.6, 0.1, 0.1, 0.5), WallEnds(-1.0, 0, 0, 0, 0), WallEnds(2.0, -0.1, 0, 0, 0)]
)
def test_impossible_walls_are_refused(ends) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        lever_arms(ends)


@given(st.floats(1.0, 12.0), st.floats(0.0, 0.4), st.floats(0.0, 0.4), st.floats(1e3, 1e6))
def test_a_tie_further_in_pulls_harder(length, one, two, moment) -> None:
    near, far = sorted((one, two))
    forces = [
        net_tension(moment, 0.0, lever_arms(WallEnds(length, inset, 0.05, 0.1, 0.05))[0])
        for inset in (near, far)
    ]
    assert forces[0] <= forces[1] * (1 + 1e-12)


@given(st.lists(st.tuples(st.floats(0, 1e5), st.floats(2, 4), st.floats(1, 10)), min_size=1, max_size=6))
def test_sum_and_moment_agree_at_one_arm_and_shear_only_grows(rows) -> None:
    arm = rows[0][2]
    storeys = [Storey(force, height, arm) for force, height, _ in rows]
    summed, moment = stacked(storeys, "sum"), stacked(storeys, "moment")
    assert [step.net for step in summed] == pytest.approx([step.net for step in moment])
    assert all(low.net >= high.net for high, low in itertools.pairwise(summed))


@given(st.floats(0, 1), st.floats(0, 1))
def test_more_dead_load_never_pulls_harder(one, two) -> None:
    forces = [
        stacked([Storey(1e4, 3.0, 3.0, 2e4)], "sum", dead_factor=factor)[0].net
        for factor in sorted((one, two))
    ]
    assert forces[0] >= forces[1]


# ASCE 7-10/7-16 2.4 (building record, code text); LRFD rows and compression under wind from memory.
@pytest.mark.parametrize(
    ("effect", "level", "load", "s_ds", "dead", "lateral"),
    [
        ("uplift", "ASD", "wind", None, 0.6, 0.6),
        ("uplift", "ASD", "seismic", 0.5, 0.53, 0.7),
        ("uplift", "ASD", "seismic", 1.0, 0.46, 0.7),
        ("uplift", "ASD", "seismic", 1.5, 0.39, 0.7),
        ("compression", "ASD", "seismic", 0.5, 1.07, 0.7),
        ("compression", "ASD", "seismic", 1.0, 1.14, 0.7),
        ("uplift", "ASD", "seismic", 0.857, 0.48, 0.7),
        ("compression", "ASD", "seismic", 0.857, 1.12, 0.7),
        ("uplift", "LRFD", "wind", None, 0.9, 1.0),
        ("uplift", "LRFD", "seismic", 1.0, 0.7, 1.0),
    ],
)
def test_combinations(*, effect, level, load, s_ds, dead, lateral) -> None:
    found = combination(effect, level, load, s_ds)
    assert (found.dead, found.lateral) == (pytest.approx(dead, abs=1e-4), lateral)
    assert found.source.memory == (level == "LRFD")


def test_seismic_combination_needs_its_acceleration() -> None:
    with pytest.raises(ValueError, match="not given"):
        combination("uplift", "ASD", "seismic")


# Arithmetic (no published example with readable numbers was found): SDPWS Eq. 4.3-1 in inch-pound units.
@pytest.mark.parametrize(
    ("v", "h", "b", "modulus", "area", "ga", "slip", "terms", "total"),
    [
        (350, 9, 8, 1.6e6, 12.25, 22, 0.125, (0.01302, 0.14318, 0.14063), 0.29682),
        (240, 8, 10, 1.4e6, 10.5, 15, 0.100, (0.00669, 0.12800, 0.08000), 0.21469),
        (240, 8, 16 / 7, 1.6e6, 12.25, 15, 0.125, (0.02194, 0.12800, 0.43750), 0.58744),
    ],
)
def test_three_term_deflection(*, v, h, b, modulus, area, ga, slip, terms, total) -> None:
    found = three_term_deflection(
        v * PLF,
        h * FT,
        b * FT,
        modulus=modulus * PSI,
        post_area=area * IN**2,
        stiffness=ga * KIP_PER_IN,
        anchorage_slip=slip * IN,
    )
    assert [x / IN for x in (found.bending, found.shear, found.slip)] == pytest.approx(terms, abs=1e-4)
    assert found.total / IN == pytest.approx(total, abs=1e-4)


def test_unknown_slip_leaves_the_total_unknown() -> None:
    found = three_term_deflection(
        5e3, 2.7, 2.4, modulus=11e9, post_area=8e-3, stiffness=3e6, anchorage_slip=None
    )
    assert found.total is None
    assert found.bending > 0


def test_four_terms_meet_three_terms_where_stiffness_was_derived() -> None:
    # Arithmetic: at 1.4 × allowable both forms give the same shear term (0.75 h e_n in ft and in).
    from modellint.engineering.wall_deflection import OSB_RIGIDITY, derived_stiffness, nail_slip

    v, slip = 1.4 * 350 * PLF, nail_slip(1.4 * 350 * PLF * 4 * IN, "8d", "sheathing")
    rigidity = OSB_RIGIDITY["7/16"]
    common = {"modulus": 11e9, "post_area": 8e-3, "anchorage_slip": 0.0}
    four = four_term_deflection(v, 9 * FT, 8 * FT, rigidity=rigidity, slip=slip, **common)
    three = three_term_deflection(
        v,
        9 * FT,
        8 * FT,
        **common,
        stiffness=derived_stiffness(350 * PLF, 4 * IN, "8d", "sheathing", rigidity),
    )
    assert four.total == pytest.approx(three.total)
