"""Wall lines, openings, segments, ends, their names, stacking, and what a column of space catches.

Limits of 50 mm, 300 mm, 1.2 m and one post width are common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.builders_lateral import (
    LENGTH,
    SOLES,
    THICK,
    Build,
    bar,
    block,
    ends_of,
    turned,
    two_storey_stack,
)


def lines(build):
    return [[wall.key for wall in line.walls] for line in build.house().nodes["wall_line"]]


def two_walls(gap=0.0, offset=0.0, shear=(True, True), degrees=0.0) -> Build:
    build = Build()
    build.wall("a", (0, -0.07, 0), (2, 0.07, 2.4), shear[0])
    axes = turned(degrees)
    start = np.array([2 + gap, offset, 0]) @ axes.T
    build.wall("b", start + np.array([0, -0.07, 0]), start + np.array([2, 0.07, 2.4]), shear[1], axes=axes)
    return build


@pytest.mark.parametrize(("change", "wanted"), [
    ({}, [["a", "b"]]),
    ({"gap": 0.049}, [["a", "b"]]),
    ({"gap": 0.051}, [["a"], ["b"]]),
    ({"offset": 0.069}, [["a", "b"]]),
    ({"offset": 0.071}, [["a"], ["b"]]),
    ({"degrees": 0.9}, [["a", "b"]]),
    ({"degrees": 1.1}, [["a"], ["b"]]),
    ({"shear": (True, False)}, [["a"]]),
])
def test_walls_in_line_join(change, wanted):
    assert lines(two_walls(**change)) == wanted


def test_gap_of_a_line_is_a_setting():
    build = two_walls(gap=0.1)
    build.settings["line_gap"] = 0.15
    assert lines(build) == [["a", "b"]]


def test_a_wall_between_two_others_joins_them_whatever_its_key():
    """The middle wall is met last; the line is one all the same."""
    for names in (("a", "b", "c"), ("a", "c", "b"), ("c", "a", "b"), ("b", "c", "a")):
        build = Build()
        for key, x in zip(names, (0, 2, 4), strict=True):
            build.wall(key, (x, -0.07, 0), (x + 2, 0.07, 2.4))
        (line,) = build.house().nodes["wall_line"]
        assert line.length == pytest.approx(6.0)
        assert len(line.segments) == 1


def test_walls_of_two_storeys_stay_two_lines():
    assert len(two_storey_stack(stacks=1).house().nodes["wall_line"]) == 2


def segments(build):
    return [(round(s.start, 3), round(s.end, 3)) for s in build.house().nodes["wall_segment"]]


def one_wall(length=6.0, **more) -> Build:
    build = Build(**more)
    build.wall("w", (0, -0.07, 0), (length, 0.07, 2.4))
    return build


def test_opening_by_void_relation_parts_the_wall():
    build = one_wall()
    build.opening("o", "w", (2, -0.1, 1.0), (3, 0.1, 2.0))
    assert segments(build) == [(3.0, 6.0), (0.0, 2.0)]  # by key: the opening's key sorts before "start"
    assert sorted(ends_of(build.house())) == ["o@after", "o@before", "w@end", "w@start"]


def test_opening_is_named_by_what_fills_it():
    build = one_wall()
    build.opening("o", "w", (2, -0.1, 1.0), (3, 0.1, 2.0), filling="win")
    build.add("win", "window", block((2, -0.05, 1.0), (3, 0.05, 2.0)), ifc_class="IfcWindow")
    assert sorted(ends_of(build.house())) == ["w@end", "w@start", "win@after", "win@before"]


def test_window_without_any_relation_counts_when_it_lies_in_the_wall():
    build = one_wall()
    build.add("win", "window", block((2, -0.05, 1.0), (3, 0.05, 2.0)))
    build.add("far", "window", block((4, 1.0, 1.0), (5, 1.1, 2.0)))
    build.add("upstairs", "window", block((4, -0.05, 3.6), (5, 0.05, 4.6)))
    assert sorted(ends_of(build.house())) == ["w@end", "w@start", "win@after", "win@before"]


@pytest.mark.parametrize(("width", "height", "count"), [
    (0.29, 0.29, 1), (0.31, 0.2, 2), (0.29, 2.0, 1), (0.9, 2.1, 2)])
def test_penetrations_do_not_part_a_wall(width, height, count):
    build = one_wall()
    build.opening("o", "w", (2, -0.1, 0.1), (2 + width, 0.1, 0.1 + height))
    assert len(build.house().nodes["wall_segment"]) == count


def test_short_length_is_dropped_with_a_note():
    build = one_wall()
    build.opening("o", "w", (0.25, -0.1, 0.0), (2, 0.1, 2.0))
    house = build.house()
    assert [s.opening_before for s in house.nodes["wall_segment"]] == ["o"]
    assert [note.code for note in house.model.notes] == ["segment-too-short"]
    assert "250 mm" in house.model.notes[0].text


def test_overlapping_openings_leave_no_length_between():
    build = one_wall()
    build.opening("o", "w", (1, -0.1, 0.0), (3, 0.1, 2.0))
    build.opening("p", "w", (2, -0.1, 1.0), (2.5, 0.1, 2.0))
    build.opening("q", "w", (2.8, -0.1, 1.0), (4, 0.1, 2.0))
    assert sorted(segments(build)) == [(0.0, 1.0), (4.0, 6.0)]


def test_sizes_of_openings_and_segments_are_settings():
    build = one_wall()
    build.opening("o", "w", (1, -0.1, 0.0), (1.5, 0.1, 2.0))
    build.settings["opening_size"] = 2.5
    assert segments(build) == [(0.0, 6.0)]
    build.settings = {"segment_length": 1.2}
    assert segments(build) == [(1.5, 6.0)]


def test_height_is_from_sole_to_top_plate_where_plates_are_drawn():
    build = one_wall()
    build.add("sole", "bottom_plate", block((0, -0.07, 0.0), (6, 0.07, 0.038)))
    build.add("top", "top_plate", block((0, -0.07, 2.324), (6, 0.07, 2.362)))
    (segment,) = build.house().nodes["wall_segment"]
    assert (segment.sole, segment.top) == pytest.approx((0.0, 2.362))


@pytest.mark.parametrize(("degrees", "start", "end"), [
    (0, "west", "east"), (45, "south-west", "north-east"), (90, "south", "north"),
    (135, "north-west", "south-east"), (180, "west", "east"), (270, "south", "north")])
def test_ends_are_named_by_the_compass_whichever_way_the_wall_was_drawn(degrees, start, end):
    build = Build()
    build.wall("w", (0, -0.07, 0), (4, 0.07, 2.4), axes=turned(degrees))
    assert [e.word for e in build.house().nodes["wall_segment"][0].ends] == [start, end]


def test_compass_follows_true_north():
    """North along x: what the model's x axis points at is north, its y axis west."""
    build = Build(north=np.array([1.0, 0.0]))
    build.wall("w", (0, -0.07, 0), (4, 0.07, 2.4))
    (segment,) = build.house().nodes["wall_segment"]
    assert [e.word for e in segment.ends] == ["south", "north"]
    assert segment.ends[1].point[:2] == pytest.approx([4.0, 0.0])


