"""Uplift and compression chains of small stacks: each part taken out in turn, and against networkx.

Gap limits of 5 mm and 1.5 rod diameters, and "two others and half of them", are common practice, no source.
"""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from modellint.contacts.boxes import box_gap, line_gap
from modellint.graph.foundation import embedment
from modellint.roles.part import Rung
from tests.builders_lateral import (
    LENGTH,
    THICK,
    Build,
    add_end,
    add_post,
    add_tie,
    bar,
    block,
    ends_of,
    first_not_joined,
    states,
    two_storey_stack,
    verdict,
)

TOP = "wall:1:1@start"
# part of the chain to (slot, storey) where its loss shows first
SLOTS = {
    "tie": {"post:1:start:1": ("post", "Level 2"), "base:1:start:1": ("base tie", "Level 2"),
            "floorrod:1:start:1": ("rod", "Level 2"), "top:1:start:0": ("top tie", "Level 1"),
            "post:1:start:0": ("post", "Level 1"), "base:1:start:0": ("base tie", "Level 1"),
            "anchor:1:start:0": ("anchor rod", "Level 1"), "footing:1": ("foundation", "Level 1")},
    "strap": {"post:1:start:1": ("post", "Level 2"), "strap:1:start:1": ("base tie", "Level 2"),
              "post:1:start:0": ("post", "Level 1"), "base:1:start:0": ("base tie", "Level 1"),
              "anchor:1:start:0": ("anchor rod", "Level 1"), "footing:1": ("foundation", "Level 1")},
    "rod": {"post:1:start:1": ("post", "Level 2"), "plate:1:start:1": ("bearing plate", "Level 2"),
            "nut:1:start:1": ("nut", "Level 2"), "rod:1:start:1": ("rod", "Level 2"),
            "post:1:start:0": ("post", "Level 1"), "plate:1:start:0": ("bearing plate", "Level 1"),
            "nut:1:start:0": ("nut", "Level 1"), "coupler:1:start:0": ("coupler", "Level 1"),
            "rod:1:start:0": ("rod", "Level 1"), "footing:1": ("foundation", "Level 1")},
}
CASES = [(kind, part) for kind, rows in SLOTS.items() for part in rows]


@pytest.mark.parametrize("kind", SLOTS)
def test_a_whole_stack_holds_from_the_top_post_to_the_footing(kind):
    house = two_storey_stack(kind).house()
    for end in house.nodes["wall_end"]:
        assert verdict(end) == "joined", (end.key, states(end))
        assert end.steps[-1].slot == "foundation"
        assert (end.below is not None) == end.key.split("@")[0].endswith(":1")


@pytest.mark.parametrize(("kind", "part"), CASES)
def test_a_part_taken_from_a_complete_set_is_the_first_break(kind, part):
    house = two_storey_stack(kind).drop(part).house()
    ends = ends_of(house)
    step = first_not_joined(ends[TOP])
    assert (step.slot, step.end.line.storey, step.state) == (*SLOTS[kind][part], "broken")
    # no other stack is touched
    for key, end in ends.items():
        if not key.startswith("wall:1"):
            assert verdict(end) == "joined", (key, states(end))


@pytest.mark.parametrize(("kind", "part"), CASES)
def test_a_kind_of_part_drawn_nowhere_leaves_the_chain_open(kind, part):
    build = two_storey_stack(kind)
    gone = [key for key in build.parts if key.split(":")[0] == part.split(":")[0]]
    if kind == "rod" and part.startswith("rod"):
        # without its rods, nothing tells a continuous rod from ties
        gone = [key for key in build.parts if key.split(":")[0] in {"rod", "coupler", "plate", "nut"}]
    ends = ends_of(build.drop(*gone).house())
    if kind == "rod" and part.startswith("coupler"):
        # pieces that meet end to end need no drawn coupler where none is drawn at all
        assert verdict(ends[TOP]) == "joined"
        return
    assert verdict(ends[TOP]) == "unknown", states(ends[TOP])
    assert all(step.missing for step in ends[TOP].steps if step.state == "unknown")


