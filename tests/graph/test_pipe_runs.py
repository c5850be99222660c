"""Vent runs: direction, fall, roles, chain; degenerate input never throws."""

import numpy as np
import pytest

from modellint.findings.vent_paths import vent_paths
from modellint.graph.fall import UPRIGHT, fall_of, slope_of
from modellint.ifc.solid import Box, Solid
from modellint.roles.part import Rung
from tests.builders_soilgas import Build, block, small_house

EIGHTH = 1 / 96  # 1/8 in per ft, ANSI/AARST SGM-SF-2017 (12/20) 6.2.2: 10.4167 mm per m


def fall(house, key):
    return fall_of(house.nodes["piping"][0].pieces[key], 0.025)


def test_an_eighth_of_an_inch_per_foot():
    slope, drop, run = slope_of(np.array([0, 0, 0.0104167]), np.array([1.0, 0, 0]), 0.1, 0.025)
    assert slope == pytest.approx(EIGHTH, abs=1e-6)
    assert drop * 1000 == pytest.approx(10.4167, abs=1e-3)
    assert run == 1.0


@pytest.mark.parametrize("mesh", [False, True])
@pytest.mark.parametrize("slope", [EIGHTH, 0.005, 0.0, -0.005, -1 / 60])
def test_fall_is_positive_toward_the_suction_side(slope, mesh):
    found = fall(small_house(fall=slope, mesh=mesh).house(), "offset")
    assert found.low == found.high == pytest.approx(slope, abs=1e-5)


def test_an_upright_pipe_passes_only_with_its_suction_side_below():
    assert fall(small_house().house(), "riser").low == UPRIGHT
    slope, *_ = slope_of(np.array([0, 0, 0.0]), np.array([0.01, 0, 1.0]), 0.1, 0.025)
    assert slope == -UPRIGHT


def test_without_suction_the_end_away_from_the_exit_is_the_suction_side():
    house = small_house(skip=("tee", "col-1", "col-2")).house()
    found = fall(house, "offset")
    assert found.low == pytest.approx(EIGHTH, abs=1e-5)
    assert "exit" in found.reason


def test_with_neither_end_known_both_directions_are_possible():
    b = Build()
    b.pipe("p", (0, 0, 3), (2, 0, 3.02))
    found = fall(b.house(), "p")
    assert (found.low, found.high) == (pytest.approx(-0.01), pytest.approx(0.01))


def test_a_loop_may_drain_both_ways():
    b = Build()
    b.pipe("c1", (0, 0, 0), (0, 4, 0), role="collector")
    b.pipe("c2", (2, 0, 0), (2, 4, 0), role="collector")
    b.pipe("cross", (0, 0, 0), (2, 0, 0.02))
    found = fall(b.house(), "cross")
    assert found.low < 0 < found.high


def test_the_chain_runs_from_suction_to_exit():
    house = small_house().house()
    (run,) = house.nodes["vent_run"]
    assert run.order == ("tee", "riser", "elbow-1", "offset", "elbow-2", "stack")
    (path,) = vent_paths(house)
    assert path.verdict == "joined"
    assert [slot.parts[0][1] for slot in path.slots] == list(run.order)
    assert [link.state for link in path.links] == ["joined"] * 5


@pytest.mark.parametrize("lost", ["tee", "riser", "elbow-1", "offset", "elbow-2", "stack"])
def test_any_piece_taken_out_breaks_the_chain(lost):
    paths = vent_paths(small_house(skip=(lost,)).house())
    assert paths
    assert all(path.verdict != "joined" for path in paths)


def test_a_gap_is_the_broken_link_of_the_path():
    (path,) = vent_paths(small_house(gap=0.15).house())
    assert path.verdict == "broken"
    assert [link.state for link in path.links].count("broken") == 1
    assert path.links[1].gap > 0.02


def test_pipes_of_unknown_purpose_take_the_colour_of_their_network():
    b = small_house()
    for key, role in (("offset", "pipe"), ("elbow-2", "fitting")):
        b.parts[key].roles = {role: Rung.DECLARED}
    house = b.house()
    assert house.parts["offset"].roles["vent_pipe"] is Rung.INFERRED
    assert house.parts["elbow-2"].roles["vent_fitting"] is Rung.INFERRED
    assert house.parts["offset"].grounds["vent_pipe"][-1].kind == "place"
    assert house.parts["offset"] in house.with_role("vent_pipe")


def test_an_uncoloured_way_from_gravel_to_roof_is_a_vent():
    b = small_house(skip=("col-1", "col-2"))
    for key in ("riser", "offset", "stack"):
        b.parts[key].roles = {"pipe": Rung.DECLARED}
    for key in ("tee", "elbow-1", "elbow-2"):
        b.parts[key].roles = {"fitting": Rung.DECLARED}
        b.parts[key].element.name = "fitting"
    b.parts.pop("tee")
    b.pipe("drop", (6, 4, -0.15), (6, 4, -0.09), role="pipe")
    house = b.house()
    assert len(house.nodes["vent_run"]) == 1
    assert house.parts["stack"].roles["vent_pipe"] is Rung.INFERRED


def test_plumbing_alone_is_no_vent():
    b = Build()
    b.pipe("drain", (0, 0, 0), (0, 0, 3), role="plumbing_pipe", systems=("Sanitary",))
    b.pipe("pipe", (0, 0, 3), (0, 0, 5), role="pipe")
    house = b.house()
    assert house.nodes["vent_run"] == ()
    assert "plumbing_pipe" in house.parts["pipe"].roles


def test_a_tie_into_plumbing_shows_both_colours():
    (run,) = small_house(plumbing=True).house().nodes["vent_run"]
    assert run.network.colours == {"soil-gas", "plumbing"}


def nan_box():
    return Box(np.full(3, np.nan), np.eye(3), np.ones(3))


@pytest.mark.parametrize(
    "solid",
    [
        (),
        (Solid("mesh", nan_box(), mesh=(np.full((4, 3), np.nan), np.array([[0, 1, 2]]))),),
        (block((0, 0, 0), (0, 0, 0)),),
        (block((2e6, 0, 0), (2e6 + 1, 1, 1)),),
        (Solid("extrusion", nan_box(), axis=np.zeros((2, 3)), radius=0.05),),
    ],
)
@pytest.mark.parametrize(
    "role",
    [
        "vent_pipe",
        "vent_fitting",
        "collector",
        "permeable_layer",
        "roof",
        "footing",
        "label",
        "window",
        "vent_terminal",
    ],
)
def test_degenerate_parts_never_throw(solid, role):
    b = small_house()
    b.add("odd", role, *solid)
    if role != "roof":
        assert vent_paths(b.house())
    else:
        b.house()


def test_nothing_at_all():
    house = Build().house()
    assert house.nodes["vent_run"] == ()
    assert vent_paths(house) == []


def test_the_order_of_parts_does_not_matter():
    b = small_house(fall=-0.01)
    b.parts = dict(reversed(list(b.parts.items())))
    one, two = b.house(), small_house(fall=-0.01).house()
    assert [run.order for run in one.nodes["vent_run"]] == [run.order for run in two.nodes["vent_run"]]
    assert [pool.key for pool in one.nodes["pool"]] == [pool.key for pool in two.nodes["pool"]]
