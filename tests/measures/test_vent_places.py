"""Fan places, fire and cold, screens, labels, sumps and test records on small houses built in code.

Limits: RRNC-2020 701.1 (cylinder of 21 by 36 in) and 701.2 (allowed places); IRC 2018 AF103.3 (6 mil), AF103.8;
IRC 2012 R302.4.1.2 (firestop in rated assemblies); CC-1000-2018 9.8.1 (mesh of 1/2 in); British Columbia Building
Code 2024 9.13.4.3.(2)(h) (labels every 1.8 m and at turns) and (3)(b) (screen of 10 to 12.5 mm); SGM-SF-2017 (12/20)
6.2.2 (1/8 in per ft). The houses are invented.
"""

import numpy as np
import pytest

from modellint.engineering.fan_space import fan_may_stand
from modellint.graph.fan_room import fan_rooms
from modellint.graph.vent_fingerprint import piece_fingerprints
from modellint.ifc.model import Element, PropertyValue, SpatialNode
from modellint.rulebook.schedules import parse_schedule
from tests.builders_soilgas import OD3, OD4, block, ridge, small_house
from tests.measures.soil_gas_rules import ask, failed, findings, outcomes

INCH = 0.0254


def room(b, key, name, low, high):
    b.spaces[key] = SpatialNode(key, "space", name, parent=b.building, long_name=name, solids=(block(low, high),))


def with_attic(low=5.5, *, level="fan", **more):
    """The small house with an attic storey at a height, and a level of soil-gas control."""
    b = small_house(**more)
    b.storey("A", low, "Attic")
    house = b.house()
    house.settings["soil_gas_level"] = level
    return house


def say(b, key, name, value, dimension=""):
    part = b.parts[key]
    part.element.properties[("Project", name)] = PropertyValue(value, dimension) if dimension else PropertyValue(value)


def outcome_of(house, rule):
    return [row[2] for row in outcomes(house, rule)]


# --- room for a fan ------------------------------------------------------------------------------------------


def test_room_in_the_attic_is_measured_by_hand():
    """The exit pipe at x = 7.2 starts at 5.87; the roof over its cylinder's low side is at 5.5 + (10 - 7.467) / 2.

    That is 6.77 m, and the slab is 20 mm thick, so some 0.88 m are clear, less than 36 in.
    """
    house = with_attic()
    (run,) = house.nodes["vent_run"]
    rooms = {one.place: one for one in fan_rooms(house, run, 21 * INCH)}
    assert set(rooms) == {"attic", "outdoors"}
    assert rooms["attic"].height == pytest.approx(6.746 - 5.8725, abs=0.03)
    assert outcome_of(house, "fan-room-too-small") == ["open"]  # a supply on the roof may be meant


def test_an_outlet_tells_where_the_fan_is_to_stand():
    b = small_house()
    b.storey("A", 5.5, "Attic")
    b.add("box", "power_outlet", block((6.5, 4, 5.9), (6.6, 4.1, 6.0)))
    house = b.house()
    house.settings["soil_gas_level"] = "fan"
    assert outcome_of(house, "fan-room-too-small") == ["fail"]
    top = ridge(7.9) + 0.3
    b.add("roof-box", "power_outlet", block((7.9, 4, top), (8.0, 4.1, top + 0.1)))
    house = b.house()
    house.settings["soil_gas_level"] = "fan"
    assert outcome_of(house, "fan-room-too-small") == []
    (run,) = house.nodes["vent_run"]
    assert ask(house).measure("fan_place", run).words == {"outdoors"}


def test_a_passive_vent_is_asked_for_the_room_by_the_setting_only():
    house = with_attic(level="passive")
    assert outcome_of(house, "fan-room-too-small") == []
    house.settings["fan_room_from"] = "passive"
    assert outcome_of(house, "fan-room-too-small") == ["open"]


@pytest.mark.parametrize("above", [False, True])
def test_a_garage_counts_only_without_living_space_above(above):
    b = small_house()
    room(b, "g", "Garage", (5, 3, 0), (7, 5, 2.4))
    if above:
        room(b, "l", "Bedroom", (5, 3, 2.8), (7, 5, 5.2))
    house = b.house()
    (run,) = house.nodes["vent_run"]
    assert ("garage" in {one.place for one in fan_rooms(house, run, 21 * INCH)}) is not above


