"""Collection, route, exit, fan, test and hand-over on small houses built in code.

Limits: RRNC-2020 403.2.2.1 (5 ft of perforated pipe on each side), 403.1.1.3 (loop 12 to 18 in from the wall) and
Table 302.3 (2,500 and 4,500 ft2); IRC 2018 Table P2605.1 (supports 4 and 10 ft), AF103.4.1, AF103.4.4 and
AF103.9; CC-1000-2018 8.6 (equivalent length 75 ft for 3 in); RMS-MF-2018 6.4.9 (45 degrees); CCAH-2020 601.2
(10 ft above grade) and 901.1(2) (outlet within 6 ft).
"""

from math import pi

import numpy as np
import pytest

from modellint.graph.vent_fingerprint import fingerprint
from modellint.ifc.model import PropertyValue
from modellint.rulebook.schedules import parse_schedule
from tests.builders_soilgas import OD3, Build, block, ridge, small_house
from tests.measures.soil_gas_rules import ask, failed, findings, outcomes

FOOT = 0.3048


def swap(b, key, start, end, **more):
    old = b.parts.pop(key)
    more.setdefault("role", next(iter(old.roles)))
    return b.pipe(key, start, end, **more)


# --- collection ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("length", "fails"), [(5 * FOOT, False), (5 * FOOT - 0.001, True)])
def test_five_feet_on_the_shorter_side(length, fails):
    b = small_house()
    swap(b, "col-2", (6.05, 4, -0.15), (6.05 + length, 4, -0.15))
    assert ("collector-too-short" in failed(b.house())) is fails


def test_a_tee_with_one_pipe_has_none_on_the_other_side():
    house = small_house(skip=("col-2",)).house()
    assert ("collector-too-short", "tee", "fail") in outcomes(house)
    assert ask(house).measure("perforated_length", house.parts["tee"]).low == 0.0


def test_pipe_that_does_not_say_whether_it_is_perforated_is_open():
    b = small_house()
    swap(b, "col-2", (6.05, 4, -0.15), (7.6, 4, -0.15), role="vent_pipe", systems=("Soil gas",))
    assert outcomes(b.house(), "collector-too-short") == [("collector-too-short", "tee", "open")]


def loop(near):
    """A loop round an 8 m by 6 m inside perimeter, its outside `near` from the stem walls."""
    b = small_house(skip=("col-1", "col-2", "tee"))
    for key, low, high in (
        ("s", (0, 0), (10, 0.2)),
        ("n", (0, 7.8), (10, 8)),
        ("w", (0, 0), (0.2, 8)),
        ("e", (9.8, 0), (10, 8)),
    ):
        b.add(f"stem-{key}", "stem_wall", block((*low, -0.5), (*high, 0)))
    a, z = 0.2 + near + OD3 / 2, -0.15
    x, y = 10 - a, 8 - a
    corners = [(a, a), (x, a), (x, y), (a, y)]
    for n, corner in enumerate(corners):
        b.elbow(f"bend-{n}", (*corner, z), half=0.05)
        after = corners[(n + 1) % 4]
        step = np.sign(np.subtract(after, corner)) * 0.06
        b.pipe(f"loop-{n}", (*np.add(corner, step), z), (*np.subtract(after, step), z), role="collector")
    return b.house()


@pytest.mark.parametrize(
    ("near", "fails"), [(12 * 0.0254, False), (0.30, True), (18 * 0.0254, False), (0.46, True)]
)
def test_a_loop_lies_12_to_18_inches_from_the_wall(near, fails):
    rows = outcomes(loop(near), "collector-loop-off-wall")
    assert [row[1] for row in rows] == ([f"loop-{n}" for n in range(4)] if fails else [])


def two_risers():
    """A slab split by a footing, each half with its own tee and riser; both risers go through the roof."""
    b = small_house()
    b.add("footing", "footing", block((3.4, 0, -0.5), (3.6, 8, -0.1)))
    b.pipe("west-1", (1.85, 6, -0.15), (0.3, 6, -0.15), role="collector", name="Perforated collector")
    b.pipe("west-2", (1.95, 6, -0.15), (3.38, 6, -0.15), role="collector", name="Perforated collector")
    b.elbow("west-tee", (1.9, 6, -0.15), role="suction_point", predefined="JUNCTION", name="Suction tee")
    b.pipe("west-riser", (1.9, 6, -0.09), (1.9, 6, ridge(1.9 + OD3 / 2) + 0.305))
    return b


