"""Standing water against hand calculation and numeric integration."""

from math import acos, hypot, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering.pipe_sizes import PVC_SCHEDULE_40
from modellint.engineering.standing_water import closed_share, water_area, water_volume, wet_length

BORES = st.floats(0.05, 0.16)


def strips(depth: float, bore: float, count: int = 4000) -> float:
    """Area of a segment by the midpoint rule over horizontal strips of chord width."""
    step = depth / count
    return sum(2 * sqrt((k + 0.5) * step * (bore - (k + 0.5) * step)) * step for k in range(count))


def slices(level: float, start: float, end: float, plan: float, bore: float, *, count: int = 4000) -> float:
    """Volume by slices square to the axis, the area of each by its angle at the centre."""
    length = hypot(plan, end - start)
    total = 0.0
    for k in range(count):
        invert = start + (end - start) * (k + 0.5) / count
        depth = min(max((level - invert) * length / plan, 0.0), bore)
        half_angle = acos(1 - 2 * depth / bore)
        total += (
            bore**2
            / 4
            * (half_angle - sqrt(max(0.0, 1 - (1 - 2 * depth / bore) ** 2)) * (1 - 2 * depth / bore))
        )
    return total * length / count


@pytest.mark.parametrize(
    ("depth", "share"),
    [
        # Circular segment tables, partly full pipe: y/D to A/A0. Arithmetic, chord at 60 degrees.
        (0.0, 0.0),
        (0.25, 1 / 3 - sqrt(3) / (4 * pi)),
        (0.5, 0.5),
        (0.75, 2 / 3 + sqrt(3) / (4 * pi)),
        (1.0, 1.0),
    ],
)
def test_share_of_the_bore_that_water_closes(depth: float, share: float) -> None:
    # y = D/4: the radius to the water's edge stands 60° off the vertical, area = r²(π/3 - √3/4).
    assert closed_share(depth * 0.1, 0.1) == pytest.approx(share, abs=1e-12)


@given(bore=BORES, share=st.floats(0.01, 1.0))
def test_area_meets_the_sum_of_strips(bore: float, share: float) -> None:
    assert water_area(share * bore, bore) == pytest.approx(strips(share * bore, bore, 1000), rel=1e-3)


@given(bore=BORES, share=st.floats(0.0, 1.0))
def test_water_and_air_fill_the_bore(bore: float, share: float) -> None:
    assert closed_share(share * bore, bore) + closed_share((1 - share) * bore, bore) == pytest.approx(1.0)


def test_dry_and_drowned_bores() -> None:
    assert water_area(-0.01, 0.1) == 0.0
    assert closed_share(0.2, 0.1) == pytest.approx(1.0)
    with pytest.raises(ValueError, match="bore above zero"):
        water_area(0.01, 0.0)


@pytest.mark.parametrize(
    ("size", "share", "litres"),
    [
        # Hand calculation, y/r = 20/38.635 and 20/50.775: area r²·acos(1-y/r) - (r-y)·√(2ry-y²).
        (3, 0.20531, 0.47433),
        (4, 0.13928, 0.55198),
    ],
)
def test_offset_that_falls_the_wrong_way_by_20_mm_in_1200(size: int, share: float, litres: float) -> None:
    bore = PVC_SCHEDULE_40[size].bore
    assert closed_share(0.020, bore) == pytest.approx(share, abs=2e-5)
    volume = water_volume(0.020, 0.0, 0.020, 1.2, bore)
    assert volume * 1000 == pytest.approx(litres, abs=2e-5)
    assert volume == pytest.approx(slices(0.020, 0.0, 0.020, 1.2, bore), rel=1e-5)
    # A wedge under a curved surface holds less than half of a full length at that depth.
    assert volume < 0.5 * water_area(0.020, bore) * 1.2


@given(
    bore=BORES,
    plan=st.floats(0.05, 6.0),
    start=st.floats(-0.3, 0.3),
    end=st.floats(-0.3, 0.3),
    level=st.floats(-0.5, 0.5),
)
def test_volume_meets_the_sum_of_slices(
    bore: float, plan: float, start: float, end: float, level: float
) -> None:
    expected = slices(level, start, end, plan, bore, count=1500)
    assert water_volume(level, start, end, plan, bore) == pytest.approx(expected, rel=2e-3, abs=1e-7)


def test_level_and_upright_pieces() -> None:
    bore = 0.1
    assert water_volume(0.05, 0.0, 0.0, 2.0, bore) == pytest.approx(pi * bore**2 / 8 * 2.0)
    assert water_volume(0.4, 0.0, 1.0, 0.0, bore) == pytest.approx(pi * bore**2 / 4 * 0.4)
    assert water_volume(2.0, 0.0, 1.0, 0.0, bore) == pytest.approx(pi * bore**2 / 4)
    assert water_volume(9.0, 0.0, 0.3, 2.0, bore) == pytest.approx(pi * bore**2 / 4 * hypot(0.3, 2.0))
    assert water_volume(-0.1, 0.0, 0.3, 2.0, bore) == 0.0


@given(rise=st.floats(0.0, 1e-3), plan=st.floats(0.5, 3.0))
def test_a_nearly_level_piece_has_no_jump(rise: float, plan: float) -> None:
    level = water_volume(0.03, 0.0, 0.0, plan, 0.1)
    tilted = water_volume(0.03 + rise / 2, 0.0, rise, plan, 0.1)
    assert tilted == pytest.approx(level, rel=1e-3)


def test_both_directions_hold_the_same_water() -> None:
    assert water_volume(0.03, 0.0, 0.05, 2.0, 0.1) == water_volume(0.03, 0.05, 0.0, 2.0, 0.1)
    assert wet_length(0.03, 0.0, 0.05, 2.0) == pytest.approx(0.6 * hypot(2.0, 0.05))
    assert wet_length(-0.01, 0.0, 0.05, 2.0) == 0.0
    assert wet_length(0.05, 0.0, 0.05, 2.0) == pytest.approx(hypot(2.0, 0.05))
    with pytest.raises(ValueError, match="plan length"):
        water_volume(0.1, 0.0, 0.1, -1.0, 0.1)


def test_a_thin_wedge_is_not_taken_for_a_level_pool() -> None:
    # 4 mm of water at one end of 2 m, none at the other, in 100 mm bore.
    expected = slices(0.004, 0.0, 0.004, 2.0, 0.1)
    assert water_volume(0.004, 0.0, 0.004, 2.0, 0.1) == pytest.approx(expected, rel=1e-4)
