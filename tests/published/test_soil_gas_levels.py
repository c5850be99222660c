"""Radon levels as their authorities print them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering.radon_levels import (
    ACTION_LEVELS,
    at_or_above,
    becquerel_from_picocurie,
    picocurie_from_becquerel,
)


def test_units_by_definition() -> None:
    # 1 Ci = 3.7e10 Bq exactly, so 1 pCi/L = 0.037 Bq/L = 37 Bq/m³.
    assert becquerel_from_picocurie(1.0) == 37.0
    assert becquerel_from_picocurie(1.0) == pytest.approx(3.7e10 * 1e-12 * 1000)
    # ANSI/AARST RRNC-2020 201.1 prints 1 Bq/m³ = 0.027 pCi/L.
    assert picocurie_from_becquerel(1.0) == pytest.approx(0.027, abs=5e-4)


@pytest.mark.parametrize(
    ("name", "becquerel", "picocurie", "grade"),
    [
        ("us", 148, 4.0, "A"),  # EPA, A Citizen's Guide to Radon (2016)
        ("us consider", 74, 2.0, "A"),  # the same
        ("canada", 200, 5.4, "A"),  # Health Canada guideline
        ("uk", 200, 5.4, "B"),  # Building Research Establishment
        ("who", 100, 2.7, "B"),  # WHO Handbook on Indoor Radon 2009
        ("who highest", 300, 8.1, "B"),  # the same
    ],
)
def test_levels(name: str, becquerel: float, picocurie: float, grade: str) -> None:
    level = ACTION_LEVELS[name]
    assert level.level == becquerel
    assert picocurie_from_becquerel(level.level) == pytest.approx(picocurie, abs=0.05)
    assert level.source.grade == grade


def test_printed_rounding_of_the_us_level() -> None:
    # EPA prints 150 Bq/m³ beside 4 pCi/L; the exact value decides.
    assert ACTION_LEVELS["us"].level == becquerel_from_picocurie(4.0) == 148.0
    assert "150" in ACTION_LEVELS["us"].printed


def test_levels_not_read_in_their_text_are_not_firm() -> None:
    assert not ACTION_LEVELS["eu"].source.firm
    assert not ACTION_LEVELS["us irc 2021"].source.firm
    assert "from memory" in ACTION_LEVELS["eu"].source.words()
    assert list(ACTION_LEVELS) == sorted(ACTION_LEVELS)


def test_a_result_at_the_level_calls_for_action() -> None:
    assert at_or_above(148.0, ACTION_LEVELS["us"])
    assert not at_or_above(147.9, ACTION_LEVELS["us"])
    assert not at_or_above(150.0, ACTION_LEVELS["canada"])
    with pytest.raises(ValueError, match="cannot be negative"):
        at_or_above(-1.0, ACTION_LEVELS["us"])


@given(st.floats(0, 1e5))
def test_units_go_back_and_forth(level: float) -> None:
    assert becquerel_from_picocurie(picocurie_from_becquerel(level)) == pytest.approx(level)