@pytest.mark.parametrize(("stacks", "gone", "state"), [
    (1, (), "unknown"),  # one other end of the ground floor: fewer than two
    (2, (), "broken"),  # three others hold one
    (3, ("base:0:start:0", "base:0:end:0", "base:1:start:0", "base:1:end:0"), "unknown"),  # one of five
    (3, ("base:0:start:0", "base:0:end:0"), "broken"),  # three of five
    (3, ("base:0:start:0", "base:0:end:0", "base:1:start:0"), "unknown"),  # two of five: under half
])
def test_absence_needs_two_others_and_half_of_them(stacks, gone, state):
    part = f"base:{stacks - 1}:start:0"
    ends = ends_of(two_storey_stack("tie", stacks).drop(part, *gone).house())
    step = next(s for s in ends[f"wall:{stacks - 1}:0@start"].steps if s.slot == "base tie")
    assert step.state == state


def test_absence_limits_are_settings():
    build = two_storey_stack("tie", 2).drop("base:1:start:0")
    build.settings = {"complete_at_least": 4.0}
    assert verdict(ends_of(build.house())["wall:1:0@start"]) == "unknown"


def test_guessed_parts_do_not_make_a_set_complete():
    build = two_storey_stack("tie", 3).drop("base:1:start:0")
    for key, part in build.parts.items():
        if key.startswith("base"):
            part.roles["hold_down"] = Rung.GUESSED
    assert (
        next(s for s in ends_of(build.house())["wall:1:0@start"].steps if s.slot == "base tie").state
        == "unknown"
    )


def moved(build, key, dx=0.0, dy=0.0, dz=0.0):
    """The same part, moved."""
    part = build.parts[key]
    box, axis = part.solids[0].box, part.axis
    shift = np.array([dx, dy, dz])
    if part.has("rod"):
        solid = bar(axis[0] + shift, axis[-1] + shift)
    else:
        solid = block(box.low + shift, box.high + shift)
    role, rung = next(iter(part.roles.items()))
    build.add(key, role, solid, rung=rung, name=part.name)
    return build


@pytest.mark.parametrize(("stated", "gap", "state", "origin"), [
    (False, 0.004, "joined", "inferred"), (False, 0.006, "broken", "inferred"),
    (True, 0.004, "joined", "stated"), (True, 0.150, "broken", "stated")])
def test_a_link_is_measured_whether_stated_or_not(stated, gap, state, origin):
    build = moved(two_storey_stack("tie", 1), "base:0:start:0", dx=gap)
    if stated:
        build.stated("post:0:start:0", "base:0:start:0")
    step = next(s for s in ends_of(build.house())["wall:0:0@start"].steps if s.slot == "base tie")
    assert (step.state, step.origin) == (state, origin)
    assert step.gap == pytest.approx(gap, abs=1e-4)
    if state == "broken":
        assert f"gap {1000 * gap:.0f} mm" in step.text


def test_contact_gap_is_a_setting():
    build = moved(two_storey_stack("tie", 1), "base:0:start:0", dx=0.02)
    build.settings = {"contact_gap": 0.025}
    assert verdict(ends_of(build.house())["wall:0:0@start"]) == "joined"


def test_a_stated_link_to_a_part_between_joins_both():
    build = moved(two_storey_stack("tie", 1), "base:0:start:0", dx=0.15)
    build.stated("post:0:start:0", "foreign", "base:0:start:0")
    step = next(s for s in ends_of(build.house())["wall:0:0@start"].steps if s.slot == "base tie")
    assert (step.state, step.origin) == ("broken", "stated")


def test_rod_150_mm_short_of_its_tie_is_broken():
    build = moved(two_storey_stack("tie", 1), "anchor:0:start:0", dz=-0.35)
    step = first_not_joined(ends_of(build.house())["wall:0:0@start"])
    assert (step.slot, step.state) == ("anchor rod", "broken")
    assert step.gap == pytest.approx(0.15)


def test_anchor_rod_that_ends_above_the_concrete_is_broken():
    build = two_storey_stack("tie", 1)
    build.add("anchor:0:start:0", "rod", bar((0.111, 0, 0.05), (0.111, 0, 0.35)))
    step = first_not_joined(ends_of(build.house())["wall:0:0@start"])
    assert (step.slot, step.state) == ("foundation", "broken")
    assert step.gap == pytest.approx(0.05)


