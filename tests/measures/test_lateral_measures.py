"""Measures of wall ends, segments, rods, plates and crossings on small houses.

Sources: IRC 2018 R403.1.6 (sill bolts: one within 12 in and not nearer than 7 diameters from each end of a
piece, at most 6 ft apart, 7 in deep), R602.6 (notch 25 %, bored hole 40 % of an outer or bearing stud, 5/8 in
of wood beside the hole), R602.6.1 (plate cut over 50 %). The 5 degrees of a leaning rod are common practice.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from tests.builders_lateral import LENGTH, Build, ask_of, bar, block, ends_of, two_storey_stack

INCH = 0.0254


def value(quantity):
    assert quantity.known, quantity
    return next(iter(quantity.words)) if quantity.is_word else quantity.low


def subject(house, kind, key):
    return next(row for row in house.subjects(kind) if row.key == key)


# -- wall ends --------------------------------------------------------------------------------------------

def test_ties_of_an_end_and_their_distance_from_its_face():
    house = two_storey_stack("tie", 3).house()
    ask, end = ask_of(house), ends_of(house)["wall:1:0@end"]
    assert [part.key for part in ask.members("ties", end).items] == ["base:1:end:0"]
    assert value(ask.measure("tie_distance_from_end", end)) == pytest.approx(0.111)
    assert value(ask.measure("wall_is_shear", end)) == "true"


@pytest.mark.parametrize(("stacks", "complete"), [(3, True), (1, False)])
def test_no_tie_is_absent_only_where_others_have_theirs(stacks, complete):
    house = two_storey_stack("tie", stacks).drop("base:0:start:0").house()
    members = ask_of(house).members("ties", ends_of(house)["wall:0:0@start"])
    assert (members.items, members.complete) == ((), complete)
    assert bool(members.missing) != complete


def test_link_state_of_an_unknown_step_leaves_both_possible():
    build = two_storey_stack("tie", 1)
    house = build.drop("post:0:start:0", "post:0:end:0", "post:0:start:1", "post:0:end:1").house()
    end = ends_of(house)["wall:0:0@start"]
    quantity = ask_of(house).measure("link_state", end, end.steps[0])
    assert quantity.words == {"joined", "broken"}
    assert quantity.missing


def test_chain_starts_at_the_top_end_only():
    house = two_storey_stack("tie", 1).house()
    ask, ends = ask_of(house), ends_of(house)
    assert value(ask.measure("chain_starts_here", ends["wall:0:1@start"])) == "true"
    assert value(ask.measure("chain_starts_here", ends["wall:0:0@start"])) == "false"
    assert value(ask.measure("end_support", ends["wall:0:1@start"])) == "wall end"
    assert value(ask.measure("end_support", ends["wall:0:0@start"])) == "foundation"


def windowed(ties_inside=False, method=""):
    build = Build()
    build.wall("w", (0, -0.07, 0), (6, 0.07, 2.4))
    build.opening("o", "w", (2, -0.1, 1), (3, 0.1, 2))
    for k, x in enumerate((0.1, 5.9, *((1.9, 3.1) if ties_inside else ()))):
        build.add(f"t{k}", "hold_down", block((x - 0.03, -0.03, 0.1), (x + 0.03, 0.03, 0.4)))
    if method:
        row = SimpleNamespace(
            get=lambda name, default=None: {"mark": "w", "method": method}.get(name, default), line=2
        )
        build.schedules = {"shear_walls": SimpleNamespace(rows=(row,))}
    house = build.house()
    quantity = ask_of(house).measure("tie_needed", ends_of(house)["o@before"])
    return quantity.words


@pytest.mark.parametrize(("inside", "method", "words"), [
    (True, "", {"true"}), (False, "", {"true", "false"}), (False, "segmented", {"true"}),
    (False, "perforated", {"false"}), (False, "force_transfer", {"false"}), (True, "portal", {"false"})])
def test_inner_ends_need_ties_by_the_method_of_the_wall(inside, method, words):
    """Perforated and force-transfer walls are tied at the ends of the line (SDPWS 4.3.6, from memory)."""
    assert windowed(inside, method) == words


def test_a_tie_in_the_middle_of_a_wall_belongs_to_no_end():
    build = two_storey_stack("tie", 1)
    build.wall("long", (0, 9.93, 0), (6, 10.07, 2.4))
    build.add("lost", "hold_down", block((2.9, 9.97, 0.1), (3.0, 10.03, 0.4)))
    house = build.house()
    ask = ask_of(house)
    assert value(ask.measure("caught_by_wall_end", house.parts["lost"])) == "false"
    assert value(ask.measure("caught_by_wall_end", house.parts["base:0:end:1"])) == "true"


def test_post_shortfall_against_the_studs_of_the_wall():
    build = two_storey_stack("tie", 1)
    build.add("stud", "stud", block((1.0, -0.07, 0.038), (1.038, 0.07, 2.324)))
    build.add("post:0:start:0", "post", block((0, -0.07, 0.038), (0.076, 0.07, 2.1)))
    house = build.house()
    ask, end = ask_of(house), ends_of(house)["wall:0:0@start"]
    assert value(ask.measure("post_shortfall", end, house.parts["post:0:start:0"])) == pytest.approx(0.224)


# -- segments ---------------------------------------------------------------------------------------------

def panelled(*spans, face=1, **more):
    build = Build()
    build.wall("w", (0, -0.07, 0), (LENGTH, 0.07, 2.4), **more)
    for k, (low, high) in enumerate(spans):
        y = (0.07, 0.081) if face > 0 else (-0.081, -0.07)
        build.add(f"p{k}", "sheathing", block((low, y[0], 0), (high, y[1], 2.4)))
    house = build.house()
    return ask_of(house), house.nodes["wall_segment"][0]


@pytest.mark.parametrize(("spans", "share"), [
    ([(0, 1.2), (1.2, 2.4)], 1.0), ([(0, 1.2)], 0.5), ([(0, 1.2), (0.6, 1.8)], 0.75), ([(-1, 5)], 1.0)])
@pytest.mark.parametrize("face", [1, -1])
def test_sheathed_share(spans, share, face):
    ask, segment = panelled(*spans, face=face)
    assert value(ask.measure("sheathed_share", segment)) == pytest.approx(share)


def test_sheathing_drawn_nowhere_is_not_known():
    ask, segment = panelled()
    assert not ask.measure("sheathed_share", segment).known
    assert not ask.members("sheathing_panels", segment).complete


def test_nail_spacing_as_stated():
    ask, segment = panelled(**{"Edge nail spacing": "4 in o.c.", "Field nail spacing": "12 in"})
    assert value(ask.measure("edge_nail_spacing", segment)) == pytest.approx(4 * INCH)
    assert value(ask.measure("field_nail_spacing", segment)) == pytest.approx(12 * INCH)
    ask, segment = panelled()
    assert not ask.measure("edge_nail_spacing", segment).known


# -- rods -------------------------------------------------------------------------------------------------

@pytest.mark.parametrize("degrees", [0.0, 2.3, 5.0, 6.0])
def test_lean_of_a_rod(degrees):
    aside = 0.7 * np.tan(np.radians(degrees))
    build = two_storey_stack("tie", 1)
    build.add("anchor:0:start:0", "rod", bar((0.111, 0, -0.4), (0.111, aside, 0.3)))
    house = build.house()
    assert np.degrees(
        value(ask_of(house).measure("rod_lean", house.parts["anchor:0:start:0"]))
    ) == pytest.approx(degrees)


def test_rod_meets_its_tie_with_so_many_diameters():
    house = two_storey_stack("tie", 1).house()
    ask, rod = ask_of(house), house.parts["anchor:0:start:0"]
    (tie,) = ask.members("rod_ties", rod).items
    assert tie.key == "base:0:start:0"
    assert value(ask.measure("rod_gap", rod, tie)) == 0.0
    assert value(ask.measure("thread_engagement", rod, tie)) == pytest.approx(0.2 / 0.016)
    assert value(ask.measure("reaches_concrete", rod)) == "true"
    assert value(ask.measure("embedded_length", rod)) == pytest.approx(0.4)
    assert value(ask.measure("reaches_concrete", house.parts["floorrod:0:start:1"])) == "false"


def test_embedment_without_any_concrete_drawn_is_not_known():
    house = two_storey_stack("tie", 1).drop("footing:0").house()
    assert not ask_of(house).measure("embedded_length", house.parts["anchor:0:start:0"]).known


def test_embedment_asked_for_by_a_property():
    build = two_storey_stack("tie", 1)
    build.add(
        "anchor:0:start:0", "rod", bar((0.111, 0, -0.4), (0.111, 0, 0.3)), **{"Minimum embedment": "7 in"}
    )
    house = build.house()
    ask = ask_of(house)
    assert value(ask.measure("embedment_asked_for", house.parts["anchor:0:start:0"])) == pytest.approx(
        7 * INCH
    )
    assert value(ask.measure("embedment_is_given", house.parts["anchor:0:end:0"])) == "false"


# -- plates -----------------------------------------------------------------------------------------------

def plate(*places, diameter=0.5 * INCH, length=12 * 12 * INCH):
    build = Build()
    build.wall("w", (0, -0.07, 0), (length, 0.07, 2.4))
    build.add("foot", "footing", block((-0.2, -0.25, -0.6), (length + 0.2, 0.25, 0)))
    build.add("p", "sill_plate", block((0, -0.07, 0), (length, 0.07, 0.038)))
    for k, x in enumerate(places):
        build.add(f"b{k}", "anchor_bolt", bar((x, 0, -7 * INCH), (x, 0, 0.08), diameter / 2))
    house = build.house()
    return ask_of(house), subject(house, "plate_piece", "p")


def test_bolts_6_ft_apart_12_in_from_the_ends():
    ask, piece = plate(12 * INCH, 84 * INCH, 132 * INCH)
    assert value(ask.measure("plate_length", piece)) == pytest.approx(144 * INCH)
    assert value(ask.measure("widest_bolt_spacing", piece)) == pytest.approx(72 * INCH, abs=1e-5)
    assert value(ask.measure("largest_bolt_end_distance", piece)) == pytest.approx(12 * INCH, abs=1e-5)
    assert value(ask.measure("smallest_bolt_end_distance_in_diameters", piece)) == pytest.approx(24, abs=1e-2)
    assert len(ask.members("sill_bolts", piece).items) == 3


@pytest.mark.parametrize(("end", "diameters"), [(3.5, 7.0), (3.4, 6.8), (4.375, 8.75)])
def test_end_distance_in_diameters(end, diameters):
    """3.5 in are 7 diameters of a 1/2 in bolt (R403.1.6)."""
    ask, piece = plate(end * INCH, 132 * INCH)
    assert value(ask.measure("smallest_bolt_end_distance_in_diameters", piece)) == pytest.approx(
        diameters, abs=1e-2
    )


def test_larger_bolts_need_more():
    ask, piece = plate(3.5 * INCH, 132 * INCH, diameter=0.625 * INCH)
    assert value(ask.measure("smallest_bolt_end_distance_in_diameters", piece)) == pytest.approx(
        5.6, abs=1e-2
    )


def test_bolt_depth_in_concrete():
    ask, piece = plate(12 * INCH, 132 * INCH)
    assert value(ask.measure("embedded_length", piece.bolts[0][0])) == pytest.approx(7 * INCH, abs=1e-4)


def test_no_bolts_drawn_anywhere_is_not_known():
    ask, piece = plate()
    assert not ask.members("sill_bolts", piece).complete
    assert not ask.measure("widest_bolt_spacing", piece).known


# -- pipes through wood --------------------------------------------------------------------------


def drilled(start, end, outside, member=((0, 0, 0), (1.5 * INCH, 5.5 * INCH, 96 * INCH)), role="stud"):
    """A pipe by its two ends and outside diameter, all in inches, through a 2x6 stud."""
    build = Build()
    build.add("m", role, block(*member))
    build.add("pipe", "plumbing_pipe", bar(np.array(start) * INCH, np.array(end) * INCH, outside * INCH / 2))
    house = build.house()
    ask, part, pipe = ask_of(house), house.parts["m"], house.parts["pipe"]
    assert [row.key for row in ask.members("pipes_through", part).items] == ["pipe"]
    return [ask.measure(name, part, pipe) for name in ("cut_kind", "cut_share", "wood_beside_hole")]


@pytest.mark.parametrize(
    ("outside", "at_most_40_percent"), [(1.9, True), (2.2, True), (2.25, False), (2.375, False)]
)
def test_hole_in_a_2x6_stud(outside, at_most_40_percent):
    """40 % of 5.5 in is 2.2 in (R602.6)."""
    kind, share, _ = drilled((-10, 2.75, 40), (10, 2.75, 40), outside)
    assert value(kind) == "hole"
    assert share.low == pytest.approx(outside / 5.5)
    assert (share.low <= 0.4 + 1e-9) == at_most_40_percent
    assert share.high - share.low == pytest.approx(0.006 / (5.5 * INCH))


def test_wood_beside_a_hole():
    """5/8 in must remain between hole and face (R602.6): 5.5 / 2 - 2.125 = 0.625 in for a 4.25 in pipe."""
    _, _, wood = drilled((-10, 2.75, 40), (10, 2.75, 40), 4.25)
    assert wood.high == pytest.approx(0.625 * INCH)


@pytest.mark.parametrize(("depth", "at_most_25_percent"), [(1.375, True), (1.4, False)])
def test_notch_in_a_2x6_stud(depth, at_most_25_percent):
    """25 % of 5.5 in is 1.375 in (R602.6)."""
    outside = 2.0
    kind, share, wood = drilled((-10, depth - outside / 2, 40), (10, depth - outside / 2, 40), outside)
    assert value(kind) == "notch"
    assert share.low == pytest.approx(depth / 5.5)
    assert (share.low <= 0.25 + 1e-9) == at_most_25_percent
    assert wood.high == 0.0


def test_a_pipe_along_the_depth_of_a_stud_cuts_it_through():
    """A pipe across the wall, through the narrow face of a stud: no wood is left of its depth."""
    kind, share, wood = drilled((0.75, -10, 40), (0.75, 10, 40), 1.0)
    assert value(kind) == "notch"
    assert share.low == pytest.approx(1.0)
    assert wood.high == 0.0


def test_plate_cut_by_a_riser():
    """A 4 in pipe (4.5 in outside) takes 82 % of a 5.5 in plate; R602.6.1 asks for a tie beyond 50 %."""
    _, share, _ = drilled(
        (30, 2.75, -10), (30, 2.75, 20), 4.5, ((0, 0, 0), (96 * INCH, 5.5 * INCH, 1.5 * INCH)), "top_plate"
    )
    assert share.low == pytest.approx(4.5 / 5.5)


@pytest.mark.parametrize(("y", "overlap"), [(0.0, 0.03 + 0.008), (0.03, 0.008), (0.0385, 0.0), (0.1, 0.0)])
def test_pipe_into_a_rod(y, overlap):
    build = two_storey_stack("tie", 1)
    build.add("pipe", "vent_pipe", bar((-1, y, 0.05), (3, y, 0.05), 0.03))
    house = build.house()
    ask, pipe, rod = ask_of(house), house.parts["pipe"], house.parts["anchor:0:start:0"]
    assert (rod in ask.members("parts_pierced", pipe).items) == (overlap > 0)
    assert value(ask.measure("overlap_with", pipe, rod)) == pytest.approx(max(overlap, 0.0), abs=1e-9)


# -- building ---------------------------------------------------------------------------------------------

def test_storey_heights_and_extent():
    build = two_storey_stack("tie", 2)
    build.storeys = (("L1", 0.0), ("L2", 2.7), ("L3", 2.7031))
    house = build.house()
    ask = ask_of(house)
    (building,) = house.subjects("building")
    assert value(ask.measure("lowest_storey_height", building)) == pytest.approx(0.0031)
    assert value(ask.measure("highest_storey_height", building)) == pytest.approx(2.7)
    assert value(ask.measure("widest_extent", building)) == pytest.approx(3.14)
