"""Ties that a wall property or the wall-end schedule states and nobody drew: they exist, their place is open."""

from __future__ import annotations

import numpy as np
import pytest

from modellint.rulebook.schedules import parse_schedule
from tests.builders_lateral import LENGTH, ask_of, ends_of, first_not_joined, states, two_storey_stack, verdict

START, END = "wall:1:0@start", "wall:1:0@end"


def bare(kind="tie", count=3, axis=None, **properties):
    """A stack of which no tie is drawn, with properties on the lower wall of stack 1."""
    build = two_storey_stack(kind, count)
    gone = [key for key in build.parts if key.split(":")[0] in {"base", "top", "anchor", "floorrod"}]
    build.drop(*gone)
    wall = build.parts["wall:1:0"].element
    from modellint.ifc.model import PropertyValue

    wall.properties.update({("Ties", name): PropertyValue(value) for name, value in properties.items()})
    if axis is not None:
        wall.axis_line = np.array(axis, float)
    return build


def stated(build):
    return {key: end.stated_tie for key, end in ends_of(build.house()).items() if end.stated_tie}


def schedule(build, *rows):
    text = "wall,storey,end,tie,reason\n" + "\n".join(rows) + "\n"
    build.schedules["wall_ends"] = parse_schedule("wall_ends", text, "wall-ends.csv")
    return build


FORWARD, BACKWARD = ((0, 3, 0), (LENGTH, 3, 0)), ((LENGTH, 3, 0), (0, 3, 0))


@pytest.mark.parametrize(("axis", "expected"), [
    (FORWARD, {START: "TD-1", END: "TD-2"}),
    (BACKWARD, {START: "TD-2", END: "TD-1"}),
    (None, {START: "TD-1 or TD-2", END: "TD-1 or TD-2"}),
])
def test_start_and_end_are_those_of_the_walls_own_axis(axis, expected):
    properties = {"Tie at start": "TD-1", "Tie at end": "TD-2"}
    assert stated(bare(axis=axis, **properties)) == expected


def test_one_property_without_an_axis_says_nothing():
    assert stated(bare(**{"Tie at start": "TD-1"})) == {}
    assert stated(bare(axis=BACKWARD, **{"Tie at start": "TD-1"})) == {END: "TD-1"}


def test_a_compass_word_needs_no_axis_and_ignores_it():
    assert stated(bare(**{"Tie west": "TD-1"})) == {START: "TD-1"}
    assert stated(bare(axis=BACKWARD, **{"Tie west": "TD-1", "Tie east": "none"})) == {START: "TD-1"}


def test_the_schedule_comes_first_and_none_is_no_tie():
    build = schedule(bare(axis=FORWARD, **{"Tie at start": "TD-1"}), "S2,Level 1,west,TD-9,",
                     "S2,Level 1,east,none,engineer waived it")
    assert stated(build) == {START: "TD-9"}


def test_the_tie_exists_but_its_chain_is_open():
    house = bare(axis=FORWARD, **{"Tie at start": "TD-1", "Tie at end": "TD-2"}).house()
    ask, end = ask_of(house), ends_of(house)[START]
    members = ask.members("ties", end)
    assert len(members.items) == 1
    assert members.complete
    step = first_not_joined(end)
    assert (step.slot, step.state, step.text) == ("base tie", "unknown", "tie 'TD-1' is stated, not drawn")
    assert verdict(end) == "unknown"
    assert not ask.members("ties", ends_of(house)["wall:2:0@start"]).complete


def test_where_ties_are_drawn_a_table_draws_none():
    """One drawn tie is taken out of a house that draws them all: the schedule's word does not replace it."""
    build = schedule(two_storey_stack("tie", 3).drop("base:1:start:0"), "S2,Level 1,west,TD-9,")
    end = ends_of(build.house())[START]
    assert end.stated_tie == ""
    assert ("base tie", "broken") in states(end)