@pytest.mark.parametrize(
    ("name", "above", "word", "place"),
    [
        ("Kitchen", "", "living space", "living space"),
        ("Garage", "", "garage", "garage not under living space"),
        ("Garage", "Bedroom", "living space", "garage under living space"),
        ("Basement", "Kitchen", "basement", "basement under living space"),
        ("Crawl space", "Kitchen", "crawl space", "crawl space under living space"),
    ],
)
def test_places_of_a_drawn_fan(name, above, word, place):
    """The rule's answer is the standard's: RRNC-2020 701.2 and 701.2.1, as tabulated in engineering/fan_space.py."""
    b = small_house(skip=("riser",))
    b.pipe("riser-1", (6, 4, -0.09), (6, 4, 1.0))
    b.add("fan", "fan", block((5.9, 3.9, 1.0), (6.1, 4.1, 1.3)), ifc_class="IfcFan", systems=("Soil gas",))
    b.pipe("riser-2", (6, 4, 1.3), (6, 4, 5.74))
    room(b, "r", name, (5, 3, 0), (7, 5, 2.4))
    if above:
        room(b, "u", above, (5, 3, 2.8), (7, 5, 5.2))
    house = b.house()
    assert ask(house).measure("fan_stands_in", house.parts["fan"]).words == {word}
    assert outcome_of(house, "fan-in-wrong-place") == ([] if fan_may_stand(place) else ["fail"])


def test_a_fan_among_undrawn_rooms_is_open():
    b = small_house(skip=("riser",))
    b.pipe("riser-1", (6, 4, -0.09), (6, 4, 1.0))
    b.add("fan", "fan", block((5.9, 3.9, 1.0), (6.1, 4.1, 1.3)), ifc_class="IfcFan", systems=("Soil gas",))
    b.pipe("riser-2", (6, 4, 1.3), (6, 4, 5.74))
    assert outcome_of(b.house(), "fan-in-wrong-place") == ["open"]


def hatch(b, x):
    b.more["hatch"] = Element("hatch", "hatch", 900, "IfcDoor", name="Attic hatch", building=b.building,
                              solids=(block((x, 4, 5.5), (x + 0.6, 4.6, 5.52)),))


@pytest.mark.parametrize(("wall", "door", "wanted"), [(False, False, []), (True, False, ["fail"]), (True, True, [])])
def test_a_wall_in_the_attic_keeps_people_from_the_vent(wall, door, wanted):
    b = small_house()
    b.storey("A", 5.5, "Attic")
    hatch(b, 2.0)
    if wall:
        b.add("wall", "other_wall", block((4, 0.5, 5.5), (4.1, 7.5, 6.6)), ifc_class="IfcWall")
    if door:
        b.add("door", "door", block((4, 3, 5.5), (4.1, 4, 6.4)), ifc_class="IfcDoor")
    assert outcome_of(b.house(), "fan-out-of-reach") == wanted


def test_a_hatch_that_nobody_drew_is_open():
    assert outcome_of(with_attic(level="passive"), "fan-out-of-reach") == ["open"]


# --- fire and cold -------------------------------------------------------------------------------------------


def floored(name="Floor", **properties):
    b = small_house()
    b.add("floor", "floor", block((0, 0, 2.5), (10, 8, 2.8)), name=name, ifc_class="IfcSlab", **properties)
    return b


RULE = "vent-crossing-without-firestop"


@pytest.mark.parametrize(
    ("rating", "stop", "wanted"),
    [("60", None, ["open"]), ("60", False, ["fail"]), ("60", True, []), ("1 hr", False, ["fail"]), ("0", None, []),
     ("none", None, [])],
)
def test_a_rated_floor_wants_a_firestop(rating, stop, wanted):
    b = floored(FireRating=rating)
    if stop is not None:
        say(b, "riser", "Firestop", stop)
    assert outcome_of(b.house(), RULE) == wanted


def test_without_rooms_or_ratings_nobody_knows():
    assert outcome_of(floored().house(), RULE) == ["open"]
    b = floored()
    room(b, "k", "Kitchen", (0, 0, 0), (10, 8, 2.5))
    assert outcome_of(b.house(), RULE) == []


def test_a_garage_ceiling_and_a_party_wall_are_crossings():
    b = floored()
    room(b, "g", "Garage", (0, 0, 0), (10, 8, 2.45))
    room(b, "l", "Bedroom", (0, 0, 2.8), (10, 8, 5.2))
    (finding,) = [f for f in findings(b.house()) if f.rule == RULE]
    assert finding.outcome == "open"
    assert "it parts Garage from the rooms beyond" in finding.question
    b = small_house()
    b.add("wall", "other_wall", block((6.5, 0, 5.0), (6.7, 8, 6.5)), name="Party wall 8 in", ifc_class="IfcWall")
    assert [(f.outcome, f.item_key) for f in findings(b.house()) if f.rule == RULE] == [("open", "offset|wall")]