def test_without_true_north_ends_are_start_and_end():
    build = Build(north=None)
    build.wall("w", (0, -0.07, 0), (4, 0.07, 2.4))
    assert [e.word for e in build.house().nodes["wall_segment"][0].ends] == ["start", "end"]


def test_mirrored_house_swaps_east_and_west():
    def word_at_tie(mirror):
        build = Build()
        build.wall("w", (-4 if mirror else 0, -0.07, 0), (0 if mirror else 4, 0.07, 2.4))
        x = -0.1 if mirror else 0.1
        build.add("tie", "hold_down", block((x - 0.03, -0.03, 0.1), (x + 0.03, 0.03, 0.4)))
        return [e.word for e in build.house().nodes["wall_end"] if e.base_ties]

    assert (word_at_tie(False), word_at_tie(True)) == (["west"], ["east"])


def test_keys_survive_hostile_ids():
    build = Build()
    build.wall("w@x..y", (0, -0.07, 0), (6, 0.07, 2.4))
    build.opening("o@..", "w@x..y", (2, -0.1, 1.0), (3, 0.1, 2.0))
    assert sorted(ends_of(build.house())) == ["o@..@after", "o@..@before", "w@x..y@end", "w@x..y@start"]


# -- columns of space ---------------------------------------------------------------------------------

