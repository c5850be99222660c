"""Friction, fittings and balanced flow against textbook examples and the published tables."""

from math import log10, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering.constants import CUBIC_FOOT_PER_MINUTE, FOOT_PER_MINUTE
from modellint.engineering.fitting_losses import (
    ELBOW_EQUIVALENT_LENGTH,
    LOSS_COEFFICIENTS,
    elbow_equivalent_length,
    elbow_loss,
    length_limit,
    listed_sizes,
    reducer_loss,
)
from modellint.engineering.pipe_friction import (
    CONDENSATE_FALLS_BELOW,
    QUIET_SPEED,
    SMOOTH_PLASTIC,
    bore_area,
    colebrook,
    flow_speed,
    friction_factor,
    laminar_factor,
    pressure_drop,
    swamee_jain,
)
from modellint.engineering.pipe_sizes import PVC_SCHEDULE_40
from modellint.engineering.us_units import FT, IN
from modellint.engineering.vent_flow import balanced_flow, estimate_vent_flow
from modellint.engineering.vent_pieces import (
    Elbow,
    Piece,
    Reducer,
    Straight,
    Tee,
    equivalent_length,
    resistance,
)

THREE = PVC_SCHEDULE_40[3].bore
FOUR = PVC_SCHEDULE_40[4].bore


def test_air_duct_of_the_textbook() -> None:
    # Cengel and Cimbala, Fluid Mechanics, 1st ed. 2004, Example 8-4: air at 35 °C, 1 atm, 150 m, 0.35 m³/s,
    # smooth, head loss 20 m: D 0.267 m, f 0.0180, V 6.24 m/s, Re 100 800 (printed to three figures).
    density, kinematic = 1.145, 1.655e-5
    speed = flow_speed(0.35, 0.267)
    reynolds = speed * 0.267 / kinematic
    drop = pressure_drop(0.35, 0.267, 150.0, density=density, viscosity=density * kinematic)
    assert speed == pytest.approx(6.24, rel=2.5e-3)
    assert reynolds == pytest.approx(100_800, rel=1e-3)
    assert colebrook(reynolds) == pytest.approx(0.0180, abs=5e-5)
    assert drop / (density * 9.80665) == pytest.approx(20.0, rel=6e-3)


def test_water_pipe_of_the_textbook() -> None:
    # The same, Example 8-3: water, 2 in, 0.2 ft³/s, ε 7e-6 ft: V 9.17 ft/s, Re 126 400, ε/D 4.2e-5,
    # f 0.0174 (Colebrook), 0.0171 (smooth).
    speed = flow_speed(0.2 * FT**3, 2 * IN) / FT
    reynolds = 62.36 * speed * (2 / 12) / 7.536e-4
    roughness = 7e-6 / (2 / 12)
    assert speed == pytest.approx(9.17, abs=5e-3)
    assert reynolds == pytest.approx(126_400, rel=1e-3)
    assert roughness == pytest.approx(4.2e-5)
    assert colebrook(reynolds, roughness) == pytest.approx(0.0174, abs=5e-5)
    assert colebrook(reynolds) == pytest.approx(0.0171, abs=5e-5)
    # Arithmetic from the same inputs with g 32.2 ft/s²: 1698.9 lbf/ft² over 200 ft.
    pound, square_foot = 0.45359237, FT * FT
    drop = pressure_drop(
        0.2 * FT**3,
        2 * IN,
        200 * FT,
        density=62.36 * pound / FT**3,
        viscosity=7.536e-4 * pound / FT,
        roughness=7e-6 * FT,
    )
    assert drop * square_foot / (pound * 32.2 * FT) == pytest.approx(1698.9, rel=5e-5)


@pytest.mark.parametrize(
    ("reynolds", "roughness", "factor", "share"),
    [
        (128_000, 0.0013, 0.0225, 0.02),  # White, Fluid Mechanics, Example 6.7, read off the chart
        (274_900, 0.0008, 0.01982, 0.001),  # White, Fluid Mechanics, Example 6.9
    ],
)
def test_rough_pipe_of_the_textbook(reynolds: float, roughness: float, factor: float, share: float) -> None:
    assert colebrook(reynolds, roughness) == pytest.approx(factor, rel=share)
    assert swamee_jain(reynolds, roughness) == pytest.approx(colebrook(reynolds, roughness), rel=0.01)