def test_a_split_slab_needs_suction_in_each_half():
    house = two_risers().house()
    assert len(house.nodes["gravel_pocket"]) == 2
    assert "gravel-pocket-served" not in failed(house)
    b = two_risers()
    for key in ("west-1", "west-2", "west-tee", "west-riser"):
        b.parts.pop(key)
    assert ("gravel-pocket-served", "gravel/pocket:1", "fail") in outcomes(b.house())


def test_each_of_two_vents_is_judged_and_shares_the_slab():
    house = two_risers().house()
    assert len(house.nodes["vent_run"]) == len(house.nodes["vent_outlet"]) == 2
    # the footing from x = 3.4 to 3.6 m parts the slab of 10 by 8 m: 3.4 by 8 and 6.4 by 8 m
    areas = sorted(ask(house).measure("area_served", run).low for run in house.nodes["vent_run"])
    assert areas == pytest.approx([27.2, 51.2], abs=0.05)
    low = two_risers()
    swap(low, "west-riser", (1.9, 6, -0.09), (1.9, 6, ridge(1.9) + 0.2))
    assert {row[1] for row in outcomes(low.house(), "exit-above-roof")} == {"west-riser#1@outlet"}


@pytest.mark.parametrize(("length", "fails"), [(2500 * FOOT**2 / 8, False), (2501 * FOOT**2 / 8, True)])
def test_area_for_each_exit_of_three_inch_pipe(length, fails):
    b = small_house()
    b.parts.pop("slab")
    b.add("slab", "foundation_slab", block((0, 0, -0.1), (length, 8, 0)))
    assert ("exit-serves-too-large-area" in failed(b.house())) is fails


# --- penetrations and short cuts ----------------------------------------------------------------------------


def test_each_pipe_through_slab_and_membrane_is_listed_and_asked_for():
    b = small_house()
    b.pipe("drain", (2, 2, -0.6), (2, 2, 0.5), role="plumbing_pipe")
    b.pipe("beside", (2, 9, -0.6), (2, 9, 0.5), role="plumbing_pipe")
    rows = [f for f in findings(b.house()) if f.rule in {"slab-gap-unsealed", "membrane-gap-unsealed"}]
    assert sorted((f.rule, f.item_key, f.outcome) for f in rows) == [
        ("membrane-gap-unsealed", "drain", "open"),
        ("slab-gap-unsealed", "drain", "open"),
        ("slab-gap-unsealed", "riser", "open"),
    ]
    assert len({f.share for f in rows}) == 2


@pytest.mark.parametrize(("said", "outcome"), [(True, []), (False, ["fail"])])
def test_a_stated_seal_answers(said, outcome):
    b = small_house()
    b.parts["riser"].element.properties[("Project", "SlabSeal")] = PropertyValue(said)
    assert [row[2] for row in outcomes(b.house(), "slab-gap-unsealed")] == outcome


@pytest.mark.parametrize(("sealed", "outcome"), [(True, []), (False, ["fail"]), (None, ["open"])])
def test_a_sump_in_the_gravel_wants_a_sealed_lid(sealed, outcome):
    b = small_house()
    more = {} if sealed is None else {"LidSealed": sealed}
    b.add("pit", "sump", block((1, 1, -0.7), (1.5, 1.5, 0)), **more)
    assert [row[2] for row in outcomes(b.house(), "sump-lid-open")] == outcome


def test_a_footing_drain_lets_air_in_and_a_plain_drain_does_not():
    for name, wanted in (("Footing drain tile", ["open"]), ("Sewer", [])):
        b = small_house()
        b.pipe("drain", (1, 1, -0.15), (9, 1, -0.15), role="plumbing_pipe", name=name, systems=("Drainage",))
        assert [row[2] for row in outcomes(b.house(), "drain-open-to-air")] == wanted


# --- route --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stated", "fall", "fails"),
    [("2 %", 0.02, False), ("2 %", 0.0, True), ("2 %", -0.02, True), ("1:100", 0.0104, False)],
)
def test_a_stated_gradient_is_held_against_the_drawing(stated, fall, fails):
    b = small_house(fall=fall)
    b.parts["offset"].element.properties[("Project", "Gradient")] = PropertyValue(stated)
    assert ("gradient-contradicts" in failed(b.house())) is fails