def test_a_firestop_drawn_at_the_crossing_closes_it():
    b = floored(FireRating="60")
    b.more["stop"] = Element("stop", "stop", 901, "IfcBuildingElementProxy", name="Fire collar 90", building="B",
                             solids=(block((5.9, 3.9, 2.6), (6.1, 4.1, 2.7)),))
    assert outcome_of(b.house(), RULE) == []


@pytest.mark.parametrize(("name", "low", "wanted"), [("Kitchen", 0.0, []), ("Garage", 0.0, ["fail"]),
                                                      ("Garage", 2.45, [])])
def test_a_riser_in_a_garage_is_in_the_cold(name, low, wanted):
    """By hand: the riser from 0 to 2.5 m in the garage is 2.5 m, from 2.45 m on it is 50 mm."""
    b = small_house()
    room(b, "g", name, (5, 3, low), (7, 5, 2.5))
    house = b.house()
    assert outcome_of(house, "vent-in-cold-place") == wanted
    (run,) = house.nodes["vent_run"]
    inside = 0.0 if name == "Kitchen" else 2.5 - low
    assert ask(house).measure("length_in_cold_place", run).low == pytest.approx(inside, abs=0.06)


def test_without_rooms_a_garage_is_not_ruled_out():
    assert outcome_of(small_house().house(), "vent-in-cold-place") == ["open"]


@pytest.mark.parametrize(("said", "wanted"), [((), ["open"]), (("IsInsulated", False), ["fail"]),
                                               (("IsInsulated", True), []),
                                               (("InsulationThickness", 0.019, "length"), [])])
def test_pipe_in_the_attic_is_asked_for_insulation(said, wanted):
    b = small_house()
    b.storey("A", 5.5, "Attic")
    if said:
        for key in ("riser", "offset", "stack"):
            say(b, key, *said)
    assert set(outcome_of(b.house(), "vent-cold-pipe-bare")) == set(wanted)


@pytest.mark.parametrize(
    ("thickness", "name", "fails"),
    [(0.00025, "Sheet", False), (0.0001524, "Sheet", False), (0.0001, "Sheet", True),
     (0.0001, "Cross-laminated sheet", False)],
)
def test_the_membrane_is_six_mil_or_cross_laminated(thickness, name, fails):
    b = small_house()
    b.parts["sheet"].element.name = name
    say(b, "sheet", "Thickness", thickness, "length")
    assert ("membrane-too-thin" in failed(b.house())) is fails


# --- screen and labels ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("mesh", "fails"), [(0.0127, False), (0.0125, True)])
def test_a_screen_is_no_finer_than_half_an_inch(mesh, fails):
    b = small_house()
    assert outcome_of(b.house(), "exit-screen-too-fine") == []
    say(b, "stack", "ScreenMesh", mesh, "length")
    assert ("exit-screen-too-fine" in failed(b.house())) is fails


@pytest.mark.parametrize(("mesh", "wanted"), [(None, ["open"]), (0.0125, []), (0.0126, ["fail"])])
def test_a_screen_is_asked_for_by_the_setting(mesh, wanted):
    b = small_house()
    if mesh is not None:
        say(b, "stack", "ScreenMesh", mesh, "length")
    house = b.house()
    assert outcome_of(house, "exit-screen-missing") == []
    house.settings["exit_screen"] = "asked"
    assert outcome_of(house, "exit-screen-missing") == wanted


def labelled(*heights, turns=True):
    b = small_house(labels=())
    for n, z in enumerate(heights):
        b.add(f"label-{n}", "label", block((5.97, 3.93, z - 0.03), (6.03, 3.96, z + 0.03)))
    if turns:
        for n, (x, z) in enumerate(((6.3, 5.85), (7.0, 5.85))):
            b.add(f"turn-{n}", "label", block((x - 0.03, 3.93, z - 0.03), (x + 0.03, 3.96, z + 0.03)))
    house = b.house()
    house.settings["labels_along"] = "pipe"
    return house


