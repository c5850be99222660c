"""Perforated and segmented walls against SDPWS tables and recomputed examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering.overturning import (
    Storey,
    segment_chord_force,
    stacked,
    tension_with_end_loads,
)
from modellint.engineering.perforated_wall import (
    chord_force,
    counted_length,
    eligibility,
    maximum_unit_shear,
    nominal_limit,
    opening_area,
    opening_factor,
    opening_factor_one_height,
    sheathed_fraction,
    uplift_between_ends,
)
from modellint.engineering.us_units import FT, LBF, PLF

# SDPWS 2015 Table 4.3.3.5 / 2021 Table 4.3.5.6 (printed values listed in a restatement; all fifty equal the
# formula).
CO_TABLE = {
    10: (1.00, 0.69, 0.53, 0.43, 0.36),
    20: (1.00, 0.71, 0.56, 0.45, 0.38),
    30: (1.00, 0.74, 0.59, 0.49, 0.42),
    40: (1.00, 0.77, 0.63, 0.53, 0.45),
    50: (1.00, 0.80, 0.67, 0.57, 0.50),
    60: (1.00, 0.83, 0.71, 0.63, 0.56),
    70: (1.00, 0.87, 0.77, 0.69, 0.63),
    80: (1.00, 0.91, 0.83, 0.77, 0.71),
    90: (1.00, 0.95, 0.91, 0.87, 0.83),
    100: (1.00, 1.00, 1.00, 1.00, 1.00),
}


@pytest.mark.parametrize("percent", sorted(CO_TABLE))
def test_opening_factor_table(percent) -> None:
    share = percent / 100
    for ratio, printed in zip((1 / 3, 1 / 2, 2 / 3, 5 / 6, 1.0), CO_TABLE[percent], strict=True):
        assert opening_factor_one_height(share, ratio) == pytest.approx(printed, abs=0.0051)
        by_area = opening_factor(10.0, 10 * share, (1 - share) * 10 * ratio * 3.0, 3.0, "2015")
        assert by_area == pytest.approx(opening_factor_one_height(share, ratio))


# Recomputation set of an engineering office (not a publication): h 10 ft.
@pytest.mark.parametrize(
    ("shear", "sheathed", "openings", "factor", "v_max"),
    [(8_000, 32, 56, 0.8197, 305.0), (14_000, 16, 192, 0.5435, 1_610.0)],
)
def test_perforated_wall(shear, sheathed, openings, factor, v_max) -> None:
    found = opening_factor(40 * FT, sheathed * FT, openings * FT**2, 10 * FT, "2021")
    assert found == pytest.approx(factor, abs=5e-5)
    assert maximum_unit_shear(shear * LBF, found, sheathed * FT) / PLF == pytest.approx(v_max, abs=0.1)
    assert chord_force(shear * LBF, 10 * FT, found, sheathed * FT) / LBF == pytest.approx(10 * v_max, abs=1)


def test_stacked_perforated_walls_by_sum_and_by_moment() -> None:
    # Same set: 19,150 lb by sum of storey forces, 25,300 lb by the whole moment over the lower storey's C_o
    # Σb.
    upper = opening_factor(40 * FT, 32 * FT, 56 * FT**2, 10 * FT, "2021") * 32 * FT
    lower = opening_factor(40 * FT, 16 * FT, 192 * FT**2, 10 * FT, "2021") * 16 * FT
    storeys = [Storey(8_000 * LBF, 10 * FT, upper), Storey(6_000 * LBF, 10 * FT, lower)]
    assert stacked(storeys, "sum")[1].net / LBF == pytest.approx(19_150, abs=2)
    assert stacked(storeys, "moment")[1].net / LBF == pytest.approx(25_300, abs=2)


def test_uplift_between_ends_stays_where_ends_are_held_down() -> None:
    # Same set: V 3,000 lb and 840 plf: no tension at the ends, but 114.4 plf uplift along the plate.
    found = opening_factor(40 * FT, 32 * FT, 56 * FT**2, 10 * FT, "2021")
    assert uplift_between_ends(3_000 * LBF, found, 32 * FT) / PLF == pytest.approx(114.4, abs=0.05)


def test_perforated_oracle_p1() -> None:
    # Arithmetic: 24 × 8 ft, openings 4 × 4 and 3 × 6.667 ft, V 5,000 lb.
    area = sum(opening_area(w * FT, h * FT, 8 * FT, True) for w, h in ((4, 4), (3, 20 / 3)))
    found = opening_factor(24 * FT, 17 * FT, area, 8 * FT, "2015")
    assert area / FT**2 == pytest.approx(36.0)
    assert found == pytest.approx(0.787, abs=5e-4)
    assert opening_factor_one_height(17 / 24, 20 / 3 / 8) == pytest.approx(0.696, abs=5e-4)
    assert maximum_unit_shear(5_000 * LBF, found, 17 * FT) / PLF == pytest.approx(373.8, abs=0.1)
    assert chord_force(5_000 * LBF, 8 * FT, found, 17 * FT) / LBF == pytest.approx(2_990, abs=1)


def test_counted_lengths() -> None:
    # SDPWS 2021 4.3.3.4 (restatement): h 10 ft, piers 8, 4, 3, 2.5 ft count 8, 3.2, 1.8, 0.
    assert [counted_length(b * FT, 10 * FT) / FT for b in (8, 4, 3, 2.5)] == pytest.approx([8, 3.2, 1.8, 0])
    assert sheathed_fraction([8.0, 4.0, 4.0], 20.0) == pytest.approx(0.8)


def test_openings_unsheathed_above_and_below_take_the_whole_height() -> None:
    # IBC 2305.3.8.2: opening height = wall height; SDPWS 2021 4.3.5.6: at least h/3.
    assert opening_area(1.0, 1.2, 2.4, False) == pytest.approx(2.4)
    assert opening_area(1.0, 0.4, 2.4, True) == pytest.approx(0.8)


def test_perforated_eligibility() -> None:
    # SDPWS 2021 4.3.2.3 (restatement): 2,435 plf, 20 ft; 2015 4.3.5.3: 1,740 plf seismic, 2,435 wind (from
    # memory).
    assert nominal_limit("seismic", "2015") / PLF == pytest.approx(1_740)
    for load in ("wind", "seismic"):
        assert nominal_limit(load, "2021") / PLF == pytest.approx(2_435)
    found = eligibility(edition="2021", load="wind", nominal=980 * PLF, height=21 * FT)
    assert [condition.holds for condition in found] == [True, False, None, None, None, None]


@given(st.floats(0.05, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_higher_openings_never_help(share, one, two) -> None:
    assert (
        opening_factor_one_height(share, max(one, two))
        <= opening_factor_one_height(share, min(one, two))
        <= 1.0
    )


def test_segments_of_one_line_share_by_counted_length() -> None:
    # Recomputation set of an engineering office: h 10 ft, piers 8, 8, 4 ft, V 4,800 lb: Σ 19.2 ft, 250 plf,
    # T 2,500, 2,500, 2,000 lb.
    piers = [8 * FT, 8 * FT, 4 * FT]
    counted = [counted_length(pier, 10 * FT) for pier in piers]
    unit = 4_800 * LBF / sum(counted)
    assert sum(counted) / FT == pytest.approx(19.2)
    assert unit / PLF == pytest.approx(250)
    forces = [
        segment_chord_force(unit * own, 10 * FT, pier) / LBF for own, pier in zip(counted, piers, strict=True)
    ]
    assert forces == pytest.approx([2_500, 2_500, 2_000], abs=1)


@pytest.mark.parametrize(
    ("method", "expected"),
    [("moment", (213.1, 553.4, 1_057.5, 1_806.8)), ("sum", (213.1, 575.4, 1_079.5, 1_817.6))],
)
def test_four_perforated_storeys(method, expected) -> None:
    # Same set: Σb 172 of 302 ft, h 8, 9.5, 9.5, 10.5 ft, P 2,783, 1,661, 1,738, 1,921 lb, C_o .6074 to .6774.
    storeys = [
        Storey(force * LBF, height * FT, factor * 172 * FT)
        for force, height, factor in zip(
            (2_783, 1_661, 1_738, 1_921), (8, 9.5, 9.5, 10.5), (0.6074, 0.6774, 0.6774, 0.6703), strict=True
        )
    ]
    assert [step.net / LBF for step in stacked(storeys, method)] == pytest.approx(expected, abs=1)


def test_a_point_load_over_one_end_counts_there_only() -> None:
    # Same set: V 3,000 lb, 4,000 lb on one chord: 0 at that end, 1,143.8 lb at the other.
    factor = opening_factor(40 * FT, 32 * FT, 56 * FT**2, 10 * FT, "2021")
    unit = maximum_unit_shear(3_000 * LBF, factor, 32 * FT)
    assert tension_with_end_loads(unit, 10 * FT, end_load=0.6 * 4_000 * LBF) < 0
    assert tension_with_end_loads(unit, 10 * FT) / LBF == pytest.approx(1_143.8, abs=0.5)
