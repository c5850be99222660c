"""Plan areas, heights and stretched strings against shapely and numbers worked by hand."""

import numpy as np
import pytest
import shapely

from modellint.contacts.polylines import cut, nearest_on, tube_line, usable
from modellint.contacts.strings import Mouth, straight, string_range
from modellint.contacts.surfaces import (
    all_triangles,
    cross,
    height_under_circle,
    hits,
    hits_of,
    out_of_reach,
    plan_of,
    sharp_edges,
    triangles_of,
)
from modellint.ifc.solid import Box, Solid
from tests.builders_soilgas import block, mesh_tube, slope_slab

UP = np.array([0, 0, 1.0])


def area(triangles):
    return (
        np.linalg.norm(
            np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]), axis=1
        ).sum()
        / 2
    )


def l_shape(hole=()):
    ring = np.array([[0, 0, 0], [4, 0, 0], [4, 1, 0], [1, 1, 0], [1, 3, 0], [0, 3, 0.0]])
    return Solid(
        "extrusion",
        Box(np.array([2, 1.5, 0.5]), np.eye(3), np.array([2, 1.5, 0.5])),
        outline=ring,
        holes=tuple(np.array(h, float) for h in hole),
        sweep=UP,
    )


def test_surface_of_a_block():
    assert area(triangles_of(block((0, 0, 0), (2, 3, 4)))) == pytest.approx(2 * (6 + 8 + 12))


@pytest.mark.parametrize("hole", [(), ([[0.2, 0.2, 0], [0.8, 0.2, 0], [0.8, 0.8, 0], [0.2, 0.8, 0]],)])
def test_an_l_with_and_without_a_hole(hole):
    """4 x 1 + 1 x 2 = 6 m2 in plan, less 0.36 m2 of hole; sides 14 m and 2.4 m of rim, 1 m high."""
    solid = l_shape(hole)
    less = 0.36 if hole else 0
    assert plan_of([solid]).area == pytest.approx(6 - less)
    assert area(triangles_of(solid)) == pytest.approx(2 * (6 - less) + 14 + (2.4 if hole else 0), rel=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_plan_of_a_leaning_mesh_equals_its_hull(seed):
    """A convex body's plan is the convex hull of its corners in plan (shapely)."""
    rng = np.random.default_rng(seed)
    solid = mesh_tube(rng.random(3), rng.random(3) * 4 + 1, 0.3)
    assert plan_of([solid]).area == pytest.approx(
        shapely.MultiPoint(solid.mesh[0][:, :2]).convex_hull.area, rel=1e-6
    )


@pytest.mark.parametrize("pitch", [0.0, 0.25, 0.5, 1.0])
@pytest.mark.parametrize("radius", [0.0, 0.05])
def test_height_of_a_known_plane(pitch, radius):
    roof = triangles_of(slope_slab([(0, 0, 5), (4, 0, 5 + 4 * pitch), (4, 4, 5 + 4 * pitch), (0, 4, 5)]))
    found = height_under_circle(roof, np.array([1.5, 2.0]), radius)
    assert found == pytest.approx(5 + pitch * (1.5 + radius))


def test_height_off_the_roof_is_none():
    assert height_under_circle(triangles_of(block((0, 0, 0), (1, 1, 1))), np.array([5.0, 5.0]), 0.1) is None


def test_a_line_through_a_block_crosses_two_faces():
    found = hits(triangles_of(block((0, 0, 0), (1, 1, 1))), np.array([-1, 0.4, 0.3]), np.array([3, 0.4, 0.3]))
    assert sorted(set(np.round(found, 9))) == [0.25, 0.5]


def test_a_block_has_twelve_sharp_edges():
    assert len(sharp_edges(triangles_of(block((0, 0, 0), (1, 2, 3))))) == 12


def test_straight_string_from_a_rim():
    mouth = Mouth(np.array([0, 0, 5.0]), UP, 0.05)
    window = Box(np.array([3.05, 0, 4.0]), np.eye(3), np.array([0.05, 0.5, 0.5]))
    gap, *_ = straight(mouth, window)
    assert gap == pytest.approx(np.hypot(2.95, 0.5))


def test_string_over_a_wall_by_hand():
    """From (0,0,0) over a thin wall 3 m high at x = 4 to a point at (8,0,0): two legs of 5 m."""
    wall = triangles_of(block((3.9999, -50, -50), (4.0001, 50, 3)))
    target = Box(np.array([8.0, 0, 0]), np.eye(3), np.full(3, 1e-6))
    low, high = string_range(Mouth(np.zeros(3), UP, 0.0), target, wall)
    assert low == pytest.approx(10.0, abs=2e-3)
    assert low <= high
    assert high == pytest.approx(10.0, abs=2e-3) or high == np.inf


def test_a_clear_string_is_exact():
    low, high = string_range(
        Mouth(np.zeros(3), UP, 0.0),
        Box(np.array([3, 4, 0.0]), np.eye(3), np.full(3, 1e-9)),
        all_triangles([block((10, 10, 10), (11, 11, 11))]),
    )
    assert low == high == pytest.approx(5.0)


@pytest.mark.parametrize("fall", [0.0, 1 / 96, -0.02])
def test_the_axis_of_a_meshed_pipe_keeps_its_fall(fall):
    line, radius = tube_line(mesh_tube((0, 0, 0), (2, 0, 2 * fall), 0.05).mesh[0])
    assert (line[1, 2] - line[0, 2]) / (line[1, 0] - line[0, 0]) == pytest.approx(fall, abs=1e-6)
    assert radius == pytest.approx(0.05, abs=1e-6)


def test_a_short_mesh_has_no_axis():
    assert tube_line(mesh_tube((0, 0, 0), (0.15, 0, 0), 0.05).mesh[0]) is None


def test_polylines():
    line = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0.0]])
    gap, along, foot = nearest_on(line, np.array([1.5, 0.5, 0]))
    assert (gap, along) == (0.5, 1.5)
    assert foot.tolist() == [1, 0.5, 0]
    assert cut(line, 0.5, 1.5).tolist() == [[0.5, 0, 0], [1, 0, 0], [1, 0.5, 0]]
    assert not usable(np.array([[np.nan, 0, 0]]))
    assert not usable(np.array([[2e6, 0, 0]]))