@given(reynolds=st.floats(4e3, 1e8), roughness=st.floats(0.0, 0.05))
def test_colebrook_satisfies_its_own_equation(reynolds: float, roughness: float) -> None:
    root = sqrt(colebrook(reynolds, roughness))
    assert 1 / root == pytest.approx(-2 * log10(roughness / 3.7 + 2.51 / (reynolds * root)), rel=1e-9)


def test_laminar_flow_meets_hagen_and_poiseuille() -> None:
    # f = 64/Re is the same as Δp = 128 μ L Q / (π D⁴), textbook, derived by integrating the speed profile.
    flow, bore, length, density, viscosity = 1e-3, 0.1, 10.0, 1.2, 1.8e-5
    assert laminar_factor(1000.0) == 0.064
    exact = 128 * viscosity * length * flow / (3.141592653589793 * bore**4)
    assert pressure_drop(flow, bore, length, density=density, viscosity=viscosity) == pytest.approx(exact)


def test_head_lost_in_fittings() -> None:
    # Published example of minor losses: ΣK 5.5 at 2 m/s costs 1.1 m of head (printed to two figures).
    flow = 2.0 * bore_area(0.1)
    drop = pressure_drop(flow, 0.1, 0.0, 5.5, density=1000.0, viscosity=1e-3)
    assert drop / (1000 * 9.80665) == pytest.approx(1.1, abs=0.05)


@given(st.floats(1e-5, 0.5), st.floats(1.0, 1.5), st.sampled_from(SMOOTH_PLASTIC))
def test_friction_never_falls_as_flow_grows(flow: float, factor: float, roughness: float) -> None:
    def drop(q: float) -> float:
        return pressure_drop(q, THREE, 10.0, 2.0, density=1.2, viscosity=1.8e-5, roughness=roughness)

    assert drop(flow) <= drop(flow * factor) * (1 + 1e-12)


def test_friction_factor_joins_its_branches() -> None:
    assert friction_factor(2300.0) == pytest.approx(64 / 2300)
    assert friction_factor(4000.0) == colebrook(4000.0)
    assert friction_factor(2300.0) < friction_factor(3000.0) < friction_factor(4000.0)
    with pytest.raises(ValueError, match="above zero"):
        friction_factor(0.0)


@pytest.mark.parametrize(("size", "cfm"), [(2, 35), (3, 80), (4, 140), (6, 315)])
def test_flow_at_the_design_speed(size: int, cfm: float) -> None:
    # ANSI/AARST SGM-SF-2017 (12/20) 6.3.8: about 1600 ft/min in 2, 3, 4 and 6 in pipe; 5 % for rounding.
    assert flow_speed(cfm * CUBIC_FOOT_PER_MINUTE, size * IN) == pytest.approx(QUIET_SPEED, rel=0.05)
    actual = flow_speed(cfm * CUBIC_FOOT_PER_MINUTE, PVC_SCHEDULE_40[size].bore)
    assert actual == pytest.approx(QUIET_SPEED, rel=0.05)
    assert actual < CONDENSATE_FALLS_BELOW


def test_speeds_in_both_unit_systems() -> None:
    # The same clause prints 610 m/min and 488 m/min beside 2000 and 1600 ft/min.
    assert pytest.approx(610, abs=0.5) == CONDENSATE_FALLS_BELOW * 60
    assert pytest.approx(1600 * FOOT_PER_MINUTE) == QUIET_SPEED
    assert pytest.approx(488, abs=0.5) == QUIET_SPEED * 60


@pytest.mark.parametrize(
    ("size", "angle", "make", "feet", "metres"),
    [
        (3, 90, "sweep", 3, 0.9),
        (3, 90, "sharp", 11, 3.4),
        (3, 45, "sweep", 2, 0.6),
        (3, 45, "sharp", 5, 1.5),
        (4, 90, "sweep", 6, 1.8),
        (4, 90, "sharp", 15, 4.5),
        (4, 45, "sweep", 3, 0.9),
        (4, 45, "sharp", 6, 1.8),
        (6, 90, "sweep", 15, 4.5),
        (6, 90, "sharp", 20, 6.0),
        (6, 45, "sweep", 6, 1.8),
    ],
)
def test_equivalent_length_of_elbows(size: int, angle: int, make: str, feet: float, metres: float) -> None:
    # ANSI/AARST CC-1000-2018, companion guidance 8.6, in both units as printed.
    assert ELBOW_EQUIVALENT_LENGTH[size, angle, make] == pytest.approx(feet * FT)
    assert ELBOW_EQUIVALENT_LENGTH[size, angle, make] == pytest.approx(metres, abs=0.11)
    assert len(ELBOW_EQUIVALENT_LENGTH) == 11


