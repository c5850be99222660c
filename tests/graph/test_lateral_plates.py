"""Plate pieces with their bolts, concrete under a point, and the length of a rod inside it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from modellint.graph.foundation import embedment, foundations, under_point, vertical_interval
from modellint.graph.joints import lean
from tests.builders_lateral import Build, bar, block, turned


def on_footing(length=4.0, **more) -> Build:
    build = Build(**more)
    build.wall("w", (0, -0.07, 0), (length, 0.07, 2.4))
    build.add("foot", "footing", block((-0.2, -0.25, -0.6), (length + 0.2, 0.25, 0.0)))
    return build


def bolt(build, key, x, y=0.0, *, low=-0.2, high=0.08):
    return build.add(key, "anchor_bolt", bar((x, y, low), (x, y, high), 0.00635), name="anchor bolt 1/2 in")


def pieces(build):
    return {piece.key: piece for piece in build.house().nodes["plate_piece"]}


def test_each_drawn_plate_is_a_piece_with_the_bolts_through_it():
    build = on_footing()
    build.add("p1", "sill_plate", block((0, -0.07, 0), (1.9, 0.07, 0.038)))
    build.add("p2", "sill_plate", block((1.9, -0.07, 0), (4, 0.07, 0.038)))
    for key, x in (("b1", 0.2), ("b2", 1.7), ("b3", 2.1), ("b4", 3.8)):
        bolt(build, key, x)
    bolt(build, "beside", 1.0, y=0.09)
    bolt(build, "above", 1.0, low=0.06, high=0.2)
    bolt(build, "below", 1.0, low=-0.3, high=-0.01)
    found = pieces(build)
    assert {key: [(b.key, round(x, 4)) for b, x in piece.bolts] for key, piece in found.items()} == {
        "p1": [("b1", 0.2), ("b2", 1.7)], "p2": [("b3", 0.2), ("b4", 1.9)]}
    assert not any(piece.assumed for piece in found.values())
    assert [found[key].length for key in ("p1", "p2")] == pytest.approx([1.9, 2.1])


@pytest.mark.parametrize("degrees", [0.0, 30.0, 90.0, 180.0])
def test_bolts_are_measured_from_the_start_of_the_line(degrees):
    axes = turned(degrees)
    build = Build()
    build.wall("w", (0, -0.07, 0), (4, 0.07, 2.4), axes=axes)
    build.add("foot", "footing", block((-0.2, -0.25, -0.6), (4.2, 0.25, 0), axes))
    build.add("p", "sill_plate", block((0, -0.07, 0), (4, 0.07, 0.038), axes))
    place = np.array([0.3, 0, 0]) @ axes
    bolt(build, "b", place[0], place[1])
    (piece,) = pieces(build).values()
    # a line runs east (north if it runs north), so a wall drawn westward is measured from its other end
    assert piece.bolts[0][1] == pytest.approx(3.7 if degrees == 180 else 0.3)


def test_upper_plates_are_no_sill():
    build = on_footing()
    build.add("top", "top_plate", block((0, -0.07, 2.36), (4, 0.07, 2.4)))
    build.add("up", "bottom_plate", block((0, -0.07, 2.7), (4, 0.07, 2.738)))
    assert all(piece.assumed for piece in pieces(build).values())


def test_undrawn_sole_is_one_assumed_piece_cut_at_doors_only():
    build = on_footing()
    build.opening("door", "w", (1, -0.1, 0), (2, 0.1, 2.1))
    build.opening("win", "w", (3, -0.1, 1), (3.6, 0.1, 2))
    bolt(build, "b", 0.5)
    found = pieces(build)
    assert [(p.assumed, round(p.length, 3), len(p.bolts)) for p in found.values()] == [
        (True, 1.0, 1),
        (True, 2.0, 0),
    ]


def test_one_plate_of_several_lengths_is_as_many_pieces():
    """A plate drawn as one element that skips a door; lengths 2 mm apart are one, 4 mm apart two."""
    build = on_footing(8.0)
    spans = ((0, 1), (2, 3), (3.002, 4), (4.004, 5))
    build.add("p", "sill_plate", *[block((a, -0.07, 0), (b, 0.07, 0.038)) for a, b in spans])
    bolt(build, "b", 2.5)
    found = pieces(build)
    assert sorted((round(p.length, 3), len(p.bolts)) for p in found.values()) == [
        (0.996, 0),
        (1.0, 0),
        (2.0, 1),
    ]
    build.settings = {"piece_gap": 0.010}
    assert sorted(round(p.length, 3) for p in pieces(build).values()) == [1.0, 3.0]


def test_plate_tilted_by_45_degrees_is_left_out_quietly():
    build = on_footing()
    tilt = np.array([[1, 0, 0], [0, 0.7071067811865476, 0.7071067811865476],
                     [0, -0.7071067811865476, 0.7071067811865476]])
    build.add("p", "sill_plate", block((0, -0.07, 0), (4, 0.07, 0.038), tilt))
    assert "p" not in pieces(build)


# -- concrete ---------------------------------------------------------------------------------------------

def test_rod_through_two_footing_solids_that_touch_counts_once():
    build = Build(storeys=())
    foot = build.add("foot", "footing", block((-0.3, -0.3, -0.6), (0.3, 0.3, -0.2)))
    stem = build.add("stem", "stem_wall", block((-0.1, -0.3, -0.2), (0.1, 0.3, 0.3)))
    rod = bar((0.01, 0.02, -0.5), (0.01, 0.02, 0.6)).axis
    assert embedment((foot, stem), rod)[0] == pytest.approx(0.8)
    assert embedment((foot, stem), rod)[1] is stem  # 0.5 m of it, against 0.3 m
    assert embedment((foot,), rod)[0] == pytest.approx(0.3)


def test_two_solids_of_one_footing_and_an_overlap_count_once():
    build = Build(storeys=())
    foot = build.add("foot", "footing", block((-0.3, -0.3, -0.6), (0.3, 0.3, -0.3)),
                     block((-0.2, -0.2, -0.3), (0.2, 0.2, 0.0)))
    pad = build.add("pad", "footing", block((-0.3, -0.3, -0.4), (0.3, 0.3, -0.1)))
    rod = bar((0.01, 0.02, -0.5), (0.01, 0.02, 0.2)).axis
    assert embedment((foot, pad), rod)[0] == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("low", "high", "inside"),
    [
        (-0.5, 0.2, 0.5),
        (-0.9, 0.2, 0.6),
        (-0.9, -0.3, 0.3),
        (-0.5, -0.1, 0.4),
        (0.05, 0.5, 0.0),
        (-0.9, -0.7, 0.0),
    ],
)
def test_embedment_whichever_end_is_in_the_concrete(low, high, inside):
    foot = Build(storeys=()).add("f", "footing", block((-0.3, -0.3, -0.6), (0.3, 0.3, 0.0)))
    assert embedment((foot,), bar((0.01, 0.02, low), (0.01, 0.02, high)).axis)[0] == pytest.approx(inside)


@given(st.floats(-0.9, 0.5), st.floats(-0.9, 0.5), st.floats(-0.4, 0.4), st.floats(-0.4, 0.4))
@settings(max_examples=100, deadline=None)
def test_embedment_agrees_with_sampling(z0, z1, x0, x1):
    if abs(z1 - z0) < 0.05:
        z1 = z0 + 0.1
    foot = Build(storeys=()).add("f", "footing", block((-0.3, -0.3, -0.6), (0.3, 0.3, 0.0)))
    start, end = sorted(([x0, 0.013, z0], [x1, 0.017, z1]), key=lambda p: p[2])
    axis = np.array([start, end])
    points = axis[0] + np.linspace(0, 1, 4001)[:, None] * (axis[1] - axis[0])
    share = float((np.abs(foot.box.local(points)) <= foot.box.half).all(axis=1).mean())
    length = float(np.linalg.norm(axis[1] - axis[0]))
    # sampling is good to one step of 4001, the answer is given to 0.1 mm
    assert embedment((foot,), axis)[0] == pytest.approx(share * length, abs=length / 1500 + 5.1e-5)


def test_stepped_footing_is_found_at_its_own_level():
    build = Build(storeys=())
    build.add("high", "footing", block((0, -0.2, -0.6), (2, 0.2, 0.0)))
    build.add("low", "footing", block((2, -0.2, -1.2), (4, 0.2, -0.6)))
    ground = foundations(build.house())
    assert [row.part.key for row in under_point(ground, 1.0, 0.05, 0.0)] == ["high"]
    assert [(row.part.key, row.top) for row in under_point(ground, 3.0, 0.05, 0.0)] == [
        ("low", pytest.approx(-0.6))
    ]
    assert under_point(ground, 5.0, 0.05, 0.0) == []
    assert vertical_interval(ground[0], 1.0, 0.05) == pytest.approx((-0.6, 0.0))


def test_rod_over_the_lower_step_must_reach_down_to_it():
    """Anchor drawn for the high step stands in the air over the low one."""
    build = Build()
    build.wall("w", (0, -0.07, 0), (4, 0.07, 2.4))
    build.add("high", "footing", block((0, -0.2, -0.6), (2, 0.2, 0.0)))
    build.add("low", "footing", block((2, -0.2, -1.2), (4, 0.2, -0.6)))
    for side, x in (("w@start", 0.111), ("w@end", 3.889)):
        build.add(f"tie{side}", "hold_down", block((x - 0.03, -0.03, 0.1), (x + 0.03, 0.03, 0.4)))
        build.add(f"rod{side}", "rod", bar((x, 0.01, -0.4), (x, 0.01, 0.3)))
    ends = {end.key: end for end in build.house().nodes["wall_end"]}
    assert ends["w@start"].steps[-1].state == "joined"
    assert (ends["w@end"].steps[-1].slot, ends["w@end"].steps[-1].state) == ("foundation", "broken")
    assert ends["w@end"].steps[-1].gap == pytest.approx(0.2)


@pytest.mark.parametrize(("aside", "degrees"), [(0.0, 0.0), (0.0875, 5.0), (0.1, 5.7106)])
def test_lean_is_the_angle_against_the_vertical(aside, degrees):
    assert np.degrees(lean(np.array([[0, 0, 0], [aside, 0, 1.0]]))) == pytest.approx(degrees, abs=1e-2)