def test_labels_every_six_feet_and_at_each_turn():
    """The riser stands from -0.09 to 5.74: labels at 1.7, 3.5 and 5.3 m leave 1.79, 1.8 and 1.8 m."""
    assert "vent-label-spacing" not in failed(labelled(1.7, 3.5, 5.3))
    wide = outcomes(labelled(1.7, 3.55, 5.3), "vent-label-spacing", "fail")
    assert [row[1] for row in wide] == ["riser~stretch"]
    bare = outcomes(labelled(1.7, 3.5, 5.0, turns=False), "vent-label-spacing", "fail")
    assert {row[1] for row in bare} == {"offset~stretch", "riser~stretch", "stack~stretch"}
    house = labelled(1.7)
    house.settings["labels_along"] = "storey"
    assert outcome_of(house, "vent-label-spacing") == []


# --- sump and cure -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("joined", [True, False])
def test_a_vent_that_draws_through_a_sump_is_told(joined):
    b = small_house(skip=("tee", "col-1", "col-2"))
    x = 5.8 if joined else 1.0
    b.add("pit", "sump", block((x, 3.8, -0.7), (x + 0.4, 4.2, -0.05)), systems=("Soil gas",))
    assert outcome_of(b.house(), "suction-through-sump") == (["fail"] if joined else [])


def test_the_lift_is_that_of_a_hand_calculation():
    """1.2 m in plan, 20 mm too low at the far end: 20 mm to level and 1200 / 96 = 12.5 mm for 1/8 in per ft."""
    b = small_house(fall=-0.020 / 1.2)
    b.parts.pop("offset")
    b.pipe("offset", (6.0, 4, 5.8), (7.2, 4, 5.78))
    house = b.house()
    measures = ask(house)
    assert measures.measure("lift_to_fall", house.parts["offset"]).low == pytest.approx(0.0325, abs=1e-6)
    (finding,) = [f for f in findings(house) if f.rule == "vent-falls-back"]
    assert "raise its end at the elbow-2 between offset and stack by 32.5 mm" in finding.message


@pytest.mark.parametrize(
    ("outside", "depth", "name", "along", "wanted"),
    [
        (OD3, 0.286, "Joist 2x12", 1.0, []),  # 88.9 mm, at most 94.9 mm, of 286 mm: 31 to 33.2 %
        (OD3, 0.235, "Joist 2x10", 1.0, ["joist-hole-too-large fail"]),  # 37.8 %
        (OD4, 0.286, "Joist 2x12", 1.0, ["joist-hole-too-large fail"]),  # 40 %: no 4 in pipe through sawn joists
        (0.0603, 0.184, "Joist 2x8", 1.0, ["joist-hole-too-large open"]),  # 32.8 %, with 6 mm of play 36 %
        (0.0603, 0.286, "I-joist 286", 1.0, ["engineered-joist-cut open"]),
        (0.0603, 0.286, "LVL joist", 1.0, ["engineered-joist-cut open"]),
    ],
)
def test_holes_in_joists(outside, depth, name, along, wanted):
    """IRC 2018 R502.8.1: a third of the depth, 2 in from the edge; R502.8.2: none in engineered wood without leave."""
    assert joist_findings(name, depth, outside, along, (depth / 2)) == wanted


@pytest.mark.parametrize(
    ("deep", "along", "wanted"),
    [
        (0.040, 0.4, []),  # 40 of 286 mm is 14 %, at most 15 %
        (0.050, 0.4, ["joist-notch-too-deep fail"]),  # 17.5 %, more than a sixth
        (0.040, 2.0, ["joist-notch-too-deep fail"]),  # in the middle third of 4 m
        (0.040, 1.3, []),  # the middle third starts at 1.333 m
    ],
)
def test_notches_in_joists(deep, along, wanted):
    """IRC 2018 R502.8.1: a sixth of the depth, not in the middle third of the span."""
    assert joist_findings("Joist 2x12", 0.286, 0.0603, along, deep - 0.0603 / 2) == wanted


def joist_findings(name, depth, outside, along, height):
    from modellint.graph.crossings import Crossings
    from modellint.measures.ask import Ask
    from modellint.rulebook.judge import judge
    from modellint.rulebook.load import load_rules
    from modellint.rulebook.registry import registry
    from modellint.rulebook.shipped import rules_folder

    b = small_house()
    b.add("joist", "joist", block((1, 1, 2.5), (5, 1.038, 2.5 + depth)), name=name)
    b.pipe("drain", (1 + along, 0.5, 2.5 + height), (1 + along, 1.5, 2.5 + height), od=outside, role="plumbing_pipe")
    house = b.house()
    house.crossings = Crossings(house)
    known = registry()
    rules = load_rules([rules_folder() / "coordination"], known)
    found = judge(rules, house, Ask(house, known.measures, known.sets, {})).findings
    return [f"{f.rule} {f.outcome}" for f in found if "joist" in f.rule]


