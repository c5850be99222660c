"""Moist air and condensate against ASHRAE tables, a second formula and hand calculations."""

from math import exp, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering.condensation import (
    condensate,
    condensate_of_flow,
    estimate_condensate,
    leaving_temperature,
    pipe_sweats,
    winter_week,
)
from modellint.engineering.estimate import Estimate
from modellint.engineering.moist_air import (
    dew_point,
    dry_air_density,
    dry_air_share,
    humidity_ratio,
    moist_air_density,
    saturation_pressure,
    vapour_pressure,
)


@pytest.mark.parametrize(
    ("celsius", "pressure"),
    [(-20, 103.24), (-5, 401.74), (5, 872.6), (25, 3169.7), (50, 12351.3), (100, 101418.0)],
)
def test_saturation_pressure_of_the_handbook_table(celsius: float, pressure: float) -> None:
    # ASHRAE Handbook - Fundamentals 2017 ch. 1 Table 3; 0.02 % for the fit of the printed equations.
    assert saturation_pressure(celsius) == pytest.approx(pressure, rel=3e-4)


@pytest.mark.parametrize(
    ("fahrenheit", "psi"),
    [(-4, 0.014974), (23, 0.058268), (41, 0.12656), (77, 0.45973), (122, 1.79140), (212, 14.7094)],
)
def test_saturation_pressure_of_the_inch_pound_table(fahrenheit: float, psi: float) -> None:
    # The same table in inch-pound units.
    assert saturation_pressure((fahrenheit - 32) / 1.8) / 6894.757 == pytest.approx(psi, rel=4e-4)


@given(st.floats(0.02, 50.0))
def test_saturation_over_water_agrees_with_magnus(celsius: float) -> None:
    # Magnus over water, 6.112 hPa · exp(17.62 T / (243.12 + T)), World Meteorological Organization.
    magnus = 611.2 * exp(17.62 * celsius / (243.12 + celsius))
    assert saturation_pressure(celsius) == pytest.approx(magnus, rel=4e-3)


@given(st.floats(-40.0, 0.0))
def test_saturation_over_ice_agrees_with_magnus(celsius: float) -> None:
    # Magnus over ice, 6.112 hPa · exp(22.46 T / (272.62 + T)), from memory; meets the handbook's ice points.
    magnus = 611.2 * exp(22.46 * celsius / (272.62 + celsius))
    assert saturation_pressure(celsius) == pytest.approx(magnus, rel=4e-3)


def test_frost_is_not_computed_over_water() -> None:
    # Over water the same formula would give 126.0 Pa at -20 °C, 22 % too much for frost.
    assert saturation_pressure(-20.0) < 110.0


@pytest.mark.parametrize(
    ("celsius", "ratio"),
    [(-20, 0.0006373), (-5, 0.0024863), (5, 0.005425), (25, 0.020173), (50, 0.086863)],
)
def test_saturated_humidity_ratio_of_the_handbook_table(celsius: float, ratio: float) -> None:
    # ASHRAE Handbook - Fundamentals 2017 ch. 1 Table 2 at 101.325 kPa; ideal gas lies up to 1 % lower.
    value = humidity_ratio(celsius, 1.0)
    assert value == pytest.approx(ratio, rel=0.01)
    assert value < ratio


def test_dew_point_of_the_handbook_example() -> None:
    # ASHRAE Handbook - Fundamentals 2017 ch. 1 Example 1: W 0.0065 gives 7 °C, read off a chart, so 1 °C.
    assert dew_point(0.0065) == pytest.approx(7.0, abs=1.0)


def test_volume_in_the_handbook_example() -> None:
    # The same example: 40 °C, W 0.0065: 0.896 m³ per kg of dry air, 14 % relative humidity.
    assert 1.0 / dry_air_share(40.0, 0.0065) == pytest.approx(0.896, abs=1e-3)
    assert vapour_pressure(0.0065) / saturation_pressure(40.0) == pytest.approx(0.14, abs=5e-3)


def test_dry_air_volume() -> None:
    # ASHRAE Handbook - Fundamentals 2017 ch. 1: 0.8443 m³/kg at 25 °C.
    assert 1.0 / dry_air_density(25.0) == pytest.approx(0.8443, rel=5e-4)


@given(st.floats(-60.0, 80.0))
def test_dew_point_undoes_saturation(celsius: float) -> None:
    assert dew_point(humidity_ratio(celsius, 1.0)) == pytest.approx(celsius, abs=1e-6)


