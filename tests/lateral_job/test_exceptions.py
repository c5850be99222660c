"""Legitimate exceptions pass: perforated and portal walls, party walls, stepped footings, waived ends.

All houses are invented; that these are no faults is common practice, no source, save where a clause stands.
"""

from __future__ import annotations

from modellint.rulebook.judge import judge
from modellint.rulebook.load import load_rules
from modellint.rulebook.shipped import rules_folder
from tests.builders_lateral import Build, bar, block
from tests.lateral_job.houses import DEMANDS, ENDS, KNOWN, ROW_3, TIES, WALLS, ask_of, small, tables

RULES = load_rules([rules_folder() / "lateral"], KNOWN)


def failing(build: Build) -> list[str]:
    ask = ask_of(build)
    return sorted({row.rule for row in judge(RULES, ask.house, ask).findings if row.outcome == "fail"})


def opened_pulls(build: Build) -> list[str]:
    ask = ask_of(build)
    return sorted(row.subject_key for row in judge(RULES, ask.house, ask).findings
                  if row.rule == "pull-exceeds-weakest-link" and row.outcome == "open")


def windowed(method: str) -> Build:
    """A wall of 5 m with a window, tied at its outer ends only."""
    build = Build()
    for number in range(3):
        y = 3.0 * number
        build.wall(f"w{number}", (0.0, y - 0.07, 0.0), (5.0, y + 0.07, 2.4), name=f"S{number}")
        build.opening(f"hole{number}", f"w{number}", (2.0, y - 0.1, 0.9), (3.0, y + 0.1, 2.1))
        build.add(f"f{number}", "footing", block((-0.2, y - 0.25, -0.6), (5.2, y + 0.25, 0.0)))
        for name, post, tie, rod in (("a", (0.0, 0.076), (0.076, 0.146), 0.111),
                                     ("b", (4.924, 5.0), (4.854, 4.924), 4.889)):
            build.add(f"post{number}{name}", "post", block((post[0], y - 0.07, 0.038), (post[1], y + 0.07, 2.324)))
            build.add(f"tie{number}{name}", "hold_down", block((tie[0], y - 0.035, 0.1), (tie[1], y + 0.035, 0.4)),
                      name="tie-down TD-3")
            build.add(f"rod{number}{name}", "rod", bar((rod, y, -0.4), (rod, y, 0.3)))
        for name, x in (("c", 1.962), ("d", 3.0)):
            build.add(f"post{number}{name}", "post", block((x, y - 0.07, 0.038), (x + 0.038, y + 0.07, 2.324)))
    rows = "".join(f"S{number},,,,,,,{method}\n" for number in range(3))
    ends = "".join(f"S{number},Level 1,{word},,,9,ASD wind\n" for number in range(3) for word in ("west", "east"))
    build.schedules = tables(shear_walls=WALLS + rows, wall_ends=ENDS + ends, hold_downs=TIES + ROW_3)
    return build


def test_perforated_walls_are_tied_at_line_ends_only():
    """SDPWS 2021 4.3.6.1.3 (a restatement): chord force at each end of the perforated shear wall."""
    assert failing(windowed("perforated")) == []
    assert opened_pulls(windowed("perforated")) == []


def test_portal_frames_are_tied_at_line_ends_only():
    assert failing(windowed("portal")) == []
    assert opened_pulls(windowed("portal")) == []


def test_a_segmented_wall_without_inner_ties_is_no_exception():
    assert "wall-end-has-tie" in failing(windowed("segmented"))


def test_party_walls_50_mm_apart_keep_their_own_ties():
    """Two houses' walls side by side: each end takes the pull of its own wall and none of the other's."""
    shears = "".join(f"{mark},Level {level},5,0,ASD wind\n" for mark in ("S1", "S2", "S3", "S4") for level in (1, 2))
    build = small(wall_demands=DEMANDS + shears, hold_downs=TIES + ROW_3)
    y = 6.0 + 0.19
    for level, sole in enumerate((0.0, 2.7)):
        build.wall(f"party:{level}", (0.0, y - 0.07, sole), (2.4, y + 0.07, sole + 2.4), name="S4")
    build.add("party-footing", "footing", block((-0.2, y - 0.07, -0.6), (2.6, y + 0.25, 0.0)))
    for side in ("start", "end"):
        _stack_end(build, y, side)
    ask = ask_of(build)
    pulls = {end.key: ask.measure("uplift_demand", end).low for end in ask.house.nodes["wall_end"]}
    assert abs(pulls["party:0@start"] - pulls["wall:2:0@start"]) < 1.0
    assert failing(build) == []


def _stack_end(build: Build, y: float, side: str) -> None:
    from tests.builders_lateral import add_post, add_tie, spot

    for level, sole in enumerate((0.0, 2.7)):
        add_post(build, f"post:p:{side}:{level}", y, side, level)
        add_tie(build, f"base:p:{side}:{level}", y, side, sole + 0.1, sole + 0.4)
    add_tie(build, f"top:p:{side}:0", y, side, 2.0, 2.3)
    x = spot(side, 0.111)
    build.add(f"anchor:p:{side}", "rod", bar((x, y, -0.4), (x, y, 0.3)), name="anchor rod")
    build.add(f"floorrod:p:{side}", "rod", bar((x, y, 2.1), (x, y, 3.0)), name="floor rod")


def test_a_stepped_footing_is_no_fault():
    """Under the east half the footing lies 0.3 m lower under a stem wall; the rod is as deep in concrete."""
    build = small(wall_demands=DEMANDS + "S2,Level 1,5,0,ASD wind\nS2,Level 2,5,0,ASD wind\n", hold_downs=TIES + ROW_3)
    build.drop("footing:1")
    build.add("high", "footing", block((-0.2, 2.75, -0.6), (1.2, 3.25, 0.0)))
    build.add("low", "footing", block((1.2, 2.75, -0.9), (2.6, 3.25, -0.3)))
    build.add("stem", "stem_wall", block((1.2, 2.90, -0.3), (2.6, 3.10, 0.0)))
    assert failing(build) == []


def test_an_end_waived_with_a_reason_is_not_asked_for_its_pull():
    shears = DEMANDS + "S2,Level 1,5,0,ASD wind\nS2,Level 2,5,0,ASD wind\n"
    ends = ENDS + "S2,Level 2,west,none,dead load holds it down,,\n"
    build = small(wall_demands=shears, wall_ends=ends, hold_downs=TIES + ROW_3)
    build.drop("base:1:start:1", "top:1:start:0", "floorrod:1:start:1")
    assert "wall-end-has-tie" not in failing(build)
    assert "pull-exceeds-weakest-link" not in failing(build)
    assert "wall:1:1@start" not in opened_pulls(build)
