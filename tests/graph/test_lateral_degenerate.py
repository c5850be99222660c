"""Nothing throws on odd input: every measure of every subject gives a value or says what is missing."""

from __future__ import annotations

import math

import numpy as np
import pytest

from modellint.findings.coverage import coverage
from modellint.findings.paths import wall_paths
from modellint.findings.places import PlaceFinder
from modellint.ifc.solid import Box, Solid
from modellint.measures.registry import all_measures, all_sets
from tests.builders_lateral import Build, ask_of, bar, block, ends_of, two_storey_stack

LATERAL = {
    "wall_end",
    "wall_segment",
    "plate_piece",
    "rod",
    "anchor_bolt",
    "hold_down",
    "stud",
    "shear_wall",
    "building",
}


def flat_bar(point) -> Solid:
    """A bar of no length."""
    point = np.array(point, float)
    return Solid("disk", Box(point, np.eye(3), np.zeros(3)), axis=np.array([point, point]), radius=0.0)


def ask_everything(house) -> None:
    ask = ask_of(house)
    places = PlaceFinder(house)
    for kind in sorted(LATERAL):
        for subject in house.subjects(kind):
            place = places.place(subject, None)
            assert place.text
            assert place.point is None or np.isfinite(place.point).all()
            members = {spec.gives: ask.members(name, subject).items for name, spec in all_sets().items()
                       if kind in spec.of}
            for name, spec in all_measures().items():
                if kind not in spec.of:
                    continue
                items = (
                    [item for gives in spec.item for item in members.get(gives, ())] if spec.item else [None]
                )
                for item in items:
                    quantity = ask.measure(name, subject, item)
                    assert not math.isnan(quantity.low), name
                    assert not math.isnan(quantity.high), name
                    assert quantity.known or quantity.missing or quantity.evidence, (name, subject.key)
    wall_paths(house)
    coverage(house)
    for end in house.nodes["wall_end"]:
        assert all(step.gap is None or math.isfinite(step.gap) for step in end.steps)
        assert np.isfinite(end.point).all()


def boxless(build):
    for key in ("wall", "post", "tie", "rod", "strap", "foot"):
        build.add(key, {"wall": "shear_wall", "tie": "hold_down", "foot": "footing"}.get(key, key))


def no_thickness(build):
    build.wall("w", (0, 0, 0), (3, 0, 2.4))
    build.wall("v", (3, 0, 0), (5, 0, 2.4))


def no_length(build):
    build.wall("w", (1, 1, 0), (1, 1, 2.4))


def no_height(build):
    build.wall("w", (0, -0.07, 0), (3, 0.07, 0))
    build.add("sole", "sill_plate", block((0, -0.07, 0), (3, 0.07, 0)))


def rods_of_no_length(build):
    build.wall("w", (0, -0.07, 0), (3, 0.07, 2.4))
    build.add("foot", "footing", block((0, -0.2, -0.5), (3, 0.2, 0)))
    build.add("tie", "hold_down", block((0.1, 0, 0.1), (0.1, 0, 0.1)))
    build.add("rod", "rod", flat_bar((0.1, 0, -0.1)))
    build.add("bolt", "anchor_bolt", flat_bar((1.0, 0, 0.0)))


def level_rod(build):
    build.wall("w", (0, -0.07, 0), (3, 0.07, 2.4))
    build.add("rod", "rod", bar((0, 0, 0.1), (3, 0, 0.1)))


def tilted_wall(build):
    axes = np.array([[1, 0, 0], [0, 0.8, 0.6], [0, -0.6, 0.8]])
    build.wall("w", (0, -0.07, 0), (3, 0.07, 2.4), axes=axes)


def parts_without_solids_but_a_wall(build):
    build.wall("w", (0, -0.07, 0), (3, 0.07, 2.4))
    boxless(build)


def openings_out_of_place(build):
    build.wall("w", (0, -0.07, 0), (3, 0.07, 2.4))
    build.opening("far", "w", (50, 0, 0), (52, 1, 2))
    build.opening("all", "w", (-5, -1, -1), (9, 1, 5))
    build.opening("lost", "nowhere", (0, 0, 0), (1, 1, 1))


def open_mesh(build):
    """A footing of two triangles with no volume."""
    corners = np.array([[0, -0.2, 0], [3, -0.2, 0], [3, 0.2, 0], [0, 0.2, 0]], float)
    box = Box(np.array([1.5, 0, 0]), np.eye(3), np.array([1.5, 0.2, 0]))
    build.wall("w", (0, -0.07, 0), (3, 0.07, 2.4))
    build.add("foot", "footing", Solid("mesh", box, mesh=(corners, np.array([[0, 1, 2], [0, 2, 3]]))))
    build.add("rod", "rod", bar((0.1, 0.01, -0.3), (0.1, 0.01, 0.3)))


CASES = (
    lambda build: None,
    boxless,
    no_thickness,
    no_length,
    no_height,
    rods_of_no_length,
    level_rod,
    tilted_wall,
    parts_without_solids_but_a_wall,
    openings_out_of_place,
    open_mesh,
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.__name__)
@pytest.mark.parametrize("storeys", [(), (("Level 1", 0.0),)], ids=["no storeys", "one storey"])
def test_odd_input_gives_answers_and_no_exception(case, storeys):
    build = Build(storeys=storeys)
    case(build)
    ask_everything(build.house())


@pytest.mark.parametrize("kind", ["tie", "strap", "rod"])
def test_every_measure_answers_on_whole_stacks(kind):
    ask_everything(two_storey_stack(kind, 2).house())


@pytest.mark.parametrize("kind", ["tie", "strap", "rod"])
def test_every_part_may_lose_its_shape(kind):
    for key in sorted(two_storey_stack(kind, 1).parts):
        build = two_storey_stack(kind, 1)
        part = build.parts[key]
        build.add(key, next(iter(part.roles)), name=part.name)
        ask_everything(build.house())


def test_stated_hardware_without_shapes_is_joined_and_its_gap_open():
    build = two_storey_stack("tie", 1)
    build.add("base:0:start:0", "hold_down", name="tie-down")
    build.add("anchor:0:start:0", "rod", name="anchor rod")
    build.stated("post:0:start:0", "base:0:start:0")
    build.stated("base:0:start:0", "anchor:0:start:0")
    house = build.house()
    found = {
        step.slot: (step.state, step.origin, step.gap) for step in ends_of(house)["wall:0:0@start"].steps
    }
    assert found == {"base tie": ("joined", "stated", None), "anchor rod": ("joined", "stated", None),
                     "foundation": ("unknown", "", None)}
    ask_everything(house)


def test_unstated_hardware_without_shapes_is_open_never_absent():
    build = two_storey_stack("tie", 1)
    build.add("anchor:0:start:0", "rod", name="anchor rod")
    steps = ends_of(build.house())["wall:0:0@start"].steps
    assert [step.state for step in steps if step.slot == "anchor rod"] == ["unknown"]


def test_two_walls_over_one_window_keep_their_keys_apart():
    """A framing wall and a second shear wall before it, 100 mm apart, with one window through both."""
    build = Build()
    build.wall("a", (0, -0.07, 0), (6, 0.07, 2.4))
    build.wall("b", (0, 0.08, 0), (6, 0.22, 2.4))
    for wall in "ab":
        build.opening(f"o-{wall}", wall, (2, -0.1, 1), (3, 0.3, 2), filling="win")
    build.add("win", "window", block((2, 0, 1), (3, 0.1, 2)))
    keys = [end.key for end in build.house().nodes["wall_end"]]
    assert len(set(keys)) == len(keys) == 8
