"""Nails against handbook tables and worked examples."""

import pytest

from modellint.engineering.dowel_yield import (
    Dowel,
    dowel_bearing,
    nail_yield_strength,
    single_shear,
)
from modellint.engineering.nails import (
    NAILS,
    fastener_line,
    nail_names,
    nails_per_panel,
    overdriven,
    panel_penetration,
    penetration_factor,
    tabulated_lateral,
    withdrawal,
)
from modellint.engineering.us_units import FT, IN, LBF, LBF_PER_IN
from modellint.engineering.wood_species import species


def test_nail_in_single_shear() -> None:
    # American Wood Council solved examples (as transcribed): D 0.148, L 3.0, side 0.75, DF-L: IIIs 105.1, IV
    # 117.4 lb.
    bearing = dowel_bearing(0.50, 0.148 * IN)
    modes = single_shear(
        Dowel(0.148 * IN, nail_yield_strength(0.148 * IN), 2.25 * IN, 0.75 * IN, bearing, bearing)
    )
    assert modes["IIIs"] / LBF == pytest.approx(105.1, abs=0.05)
    assert modes["IV"] / LBF == pytest.approx(117.4, abs=0.05)
    assert min(modes, key=modes.get) == "IIIs"


NDS_12N = {
    0.162: (154, 141, 120),
    0.148: (128, 118, 100),
    0.135: (113, 103, 88),
    0.131: (106, 97, 82),
    0.128: (101, 93, 79),
    0.113: (79, 72, 61),
}


@pytest.mark.parametrize("inches", sorted(NDS_12N))
def test_nds_table_12n_by_the_yield_equations(inches) -> None:
    # NDS 2018 Table 12N (restatement), 1-1/2 in side member, penetration 10 D: SP, DF-L, SPF.
    for wood, pounds in zip(("SP", "DF-L", "SPF"), NDS_12N[inches], strict=True):
        bearing = dowel_bearing(species(wood).gravity, inches * IN)
        modes = single_shear(
            Dowel(inches * IN, nail_yield_strength(inches * IN), 10 * inches * IN, 1.5 * IN, bearing, bearing)
        )
        assert min(modes.values()) / LBF == pytest.approx(pounds, abs=1.0)
        assert tabulated_lateral(inches * IN, wood) / LBF == pytest.approx(pounds)


# NDS 2018 Table 12.2C (restatement), lb per in, diameters .113 .128 .131 .135 .148 .162.
@pytest.mark.parametrize(
    ("gravity", "printed"),
    [(0.42, (18, 20, 21, 21, 23, 26)), (0.50, (28, 31, 32, 33, 36, 40)), (0.55, (35, 40, 41, 42, 46, 50))],
)
def test_nds_table_12_2c(gravity, printed) -> None:
    for inches, pounds in zip((0.113, 0.128, 0.131, 0.135, 0.148, 0.162), printed, strict=True):
        assert withdrawal(gravity, inches * IN) / LBF_PER_IN == pytest.approx(pounds, abs=0.51)


def test_withdrawal_examples() -> None:
    # American Wood Council E2.1a: 8d in SPF 20.67 lb/in, 2.395 in: 49.5 lb. FEMA P-55: 66 lb per 8d, 2.0 in,
    # × 1.6. Plate uplift note: 16d in DF-L, 40 lb/in × 2.0 in × 1.6 = 128 lb.
    per_length = withdrawal(0.42, 0.131 * IN)
    assert per_length / LBF_PER_IN == pytest.approx(20.67, abs=0.01)
    assert per_length * 2.395 * IN / LBF == pytest.approx(49.5, abs=0.05)
    assert 1.6 * per_length * 2.0 * IN / LBF == pytest.approx(66, abs=0.5)
    assert 1.6 * withdrawal(0.50, 0.162 * IN) * 2.0 * IN / LBF == pytest.approx(128, abs=2)


def test_nail_sizes_and_names() -> None:
    # NDS 2018 App. L4: common and box nails of one pennyweight differ; a name alone is not a nail.
    assert (NAILS["8d common"].diameter / IN, NAILS["8d box"].diameter / IN) == pytest.approx((0.131, 0.113))
    assert nail_names(0.148 * IN, 3 * IN) == ("10d common",)
    assert nail_names(0.128 * IN, 3 * IN) == ("10d box",)
    assert nail_names(0.2 * IN, 3 * IN) == ()
    assert [penetration_factor(x * 0.131 * IN, 0.131 * IN) for x in (5, 8, 10, 12)] == pytest.approx(
        [0, 0.8, 1, 1]
    )
    assert panel_penetration("8d common") == pytest.approx(1.375 * IN)  # SDPWS Table 4.3A


def test_nails_per_sheet_and_overdriving() -> None:
    # HUD panelized-wall guide: 48 + 18 = 66 nails for 4 × 8 at 6/12, studs 16 in. APA TT-012 (as quoted).
    assert nails_per_panel(4 * FT, 8 * FT, 6 * IN, 12 * IN, 2) == (48, 18)
    assert nails_per_panel(4 * FT, 8 * FT, 3 * IN, 12 * IN, 2)[0] == 96
    assert overdriven(IN / 16, 1.0) == overdriven(IN / 8, 0.2) == "acceptable"
    assert overdriven(IN / 8, 0.21) == overdriven(0.13 * IN, 0.01) == "add nails"
    assert fastener_line(600.0, 0.3, 2) == pytest.approx(4_000)