def test_equivalent_length_by_hand():
    """Pipe and two 3 in elbows of unknown make: 3 ft each if swept, 11 ft each if sharp (CC-1000 companion 8.6)."""
    house = small_house().house()
    (run,) = house.nodes["vent_run"]
    pipes = sum(
        float(np.linalg.norm(house.parts[k].axis[-1] - house.parts[k].axis[0]))
        for k in ("riser", "offset", "stack")
    )
    found = ask(house).measure("vent_equivalent_length", run)
    assert found.low == pytest.approx(pipes + 6 * FOOT, abs=0.02)
    assert found.high == pytest.approx(pipes + 22 * FOOT, abs=0.02)
    b = small_house()
    for key in ("elbow-1", "elbow-2"):
        b.parts[key].element.name = "Sweep elbow"
    swept = b.house()
    assert ask(swept).measure("vent_equivalent_length", swept.nodes["vent_run"][0]).high == found.low


def supported(b, *heights):
    for z in heights:
        b.add(f"clip-{z}", "pipe_support", block((6.04, 3.95, z - 0.02), (6.1, 4.05, z + 0.02)))
    return b.house()


@pytest.mark.parametrize(("heights", "fails"), [((1.5, 4.0), False), ((0.5, 4.0), True)])
def test_an_upright_pipe_is_held_every_ten_feet(heights, fails):
    house = supported(small_house(), *heights)
    assert ("vent-supports-far-apart" in failed(house)) is fails


def test_supports_that_nobody_drew_are_open():
    assert [row[2] for row in outcomes(small_house().house(), "vent-supports-far-apart")] == ["open"]


@pytest.mark.parametrize(("width", "fails"), [(0.140, True), (0.184, False)])
def test_a_vent_that_cuts_a_plate_by_more_than_half_wants_a_tie(width, fails):
    """IRC 2018 R602.6.1: 3 in pipe of 88.9 mm is 63.5 % of a 2x6 plate (140 mm) and 48.3 % of a 2x8 (184 mm)."""
    from modellint.graph.crossings import Crossings
    from modellint.measures.ask import Ask
    from modellint.rulebook.judge import judge
    from modellint.rulebook.load import load_rules
    from modellint.rulebook.registry import registry
    from modellint.rulebook.shipped import rules_folder

    b = small_house()
    b.add("plate", "top_plate", block((4, 4 - width / 2, 2.4), (8, 4 + width / 2, 2.438)))
    house = b.house()
    house.crossings = Crossings(house)
    known = registry()
    rules = [rule for rule in load_rules([rules_folder()], known) if rule.id == "plate-cut-too-large"]
    found = judge(rules, house, Ask(house, known.measures, known.sets, {})).findings
    assert [f.item_key for f in found if f.outcome == "fail"] == (["riser"] if fails else [])


# --- standing water -----------------------------------------------------------------------------------------

BORE, DROP, LENGTH = 0.077267, 0.020, 1.2  # Schedule 40, 3 in, average inside diameter


def wrong_offset(rise=-DROP):
    """The attic offset of 1.2 m, its far end `rise` over its near one; the mouth stays 305 mm over the roof."""
    b = small_house(fall=rise / LENGTH)
    swap(b, "offset", (6.0, 4, 5.8), (7.2, 4, 5.8 + rise))
    return b


def segment(depth):
    """Area of a circular segment, from its angle: r2/2 (angle - sin angle)."""
    radius = BORE / 2
    angle = 2 * np.arccos((radius - depth) / radius)
    return radius**2 / 2 * (angle - np.sin(angle))


def test_a_wrong_fall_of_20_mm_over_1_2_m_makes_the_pool_of_a_hand_calculation():
    """By hand: the segment of 20 mm in a bore of 77.27 mm is 963 mm2 of 4,689 mm2, 20.5 %.

    The water is a wedge 1.2 m long, from nothing to 20 mm deep: the slices sum up to 0.474 L.
    """
    house = wrong_offset().house()
    (pool,) = house.nodes["pool"]
    depths = (np.arange(4000) + 0.5) / 4000 * DROP
    slices = float(np.mean(segment(depths)) * LENGTH)
    assert slices == pytest.approx(0.474e-3, abs=0.001e-3)
    assert pool.depth == pytest.approx(DROP, abs=1e-6)
    assert pool.volume == pytest.approx(slices, rel=1e-3)
    assert pool.closed == pytest.approx(float(segment(DROP)) / (pi * BORE**2 / 4), abs=1e-6)
    assert pool.closed == pytest.approx(0.205, abs=0.001)
    assert pool.lift == pytest.approx(DROP, abs=1e-6)
    assert np.allclose(pool.point[:2], (7.2, 4))
    message = next(f.message for f in findings(house) if f.rule == "vent-low-point")
    assert "20 mm deep" in message
    assert "0.47 L" in message
    assert "21% of the bore" in message
    assert "raising the elbow-2 between offset and stack by 20 mm drains it" in message


