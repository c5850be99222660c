"""Joints: stated ones with their measured gap, inferred ones by distance, networks against networkx."""

import itertools

import networkx
import numpy as np
import pytest

from tests.builders_soilgas import OD3, Build, small_house


def states(house):
    return {
        tuple(sorted((j.first.part.key, j.second.part.key))): (j.origin, j.state)
        for network in house.nodes["network"]
        for j in network.joints
    }


def two_pipes(gap, joined=True, order=("a2", "b1")):
    b = Build()
    b.pipe("a", (0, 0, 0), (0, 0, 1))
    b.pipe("b", (0, 0, 1 + gap), (0, 0, 2 + gap))
    for key, part, z in (("a1", "a", 0), ("a2", "a", 1), ("b1", "b", 1 + gap), ("b2", "b", 2 + gap)):
        b.port(key, part, (0, 0, z))
    if joined:
        b.join(*order)
        b.join(*reversed(order))
    return b


# limit of 20 mm: setting joint_gap, common practice, no source
@pytest.mark.parametrize(
    ("gap", "state"), [(0.0, "joined"), (0.020, "joined"), (0.0201, "broken"), (0.150, "broken")]
)
def test_a_stated_joint_is_measured_and_counted_once(gap, state):
    house = two_pipes(gap).house()
    (network,) = house.nodes["network"]
    assert len(network.joints) == 1
    assert network.joints[0].origin == "stated"
    assert network.joints[0].state == state
    assert network.joints[0].gap == pytest.approx(gap, abs=1e-9)


def test_the_direction_of_a_port_relation_does_not_matter():
    assert states(two_pipes(0.01).house()) == states(two_pipes(0.01, order=("b1", "a2")).house())


def test_ports_without_a_place_join_with_unknown_gap():
    b = Build()
    b.add("a", "vent_pipe")
    b.add("b", "vent_pipe")
    b.port("a2", "a", None)
    b.port("b1", "b", None)
    b.join("a2", "b1")
    joint = b.house().nodes["network"][0].joints[0]
    assert (joint.state, joint.gap) == ("joined", None)


# 25 mm or a quarter of the outside diameter: setting joint_inferred, common practice, no source
@pytest.mark.parametrize(("gap", "od", "count"), [(0.024, OD3, 1), (0.026, OD3, 2), (0.040, 0.1683, 1)])
def test_ends_meet_within_25_mm_or_a_quarter_of_the_diameter(gap, od, count):
    b = Build()
    b.pipe("a", (0, 0, 0), (0, 0, 1), od=od)
    b.pipe("b", (0, 0, 1 + gap), (0, 0, 2), od=od)
    networks = b.house().nodes["network"]
    assert [joint.state for network in networks for joint in network.joints].count("joined") == 2 - count


def test_only_the_nearest_end_joins():
    b = Build()
    b.pipe("a", (0, 0, 0), (0, 0, 1))
    b.pipe("b", (0, 0, 1.005), (0, 0, 2))
    b.pipe("c", (0.015, 0, 1.0), (1, 0, 1.0))
    house = b.house()
    assert states(house)[("a", "b")] == ("inferred", "joined")


def test_crossing_pipes_are_no_joint():
    b = Build()
    b.pipe("a", (-1, 0, 0), (1, 0, 0))
    b.pipe("b", (0, -1, 0), (0, 1, 0))
    assert len(b.house().nodes["network"]) == 2


def test_an_end_on_a_side_is_a_tee():
    b = Build()
    b.pipe("main", (0, 0, 0), (0, 0, 3))
    b.pipe("branch", (0.05, 0, 1.5), (1, 0, 1.6))
    (network,) = b.house().nodes["network"]
    assert len(network.pieces["main"].spans) == 2


def test_a_gap_in_line_is_named_as_a_broken_joint():
    house = small_house(gap=0.150).house()
    assert states(house)[("elbow-1", "riser")] == ("inferred", "broken")


def test_a_cap_closes_an_end():
    (run,) = small_house(cap=True).house().nodes["vent_run"]
    assert "outlet" not in run.ends.values()
    assert "capped" in run.ends.values()


@pytest.mark.parametrize("seed", range(12))
def test_networks_equal_the_components_networkx_finds(seed):
    """Random pipes on a unit grid: pieces hang together exactly where they share a grid point (brute
    force)."""
    rng = np.random.default_rng(seed)
    b, wires = Build(), {}
    for k in range(10):
        start = rng.integers(0, 4, 3)
        end = start.copy()
        end[rng.integers(0, 3)] += 1
        b.pipe(f"p{k}", start * 1.0, end * 1.0)
        wires[f"p{k}"] = {tuple(start), tuple(end)}
    expected = networkx.Graph()
    expected.add_nodes_from(wires)
    expected.add_edges_from((x, y) for x, y in itertools.combinations(wires, 2) if wires[x] & wires[y])
    found = {frozenset(network.pieces) for network in b.house().nodes["network"]}
    assert found >= {
        frozenset(part)
        for part in networkx.connected_components(expected)
        if all(len([w for w in wires.values() if point in w]) <= 2 for key in part for point in wires[key])
    }
