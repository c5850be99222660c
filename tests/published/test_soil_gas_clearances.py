"""Exit clearances, fan space, supports, areas and pipe sizes against the texts that print them."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from modellint.engineering import fan_space, opening_clearance, pipe_sizes, suction_area, support_spacing
from modellint.engineering.constants import CUBIC_FOOT_PER_MINUTE, SQUARE_FOOT
from modellint.engineering.opening_clearance import CC_1000, IRC
from modellint.engineering.opening_clearance import opening_clearance as clearance
from modellint.engineering.us_units import FT, IN


@pytest.mark.parametrize(
    ("above_mm", "distance_mm", "own", "adjoining"),
    [
        # IRC 2012 AF103.5.3 and AF103.6.1: 10 ft from openings less than 2 ft below the exit, and 10 ft from
        # any opening of adjoining buildings. Truth table by arithmetic from that sentence.
        (609, 3047, False, False),
        (610, 1000, True, False),
        (-500, 3048, True, True),
        (0, 3000, False, False),
    ],
)
def test_opening_truth_table(above_mm: float, distance_mm: float, own: bool, adjoining: bool) -> None:
    above, distance = above_mm / 1000, distance_mm / 1000
    assert clearance(above, distance, same_dwelling=True).clear is own
    assert clearance(above, distance, same_dwelling=False).clear is adjoining


def test_the_limits_themselves_pass() -> None:
    # "10 feet" and "2 feet" exactly, and a hair short of each.
    assert clearance(2 * FT, 0.0, same_dwelling=True).clear
    assert clearance(0.0, 10 * FT, same_dwelling=True).clear
    assert not clearance(2 * FT - 1e-6, 10 * FT - 1e-6, same_dwelling=True).clear


@given(
    above=st.floats(-3, 3), distance=st.floats(0, 5), own=st.booleans(), rule=st.sampled_from([IRC, CC_1000])
)
def test_each_cure_cures(
    above: float, distance: float, own: bool, rule: opening_clearance.ClearanceRule
) -> None:
    answer = clearance(above, distance, same_dwelling=own, rule=rule)
    moved = clearance(above, distance + answer.move_by + 1e-9, same_dwelling=own, rule=rule)
    assert moved.clear
    if answer.raise_by is None:
        assert rule is IRC
        assert not own
    else:
        assert clearance(above + answer.raise_by + 1e-9, distance, same_dwelling=own, rule=rule).clear
    if answer.clear:
        assert answer.move_by == answer.raise_by == 0.0


def test_cures_by_hand() -> None:
    # Exit 200 mm above the top of a window 2.0 m away: raise by 409.6 mm or move by 1048 mm.
    answer = clearance(0.200, 2.000, same_dwelling=True)
    assert answer.raise_by == pytest.approx(0.4096)
    assert answer.move_by == pytest.approx(1.048)


@pytest.mark.parametrize(
    ("above", "distance", "clear"),
    [(1.22, 0.5, True), (1.21, 0.5, False), (0.0, 3.05, True), (0.7, 1.0, False)],
)
def test_multifamily_standard_asks_for_more_height(above: float, distance: float, clear: bool) -> None:
    # ANSI/AARST CC-1000-2018 9.7.1: 4 ft above or 10 ft beside an operable opening.
    assert clearance(above, distance, same_dwelling=True, rule=CC_1000).clear is clear
    assert CC_1000.source.grade == "B"


def test_negative_distance_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be negative"):
        clearance(0.0, -0.1, same_dwelling=True)


@pytest.mark.parametrize(
    ("value", "metres"),
    [
        (IRC.distance, 3.048),  # IRC 2012 AF103.6.1, 10 ft (3048 mm)
        (IRC.relief, 0.610),  # IRC 2012 AF103.6.1, 2 ft (610 mm)
        (opening_clearance.ROOF_HEIGHT, 0.305),  # IRC 2012 AF103.6.1, 12 in (305 mm)
        (opening_clearance.FLAT_ROOF_HEIGHT, 0.46),  # ANSI/AARST RMS-MF-2018 6.4.10, 18 in (46 cm)
        (opening_clearance.PEOPLE_DISTANCE, 3.0),  # ANSI/AARST CC-1000-2018 9.7.2, 10 ft (3 m)
        (opening_clearance.PROPERTY_LINE_DISTANCE, 1.8),  # British Columbia 2024 9.13.4.3.(3)(b)(i), 1.8 m
        (fan_space.CYLINDER_DIAMETER, 0.53),  # ANSI/AARST RRNC-2020 701.1, 21 in (53 cm)
        (fan_space.CYLINDER_HEIGHT, 0.91),  # ANSI/AARST RRNC-2020 701.1, 36 in (91 cm)
        (fan_space.OUTLET_DISTANCE, 1.8),  # ANSI/AARST CCAH-2020 701.4 and 901.1(2), 6 ft (1.8 m)
        (support_spacing.SPACING_RULES["current"].horizontal, 1.2),  # CC-1000-2018 8.5, 4 ft (1.2 m)
        (support_spacing.SPACING_RULES["current"].vertical, 3.0),  # CC-1000-2018 8.5, 10 ft (3 m)
        (support_spacing.SUPPORT_NEAR_EXIT, 0.91),  # SGM-SF-2017 (12/20) 6.4.14.1, 3 ft (91 cm)
        (support_spacing.SUPPORT_NEAR_FAN, 0.46),  # SGM-SF-2017 (12/20) 6.4.14.1, 18 in (46 cm)
        (suction_area.PERFORATED_LENGTH, 1.5),  # RRNC-2020 403.2.2.1, 5 ft (1.5 m)
        (suction_area.LAYER_THICKNESS, 0.102),  # IRC 2012 AF103.2(1), 4 in (102 mm)
        (suction_area.LAYER_THICKNESS_BC, 0.100),  # British Columbia 2024 9.13.4.3.(1)(b), 100 mm
        (suction_area.LOOP_TO_WALL[0], 0.30),  # RRNC-2020 403.1.1.3, 12 in (30 cm)
        (suction_area.LOOP_TO_WALL[1], 0.46),  # RRNC-2020 403.1.1.3, 18 in (46 cm)
        (suction_area.LOOP_DIAMETER, 0.10),  # RRNC-2020 403.1.1.3, 4 in (10 cm)
        (pipe_sizes.SMALLEST_VENT_PIPE, 0.076),  # IRC 2012 AF103.6.1, 3 in (76 mm)
    ],
)
def test_lengths_as_the_source_prints_them_in_metres(value: float, metres: float) -> None:
    # Metric values are printed rounded; 2 % of their last figure's worth.
    assert value == pytest.approx(metres, rel=0.02)


@pytest.mark.parametrize(
    ("value", "square_metres"),
    [
        (suction_area.AREA_PER_RISER[3], 232.0),  # ANSI/AARST RRNC-2020 Table 302.3, 2500 ft² (232 m²)
        (suction_area.AREA_PER_RISER[4], 418.0),  # ANSI/AARST RRNC-2020 Table 302.3, 4500 ft² (418 m²)
        (suction_area.AREA_PER_RISER_DC, 371.0),  # 12-B DCMR AF103.3.2, 4000 ft² (371 m²)
        (suction_area.AREA_PER_POINT_FLORIDA, 121.0),  # Florida Building Code C603.1.1, 1300 ft² (121 m²)
        (suction_area.MAT_AREA, 77e-4),  # RRNC-2020 403.1.1.2, 12 in² (77 cm²)
        (fan_space.ENCLOSURE_VENT_AREA, 161e-4),  # RRNC-2020 701.2.2, 25 in² (161 cm²)
        (suction_area.OPEN_AREA_PER_LENGTH * FT, 645e-6),  # RRNC-2020 403.2.2.1, 1 in² (645 mm²) per ft
        (suction_area.OPEN_AREA_PER_LENGTH, 2117e-6),  # arithmetic from the same
    ],
)
def test_areas_as_the_source_prints_them(value: float, square_metres: float) -> None:
    assert value == pytest.approx(square_metres, rel=6e-3)


@pytest.mark.parametrize(
    ("square_feet", "nominal", "risers"),
    [(2500, 3, 1), (2501, 3, 2), (4500, 4, 1), (4501, 4, 2), (9000, 4, 2), (300, 3, 1), (1000, 2, None)],
)
def test_systems_per_foundation_area(square_feet: float, nominal: int, risers: int | None) -> None:
    # ANSI/AARST RRNC-2020 Table 302.3.
    assert suction_area.risers_needed(square_feet * SQUARE_FOOT, nominal) == risers


def test_negative_area_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot be negative"):
        suction_area.risers_needed(-1.0, 3)


def test_ten_feet_of_perforations_do_not_make_the_inlet_area() -> None:
    # Arithmetic from RRNC-2020 403.2.2.1 (1 in²/ft) and CC-1000-2018 5.7 (twice the bore): 10 in² against
    # 14.5 in² for 3 in and 25.1 in² for 4 in pipe.
    square_inch = IN * IN
    perforated = suction_area.perforation_area(10 * FT)
    three, four = pipe_sizes.PVC_SCHEDULE_40[3].bore, pipe_sizes.PVC_SCHEDULE_40[4].bore
    assert perforated / square_inch == pytest.approx(10.0)
    assert suction_area.inlet_area_needed(three) / square_inch == pytest.approx(14.5, abs=0.05)
    assert suction_area.inlet_area_needed(four) / square_inch == pytest.approx(25.1, abs=0.05)
    assert suction_area.inlet_area(10 * FT, 0, three) < suction_area.inlet_area_needed(three)
    # Two open ends count as well, and then it does.
    assert suction_area.inlet_area(10 * FT, 2, three) > suction_area.inlet_area_needed(three)


def test_suction_pit() -> None:
    # ANSI/AARST RMS-LB-2018 6.1.1: 0.25 ft³, printed as 7 dm³.
    assert pytest.approx(7e-3, rel=0.02) == suction_area.PIT_VOLUME


@pytest.mark.parametrize(
    ("nominal", "outside_mm", "bore_mm", "wall_mm", "area_mm2"),
    [
        # ASTM D1785 Schedule 40, secondary tables; area by arithmetic.
        (2, 60.33, 51.99, 3.91, 2123),
        (3, 88.90, 77.27, 5.49, 4689),
        (4, 114.30, 101.55, 6.02, 8099),
        (6, 168.28, 153.19, 7.11, 18430),
    ],
)
def test_schedule_40_pipe(
    nominal: int, outside_mm: float, bore_mm: float, wall_mm: float, area_mm2: float
) -> None:
    size = pipe_sizes.PVC_SCHEDULE_40[nominal]
    assert size.outside * 1000 == pytest.approx(outside_mm, abs=6e-3)
    assert size.bore * 1000 == pytest.approx(bore_mm, abs=6e-3)
    assert size.wall * 1000 == pytest.approx(wall_mm, abs=6e-3)
    assert size.area * 1e6 == pytest.approx(area_mm2, abs=1.0)
    assert size.area == pytest.approx(pi * size.bore**2 / 4)
    # The average bore is smaller than the outside less two least walls.
    assert size.bore < size.outside - 2 * size.wall
    assert size.source.grade == "C"
    assert not size.source.firm
    assert pipe_sizes.size_of_outside(size.outside + 1e-3) is size
    assert pipe_sizes.nominal_of_bore(size.bore) == nominal


def test_sizes_that_are_not_in_the_table() -> None:
    assert pipe_sizes.size_of_outside(0.100) is None
    assert pipe_sizes.nominal_of_bore(0.125) is None
    assert pipe_sizes.nominal_of_bore(0.100) == 4


@pytest.mark.parametrize(("cfm", "nominal"), [(39, 2), (40, 2), (41, 3), (80, 3), (81, 4)])
def test_pipe_of_an_existing_house_by_fan_flow(cfm: float, nominal: int) -> None:
    # ANSI/AARST SGM-SF-2017 (12/20) 6.3.1 to 6.3.3: up to 40 cfm 2 in, over 80 cfm 4 in.
    assert pipe_sizes.retrofit_nominal(cfm * CUBIC_FOOT_PER_MINUTE) == nominal


def test_minnesota_fan() -> None:
    # Minnesota Rules 1303.2403 A: 50 cfm at 1/2 in of water; 23.6 L/s at 125 Pa by arithmetic.
    assert pytest.approx(23.6, abs=0.05) == fan_space.MINNESOTA_FAN_FLOW * 1000
    assert pytest.approx(125, abs=0.5) == fan_space.MINNESOTA_FAN_PRESSURE


def test_room_for_a_fan() -> None:
    # ANSI/AARST RRNC-2020 701.1: cylinder of 21 by 36 in.
    assert fan_space.cylinder_shortfall(21 * IN, 36 * IN) == (0.0, 0.0)
    assert fan_space.cylinder_shortfall(20 * IN, 40 * IN) == pytest.approx((IN, 0.0))
    assert fan_space.cylinder_shortfall(0.6, 0.5) == pytest.approx((0.0, 0.4144))


@pytest.mark.parametrize(
    ("place", "allowed"),
    [
        ("attic", True),
        ("garage not under living space", True),
        ("outdoors", True),
        ("enclosure", True),
        ("living space", False),
        ("below ground", False),
        ("basement under living space", False),
        ("crawl space under living space", False),
        ("garage under living space", False),
        ("chimney", None),
    ],
)
def test_places_for_a_fan(place: str, allowed: bool | None) -> None:
    # ANSI/AARST RRNC-2020 701.2 to 701.2.1; a place that it leaves out is not known.
    assert fan_space.fan_may_stand(place) is allowed


@pytest.mark.parametrize(("inclination", "feet"), [(0.6, 4), (44, 4), (46, 10), (90, 10), (-90, 10)])
def test_support_spacing(inclination: float, feet: float) -> None:
    # CC-1000-2018 8.5, RMS-LB-2018 6.2.7.2, IRC 2018 Table P2605.1, IPC 2021 Table 308.5: 4 and 10 ft.
    assert support_spacing.support_limit(inclination) == pytest.approx(feet * FT)


def test_older_spacing_is_only_advice() -> None:
    older = support_spacing.SPACING_RULES["older"]
    assert (older.horizontal, older.vertical) == pytest.approx(
        (1.83, 2.44), abs=5e-3
    )  # EPA 402-R-93-078, 6 and 8 ft
    assert not older.source.firm


def test_supports_along_a_pipe() -> None:
    assert support_spacing.widest_gap([3.0, 0.0, 1.2]) == pytest.approx(1.8)
    assert support_spacing.widest_gap([1.0]) is None
    assert support_spacing.supports_for(3.6, 1.2) == 2
    assert support_spacing.supports_for(3.7, 1.2) == 3
    assert support_spacing.supports_for(0.5, 1.2) == 0
    with pytest.raises(ValueError, match="spacing above zero"):
        support_spacing.supports_for(1.0, 0.0)


@given(length=st.floats(0, 30), spacing=st.floats(0.3, 4))
def test_supports_are_enough_and_not_one_too_many(length: float, spacing: float) -> None:
    count = support_spacing.supports_for(length, spacing)
    assert length <= (count + 1) * spacing + 1e-4 + 1e-9
    assert count == 0 or length > count * spacing