def test_the_place_of_a_pool_is_where_the_water_stands():
    from modellint.findings.places import PlaceFinder

    house = wrong_offset().house()
    (pool,), (run,) = house.nodes["pool"], house.nodes["vent_run"]
    place = PlaceFinder(house).place(run, pool)
    assert np.allclose(place.point, pool.point)
    assert place.host == "offset"
    assert "offset" in place.text


def test_the_cure_clears_the_pool_and_the_exit_stays_right():
    house = wrong_offset(DROP - DROP).house()
    assert house.nodes["pool"] == ()
    cured = wrong_offset(LENGTH / 96).house()
    assert not failed(cured) & {"vent-low-point", "vent-falls-back", "vent-fall-too-flat", "exit-above-roof"}
    for one in (house, cured, wrong_offset().house()):
        (outlet,) = one.nodes["vent_outlet"]
        assert ask(one).measure("exit_above_roof", outlet).low == pytest.approx(0.305, abs=2e-4)


# --- exit ---------------------------------------------------------------------------------------------------


def test_a_low_exit_is_told_both_cures():
    house = small_house(exit_above=0.2).house()
    (finding,) = [f for f in findings(house) if f.rule == "exit-above-roof"]
    assert "raise it by 105 mm" in finding.message  # 12 in = 304.8 mm less 200 mm
    assert "move it to where the roof lies lower" in finding.message


@pytest.mark.parametrize(("out", "fails"), [((0.0, 1.0), False), ((1.0, 1.01), False), ((1.0, 0.9), True)])
def test_the_mouth_points_up_within_45_degrees(out, fails):
    b = small_house(skip=("stack",))
    b.pipe("stack", (7.2, 4, 5.87), (7.2, 4, 7.6))
    b.elbow("elbow-3", (7.2, 4, 7.66))
    b.pipe("end", (7.2 + 0.06 * out[0], 4, 7.66 + 0.06 * out[1]), (7.2 + out[0], 4, 7.66 + out[1]))
    assert ("exit-mouth-turned" in failed(b.house())) is fails


@pytest.mark.parametrize(("gap", "fails"), [(0.305, False), (0.30, True)])
def test_nothing_stands_over_the_mouth(gap, fails):
    b = small_house()
    top = b.parts["stack"].axis[-1][2]
    b.add("sign", "beam", block((6.5, 3.9, top + gap), (8, 4.1, top + gap + 0.1)))
    assert ("exit-mouth-covered" in failed(b.house())) is fails


def test_a_property_line_is_judged_where_it_is_given():
    """British Columbia Building Code 2024, 9.13.4.3.(3)(b)(i): 1.8 m."""
    assert outcomes(small_house().house(), "exit-near-property-line") == []
    for distance, wanted in ((1.8, []), (1.7, ["fail"])):
        b = small_house()
        b.parts["stack"].element.properties[("Project", "PropertyLineDistance")] = PropertyValue(
            distance, "length"
        )
        assert [row[2] for row in outcomes(b.house(), "exit-near-property-line")] == wanted


# --- fan and labels -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("away", "fails"), [(6 * FOOT, False), (6 * FOOT + 0.001, True)])
def test_an_outlet_stands_within_six_feet(away, fails):
    b = small_house()
    b.add("box", "power_outlet", block((6, 4 + away, 3), (6.1, 4.2 + away, 3.1)))
    assert ("fan-power-far" in failed(b.house())) is fails


@pytest.mark.parametrize(
    ("said", "outcome"), [("RADON reduction system, do not cut", []), ("Drain", ["fail"])]
)
def test_label_wording(said, outcome):
    b = small_house()
    b.parts["label-L2"].element.properties[("Label", "Text")] = PropertyValue(said)
    rows = [row for row in outcomes(b.house(), "label-wording") if row[1] == "label-L2"]
    assert [row[2] for row in rows] == outcome