# --- records -------------------------------------------------------------------------------------------------

PIECES = "vent,date,piece,fingerprint\n"


def listed(house, prints, skip=()):
    rows = "".join(f"soil-gas vent,2026-10-01,{key},{word}\n" for key, word in prints.items() if key not in skip)
    house.schedules["tested_pieces"] = parse_schedule("tested_pieces", PIECES + rows, "pieces.csv")
    return house


def test_the_list_of_tested_pieces_names_what_changed():
    house = small_house().house()
    prints = piece_fingerprints(house.nodes["vent_run"][0])
    assert outcome_of(listed(house, prints), "vent-piece-changed-since-test") == []
    b = small_house()
    b.parts.pop("stack")
    b.pipe("stack", (7.2, 4, 5.8725), (7.2, 4, ridge(7.2) + 0.5))
    rows = [f for f in findings(listed(b.house(), prints)) if f.rule == "vent-piece-changed-since-test"]
    assert [f.item_key for f in rows] == ["stack"]
    assert f"covers {len(prints) - 1} of {len(prints)} of its pieces" in rows[0].message


def test_a_piece_that_the_list_lacks_was_not_tested():
    house = small_house().house()
    prints = piece_fingerprints(house.nodes["vent_run"][0])
    rows = [f for f in findings(listed(house, prints, skip=("offset",))) if f.rule == "vent-piece-changed-since-test"]
    assert [(f.item_key, f.outcome) for f in rows] == [("offset", "fail")]


def test_no_list_no_finding():
    assert outcome_of(small_house().house(), "vent-piece-changed-since-test") == []


@pytest.mark.parametrize(
    ("covered", "wanted"),
    [("", []), ("2026-10-01", []), ("2026-10-02", []), ("2026-09-30", ["fail"]), ("last week", ["open"])],
)
def test_tested_before_covered(covered, wanted):
    house = small_house().house()
    head = "vent,date,medium,pressure,duration,boundary,covered\n"
    row = f"soil-gas vent,2026-10-01,water,30 kPa,15 min,tee to exit,{covered}\n"
    house.schedules["vent_tests"] = parse_schedule("vent_tests", head + row, "vent-tests.csv")
    assert outcome_of(house, "vent-covered-before-test") == wanted


def test_the_first_piece_covered_counts():
    b = small_house()
    say(b, "riser", "CoverDate", "2026-09-30")
    say(b, "stack", "CoverDate", "2026-10-09")
    house = b.house()
    head = "vent,date,medium,pressure,duration,boundary\n"
    house.schedules["vent_tests"] = parse_schedule(
        "vent_tests", head + "soil-gas vent,2026-10-05,water,30 kPa,15 min,tee to exit\n", "vent-tests.csv"
    )
    (finding,) = [f for f in findings(house) if f.rule == "vent-covered-before-test"]
    assert "covered on 2026-09-30, tested on 2026-10-05" in finding.message


@pytest.mark.parametrize(
    ("occupied", "wanted"),
    [("", []), ("2026-12-02", []), ("2026-12-01", ["fail"]), ("2027-03-01", []), ("in winter", ["open"])],
)
def test_radon_is_tested_within_60_days_of_occupancy(occupied, wanted):
    """CCAH-2020 801.1; from 2 December 2026 to 31 January 2027 it is 60 days, from 1 December 61."""
    house = small_house().house()
    house.schedules["radon_tests"] = parse_schedule(
        "radon_tests", f"place,date,result,occupied\nLiving,2027-01-31,60 Bq/m3,{occupied}\n", "radon.csv"
    )
    assert outcome_of(house, "radon-test-late") == wanted


def test_a_break_is_placed_where_the_pipe_is_open():
    from modellint.findings.places import PlaceFinder

    b = small_house(gap=0.3)
    house = b.house()
    (finding,) = [f for f in findings(house) if f.rule == "vent-joined"]
    assert finding.outcome == "fail"
    run = house.nodes["vent_run"][0]
    breaks = ask(house).members("vent_breaks", run).items
    place = PlaceFinder(house).place(run, breaks[0])
    assert place.point is not None
    assert 5.3 < float(place.point[2]) < 5.9
    assert np.allclose(place.point[:2], (6, 4), atol=OD3)
