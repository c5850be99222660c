"""Stack draw and wind suction against handbook and standard examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering.constants import INCH_OF_WATER
from modellint.engineering.source import Source
from modellint.engineering.stack_draw import (
    STACK_CONSTANT,
    STACK_SOURCE,
    estimate_stack_draw,
    stack_draw,
    stack_draw_in_parts,
)
from modellint.engineering.wind_suction import (
    ROOF_COEFFICIENTS,
    STRUCTURAL_COEFFICIENTS,
    VELOCITY_PRESSURE_FACTOR,
    estimate_wind_suction,
    exposure_factor,
    roof_coefficient,
    velocity_pressure,
    wind_suction,
)

TEMPERATURES = st.floats(-45.0, 45.0)


def test_the_constant_is_the_printed_one_and_near_the_exact_product() -> None:
    # ASHRAE HVAC Applications 2011 ch. 53 eq. (17) and SFPE Handbook ch. 50 eq. 50.1 both print 3460.
    assert STACK_CONSTANT == 3460.0
    assert STACK_SOURCE.firm
    # g·p/R = 9.80665 · 101325 / 287.055, arithmetic; the spread of printed constants is 0.16 %.
    assert pytest.approx(9.80665 * 101325 / 287.055, rel=0.002) == STACK_CONSTANT


def test_stack_draw_meets_the_fire_engineering_handbook() -> None:
    # SFPE Handbook ch. 50 eq. 50.1, z 30 m, -18 °C and 21 °C counted from 273 K: 53.99759904 Pa.
    assert stack_draw(30.0, -18.0 - 0.15, 21.0 - 0.15) == pytest.approx(53.99759904, abs=1e-8)


def test_draw_per_metre_meets_the_smoke_control_chapter() -> None:
    # ASHRAE HVAC Applications 2011 ch. 53, worked sheet: 283.2 K outside, 296.2 K inside, 0.54 Pa/m.
    assert round(stack_draw(1.0, 283.2 - 273.15, 296.2 - 273.15), 2) == 0.54


@pytest.mark.parametrize(
    ("height", "outside", "inside", "draw"),
    [(8, 0, 20, 6.914), (8, -20, 20, 14.920), (6, -10, 20, 8.073), (10, 10, 20, 4.168)],
)
def test_stack_draw_by_hand(height: float, outside: float, inside: float, draw: float) -> None:
    # Arithmetic from the printed formula with 0 °C = 273.15 K.
    assert stack_draw(height, outside, inside) == pytest.approx(draw, abs=5e-4)


def test_stack_draw_in_inches_of_water() -> None:
    # Arithmetic: 6.914 Pa is 0.0278 in of water.
    assert stack_draw(8.0, 0.0, 20.0) / INCH_OF_WATER == pytest.approx(0.0278, abs=5e-5)


@given(height=st.floats(0.0, 30.0), temperature=TEMPERATURES)
def test_no_difference_draws_nothing(height: float, temperature: float) -> None:
    assert stack_draw(height, temperature, temperature) == 0.0


@given(height=st.floats(0.1, 30.0), one=TEMPERATURES, other=TEMPERATURES)
def test_a_pipe_colder_than_outside_pushes_down(height: float, one: float, other: float) -> None:
    # Reversal in summer: Holford and Freeman, Environ. Sci. Technol. 30 (1996) 2914.
    cold, warm = sorted((one, other))
    assert stack_draw(height, warm, cold) <= 0.0 <= stack_draw(height, cold, warm)


def test_parts_of_one_temperature_add_up_to_the_whole() -> None:
    whole = stack_draw(9.0, -5.0, 18.0)
    assert stack_draw_in_parts([(4.0, 18.0), (5.0, 18.0)], -5.0) == pytest.approx(whole)
    assert stack_draw_in_parts([(4.0, 18.0), (5.0, -5.0)], -5.0) == pytest.approx(stack_draw(4.0, -5.0, 18.0))


def test_thin_air_draws_less() -> None:
    # ASHRAE Handbook - Fundamentals 2017 ch. 1: 89875 Pa at 1000 m.
    assert stack_draw(8.0, 0.0, 20.0, 89875.0) == pytest.approx(6.914 * 89875 / 101325, abs=5e-4)


@given(
    h=st.tuples(st.floats(0.0, 20.0), st.floats(0.0, 20.0)),
    out=st.tuples(TEMPERATURES, TEMPERATURES),
    pipe=st.tuples(TEMPERATURES, TEMPERATURES),
    share=st.tuples(st.floats(0, 1), st.floats(0, 1), st.floats(0, 1)),
)
def test_every_case_lies_in_the_estimate(
    h: tuple[float, float],
    out: tuple[float, float],
    pipe: tuple[float, float],
    share: tuple[float, float, float],
) -> None:
    ranges = [(min(pair), max(pair)) for pair in (h, out, pipe)]
    case = [low + s * (high - low) for (low, high), s in zip(ranges, share, strict=True)]
    estimate = estimate_stack_draw(ranges[0], ranges[1], ranges[2])
    assert estimate.low - 1e-9 <= stack_draw(*case) <= estimate.high + 1e-9
    assert estimate.assumptions


def test_impossible_stacks_are_refused() -> None:
    with pytest.raises(ValueError, match="height of zero or more"):
        stack_draw(-1.0, 0.0, 20.0)
    with pytest.raises(ValueError, match="absolute zero"):
        stack_draw(1.0, -300.0, 20.0)
    with pytest.raises(ValueError, match="Outside temperature needs its low end"):
        estimate_stack_draw((8.0, 8.0), (5.0, 0.0), (20.0, 20.0))


def test_velocity_pressure_in_both_unit_systems() -> None:
    # ASCE 7 ch. 26 and 27: 0.613 in Pa and m/s, 0.00256 in psf and mph.
    psf, mph = 47.880259, 0.44704
    assert pytest.approx(0.00256 * psf / mph**2, rel=1e-3) == VELOCITY_PRESSURE_FACTOR


@pytest.mark.parametrize(("height", "kz", "pressure"), [(8.0, 0.95, 609.6), (5.0, 0.87, 552.1)])
def test_design_wind_of_a_worked_sheet(height: float, kz: float, pressure: float) -> None:
    # ASCE 7-16 ch. 27 worked sheet: 35 m/s, exposure C (α 9.5, zg 274.32 m), Kd 0.85, Kzt 1, Ke 1.
    factor = exposure_factor(height, 9.5, 274.32)
    assert factor == pytest.approx(kz, abs=0.0055)
    assert 0.85 * factor * velocity_pressure(35.0) == pytest.approx(pressure, abs=0.1)


def test_roof_suction_by_hand() -> None:
    # Arithmetic: 10 m/s gives 61.3 Pa; coefficients -0.3 to -0.8 give 18.4 to 49.0 Pa of suction.
    estimate = estimate_wind_suction((10.0, 10.0), (-0.8, -0.3), Source("arithmetic"))
    assert velocity_pressure(10.0) == pytest.approx(61.3)
    assert estimate.range == pytest.approx((18.39, 49.04))
    assert estimate.unit == "Pa"


def test_strong_wind_draws_harder_than_a_winter_stack() -> None:
    # Common practice, no source: wind of about 100 km/h over the roof draws hard on the pipe.
    assert wind_suction(100 / 3.6, -0.4) > 10 * stack_draw(8.0, -20.0, 20.0)


@pytest.mark.parametrize(
    ("pitch", "sheltered", "span"),
    [
        (5.0, False, (-0.8, -0.4)),
        (5.0, True, (-0.5, -0.4)),
        (5.0, None, (-0.8, -0.4)),
        (20.0, False, (-0.7, -0.4)),
        (20.0, True, (-0.5, -0.3)),
        (20.0, None, (-0.7, -0.3)),
        (10.5, True, (-0.5, -0.3)),
        (30.0, True, (-0.5, -0.3)),
        (31.0, None, None),
        (45.0, False, None),
    ],
)
def test_mean_roof_coefficients(
    pitch: float, sheltered: bool | None, span: tuple[float, float] | None
) -> None:
    # Air Infiltration and Ventilation Centre data, low-rise roofs, pitch under 10° and 11 to 30°.
    assert roof_coefficient(pitch, sheltered) == span


def test_mean_coefficients_are_milder_than_structural_peaks() -> None:
    # ASCE 7 Fig. 27.4-1: -0.9 at the windward edge, -0.5, -0.3; leeward slope -0.6.
    assert STRUCTURAL_COEFFICIENTS["0 to h"] == -0.9
    assert set(STRUCTURAL_COEFFICIENTS.values()) == {-0.9, -0.5, -0.3, -0.6}
    assert all(-0.9 < row.low <= row.high < 0.0 for row in ROOF_COEFFICIENTS)


def test_a_coefficient_above_zero_blows_down() -> None:
    assert estimate_wind_suction((0.0, 10.0), (-0.5, 0.2), Source("practice")).low < 0.0
    with pytest.raises(ValueError, match="Wind speed cannot be negative"):
        estimate_wind_suction((-1.0, 10.0), (-0.5, 0.2), Source("practice"))