def test_rod_that_misses_the_footing_sideways_is_not_embedded():
    build = two_storey_stack("tie", 1)
    build.add("footing:0", "footing", block((0.2, -0.25, -0.6), (LENGTH + 0.2, 0.25, 0.0)))
    assert verdict(ends_of(build.house())["wall:0:0@start"]) != "joined"


def test_undrawn_post_in_a_wall_solid_is_open_and_the_chain_goes_on_below():
    build = two_storey_stack("tie", 3)
    build.drop(*[key for key in build.parts if key.startswith("post")])
    for end in build.house().nodes["wall_end"]:
        assert ("post", "unknown") in states(end)
        assert ("foundation", "joined") in states(end)
        assert verdict(end) == "unknown"


def test_a_sill_bolt_never_stands_in_for_a_tie():
    build = two_storey_stack("tie", 3).drop("base:1:start:0", "anchor:1:start:0")
    build.add("bolt", "anchor_bolt", bar((0.111, 3.0, -0.3), (0.111, 3.0, 0.1)))
    build.add("sill", "sill_plate", block((0, 2.93, 0), (LENGTH, 3.07, 0.038)))
    assert first_not_joined(ends_of(build.house())["wall:1:0@start"]).slot == "base tie"


def test_a_tie_that_a_wall_property_states_is_open_not_absent():
    build = two_storey_stack("tie", 3).drop("base:1:start:0")
    house = build.house()
    ends_of(house)["wall:1:0@start"].stated_tie = "TD-3"
    from modellint.graph.uplift import uplift_chains

    uplift_chains(house, house.absence, house.nodes["wall_end"])
    step = first_not_joined(ends_of(house)["wall:1:0@start"])
    assert (step.slot, step.state) == ("base tie", "unknown")
    assert "TD-3" in step.text


# -- continuous rods --------------------------------------------------------------------------------------

def rods(gap=0.0, offset=0.0, coupler=False):
    build = two_storey_stack("rod", 1)
    build.drop(*[key for key in build.parts if key.startswith("coupler")])
    x = 0.111
    build.add("rod:0:start:1", "rod", bar((x + offset, 0, 1.5 + gap), (x + offset, 0, 5.2)))
    if coupler:
        build.add("coupler", "coupler", block((x - 0.02, -0.02, 1.48), (x + 0.02, 0.02, 1.5 + gap + 0.02)))
    return verdict(ends_of(build.house())["wall:0:1@start"])


@pytest.mark.parametrize(("gap", "offset", "coupler", "wanted"), [
    (0.023, 0.0, False, "joined"), (0.025, 0.0, False, "broken"),  # 1.5 diameters of a 16 mm rod: 24 mm
    (0.0, 0.002, False, "joined"), (0.0, 0.004, False, "broken"), (0.06, 0.0, True, "joined")])
def test_rod_pieces_meet_within_one_and_a_half_diameters_or_in_a_coupler(gap, offset, coupler, wanted):
    assert rods(gap, offset, coupler) == wanted


def test_coupler_limits_are_settings():
    build = two_storey_stack("rod", 1)
    build.drop(*[key for key in build.parts if key.startswith("coupler")])
    build.add("rod:0:start:1", "rod", bar((0.121, 0, 1.6), (0.121, 0, 5.2)))
    build.settings = {"coupler_gap_diameters": 10.0, "coupler_offset": 0.02}
    assert verdict(ends_of(build.house())["wall:0:1@start"]) == "joined"


def test_a_rod_that_jumps_aside_between_storeys_is_broken():
    build = two_storey_stack("rod", 1)
    build.drop(*[key for key in build.parts if key.startswith("coupler")])
    for key, z0, z1 in (("plate:0:start:1", 5.1, 5.112), ("nut:0:start:1", 5.112, 5.125)):
        build.add(key, key.split(":")[0].replace("plate", "bearing_plate"),
                  block((0.571, -0.04, z0), (0.651, 0.04, z1)))
    build.add("rod:0:start:1", "rod", bar((0.611, 0, 1.5), (0.611, 0, 5.2)))
    end = ends_of(build.house())["wall:0:1@start"]
    assert ("coupler", "broken") in states(end)


