"""`modellint whatif`: a changed copy judged in the child process, only what differs printed, the file untouched.

The sums are those of tests/lateral_job/test_sample_house.py.
"""

from __future__ import annotations

import hashlib

import numpy as np
import pytest
from click.testing import CliRunner

from modellint import pipeline
from modellint.cli.main import cli
from modellint.errors import UsageProblem
from modellint.ifc.changed import changed_model
from modellint.ifc.model import PropertyValue
from modellint.whatif import compare
from tests.lateral_job.houses import sample, written

NAMES = ("post", "base-tie", "base-nut", "anchor")


def quiet(_text: str) -> None:
    """Say nothing."""


@pytest.fixture(scope="module")
def model(tmp_path_factory):
    house = sample()
    return written(house, tmp_path_factory.mktemp("whatif")), house


def asked(model, moves=(), sets=()):
    return compare({"models": [str(model[0])], "moves": list(moves), "sets": list(sets)}, quiet, quiet)["what_if"]


def inward(house):
    return [[house.guid(f"SW-5/L1/1b/{name}"), 0.0, -0.300, 0.0] for name in NAMES]


def test_moving_tie_and_post_shows_both_ends_old_beside_new(model):
    rows = {row["name"]: row for row in asked(model, inward(model[1]))["ends"]}
    north, south = (next(row for name, row in rows.items() if f"Level 1, {word}" in name)
                    for word in ("north", "south"))
    assert north["before"]["lever_arm"]["low"] == pytest.approx(2.751, abs=1e-4)
    assert north["after"]["lever_arm"]["low"] == pytest.approx(2.451, abs=1e-4)
    assert (north["before"]["uplift_demand"]["low"] / 1000, north["after"]["uplift_demand"]["low"] / 1000) \
        == pytest.approx((6.70, 7.27), abs=0.1)
    assert south["after"]["uplift_demand"]["low"] / 1000 == pytest.approx(7.41, abs=0.1)
    assert north["after"]["margin"]["low"] / 1000 == pytest.approx(22 - 7.27, abs=0.1)
    # break-even: arm 2.451 - 12.91 / (22 - 2.01) = 1.805 m further in
    assert north["after"]["tie_may_move"]["low"] == pytest.approx(2.451 - 12.91 / 19.99, abs=0.002)
    assert not [name for name in rows if "SW-1" in name]


def test_nothing_changed_shows_nothing(model):
    what = asked(model, [[model[1].guid("SW-5/L1/1b/post"), 0.0, 0.0, 0.0]])
    assert what["ends"] == []
    assert what["findings"] == {"gone": [], "new": [], "changed": []}


def test_a_set_quantity_counts_before_all_others(model):
    tie = model[1].guid("SW-5/L1/1b/base-tie")
    what = asked(model, sets=[[tie, "tie_mark", "TD-1"]])
    assert [row["rule"] for row in what["findings"]["new"]] == ["tie-not-as-scheduled"]
    (end,) = what["ends"]
    assert (end["before"]["chain_capacity"]["high"], end["after"]["chain_capacity"]["high"]) == (22_000, 14_000)


@pytest.mark.parametrize(("piece", "quantity", "value", "name", "after"), [
    # 2.01 kN from above and (23.49 x 2.787 - 1.64) / 2.751, dead load as scheduled
    ("SW-5/L1", "shear_demand", "23.49 kN", "uplift_demand", 25.2),
    ("SW-5/L1", "tension_demand", "25 kN", "uplift_demand", 25.0),
    ("SW-5/L1/1b/base-tie", "tension_capacity", "5 kN", "chain_capacity", 5.0),
])
def test_supposed_loads_and_strengths_go_before_the_schedules(model, piece, quantity, value, name, after):
    what = asked(model, sets=[[model[1].guid(piece), quantity, value]])
    north = next(row for row in what["ends"] if "Level 1, north" in row["name"])
    assert north["before"][name]["low"] / 1000 == pytest.approx({"uplift_demand": 6.70}.get(name, 22.0), abs=0.01)
    assert north["after"][name]["low"] / 1000 == pytest.approx(after, abs=0.1)
    assert north["after"][name]["level"] == "ASD wind"
    rules = {row["rule"] for row in what["findings"]["new"]}
    assert "pull-exceeds-weakest-link" in rules
    assert not rules & {"capacities-disagree", "demands-disagree"}


def test_several_changes_at_once(model):
    tie = model[1].guid("SW-5/L1/1b/base-tie")
    what = asked(model, inward(model[1]), [[tie, "tie_mark", "TD-1"]])
    north = next(row for row in what["ends"] if "Level 1, north" in row["name"])
    assert north["after"]["margin"]["low"] / 1000 == pytest.approx(14 - 7.27, abs=0.1)


@pytest.mark.parametrize(("moves", "sets", "words"), [
    ([["nobody", 0.1, 0.0, 0.0]], [], "no element 'nobody'"),
    ([], [["TIE", "tie_mrk", "TD-1"]], "did you mean 'tie_mark'"),
    ([], [["TIE", "rod_diameter", "heavy"]], "rod_diameter"),
])
def test_wrong_changes_are_one_sentence(model, moves, sets, words):
    tie = model[1].guid("SW-5/L1/1b/base-tie")
    with pytest.raises(UsageProblem) as caught:
        asked(model, moves, [[tie, *row[1:]] for row in sets])
    assert words in str(caught.value)


def test_the_command_prints_the_difference_and_writes_nothing(model):
    path, house = model
    before = {file: hashlib.sha256(file.read_bytes()).hexdigest() for file in path.parent.rglob("*") if file.is_file()}
    moves = [part for row in inward(house) for part in ("--move", f"{row[0]}=0,-300mm,0")]
    result = CliRunner().invoke(cli, ["whatif", str(path), *moves, "--color", "never", "--width", "100"])
    assert result.exit_code == 0, result.output
    assert "lever arm      2751 mm -> 2451 mm" in result.output
    assert "pull           6.7 kN ASD wind -> 7.27 kN ASD wind" in result.output
    assert "margin         15.3 kN" in result.output
    assert "leans          2 mm -> 2.1 mm" in result.output
    assert "FINDINGS THAT COME" in result.output
    after = {file: hashlib.sha256(file.read_bytes()).hexdigest() for file in path.parent.rglob("*") if file.is_file()}
    assert after == before


@pytest.mark.parametrize("arguments", [
    [], ["--move", "x=1,2,3"], ["--move", "x=1mm,2mm"], ["--set", "x=3"], ["--set", "nodot=3"],
])
def test_wrong_usage_exits_2(model, arguments):
    result = CliRunner().invoke(cli, ["whatif", str(model[0]), *arguments])
    assert result.exit_code == 2
    assert "Traceback" not in result.output


def test_a_changed_copy_shares_nothing_that_it_changes(model):
    read = pipeline.read_model([model[0]], frozenset(), quiet)
    key = model[1].guid("SW-5/L1/1b/post")
    kept = read.elements[key].solids[0].box.centre.copy()
    made = changed_model(read, {key: np.array([0.0, -0.3, 0.0])}, {key: {("what if", "tie_mark"): PropertyValue("X")}})
    assert np.allclose(read.elements[key].solids[0].box.centre, kept)
    assert np.allclose(made.elements[key].solids[0].box.centre, kept + np.array([0.0, -0.3, 0.0]))
    assert ("what if", "tie_mark") not in read.elements[key].properties
    assert made.elements[key].properties["what if", "tie_mark"].value == "X"
