"""Estimates of a vent: held against the formulae by hand, shown apart from outcomes."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest

from modellint.findings.estimates import vent_estimates
from modellint.rulebook.load import shipped_settings
from modellint.rulebook.settings import in_si
from tests.builders_soilgas import small_house

SETTINGS = in_si(shipped_settings())


def steady(outdoors=0.0, pipe=20.0, soil=10.0, wind=5.0):
    """Settings with one temperature each, so that an estimate can be checked by hand."""
    fixed = {"outdoors": outdoors + 273.15, "pipe": pipe + 273.15, "soil": soil + 273.15, "wind": wind}
    more = {f"estimate_{name}_{end}": value for name, value in fixed.items() for end in ("low", "high")}
    return {**SETTINGS, **more, "estimate_soil_humidity": 1.0}


def by_name(house, settings):
    return {row["name"].split(",")[0]: row for row in vent_estimates(house, settings)}


def test_stack_draw_of_the_whole_column():
    """3460 h (1/To - 1/Ti), ASHRAE Handbook - HVAC Applications 2011 ch. 53 eq. (17)."""
    house = small_house().house()
    lines = np.vstack([house.parts[key].axis for key in ("riser", "offset", "stack")])
    height = lines[:, 2].max() - lines[:, 2].min()
    row = by_name(house, steady())["stack draw"]
    assert row["high"] == pytest.approx(3460 * height * (1 / 273.15 - 1 / 293.15), rel=0.005)
    assert 0 < row["low"] < row["high"]


def test_no_draw_when_pipe_and_air_are_alike():
    assert by_name(small_house().house(), steady(20.0, 20.0))["stack draw"]["high"] == 0.0


def test_wind_suction_over_a_roof_of_six_in_twelve():
    """q = 0.613 V2 (ASCE 7-16 ch. 26); mean Cp of roofs of 11 to 30 degrees from -0.3 to -0.7."""
    row = by_name(small_house().house(), steady(wind=10.0))["wind suction at the exit"]
    assert (row["low"], row["high"]) == (pytest.approx(18.4, abs=0.1), pytest.approx(42.9, abs=0.1))
    assert "26.6°" in row["assumptions"][0]


def test_without_a_roof_the_wind_is_not_known_and_said_so():
    house = small_house(skip=("roof-w", "roof-e")).house()
    rows = by_name(house, steady())
    if "wind suction at the exit" in rows:
        assert rows["wind suction at the exit"]["low"] is None


def test_condensate_is_the_mass_balance_of_the_flow():
    """Magnus over water 6.112 exp(17.62 T / (243.12 + T)) hPa, within 1 % of the method used."""
    rows = by_name(small_house().house(), steady(outdoors=2.0, soil=12.0))

    def ratio(celsius):
        e = 611.2 * exp(17.62 * celsius / (243.12 + celsius))
        return 0.621945 * e / (101325 - e)

    flow = rows["flow of the vent pipe alone"]["high"] / 1000
    dry_air = flow * 101325 / (287.042 * 285.15 * (1 + 1.607858 * ratio(12.0)))
    water = dry_air * (ratio(12.0) - ratio(2.0)) * 3600 * 1000
    assert rows["condensate in the vent"]["high"] == pytest.approx(water, rel=0.02)
    week = rows["condensate in a winter week"]
    assert week["high"] == pytest.approx(rows["condensate in the vent"]["high"] * 0.168, rel=0.01)
    assert rows["dew point of the soil air"]["high"] == pytest.approx(12.0, abs=0.05)


def test_the_cold_pipe_is_listed_by_name():
    row = by_name(small_house().house(), steady())["length of pipe on the cold side"]
    assert row["unit"] == "m"
    assert "stack" in row["assumptions"][1]
    assert 0 < row["low"] == row["high"] < 4


def test_every_estimate_has_unit_and_assumptions_and_no_outcome():
    for row in vent_estimates(small_house().house(), SETTINGS):
        assert set(row) == {"name", "low", "high", "unit", "assumptions"}
        assert row["unit"]
        assert row["assumptions"]
        assert row["low"] is None or row["low"] <= row["high"]


@pytest.mark.parametrize("skip", [("stack", "elbow-2"), ("col-1", "col-2", "tee", "gravel")])
def test_half_a_vent_has_no_estimate(skip):
    rows = vent_estimates(small_house(skip=skip).house(), SETTINGS)
    assert rows == [] or all(row["low"] is None or np.isfinite(row["low"]) for row in rows)


def test_nothing_without_settings():
    assert vent_estimates(small_house().house(), {}) == []
