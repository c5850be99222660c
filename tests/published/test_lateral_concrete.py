"""Anchors in concrete (screening) against the ACI 349.2R examples and a published single anchor."""

from math import inf, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering.concrete_breakout import (
    SEISMIC_FACTOR,
    Anchor,
    basic_breakout,
    breakout,
    edge_factor,
    headed_pullout,
    hooked_pullout,
    least_strength,
    minimum_edge,
    minimum_spacing,
    resistance_factor,
    side_face_blowout,
    steel_tension,
)
from modellint.engineering.concrete_shear import basic_shear_breakout, interaction, pryout
from modellint.engineering.rod import stress_area
from modellint.engineering.us_units import IN, KIP, KSI, LBF, PSI

FREE = (inf, inf, inf, inf)
STUD_HALF, STUD_FIVE_EIGHTHS = pi / 4 * (0.5 * IN) ** 2, pi / 4 * (0.625 * IN) ** 2


def kips(value: float) -> float:
    return value / KIP


def test_aci_349_2r_a1_tension_without_edge() -> None:
    # ACI 349.2R-07 A1 (as transcribed; ACI 349 Appendix D): 1/2 in stud, Fu 65 ksi, f'c 4,000, h_ef 4.69, c_a
    # 12 in.
    concrete, h_ef = 4_000 * PSI, 4.69 * IN
    assert kips(steel_tension(STUD_HALF, 65 * KSI)) == pytest.approx(12.7627, abs=0.01)
    assert kips(basic_breakout(h_ef, concrete)) == pytest.approx(15.4170, abs=0.01)
    found = breakout(Anchor(h_ef, (12 * IN, inf, inf, inf), concrete))
    assert kips(found) == pytest.approx(15.4170, abs=0.01)
    assert kips(headed_pullout(0.59 * IN**2, concrete)) == pytest.approx(18.88, abs=0.01)
    assert kips(0.85 * found) == pytest.approx(13.1045, abs=0.01)


def test_aci_349_2r_a2_shear() -> None:
    # A2: 1/2 in stud, h_ef 3.06, c_a1 10, c_a2 18 in: V_cb 16.2538, N_cb 8.125, V_cp 16.25 kip (8-coefficient
    # form).
    shear = basic_shear_breakout(0.5 * IN, 3.06 * IN, 10 * IN, 4_000 * PSI, edition="349-06")
    assert kips(shear) == pytest.approx(16.2538, abs=0.01)
    plain = breakout(Anchor(3.06 * IN, FREE, 4_000 * PSI))
    assert kips(plain) == pytest.approx(8.125, abs=0.01)
    assert kips(pryout(3.06 * IN, plain)) == pytest.approx(16.25, abs=0.01)


def test_aci_349_2r_a3_tension_and_shear() -> None:
    # A3: 5/8 in stud, h_ef 6.63, c_a1 12, c_a2 20 in, N_ua 8, V_ua 6 kip: 0.9026 ≤ 1.2.
    concrete = 4_000 * PSI
    assert kips(steel_tension(STUD_FIVE_EIGHTHS, 65 * KSI)) == pytest.approx(19.9418, abs=0.01)
    plain = breakout(Anchor(6.63 * IN, (12 * IN, 20 * IN, inf, inf), concrete))
    assert kips(plain) == pytest.approx(25.9126, abs=0.01)
    assert kips(headed_pullout(0.92 * IN**2, concrete)) == pytest.approx(29.44, abs=0.01)
    assert kips(
        basic_shear_breakout(0.625 * IN, 6.63 * IN, 12 * IN, concrete, edition="349-06")
    ) == pytest.approx(25.2029, abs=0.01)
    assert kips(pryout(6.63 * IN, plain)) == pytest.approx(51.8252, abs=0.02)
    total, holds = interaction(8 / 15.9534, 6 / 14.9563)
    assert total == pytest.approx(0.9026, abs=1e-4)
    assert holds


