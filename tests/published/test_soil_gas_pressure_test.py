"""Pressure test: gas law by hand, media per code, and no pressure that nobody gave."""

import inspect

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering import pressure_test
from modellint.engineering.pressure_test import (
    PLASTIC_TEST_MEDIA,
    QUOTED_DRAIN_TESTS,
    Medium,
    Reading,
    corrected_drop,
    estimate_drop,
    medium_for_plastic,
    water_head,
)

ATMOSPHERE = 101_325.0


def drop(start: float, end: float, cold: float, warm: float, weather: float = 0.0) -> float:
    return corrected_drop(
        start,
        end,
        start_celsius=cold,
        end_celsius=warm,
        start_atmosphere=ATMOSPHERE,
        end_atmosphere=ATMOSPHERE + weather,
    )


def test_air_that_only_cooled_has_not_leaked() -> None:
    # Gay-Lussac by hand: 34.5 kPa of gauge pressure at 20 °C is 135 825 Pa absolute; at 15 °C the same
    # air shows 135 825 · 288.15/293.15 - 101 325 = 32 183 Pa, 2317 Pa (0.34 psi) less.
    assert drop(34_500.0, 32_183.35, 20.0, 15.0) == pytest.approx(0.0, abs=0.5)
    assert pytest.approx(2317, abs=0.5) == 34_500.0 - 32_183.35


def test_warming_can_hide_a_leak() -> None:
    # The gauge did not move, yet 5 K of warming should have raised it by 135 825 · 5/293.15 = 2317 Pa.
    lost = drop(34_500.0, 34_500.0, 20.0, 25.0)
    assert lost == pytest.approx(135_825 * (1 - 293.15 / 298.15))
    assert lost > 2000.0


def test_weather_moves_the_gauge() -> None:
    # A barometer that rises by 500 Pa lowers the gauge by as much, at one temperature.
    assert drop(34_500.0, 34_000.0, 20.0, 20.0, 500.0) == pytest.approx(0.0, abs=1e-9)


def test_a_leak_under_vacuum_shows_with_the_other_sign() -> None:
    assert drop(-34_500.0, -34_000.0, 20.0, 20.0) == pytest.approx(-500.0)


@given(
    gauge=st.floats(1e3, 5e4),
    start=st.floats(-10, 35),
    end=st.floats(-10, 35),
    lost=st.floats(0, 1),
    weather=st.floats(-1500, 1500),
)
def test_the_air_that_left_is_found(
    gauge: float, start: float, end: float, lost: float, weather: float
) -> None:
    # Forward model: take a share of the air out, then heat it; the correction must give back that share.
    left = (gauge + ATMOSPHERE) * (1 - 0.1 * lost)
    shown = left * (end + 273.15) / (start + 273.15) - (ATMOSPHERE + weather)
    assert drop(gauge, shown, start, end, weather) == pytest.approx(
        0.1 * lost * (gauge + ATMOSPHERE), abs=1e-4
    )


def test_a_thermometer_good_to_one_degree_cannot_see_a_small_drop() -> None:
    weather = (ATMOSPHERE, ATMOSPHERE)
    estimate = estimate_drop(
        Reading(34_500.0, (19.0, 21.0), weather), Reading(34_300.0, (19.0, 21.0), weather)
    )
    assert estimate.low < 0.0 < estimate.high
    # 1 K either way at both ends moves 135.6 kPa by about 2/293.
    assert estimate.high - estimate.low == pytest.approx(2 * 135_625 * 2 / 293.15, rel=0.01)
    with pytest.raises(ValueError, match="Start temperature"):
        estimate_drop(Reading(1.0, (2.0, 1.0), weather), Reading(1.0, (1.0, 1.0), weather))


@pytest.mark.parametrize(
    ("code", "medium", "answer"),
    [
        ("UPC", "air", "not allowed"),  # Uniform Plumbing Code 712.1
        ("UPC", "water", "allowed"),  # Uniform Plumbing Code 712.2
        ("IRC 2000-2009", "air", "not allowed"),  # IRC P2503.5.1, "if not plastic"
        ("IRC 2000-2009", "water", "allowed"),  # IRC P2503.5.1(1)
        ("IPC", "air", "not allowed"),  # IPC 312.1
        ("IPC 2021", "vacuum", "allowed"),  # IPC 2021 312.4
        ("IRC 2018", "vacuum", "allowed"),  # IRC P2503.5.1, since 2018
        ("New York City", "air", "by permission"),  # New York City Plumbing Code 312
        ("Ontario", "air", "by maker's instructions"),  # Ontario Building Code Part 7
        ("California 2022", "air", "not settled"),  # 723.1 speaks of building sewers
    ],
)
def test_media_for_plastic_pipe(code: str, medium: Medium, answer: str) -> None:
    rule = medium_for_plastic(code, medium)
    assert rule is not None
    assert rule.answer == answer
    assert rule.source.clause


def test_no_code_that_was_read_simply_allows_air_in_plastic() -> None:
    air = [rule for (_, medium), rule in PLASTIC_TEST_MEDIA.items() if medium == "air"]
    assert air
    assert all(rule.answer != "allowed" for rule in air)


def test_a_text_that_was_not_read_allows_nothing() -> None:
    assert medium_for_plastic("IRC 2012", "air") is None
    assert medium_for_plastic("IRC 2012", "vacuum") is None


def test_quoted_plumbing_tests() -> None:
    quoted = {test.medium: test for test in QUOTED_DRAIN_TESTS}
    # IRC P2503.5.1 and UPC 712: 10 ft of water, 5 psi (34.5 kPa) of air, 15 minutes.
    assert quoted["water"].gauge == pytest.approx(water_head(3.048))
    assert quoted["water"].gauge / 6894.757 == pytest.approx(4.33, abs=0.01)  # 0.433 psi/ft, textbook
    assert quoted["air"].gauge == pytest.approx(34_500, rel=2e-3)
    # IRC 2018 P2503.5.1 and IPC 2021 312.4: -5 psi (-34.5 kPa).
    assert quoted["vacuum"].gauge == pytest.approx(-34_500, rel=2e-3)
    assert {test.minutes for test in QUOTED_DRAIN_TESTS} == {15.0}


def test_no_function_fills_in_a_pressure() -> None:
    # No radon standard that was read gives one (SGM-SF-2017 6.2.1 says air- and water-tight, no more).
    functions = [one for _, one in inspect.getmembers(pressure_test, inspect.isfunction)]
    mine = [one for one in functions if one.__module__ == pressure_test.__name__]
    assert len(mine) >= 4
    for one in mine:
        for parameter in inspect.signature(one).parameters.values():
            assert parameter.default is inspect.Parameter.empty
        assert not {"QUOTED_DRAIN_TESTS", "QuotedTest"} & set(one.__code__.co_names)
    for parameter in inspect.signature(Reading).parameters.values():
        assert parameter.default is inspect.Parameter.empty
