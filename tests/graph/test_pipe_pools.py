"""Standing water: volumes against numerical integration, spill levels against brute force, a known low
point."""

from itertools import pairwise
from math import acos, pi, sqrt

import networkx
import numpy as np
import pytest

from modellint.graph.pools import segment_area, spill_levels, wedge_volume
from tests.builders_soilgas import small_house


def chord_area(depth, radius, slices=200_001):
    """Area under a water line by adding up chords: independent of the closed form."""
    h = np.linspace(0, depth, slices)
    return float(np.trapezoid(2 * np.sqrt(np.maximum(2 * radius * h - h * h, 0)), h))


@pytest.mark.parametrize("share", [0.05, 0.25, 0.5, 0.75, 1.0])
def test_segment_area_equals_the_sum_of_its_chords(share):
    radius = 0.0508
    assert segment_area(share * 2 * radius, radius) == pytest.approx(
        chord_area(share * 2 * radius, radius), rel=1e-5
    )


def test_segment_area_of_half_and_full_bore():
    assert segment_area(0.05, 0.05) == pytest.approx(pi * 0.05**2 / 2)
    assert segment_area(0.10, 0.05) == pytest.approx(pi * 0.05**2)


@pytest.mark.parametrize(
    ("first", "second"), [(0.0, 0.02), (0.01, 0.04), (-0.03, 0.02), (0.02, 0.15), (0.03, 0.03), (-0.01, 0.12)]
)
def test_wedge_volume_equals_numerical_integration(first, second):
    radius, length = 0.0508, 1.2
    x = np.linspace(0, 1, 20_001)
    areas = [segment_area(first + (second - first) * t, radius) for t in x]
    assert wedge_volume(first, second, length, radius) == pytest.approx(
        float(np.trapezoid(areas, x)) * length, rel=1e-6
    )


def test_a_dry_pipe_holds_nothing():
    assert wedge_volume(-0.1, -0.01, 2.0, 0.05) == 0.0
    assert wedge_volume(0.01, 0.02, 0.0, 0.05) == 0.0


def test_worked_low_point_of_a_4_in_attic_leg():
    """1.2 m of 4 in pipe, one end 20 mm low: 0.55 L by adding up chords, and 14 % of the bore closed at
    the low end.

    theta = 2 acos(1 - 20/50.8) = 1.839 rad; segment = R^2/2 (theta - sin theta).
    """
    radius = 0.0508
    theta = 2 * acos(1 - 0.020 / radius)
    area = radius**2 / 2 * (theta - 2 * (1 - 0.020 / radius) * sqrt(1 - (1 - 0.020 / radius) ** 2))
    assert segment_area(0.020, radius) == pytest.approx(area, rel=1e-9)
    assert area / (pi * radius**2) == pytest.approx(0.139, abs=0.001)
    x = np.linspace(0, 1, 501)
    litres = 1.2 * float(np.trapezoid([chord_area(0.020 * t, radius, 2001) for t in x], x)) * 1000
    assert litres == pytest.approx(0.552, abs=0.001)
    assert wedge_volume(0, 0.020, 1.2, radius) * 1000 == pytest.approx(litres, rel=1e-4)


@pytest.mark.parametrize("seed", range(30))
def test_spill_levels_equal_brute_force_over_all_paths(seed):
    rng = np.random.default_rng(seed)
    graph = networkx.gnm_random_graph(7, 8, seed=seed)
    inverts = {str(node): float(rng.integers(0, 6)) for node in graph}
    edges = [(str(a), str(b)) for a, b in graph.edges]
    drains = {"0", "3"}
    named = networkx.Graph(edges)
    named.add_nodes_from(inverts)
    found = spill_levels(inverts, edges, drains)
    for node in inverts:
        ways = [
            path
            for drain in drains
            if networkx.has_path(named, node, drain)
            for path in ([[node]] if node == drain else networkx.all_simple_paths(named, node, drain))
        ]
        if ways:
            assert found[node] == min(max(inverts[step] for step in path) for path in ways)
        else:
            assert node not in found


def test_a_house_that_falls_back_has_no_low_point():
    assert small_house().house().nodes["pool"] == ()


@pytest.mark.parametrize("mesh", [False, True])
def test_the_low_end_of_a_wrong_leg_is_the_low_point(mesh):
    """Leg of 1.08 m between the elbows falling 1/60 away from the riser: 18 mm at its far end."""
    (pool,) = small_house(fall=-1 / 60, mesh=mesh).house().nodes["pool"]
    assert pool.part.key == "offset"
    assert pool.depth == pytest.approx(1.08 / 60, abs=1e-6)
    assert pool.lift == pytest.approx(1.08 / 60, abs=1e-6)
    assert pool.volume == pytest.approx(wedge_volume(0, 1.08 / 60, 1.08, 0.077267 / 2), rel=0.01)
    assert 0.1 < pool.closed < 0.3


def test_water_in_a_house_is_the_same_from_both_ends():
    """Order of points of a pipe does not matter."""
    depths = []
    for flip in (False, True):
        b = small_house(fall=-1 / 60)
        part = b.parts["offset"]
        if flip:
            part.axis = part.axis[::-1]
        depths.append([round(pool.depth, 9) for pool in b.house().nodes["pool"]])
    assert all(a == b for a, b in pairwise(depths))