def tie_at(build, x, z=0.1, *, y=0.0, key="tie", role="hold_down"):
    build.add(key, role, block((x - 0.03, y - 0.03, z), (x + 0.03, y + 0.03, z + 0.3)))
    return build


def held(build, name="base_ties"):
    return {key: [part.key for part in getattr(end, name)] for key, end in ends_of(build.house()).items()
            if getattr(end, name)}


@pytest.mark.parametrize(
    ("x", "wanted"),
    [
        (0.1, {"w@start": ["tie"]}),
        (1.19, {"w@start": ["tie"]}),
        (1.21, {}),
        (4.79, {}),
        (4.9, {"w@end": ["tie"]}),
    ],
)
def test_a_column_reaches_no_further_than_its_limit(x, wanted):
    assert held(tie_at(one_wall(), x)) == wanted


def test_a_column_ends_at_the_middle_of_a_short_wall():
    for x, key in ((0.44, "w@start"), (0.46, "w@end")):
        assert list(held(tie_at(one_wall(0.9), x))) == [key]


@pytest.mark.parametrize(("y", "caught"), [(0.16, True), (0.18, False), (-0.16, True), (-0.18, False)])
def test_a_column_is_as_wide_as_the_wall_and_a_little_more(y, caught):
    assert bool(held(tie_at(one_wall(), 0.1, y=y))) == caught


def test_reach_and_band_are_settings():
    build = tie_at(one_wall(), 1.5, y=0.3)
    build.settings = {"end_column_reach": 2.0, "end_column_band": 0.5}
    assert held(build) == {"w@start": ["tie"]}


def test_lower_half_is_base_upper_half_is_top():
    build = tie_at(tie_at(one_wall(), 0.1, 0.1, key="low"), 0.1, 1.9, key="high")
    assert held(build) == {"w@start": ["low"]}
    assert held(build, "top_ties") == {"w@start": ["high"]}


def test_ends_beside_a_window_keep_their_own_ties():
    build = one_wall()
    build.opening("o", "w", (2, -0.1, 1.0), (3, 0.1, 2.0))
    tie_at(build, 1.9, key="left")
    tie_at(build, 3.1, key="right")
    assert held(build) == {"o@before": ["left"], "o@after": ["right"]}


def test_a_tie_on_a_corner_post_may_serve_one_end_of_each_wall():
    build = Build()
    build.wall("a", (0, -0.07, 0), (3, 0.07, 2.4))
    build.wall("b", (0, -0.07, 0), (0.14, 3, 2.4))
    build.add("post", "post", block((0.0, -0.07, 0.038), (0.14, 0.07, 2.3)))
    tie_at(build, 0.17)
    found = held(build)
    assert list(found) == ["a@start", "b@start"]


def test_party_wall_keeps_its_hands_off_the_neighbours_tie():
    """Two 89 mm walls 25 mm apart: each tie serves the wall whose post it touches."""
    build = Build()
    for key, y in (("a", 0.0), ("b", 0.114)):
        build.wall(key, (0, y - 0.0445, 0), (3, y + 0.0445, 2.4))
        build.add(f"post-{key}", "post", block((0, y - 0.0445, 0.038), (0.076, y + 0.0445, 2.3)))
    build.add("tie-b", "hold_down", block((0.076, 0.08, 0.1), (0.14, 0.148, 0.4)))
    assert held(build) == {"b@start": ["tie-b"]}


# -- stacking ------------------------------------------------------------------------------------------