def test_two_rods_side_by_side_are_not_pieces_of_one_rod():
    build = two_storey_stack("rod", 1)
    for level, (low, high) in enumerate(((-0.4, 1.5), (1.5, 5.2))):
        build.add(f"twin:{level}", "rod", bar((0.3, 0, low), (0.3, 0, high)))
    build.add("coupler:twin", "coupler", block((0.28, -0.02, 1.45), (0.32, 0.02, 1.55)))
    assert verdict(ends_of(build.house())["wall:0:1@start"]) == "joined"


def test_a_plate_on_the_sole_of_the_upper_storey_holds_the_lower_one():
    build = two_storey_stack("rod", 3)
    for k in range(3):
        for side, x in (("start", 0.111), ("end", LENGTH - 0.111)):
            y = 3.0 * k
            build.add(
                f"plate:{k}:{side}:0",
                "bearing_plate",
                block((x - 0.04, y - 0.04, 2.738), (x + 0.04, y + 0.04, 2.75)),
            )
            build.add(
                f"nut:{k}:{side}:0", "nut", block((x - 0.015, y - 0.015, 2.75), (x + 0.015, y + 0.015, 2.763))
            )
    assert all(verdict(end) == "joined" for end in build.house().nodes["wall_end"])
    ends = ends_of(build.drop("plate:1:start:0").house())
    step = first_not_joined(ends[TOP])
    assert (step.slot, step.end.line.storey, step.state) == ("bearing plate", "Level 1", "broken")


def test_a_rod_above_a_tied_storey_must_reach_its_top_tie():
    """Upper storey on a rod with a plate, lower storey on ties: the rod must be caught by something below."""
    build = two_storey_stack("tie", 3)
    for k in range(3):
        for side, x in (("start", 0.111), ("end", LENGTH - 0.111)):
            y, tag = 3.0 * k, f"{k}:{side}"
            build.drop(f"base:{tag}:1")
            build.add(f"floorrod:{tag}:1", "rod", bar((x, y, 2.1), (x, y, 5.2)))
            build.add(
                f"plate:{tag}:1",
                "bearing_plate",
                block((x - 0.04, y - 0.04, 5.1), (x + 0.04, y + 0.04, 5.112)),
            )
            build.add(
                f"nut:{tag}:1", "nut", block((x - 0.015, y - 0.015, 5.112), (x + 0.015, y + 0.015, 5.125))
            )
    assert verdict(ends_of(build.house())[TOP]) == "joined"
    assert verdict(ends_of(build.drop("top:1:start:0").house())[TOP]) != "joined"


# -- transfer ---------------------------------------------------------------------------------------------

def over_a_beam(beam=True, tie=True, other_wall=True) -> Build:
    """An upper wall in the middle of a room, over a beam on a post."""
    build = Build()
    if other_wall:
        build.wall("w0", (0, 5 - 0.07, 0), (LENGTH, 5 + 0.07, 2.4))
    build.wall("w1", (0, -THICK / 2, 2.7), (LENGTH, THICK / 2, 5.1))
    add_post(build, "post-up", 0.0, "start", 1)
    add_tie(build, "tie-up", 0.0, "start", 2.8, 3.1)
    if beam:
        build.add("beam", "beam", block((-1, -0.07, 2.4), (3, 0.07, 2.7)))
    build.add("post-low", "post", block((0, -0.07, 0.0), (0.14, 0.07, 2.4)))
    if tie:
        build.add("tie-beam", "hold_down", block((0.0, 0.07, 2.2), (0.14, 0.08, 2.6)))
    return build


@pytest.mark.parametrize(("beam", "tie", "state"), [
    (True, True, "unknown"), (True, False, "broken"), (False, True, "broken"), (False, False, "broken")])