def test_an_elbow_of_unknown_make_spans_both() -> None:
    assert elbow_equivalent_length(THREE, 90, "unknown") == pytest.approx((3 * FT, 11 * FT))
    assert elbow_equivalent_length(PVC_SCHEDULE_40[6].bore, 45, "unknown") is None  # sharp: not in the table
    assert elbow_equivalent_length(0.05, 90, "sweep") is None
    assert listed_sizes() == (3, 4, 6)


@pytest.mark.parametrize(("size", "feet", "metres"), [(3, 75, 23), (4, 150, 46), (6, 440, 134)])
def test_longest_equivalent_length(size: int, feet: float, metres: float) -> None:
    # ANSI/AARST CC-1000-2018 8.6, smooth pipe from soil to exhaust.
    limit = length_limit(PVC_SCHEDULE_40[size].bore)
    assert limit == pytest.approx(feet * FT)
    assert limit == pytest.approx(metres, abs=0.5)


@pytest.mark.parametrize(("size", "feet", "cfm"), [(3, 75, 79.6), (4, 150, 112), (6, 440, 185)])
def test_flow_at_the_longest_length_and_one_inch_of_water(size: int, feet: float, cfm: float) -> None:
    # Arithmetic from CC-1000-2018 8.6 with Darcy and Weisbach at 249.1 Pa; the 3 in result is the 80 cfm at
    # which SGM-SF-2017 6.3.2 asks for 4 in pipe.
    bore = PVC_SCHEDULE_40[size].bore
    flow = balanced_flow(
        249.1, lambda q: pressure_drop(q, bore, feet * FT, density=1.204, viscosity=1.813e-5)
    )
    assert flow / CUBIC_FOOT_PER_MINUTE == pytest.approx(cfm, rel=5e-3)


@pytest.mark.parametrize(
    ("bore", "litres", "cfm", "speed"), [(THREE, 5.84, 12.4, 1.246), (FOUR, 11.11, 23.5, 1.371)]
)
def test_passive_stack_by_hand(bore: float, litres: float, cfm: float, speed: float) -> None:
    # Arithmetic: 6.914 Pa (8 m, 0 and 20 °C), 9 m of pipe, ΣK 0.5 + 2·0.9 + 1.0, ε 1.5e-6 m, Swamee and Jain;
    # Colebrook here, so 0.5 %.
    flow = balanced_flow(
        6.914,
        lambda q: pressure_drop(q, bore, 9.0, 3.3, density=1.2041, viscosity=1.8e-5, roughness=1.5e-6),
    )
    assert flow * 1000 == pytest.approx(litres, rel=5e-3)
    assert flow / CUBIC_FOOT_PER_MINUTE == pytest.approx(cfm, rel=5e-3)
    assert flow_speed(flow, bore) == pytest.approx(speed, rel=5e-3)


def test_loss_coefficients_of_the_handbooks() -> None:
    # Handbook tables of minor losses: values on which at least two tables agree; both where they conflict.
    assert LOSS_COEFFICIENTS["entrance"] == (0.5, 0.5)
    assert LOSS_COEFFICIENTS["exit"] == (1.0, 1.0)
    assert LOSS_COEFFICIENTS["elbow 90 sweep"] == (0.2, 0.3)
    assert LOSS_COEFFICIENTS["elbow 90 sharp"] == (0.9, 1.5)
    assert LOSS_COEFFICIENTS["tee run"] == (0.2, 0.9)
    assert LOSS_COEFFICIENTS["tee branch"] == (1.0, 2.0)
    assert elbow_loss(45, "unknown") == (0.2, 0.42)


def run(make: str) -> list[Piece]:
    return [
        Straight(3.0, THREE),
        Elbow(45.0, THREE, make),  # type: ignore[arg-type]
        Straight(1.2, THREE),
        Elbow(45.0, THREE, make),  # type: ignore[arg-type]
        Straight(4.0, THREE),
    ]


