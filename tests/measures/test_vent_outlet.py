"""Exits: height over a known roof plane, and the opening rule of IRC 2018 AF103.6.1 as a truth table.

AF103.6.1: the exhaust ends at least 12 in above the roof, at least 10 ft away from any window or other
opening
into conditioned space that is less than 2 ft below the exhaust point, and 10 ft from any opening in
adjoining or
adjacent buildings (no relief by height there).
"""

import numpy as np
import pytest

from modellint.ifc.model import Element, SpatialNode
from tests.builders_soilgas import OD3, Build, block, ridge, slope_slab, small_house
from tests.measures.soil_gas_rules import ask, failed, outcomes

RIM = 0.077267 / 2  # Schedule 40, 3 in, average inside diameter
FOOT = 0.3048


def exit_house(dz, distance, neighbour=False, **properties):
    """An exit at 8 m; a window whose top lies dz below it and whose nearest point lies `distance` from the
    rim."""
    b = Build()
    b.pipe("col", (0, 0, -0.15), (0, 1, -0.15), role="collector")
    b.pipe("riser", (0, 0, -0.15), (0, 0, 8))
    b.add("roof", "roof", block((-0.2, -0.2, 7.5), (0.2, 0.2, 7.6)))
    top = 8 - dz
    rise = max(dz, 0.0)  # a window that reaches above the exit is nearest level with it
    away = RIM + (distance**2 - rise**2) ** 0.5
    window = block((away, -0.5, top - 1.2), (away + 0.1, 0.5, top))
    for k in (1, 2):  # windows are drawn as a matter of course
        b.add(f"far-{k}", "window", block((0, 60 + k, 1), (1, 60.1 + k, 2)))
    if neighbour:
        b.spaces["N"] = SpatialNode("N", "building", "Next house")
        b.more["W"] = Element("W", "W", 99, "IfcWindow", name="W", building="N", solids=(window,))
    else:
        b.add("W", "window", window, **properties)
    return b.house()


# T1 to T4 follow from the clause with 2 ft = 609.6 mm and 10 ft = 3048 mm; dz is exit less top of opening
TABLE = [
    ("T1", 0.609, 3.047, True, True),
    ("T2", 0.610, 1.000, False, True),
    ("T3", -0.500, 3.048, False, False),
    ("T4", 0.0, 3.000, True, True),
    ("at 2 ft", 2 * FOOT, 1.0, False, True),
    ("at 10 ft", 0.3, 10 * FOOT, False, False),
]


@pytest.mark.parametrize(
    ("dz", "distance", "own", "adjoining"), [row[1:] for row in TABLE], ids=[row[0] for row in TABLE]
)
def test_opening_truth_table(dz, distance, own, adjoining):
    assert ("exit-near-opening" in failed(exit_house(dz, distance))) is own
    assert ("exit-near-neighbour-opening" in failed(exit_house(dz, distance, neighbour=True))) is adjoining


def test_fixed_glazing_does_not_count():
    assert "exit-near-opening" not in failed(exit_house(0.0, 1.0, IsOperable=False))
    assert "exit-near-opening" in failed(exit_house(0.0, 1.0, IsOperable=True))


def test_no_windows_drawn_is_open_not_passed():
    house = small_house().house()
    assert outcomes(house, "exit-near-opening") == [("exit-near-opening", "stack#1@outlet", "open")]


def test_a_neighbour_nobody_drew_is_open():
    assert [row[2] for row in outcomes(exit_house(0.0, 9.0), "exit-near-neighbour-opening")] == ["open"]


def measured(house, name, *more):
    (outlet,) = house.nodes["vent_outlet"]
    return ask(house).measure(name, outlet, *more)


@pytest.mark.parametrize("above", [0.305, 0.3048, 0.2, 1.0])
@pytest.mark.parametrize("mesh", [False, True])
def test_height_over_a_roof_plane_of_6_in_12(above, mesh):
    """The roof's height is known by its pitch: highest under the mouth at its uphill rim, x - r."""
    found = measured(small_house(exit_above=above, mesh=mesh).house(), "exit_above_roof")
    assert found.low == found.high == pytest.approx(above, abs=2e-5)


def test_twelve_inches_pass_and_less_fails():
    assert "exit-above-roof" not in failed(small_house(exit_above=12 * 0.0254).house())
    assert "exit-above-roof" in failed(small_house(exit_above=12 * 0.0254 - 0.0002).house())


def test_ridge_under_the_mouth_counts():
    b = Build()
    b.pipe("p", (5, 4, 0), (5, 4, 9), systems=("Soil gas",))
    b.add("w", "roof", slope_slab([(0, 0, 5.5), (5, 0, 8), (5, 8, 8), (0, 8, 5.5)]))
    b.add("e", "roof", slope_slab([(5, 0, 8), (10, 0, 5.5), (10, 8, 5.5), (5, 8, 8)]))
    assert measured(b.house(), "exit_above_roof").low == pytest.approx(9 - ridge(5))


def test_no_roof_drawn_is_not_known():
    found = measured(small_house(skip=("roof-w", "roof-e")).house(), "exit_above_roof")
    assert not found.known
    assert found.missing


def test_half_a_roof_leaves_the_exit_open_or_outside_but_never_passed():
    house = small_house(skip=("roof-e",)).house()
    assert "exit-above-roof" not in failed(house) or house.nodes["vent_outlet"] == ()
    for outlet in house.nodes["vent_outlet"]:
        found = ask(house).measure("exit_above_roof", outlet)
        assert any("outside" in item.what for item in found.evidence) or not found.known


def test_string_goes_over_the_ridge():
    """Exit east of the ridge, window in the west wall's gable side: longer than straight, and bounded by
    hand.

    The shortest way over the ridge line (x = 5, z = 8) from rim to window is the sum of two straight legs.
    """
    b = small_house()
    b.add("w1", "window", block((2.0, 3.5, 6.0), (2.05, 4.5, 6.3)), IsOperable=True)
    b.add("w2", "window", block((0, 0, 1), (0.1, 1, 2)))
    house = b.house()
    found = measured(house, "string_distance", house.parts["w1"])
    point = house.nodes["vent_outlet"][0].end.point
    straight = float(np.linalg.norm(point - [2.05, 4, 6.3]))
    ridge_point = np.array([5, 4, 8.0])
    over = np.linalg.norm(point - ridge_point) + np.linalg.norm(ridge_point - [2.05, 4, 6.3])
    assert found.low >= straight - 2 * OD3
    assert found.high == np.inf or found.high <= over + 0.05