def test_aci_349_2r_a4_single_bolt() -> None:
    # A4: 1-1/8 in F1554 Grade 105, n = 7, f'c 4,000, h_ef 17.57, washer 2.25 in square.
    concrete = 4_000 * PSI
    assert stress_area(1.125 * IN) / IN**2 == pytest.approx(0.7633, abs=1e-4)
    assert stress_area(1.125 * IN) * 1e6 == pytest.approx(492.433, abs=0.05)
    # The copy seen rounds 125 ksi to 862 MPa.
    assert kips(steel_tension(stress_area(1.125 * IN), 125 * KSI)) == pytest.approx(95.43, abs=0.03)
    assert kips(basic_breakout(17.57 * IN, concrete, deep=True)) == pytest.approx(120.16, abs=0.01)
    bearing = (2.25**2 - pi / 4 * 1.125**2) * IN**2
    assert kips(headed_pullout(bearing, concrete)) == pytest.approx(130.19, abs=0.01)


def test_pca_notes_single_anchor() -> None:
    # PCA notes on ACI 318 (inputs seen): 1 in F1554 Grade 36, h_ef 8 in, f'c 6,000, 17,000 lb, high seismic.
    steel = resistance_factor("steel_tension_ductile") * steel_tension(0.606 * IN**2, 58 * KSI, 36 * KSI)
    assert steel / LBF == pytest.approx(26_361, abs=1)
    assert SEISMIC_FACTOR * steel / LBF == pytest.approx(19_771, abs=1)
    basic = basic_breakout(8 * IN, 6_000 * PSI)
    assert basic / LBF == pytest.approx(42_065, abs=1)
    assert resistance_factor("cast_in") * SEISMIC_FACTOR * basic / LBF == pytest.approx(22_084, abs=1)


@pytest.mark.parametrize(("edge", "factor", "ratio"), [(1.75, 0.750, 0.5833), (2.75, 0.7786, 0.6310)])
def test_sill_bolt_near_one_edge(edge, factor, ratio) -> None:
    # Arithmetic: f'c 2,500, h_ef 7 in, one free edge: N_b 22,224 lb; at 1.75 in N_cb 9,723 lb.
    basic = basic_breakout(7 * IN, 2_500 * PSI)
    assert basic / LBF == pytest.approx(22_224, abs=1)
    assert edge_factor(7 * IN, edge * IN) == pytest.approx(factor, abs=5e-5)
    found = breakout(Anchor(7 * IN, (edge * IN, inf, inf, inf), 2_500 * PSI))
    assert found / basic == pytest.approx(factor * ratio, abs=1e-4)
    if edge == 1.75:
        assert found / LBF == pytest.approx(9_723, abs=1)


def test_post_installed_and_uncracked() -> None:
    # ACI 318-19 17.6.2: k_c 24 and 17, ψ_c 1.25 and 1.4; 17.3.1: f'c counts up to 10,000 and 8,000 psi.
    cast, drilled = (basic_breakout(0.1, 20e6, post_installed=flag) for flag in (False, True))
    assert drilled / cast == pytest.approx(17 / 24)
    for flag, factor in ((False, 1.25), (True, 1.4)):
        pair = [breakout(Anchor(0.1, FREE, 20e6, post_installed=flag, cracked=c)) for c in (True, False)]
        assert pair[1] / pair[0] == pytest.approx(factor)
    assert basic_breakout(0.1, 12_000 * PSI) == basic_breakout(0.1, 10_000 * PSI)
    assert headed_pullout(1e-3, 20e6, cracked=False) == pytest.approx(1.4 * headed_pullout(1e-3, 20e6))