def test_unknown_elbows_hold_both_known_answers() -> None:
    sweep, sharp, unknown = (
        estimate_vent_flow((7.0, 7.0), run(make), temperature=20.0, entrance=(0.5, 0.5))
        for make in ("sweep", "sharp", "unknown")
    )
    assert unknown.low == pytest.approx(sharp.low)
    assert unknown.high == pytest.approx(sweep.high)
    assert sharp.high < sweep.low
    assert unknown.unit == "L/s"
    assert any("soil" in line for line in unknown.assumptions)
    # Hand count: 8.2 m of pipe and two 45° elbows of 2 ft or of 5 ft.
    assert equivalent_length(run("unknown")) == pytest.approx((8.2 + 4 * FT, 8.2 + 10 * FT))


def test_soil_takes_its_share_of_the_draw() -> None:
    free = estimate_vent_flow((7.0, 7.0), run("sweep"), temperature=20.0)
    held = estimate_vent_flow((7.0, 7.0), run("sweep"), temperature=20.0, soil=(5e3, 5e3))
    assert held.high < free.low
    # 7 Pa over 5000 Pa per m³/s alone would pass 1.4 L/s.
    assert held.high < 1.4


def test_nothing_rises_without_a_draw() -> None:
    still = estimate_vent_flow((-3.0, 0.0), run("sweep"), temperature=20.0)
    assert still.range == (0.0, 0.0)
    assert any("turn round" in line for line in still.assumptions)
    assert balanced_flow(-1.0, lambda q: q) == 0.0


@pytest.mark.parametrize("angle", [5.0, 22.5, 30.0, 60.0, 89.0, 120.0])
def test_odd_angles_lie_between_the_listed_ones(angle: float) -> None:
    low, high = resistance(Elbow(angle, THREE, "sweep")).length
    assert low <= high
    assert high <= 6 * FT + 1e-9
    if angle < 43:
        assert (low, high) == pytest.approx((0.0, 2 * FT))


def test_other_pieces_fall_back_on_coefficients() -> None:
    assert resistance(Tee(FOUR)).loss == (0.2, 2.0)
    assert resistance(Tee(FOUR, "branch")).loss == (1.0, 2.0)
    assert resistance(Elbow(90.0, 0.052, "sharp")).loss == (0.9, 1.5)
    assert resistance(Reducer(FOUR, THREE)).bore == THREE
    # Sudden enlargement from the momentum balance, (1 - a/A)²; no step, no loss.
    assert reducer_loss(THREE, FOUR)[1] == pytest.approx((1 - (THREE / FOUR) ** 2) ** 2)
    assert reducer_loss(FOUR, FOUR)[1] == 0.0


def test_impossible_runs_are_refused() -> None:
    with pytest.raises(ValueError, match="at least one piece"):
        estimate_vent_flow((1.0, 2.0), [], temperature=20.0)
    with pytest.raises(ValueError, match="bore above zero"):
        pressure_drop(0.01, 0.0, 1.0, density=1.2, viscosity=1.8e-5)
    with pytest.raises(ValueError, match="flow of zero or more"):
        pressure_drop(-0.01, 0.1, 1.0, density=1.2, viscosity=1.8e-5)
    with pytest.raises(ValueError, match="without any friction"):
        balanced_flow(1.0, lambda q: 0.0)
    assert pressure_drop(0.0, 0.1, 1.0, density=1.2, viscosity=1.8e-5) == 0.0


def test_entrance_and_exit_are_counted_once() -> None:
    # Textbook losses: sharp entrance 0.5 and exit 1.0 are all that a straight pipe has beside its friction.
    pull, length = 6.914, 9.0
    pipe = [Straight(length, THREE)]
    estimate = estimate_vent_flow((pull, pull), pipe, temperature=20.0, entrance=(0.5, 0.5))
    flow = balanced_flow(
        pull, lambda q: pressure_drop(q, THREE, length, 1.5, density=1.2041, viscosity=1.813e-5)
    )
    assert estimate.high == pytest.approx(flow * 1000, rel=1e-3)
    # A wall as rough as drawn tubing, the low end, costs less than 0.2 % here.
    assert estimate.low == pytest.approx(estimate.high, rel=2e-3)
