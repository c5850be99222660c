"""Units against published conversion factors.

Oracle: NIST Special Publication 811 (2008 edition), appendix B.8, factors as printed there (exact ones
bold in the original, others to 7 digits).
"""

from __future__ import annotations

from fractions import Fraction
from math import atan, inf, nan, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.errors import UnitProblem
from modellint.units import (
    FACTORS,
    dimensions_of,
    parse,
    parse_loose,
    round_for_comparison,
    show,
    unit_in_name,
)

NIST_B8 = [  # unit, dimension, factor as printed
    ("in", "length", "2.54 E-02"),
    ("ft", "length", "3.048 E-01"),
    ("yd", "length", "9.144 E-01"),
    ("ft2", "area", "9.290304 E-02"),
    ("in2", "area", "6.4516 E-04"),
    ("ft3", "volume", "2.831685 E-02"),
    ("gal", "volume", "3.785412 E-03"),
    ("lbf", "force", "4.448222"),
    ("kip", "force", "4.448222 E+03"),
    ("kgf", "force", "9.80665"),
    ("lb/ft", "force_per_length", "1.459390 E+01"),
    ("psi", "pressure", "6.894757 E+03"),
    ("ksi", "pressure", "6.894757 E+06"),
    ("psf", "pressure", "4.788026 E+01"),
    ("in w.c.", "pressure", "2.490889 E+02"),
    ("mmH2O", "pressure", "9.80665"),
    ("bar", "pressure", "1.0 E+05"),
    ("ft lb", "moment", "1.355818"),
    ("in lb", "moment", "1.129848 E-01"),
    ("cfm", "flow", "4.719474 E-04"),
    ("gpm", "flow", "6.309020 E-05"),
    ("lb", "mass", "4.535924 E-01"),
    ("pcf", "density", "1.601846 E+01"),
]


@pytest.mark.parametrize(("unit", "dimension", "printed"), NIST_B8)
def test_factor_as_printed_by_nist(unit, dimension, printed):
    factor = float(printed.replace(" ", ""))
    assert parse(f"1 {unit}", dimension) == pytest.approx(factor, rel=6e-7)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("12 in", "length", 0.3048),
        ("7 ft 6 in", "length", 2.286),
        ("1/2 in", "length", 0.0127),
        ("1-1/2 in", "length", 0.0381),
        ('5 1/2"', "length", 0.1397),
        ("7'-6\"", "length", 2.286),
        ("7' 6 1/2\"", "length", 2.2987),
        ("1/8 in/ft", "slope", 1 / 96),
        ("1:96", "slope", 1 / 96),
        ("1 %", "slope", 0.01),
        ("60 kN", "force", 60e3),
        ("-3 mm", "length", -0.003),
        ("10 ft", "length", 3.048),
        ("5 deg", "angle", radians(5)),
        ("5 deg", "slope", tan(radians(5))),
        ("1:1", "angle", atan(1.0)),
        ("32 degF", "temperature", 273.15),
        ("20 °C", "temperature", 293.15),
        ("3", "count", 3.0),
        ("50 %", "ratio", 0.5),
        ("4 pCi/L", "activity", 148.0),
        ("1.5e3 mm", "length", 1.5),
    ],
)
def test_exact(text, dimension, value):
    assert parse(text, dimension) == value


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("12", "length"),
        ("12 kN", "length"),
        ("5 deg", "length"),
        ("1:96", "length"),
        ("12 furlong", "length"),
        ("", "force"),
        ("1/0 in", "length"),
        ("1:0", "slope"),
        ("nan m", "length"),
        ("inf m", "length"),
        ("1e9999 m", "length"),
        ("1e999 m", "length"),
        ("90 deg", "slope"),
        ("1,200 kN", "force"),
        ("12 in 3 ft", "length"),
        ("1 m", "truth"),
        ("9" * 100, "count"),
    ],
)
def test_refused_in_one_sentence(text, dimension):
    with pytest.raises(UnitProblem) as caught:
        parse(text, dimension)
    assert "\n" not in str(caught.value)
    assert str(caught.value).endswith(".")


