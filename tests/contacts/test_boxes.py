"""Boxes and lines against shapely and against dense sampling."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from modellint.contacts.boxes import (
    apart,
    box_gap,
    box_of,
    clip_line,
    length_inside,
    line_gap,
    line_line_gap,
    point_gap,
    union_box,
)
from modellint.contacts.touching import box_gaps, near_pairs, touching
from modellint.ifc.solid import Box

place = st.floats(-3, 3, allow_nan=False)
size = st.floats(0.005, 2)
angle = st.floats(0, 180)


def turned_box(x, y, z, a, b, c, degrees) -> Box:
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return Box(
        np.array([x, y, z]), np.array([[cos, sin, 0], [-sin, cos, 0], [0, 0, 1.0]]), np.array([a, b, c])
    )


upright = st.builds(turned_box, place, place, place, size, size, size, angle)


@st.composite
def tilted(draw) -> Box:
    raw = np.array(draw(st.lists(st.floats(-1, 1), min_size=9, max_size=9))).reshape(3, 3) + 2 * np.eye(3)
    axes, _ = np.linalg.qr(raw)
    if np.linalg.det(axes) < 0:
        axes[2] *= -1
    return Box(
        np.array(draw(st.tuples(place, place, place))), axes, np.array(draw(st.tuples(size, size, size)))
    )


def plan(box: Box) -> shapely.Polygon:
    return shapely.MultiPoint(box.corners[:, :2]).convex_hull


def filled(box: Box, n: int = 7) -> np.ndarray:
    """Points all over the box, corners included."""
    share = np.linspace(-1, 1, n)
    grid = np.array(np.meshgrid(share, share, share, indexing="ij")).reshape(3, -1).T
    return box.centre + (grid * box.half) @ box.axes


@given(upright, upright)
@settings(max_examples=200, deadline=None)
def test_gap_of_upright_boxes_agrees_with_shapely(one, other):
    level = plan(one).distance(plan(other))
    high = max(one.low[2] - other.high[2], other.low[2] - one.high[2], 0.0)
    gap = box_gap(one, other)
    true = float(np.hypot(level, high))
    assert (gap > 1e-9) == (true > 1e-9) or abs(gap) < 1e-6
    assert gap <= true + 1e-9  # a lower bound between edges and corners
    if apart(one, other):
        assert true > 0


@given(tilted(), tilted())
@settings(max_examples=100, deadline=None)
def test_gap_of_tilted_boxes_is_a_lower_bound_and_finds_every_overlap(one, other):
    gap = box_gap(one, other)
    assert gap == pytest.approx(box_gap(other, one), abs=1e-9)
    points = filled(one)
    nearest = min(point_gap(other, point) for point in points)
    assert gap <= nearest + 1e-9
    if nearest == 0.0:
        assert gap <= 1e-9
    if gap > 1e-9:
        # separating axis: no point of one box lies in the other
        assert not any(other.contains(point) for point in points)
        assert not any(one.contains(point) for point in filled(other))


@given(st.floats(0.0, 1.0), size, size, angle)
def test_gap_between_parallel_faces_is_exact(distance, a, b, degrees):
    one = turned_box(0, 0, 0, a, 0.5, 0.5, degrees)
    other = turned_box(*(one.axes[0] * (a + distance + b)), b, 0.5, 0.5, degrees)
    assert box_gap(one, other) == pytest.approx(distance, abs=1e-9)


@given(tilted(), st.tuples(place, place, place), st.tuples(place, place, place))
@settings(max_examples=150, deadline=None)
def test_line_gap_and_clip_agree_with_sampling(box, start, end):
    start, end = np.array(start), np.array(end)
    times = np.linspace(0, 1, 801)
    points = start + times[:, None] * (end - start)
    outside = np.maximum(np.abs(box.local(points)) - box.half, 0.0)
    sampled = float(np.sqrt((outside**2).sum(axis=1)).min())
    step = float(np.linalg.norm(end - start)) / 800
    found = line_gap(box, np.array([start, end]))
    assert found <= sampled + 1e-7
    assert found >= sampled - step
    inside = times[(np.abs(box.local(points)) <= box.half).all(axis=1)]
    clipped = clip_line(box, start, end)
    if len(inside):
        assert clipped is not None
        assert clipped[0] <= inside[0] + 1e-9
        assert clipped[1] >= inside[-1] - 1e-9
        assert length_inside(box, np.array([start, end])) == pytest.approx(
            (inside[-1] - inside[0]) * 800 * step, abs=2 * step + 1e-6)
    else:
        assert clipped is None or clipped[1] - clipped[0] <= 1 / 400


def test_line_gap_of_a_bent_line_takes_its_nearest_stretch():
    box = turned_box(0, 0, 0, 0.5, 0.5, 0.5, 0)
    bent = np.array([[2.0, 0, 2], [2.0, 0, 0], [0.8, 0, 0], [2.0, 0, -2]])
    assert line_gap(box, bent) == pytest.approx(0.3)


@given(*[st.tuples(place, place, place)] * 4)
@settings(max_examples=150, deadline=None)
def test_distance_of_two_lines_agrees_with_sampling(a, b, c, d):
    a, b, c, d = (np.array(p) for p in (a, b, c, d))
    times = np.linspace(0, 1, 121)[:, None]
    one, two = a + times * (b - a), c + times * (d - c)
    sampled = float(np.linalg.norm(one[:, None] - two[None], axis=2).min())
    step = (float(np.linalg.norm(b - a)) + float(np.linalg.norm(d - c))) / 120
    found = line_line_gap(np.array([a, b]), np.array([c, d]))
    assert found <= sampled + 1e-6
    assert found >= sampled - step


@given(st.lists(st.tuples(place, place, place), min_size=3, max_size=25))
@settings(max_examples=150, deadline=None)
def test_smallest_upright_box_has_the_area_of_the_minimum_rotated_rectangle(points):
    points = np.round(np.array(points), 3)
    hull = shapely.MultiPoint(points[:, :2]).convex_hull
    box = box_of(points)
    assert (np.abs(box.local(points)) <= box.half + 1e-9).all()
    assert abs(box.axes[2, 2]) == 1.0
    assert np.linalg.det(box.axes) == pytest.approx(1.0)
    if hull.area > 1e-4:
        rectangle = hull.minimum_rotated_rectangle
        assert 4 * box.half[0] * box.half[1] == pytest.approx(rectangle.area, rel=1e-3, abs=1e-5)
    assert 2 * box.half[2] == pytest.approx(np.ptp(points[:, 2]))


def test_box_of_one_point_and_of_a_line_is_flat():
    assert box_of(np.array([[1.0, 2.0, 3.0]])).half.max() == 0.0
    line = box_of(np.array([[0.0, 0.0, 0.0], [3.0, 4.0, 0.0]]))
    assert sorted(2 * line.half) == pytest.approx([0.0, 0.0, 5.0])


def test_union_of_one_box_keeps_its_own_frame():
    box = turned_box(0, 0, 0, 1, 0.1, 0.1, 30)
    assert union_box([box]) is box
    assert union_box([box, box]).half.max() == pytest.approx(1.0, abs=1e-6)


@given(st.lists(st.one_of(st.none(), upright, tilted()), max_size=12), st.floats(0, 0.5))
@settings(max_examples=80, deadline=None)
def test_touching_agrees_with_every_pair_looked_at(boxes, reach):
    wanted = [sorted(k for k, other in enumerate(boxes) if k != n and box is not None and other is not None
                     and box_gap(box, other) <= reach) for n, box in enumerate(boxes)]
    assert touching(boxes, reach) == wanted
    pairs = near_pairs(boxes, reach)
    assert (pairs[:, 0] < pairs[:, 1]).all()
    assert {(a, b) for a, row in enumerate(wanted) for b in row if a < b} <= {
        tuple(p) for p in pairs.tolist()
    }
    for (a, b), gap in zip(pairs.tolist(), box_gaps(boxes, pairs), strict=True):
        assert gap == pytest.approx(box_gap(boxes[a], boxes[b]), abs=1e-9)


def test_touching_for_some_gives_their_rows_in_full():
    boxes = [turned_box(x, 0, 0, 0.5, 0.5, 0.5, 0) for x in (0.0, 1.0, 2.0, 3.0)]
    assert touching(boxes, 0.001, asking=[1])[1] == [0, 2]
    assert touching(boxes, 0.001, asking=[1])[3] == []