def test_hook_and_side_face() -> None:
    # ACI 318-19 17.6.3.2.2 and 17.6.4 (restatement); numbers are arithmetic.
    assert hooked_pullout(3 * 0.5 * IN, 0.5 * IN, 2_500 * PSI) / LBF == pytest.approx(0.9 * 2_500 * 1.5 * 0.5)
    assert hooked_pullout(9 * IN, 0.5 * IN, 2_500 * PSI) == hooked_pullout(2.25 * IN, 0.5 * IN, 2_500 * PSI)
    with pytest.raises(ValueError, match="three diameters"):
        hooked_pullout(IN, 0.5 * IN, 2_500 * PSI)
    assert side_face_blowout(5 * IN, 2 * IN, inf, IN**2, 2_500 * PSI) is None
    assert side_face_blowout(6 * IN, 2 * IN, inf, IN**2, 2_500 * PSI) / LBF == pytest.approx(160 * 2 * 50)
    assert side_face_blowout(6 * IN, 2 * IN, 2 * IN, IN**2, 2_500 * PSI) / LBF == pytest.approx(
        160 * 2 * 50 / 2
    )


def test_aci_318_19_shear_is_the_lesser_form() -> None:
    # ACI 318-19 17.7.2.2: min of 7 (l_e/d)^0.2 √d and 9; arithmetic for 1/2 in, l_e = 8 d: 7 × 8^0.2 × √0.5 =
    # 7.50.
    found = basic_shear_breakout(0.5 * IN, 7 * IN, 1.75 * IN, 2_500 * PSI)
    assert found / LBF == pytest.approx(7 * 8**0.2 * 0.5**0.5 * 50 * 1.75**1.5, rel=1e-6)
    thick = basic_shear_breakout(1.25 * IN, 12 * IN, 4 * IN, 2_500 * PSI)
    assert thick / LBF == pytest.approx(9 * 50 * 8, rel=1e-6)


def test_edges_spacings_and_factors() -> None:
    # ACI 318-19 17.9.2 and 17.5.3 (secondary sources): 4 d or 6 d; 5/8 in: 2.5 in; φ .75/.65, .70/.75,
    # .65/.55/.45.
    assert minimum_spacing(0.625 * IN, torqued=False) / IN == pytest.approx(2.5)
    assert minimum_edge(0.625 * IN, 1.5 * IN, torqued=True) / IN == pytest.approx(3.75)
    assert minimum_edge(0.5 * IN, 1.5 * IN, torqued=False) / IN == pytest.approx(1.75)
    assert [resistance_factor(m) for m in ("cast_in", "cast_in_supplementary", "post_installed_3")] == [
        0.70,
        0.75,
        0.45,
    ]
    assert interaction(0.1, 1.0) == (pytest.approx(1.1), True)
    assert interaction(0.7, 0.6)[1] is False


@pytest.mark.parametrize(
    "bad",
    [
        lambda: basic_breakout(-0.1, 20e6),
        lambda: basic_breakout(0.1, 0.0),
        lambda: resistance_factor("glue"),
        lambda: basic_breakout(0.1, 20e6, deep=True),
        lambda: basic_shear_breakout(0.01, 0.1, 0.1, 20e6, edition="318-99"),
        lambda: breakout(Anchor(0.1, (0.0, inf, inf, inf), 20e6)),
        lambda: least_strength([]),
    ],
)
def test_bad_anchors_are_refused(bad) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        bad()


@given(st.floats(0.03, 0.5), st.floats(0.03, 0.5), st.floats(0.05, 0.4))
def test_a_nearer_edge_never_helps(one, two, embedment) -> None:
    near, far = sorted((one, two))
    values = [breakout(Anchor(embedment, (edge, inf, inf, inf), 20e6)) for edge in (near, far)]
    assert values[0] <= values[1] * (1 + 1e-12)
    assert least_strength([("near", values[0]), ("far", 2 * values[1])])[0] == "near"


@given(st.floats(0.05, 0.6), st.floats(0.05, 0.6))
def test_deeper_is_never_weaker(one, two) -> None:
    assert basic_breakout(min(one, two), 20e6) <= basic_breakout(max(one, two), 20e6)