@pytest.mark.parametrize(
    ("start", "leaving", "per_hour", "per_day"),
    [(5, -5, 0.1058, 2.54), (25, 5, 0.531, 12.74), (5, -20, 0.172, 4.14)],
)
def test_condensate_of_ten_grams_per_second(
    start: float, leaving: float, per_hour: float, per_day: float
) -> None:
    # Mass balance with the humidity ratios of ASHRAE Handbook - Fundamentals 2017 ch. 1 Table 2; 1 %.
    rate = condensate(0.010, humidity_ratio(start, 1.0), leaving)
    assert rate * 3600 == pytest.approx(per_hour, rel=0.01)
    assert rate * 86400 == pytest.approx(per_day, rel=0.01)


def test_warm_or_dry_air_leaves_nothing() -> None:
    assert condensate(0.010, humidity_ratio(5.0, 1.0), 5.0) == 0.0
    assert condensate(0.010, humidity_ratio(5.0, 1.0), 20.0) == 0.0
    assert condensate(0.010, humidity_ratio(10.0, 0.3), 5.0) == 0.0


@given(
    flow=st.floats(0.0, 0.05),
    soil=st.floats(0.0, 20.0),
    humidity=st.floats(0.5, 1.0),
    attic=st.floats(-30.0, 20.0),
)
def test_water_is_never_negative_nor_more_than_there_was(
    flow: float, soil: float, humidity: float, attic: float
) -> None:
    rate = condensate_of_flow(flow, soil, humidity, attic)
    there = flow * dry_air_share(soil, humidity_ratio(soil, humidity)) * humidity_ratio(soil, humidity)
    assert 0.0 <= rate <= there


def test_water_of_a_winter_week_by_hand() -> None:
    # Hand calculation: 6 L/s of saturated air at 10 °C cooled to -10 °C. Table 2 of the handbook (memory):
    # W 0.007661 and 0.001606; dry air at 10 °C and its vapour 1.2315 kg/m³.
    grams = 0.006 * 1.2315 * (0.007661 - 0.001606) * 3600 * 1000
    estimate = estimate_condensate((0.006, 0.006), (10.0, 10.0), (1.0, 1.0), (-10.0, -10.0))
    assert estimate.unit == "g/h"
    assert estimate.low == estimate.high == pytest.approx(grams, rel=0.01)
    assert any("frost" in line for line in estimate.assumptions)
    week = winter_week(estimate)
    assert week.unit == "L"
    assert week.low == pytest.approx(grams * 168 / 1000, rel=0.01)
    assert winter_week(estimate).assumptions[-1] == "The same weather for 7 days."


def test_a_week_needs_grams_per_hour() -> None:
    with pytest.raises(ValueError, match="g/h"):
        winter_week(Estimate("flow", 1.0, 2.0, "L/s"))


@given(share=st.tuples(*[st.floats(0, 1)] * 4))
def test_every_case_lies_in_the_estimate(share: tuple[float, float, float, float]) -> None:
    ranges = ((0.002, 0.010), (6.0, 14.0), (0.8, 1.0), (-15.0, 9.0))
    case = [low + s * (high - low) for (low, high), s in zip(ranges, share, strict=True)]
    estimate = estimate_condensate(*ranges)
    assert estimate.low <= condensate_of_flow(*case) * 3.6e6 <= estimate.high * (1 + 1e-12)


def test_air_cools_along_a_cold_pipe() -> None:
    # Numeric integration of dT/dx = -U·π·D·(T - Ta)/(ṁ·cp) as the independent check.
    steps, temperature = 20_000, 12.0
    for _ in range(steps):
        temperature -= 2.5 * pi * 0.0889 * (temperature + 5.0) / (0.007 * 1006.0) * 3.0 / steps
    value = leaving_temperature(12.0, -5.0, dry_air=0.007, length=3.0, outside=0.0889, transmittance=2.5)
    assert value == pytest.approx(temperature, abs=1e-3)
    still = leaving_temperature(12.0, -5.0, dry_air=0.0, length=3.0, outside=0.0889, transmittance=2.5)
    assert still == -5.0


def test_a_cold_pipe_sweats_in_a_humid_room() -> None:
    # Dew point of 20 °C and 50 % is 9.3 °C (textbook value, from memory).
    assert pipe_sweats(8.0, 20.0, 0.5)
    assert not pipe_sweats(11.0, 20.0, 0.5)


def test_impossible_air_is_refused() -> None:
    with pytest.raises(ValueError, match="from 0 to 1"):
        humidity_ratio(20.0, 1.2)
    with pytest.raises(ValueError, match="-100 to 200"):
        saturation_pressure(-120.0)
    with pytest.raises(ValueError, match="cannot hold"):
        humidity_ratio(120.0, 1.0)
    with pytest.raises(ValueError, match="no dew point"):
        dew_point(0.0)
    assert moist_air_density(20.0, 0.01) < dry_air_density(20.0)