@pytest.mark.parametrize(
    ("text", "dimension", "unit", "value"),
    [
        ("4 in o.c.", "length", "", 0.1016),
        ("100 mm o.c.", "length", "", 0.1),
        ("100 mm max", "length", "", 0.1),
        ("1,200 lb", "force", "", 1200 * 4.4482216152605),
        ("3000", "force", "lb", 3000 * 4.4482216152605),
        ("10 min", "time", "", 600.0),
    ],
)
def test_loose(text, dimension, unit, value):
    assert parse_loose(text, dimension, unit) == pytest.approx(value, rel=1e-15)


def test_loose_refuses_a_comma_that_may_be_a_decimal_sign():
    with pytest.raises(UnitProblem):
        parse_loose("1,200 kN", "force")


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("Pull (lb)", "lb"),
        ("uplift [kN]", "kN"),
        ("Depth_mm", "mm"),
        ("Edge distance, in", "in"),
        ("check in", None),
        ("Depth", None),
        ("Spacing (o.c.)", None),
        ("Shear plf", "plf"),
    ],
)
def test_unit_in_name(name, unit):
    assert unit_in_name(name) == unit


@pytest.mark.parametrize(
    ("value", "dimension", "metric", "us"),
    [
        (0.3048, "length", "305 mm", "12 in"),
        (2.286, "length", "2286 mm", "7 ft 6 in"),
        (0.0381, "length", "38.1 mm", "1-1/2 in"),
        (12.345, "length", "12.35 m", "40 ft 6 in"),
        (1 / 96, "slope", "1.04 % (1/8 in/ft)", "1.04 % (1/8 in/ft)"),
        (radians(5), "angle", "5°", "5°"),
        (60e3, "force", "60 kN", "13489 lb"),
        (0.0, "length", "0 mm", "0 in"),
        (-0.1, "length", "-100 mm", "-3-15/16 in"),
        (nan, "length", "not known", "not known"),
        (inf, "force", "no limit", "no limit"),
    ],
)
def test_show(value, dimension, metric, us):
    assert (show(value, dimension), show(value, dimension, "us")) == (metric, us)


def test_rounding_removes_the_noise_of_feet_and_inches():
    assert round_for_comparison(12 * 0.0254, "length") == round_for_comparison(0.3048, "length")
    assert round_for_comparison(0.30484, "length") == round_for_comparison(0.3048, "length")
    assert round_for_comparison(0.30486, "length") > round_for_comparison(0.3048, "length")


NUMBERS = st.fractions(min_value=Fraction(1, 1000), max_value=10_000, max_denominator=1000)
UNITS = [
    (dimension, unit)
    for dimension in ("length", "force", "pressure", "flow", "area", "moment", "density")
    for unit in FACTORS[dimension]
]


@given(NUMBERS, st.sampled_from(UNITS))
def test_every_unit_keeps_its_number(number, pair):
    dimension, unit = pair
    text = f"{number.numerator}/{number.denominator} {unit}"
    assert parse(text, dimension) == float(number * FACTORS[dimension][unit])
    assert dimension in dimensions_of(unit)


@given(st.integers(0, 16 * 12 * 100))
def test_inches_in_sixteenths_come_back(sixteenths):
    value = sixteenths / 16 * 0.0254
    assert parse(show(value, "length", "us"), "length") == pytest.approx(value, abs=1e-12)


@given(
    st.floats(allow_nan=True, allow_infinity=True),
    st.sampled_from(sorted(FACTORS)),
    st.sampled_from(["metric", "us"]),
)
def test_show_never_says_nan_or_none(value, dimension, system):
    shown = show(value, dimension, system)
    assert "nan" not in shown
    assert "None" not in shown


@given(st.text(max_size=30), st.sampled_from(sorted(FACTORS)))
def test_any_text_is_a_number_or_one_sentence(text, dimension):
    try:
        found = parse(text, dimension)
    except UnitProblem:
        return
    assert isinstance(found, float)