def test_transfer_is_the_engineers_word_or_a_break(beam, tie, state):
    end = ends_of(over_a_beam(beam, tie).house())["w1@start"]
    step = end.steps[-1]
    assert (step.slot, step.state) == ("transfer", state)
    if beam and tie:
        assert [part.key for part in step.pieces] == ["beam", "tie-beam"]
        assert "engineer" in step.missing


# -- compression ------------------------------------------------------------------------------------------

def pushed(drop=()):
    build = two_storey_stack("tie", 1)
    for level, sole in enumerate((0.0, 2.7)):
        build.add(f"sole{level}", "bottom_plate", block((0, -0.07, sole), (LENGTH, 0.07, sole + 0.038)))
        build.add(f"head{level}", "top_plate", block((0, -0.07, sole + 2.324), (LENGTH, 0.07, sole + 2.4)))
    build.add("rim", "rim", block((0, -0.07, 2.4), (LENGTH, -0.03, 2.7)))
    return build.drop(*drop).house()


def test_the_push_of_a_post_reaches_the_footing():
    found = pushed().bearings["wall:0:1@start"]
    assert found.reached
    assert [part.key for part in found.parts] == ["post:0:start:1", "sole1", "rim", "head0", "post:0:start:0",
                                                  "sole0", "footing:0"]


@pytest.mark.parametrize(("drop", "last"), [("rim", "sole1"), ("footing:0", "sole0")])
def test_the_push_stops_where_nothing_is_drawn_below(drop, last):
    found = pushed([drop]).bearings["wall:0:1@start"]
    assert not found.reached
    assert found.parts[-1].key == last


# -- against a search that knows nothing of slots ---------------------------------------------------


def neighbours_joined(parts, tag) -> bool:
    """The same stack as a graph of neighbouring parts: joined when the top post is linked to the footing."""
    order = [f"post:{tag}:1", f"base:{tag}:1", f"floorrod:{tag}:1", f"top:{tag}:0", f"post:{tag}:0",
             f"base:{tag}:0", f"anchor:{tag}:0", "footing:0"]
    graph = nx.Graph()
    graph.add_nodes_from(order)
    for one, other in pairwise(order):
        if one not in parts or other not in parts:
            continue
        a, b = parts[one], parts[other]
        if other.startswith("footing"):
            near = embedment((b,), a.axis)[0] > 0
        elif "rod" in a.roles or "rod" in b.roles:
            rod, device = (a, b) if "rod" in a.roles else (b, a)
            near = line_gap(device.box, rod.axis) <= 0.005
        else:
            near = box_gap(a.box, b.box) <= 0.005
        if near:
            graph.add_edge(one, other)
    return nx.has_path(graph, order[0], order[-1])


MOVES = st.dictionaries(
    st.sampled_from(
        [
            "post:0:start:1",
            "base:0:start:1",
            "floorrod:0:start:1",
            "top:0:start:0",
            "base:0:start:0",
            "anchor:0:start:0",
        ]
    ),
    st.one_of(st.just("gone"), st.tuples(*[st.sampled_from([-0.4, -0.02, 0.0, 0.0, 0.003, 0.02, 0.4])] * 2)),
    max_size=3,
)


@given(MOVES)
@settings(max_examples=120, deadline=None)
def test_verdict_agrees_with_a_search_over_neighbouring_parts(moves):
    build = two_storey_stack("tie", 3)
    for key, how in moves.items():
        if how == "gone":
            build.drop(key)
        else:
            moved(build, key, dx=0.05 * how[0], dz=how[1])
    house = build.house()
    end = ends_of(house)["wall:0:1@start"]
    wanted = neighbours_joined(house.parts, "0:start")
    found = verdict(end) == "joined"
    assert found == wanted, states(end)


@given(st.randoms())
@settings(max_examples=20, deadline=None)
def test_order_of_parts_does_not_matter(random):
    build = two_storey_stack("tie", 2)
    add_end(build, 1, "end", "tie")
    wanted = {key: states(end) for key, end in ends_of(build.house()).items()}
    rows = list(build.parts.items())
    random.shuffle(rows)
    build.parts = dict(rows)
    assert {key: states(end) for key, end in ends_of(build.house()).items()} == wanted