# --- quick ways against slow ones --------------------------------------------------------------------------


def heap(seed, count=25):
    """Boxes in all positions, as triangles."""
    rng = np.random.default_rng(seed)
    made = []
    for _ in range(count):
        turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
        made.append(Solid("mesh", Box(rng.uniform(-3, 3, 3), turn, rng.uniform(0.1, 1.0, 3))))
    return all_triangles(made)


def test_cross_products_are_those_of_numpy():
    rng = np.random.default_rng(5)
    a, b = rng.normal(size=(40, 3)), rng.normal(size=(40, 3))
    assert (cross(a, b) == np.cross(a, b)).all()


@pytest.mark.parametrize("radius", [0.0, 0.2])
def test_height_under_a_circle_is_the_highest_of_a_fine_raster(radius):
    triangles = heap(3)
    rng = np.random.default_rng(4)
    around = np.linspace(0, 2 * np.pi, 60)
    for centre in rng.uniform(-3, 3, (12, 2)):
        spots = [centre + share * radius * np.array([np.cos(t), np.sin(t)]) for share in (0, 0.5, 1) for t in around]
        seen = [hits(triangles, np.array([*spot, 9.0]), np.array([*spot, -9.0])) for spot in spots]
        raster = max((9.0 - 18.0 * float(found.min()) for found in seen if len(found)), default=None)
        exact = height_under_circle(triangles, centre, radius)
        assert (exact is None) == (raster is None)
        if exact is not None and raster is not None:
            assert raster - 1e-9 <= exact <= raster + (0.15 if radius else 1e-9)


def test_several_lines_at_once_hit_what_each_of_them_hits():
    triangles = heap(7)
    rng = np.random.default_rng(8)
    starts, ends = rng.uniform(-4, 4, (9, 3)), rng.uniform(-4, 4, (9, 3))
    for found, start, end in zip(hits_of(triangles, starts, ends), starts, ends, strict=True):
        assert found == pytest.approx(hits(triangles, start, end))


def test_a_line_out_of_reach_meets_nothing():
    solid = block((0, 0, 0), (1, 1, 1))
    rng = np.random.default_rng(9)
    for start, end in zip(rng.uniform(-2, 3, (300, 3)), rng.uniform(-2, 3, (300, 3)), strict=True):
        if out_of_reach(solid, start, end):
            assert len(hits(triangles_of(solid), start, end)) == 0


def test_a_convex_profile_and_its_pieces_cover_the_same():
    ring = np.array([[0, 0, 0], [2, 0, 0], [3, 1, 0], [2, 2, 0], [0, 2, 0.0]])
    solid = Solid("extrusion", Box(np.array([1.5, 1, 0.5]), np.eye(3), np.array([1.5, 1, 0.5])), outline=ring, sweep=UP)
    flat = shapely.Polygon(ring[:, :2])
    assert area(triangles_of(solid)) == pytest.approx(2 * flat.area + flat.length)