# --- test and hand-over -------------------------------------------------------------------------------------

HEAD = (
    "vent,date,medium,pressure,end pressure,duration,boundary,start temperature,end temperature,fingerprint\n"
)


def with_record(row, b=None):
    b = b or small_house()
    house = b.house()
    house.schedules["vent_tests"] = parse_schedule("vent_tests", HEAD + row, "vent-tests.csv")
    return house


def outcome_of(house, rule):
    return [row[2] for row in outcomes(house, rule)]


def test_no_record_is_open_and_no_pressure_is_made_up():
    house = small_house().house()
    assert outcome_of(house, "vent-test-missing") == ["open"]
    lacking = with_record("soil-gas vent,2026-10-01,water,,,15 min,tee to exit,,,\n")
    (finding,) = [f for f in findings(lacking) if f.rule == "vent-test-missing"]
    assert finding.outcome == "open"
    assert finding.missing[0].quantity == "pressure of the pressure test"
    full = with_record("soil-gas vent,2026-10-01,water,30 kPa,,15 min,tee to exit,,,\n")
    assert outcome_of(full, "vent-test-missing") == []


def test_air_on_plastic_is_a_caution_with_its_clauses():
    """IPC 312.1, UPC 712.1 and IRC 2000 to 2009 P2503.5.1 bar compressed air on plastic pipe."""
    b = small_house()
    for key in ("riser", "offset", "stack"):
        b.parts[key].element.materials = ("PVC",)
    house = with_record("soil-gas vent,2026-10-01,air,34.5 kPa,,15 min,tee to exit,,,\n", b)
    (finding,) = [f for f in findings(house) if f.rule == "vent-test-air-on-plastic"]
    assert finding.outcome == "fail"
    assert "IPC 312.1" in finding.remedy


@pytest.mark.parametrize(
    ("end", "warm", "wanted"),
    [
        ("34.5 kPa", 15, []),
        ("33.5 kPa", 15, ["fail"]),
        ("34.97 kPa", 16, ["open"]),
        ("34.5 kPa", 16, ["fail"]),
    ],
)
def test_decay_is_corrected_for_temperature(end, warm, wanted):
    """Gas law: from 15 to 16 degC a tight pipe at 34.5 kPa gauge gains (101.3 + 34.5) / 288.15 = 0.471 kPa.

    So 34.97 kPa at the end is no loss (the weather's 100 Pa leave it open), and steady 34.5 kPa hides a leak.
    """
    row = f"soil-gas vent,2026-10-01,vacuum,34.5 kPa,{end},15 min,tee to exit,15 degC,{warm} degC,\n"
    assert outcome_of(with_record(row), "vent-test-pressure-lost") == (wanted or ["open"])


def test_a_changed_piece_makes_the_record_old():
    house = small_house().house()
    word = fingerprint(house.nodes["vent_run"][0])
    row = f"soil-gas vent,2026-10-01,water,30 kPa,,15 min,tee to exit,,,{word}\n"
    assert outcome_of(with_record(row), "vent-test-outdated") == []
    b = small_house()
    swap(b, "stack", b.parts["stack"].axis[0], b.parts["stack"].axis[-1] + [0, 0, 0.1])
    assert outcome_of(with_record(row, b), "vent-test-outdated") == ["fail"]


def test_the_fingerprint_stays_when_the_house_is_moved():
    b = small_house()
    here = fingerprint(b.house().nodes["vent_run"][0])
    moved = Build()
    for key, part in small_house().parts.items():
        moved.parts[key] = part
    assert fingerprint(moved.house().nodes["vent_run"][0]) == here


@pytest.mark.parametrize(
    ("result", "wanted"),
    [("3.9 pCi/L", []), ("4 pCi/L", ["fail"]), ("147 Bq/m3", []), ("148 Bq/m3", ["fail"])],
)
def test_radon_at_the_action_level_calls_for_action(result, wanted):
    """EPA 402/K-12/002 (2016): 4 pCi/L; 1 pCi/L is 37 Bq/m3 by definition."""
    house = small_house().house()
    house.schedules["radon_tests"] = parse_schedule(
        "radon_tests", f"place,date,result\nLiving,2027-01-02,{result}\n", "radon.csv"
    )
    assert outcome_of(house, "radon-above-action-level") == wanted


def test_no_radon_result_is_open():
    assert outcome_of(small_house().house(), "radon-above-action-level") == ["open"]