def upper_on_lower(dx=0.0, dy=0.0, lift=0.3, degrees=0.0):
    build = Build()
    build.wall("low", (0, -0.07, 0), (3, 0.07, 2.4))
    build.wall("up", (dx, dy - 0.07, 2.4 + lift), (3 + dx, dy + 0.07, 4.8 + lift), axes=turned(degrees))
    ends = ends_of(build.house())
    return {key: ends[key].below.key if ends[key].below else None for key in ("up@start", "up@end")}


@pytest.mark.parametrize(("change", "stacks"), [
    ({}, True), ({"dx": 0.139}, True), ({"dx": 0.141}, False), ({"dy": 0.069}, True), ({"dy": 0.071}, False),
    ({"lift": 0.95}, True), ({"lift": 1.05}, False), ({"degrees": 90.0}, False)])
def test_an_end_stands_on_the_end_below_within_one_post_width(change, stacks):
    wanted = {"up@start": "low@start", "up@end": "low@end"} if stacks else {"up@start": None, "up@end": None}
    assert upper_on_lower(**change) == wanted


def test_the_end_of_a_wall_does_not_stand_on_the_far_side_of_another():
    """Upper wall ends where the lower one begins: its east end is no heir of a west end."""
    build = Build()
    build.wall("low", (3, -0.07, 0), (6, 0.07, 2.4))
    build.wall("up", (0, -0.07, 2.7), (3, 0.07, 5.1))
    assert ends_of(build.house())["up@end"].below is None


def test_two_walls_drawn_on_top_of_each_other_end_the_walk():
    """Flat walls at one height must not stand on each other in a ring."""
    build = Build(storeys=())
    build.wall("a", (0, -0.07, 0), (3, 0.07, 0.1))
    build.wall("b", (0, -0.01, 0), (3, 0.07, 0.1))
    for end in build.house().nodes["wall_end"]:
        assert end.below is None


def test_split_level_is_ground_not_an_upper_storey():
    """The second wall stands 1.2 m higher on undrawn ground; nothing of a storey lies below it."""
    build = Build(storeys=())
    build.wall("a", (0, -0.07, 0), (3, 0.07, 2.4))
    build.wall("b", (8, -0.07, 1.2), (11, 0.07, 3.6))
    ends = ends_of(build.house())
    assert all(end.on_foundation for end in ends.values())
    assert not any(step.slot == "transfer" for end in ends.values() for step in end.steps)


def test_wall_end_point_and_inset():
    build = Build()
    build.wall("w", (0, -0.07, 0), (4, 0.07, 2.4), axes=turned(30))
    end = build.house().nodes["wall_segment"][0].ends[1]
    assert end.point == pytest.approx([4 * np.cos(np.pi / 6), 4 * np.sin(np.pi / 6), 0.0])


def test_turning_the_house_turns_nothing_else():
    """The same stack at several angles to the axes: same chains, state by state."""
    wanted = None
    for degrees in (0.0, 17.0, 45.0, 89.0):
        axes = turned(degrees)
        build = Build()
        for level, sole in enumerate(SOLES):
            build.wall(f"w{level}", (0, -THICK / 2, sole), (LENGTH, THICK / 2, sole + 2.4), axes=axes)
            build.add(f"p{level}", "post", block((0, -0.07, sole + 0.04), (0.076, 0.07, sole + 2.3), axes))
        build.add("tie", "hold_down", block((0.076, -0.03, 0.1), (0.146, 0.03, 0.4), axes))
        build.add("rod", "rod", bar(np.array([0.11, 0, -0.4]) @ axes, np.array([0.11, 0, 0.3]) @ axes))
        build.add("foot", "footing", block((-0.2, -0.2, -0.6), (LENGTH, 0.2, 0), axes))
        end = ends_of(build.house())["w0@start"]
        found = [(step.slot, step.state) for step in end.steps]
        wanted = wanted or found
        assert found == wanted
    assert wanted == [("base tie", "joined"), ("anchor rod", "joined"), ("foundation", "joined")]
