"""Details of the load path: bolts in plates, rods in concrete, nuts, straps, floors, roof ties, holes, filing.

The houses are invented. Expected lengths follow from the coordinates beside them (arithmetic); limits have their
source beside the check.
"""

from __future__ import annotations

import numpy as np
import pytest

from modellint.measures.ask import Ask
from modellint.rulebook.judge import judge
from modellint.rulebook.load import load_rules
from modellint.rulebook.shipped import rules_folder
from tests.builders_lateral import SOLES, Build, add_post, bar, block
from tests.lateral_job.houses import ENDS, KNOWN, WALLS, ask_of, small, tables

RULES = load_rules([rules_folder()], KNOWN)


def said(ask: Ask, rule: str) -> dict[str, str]:
    """Subject key (and item) to outcome, passes left out."""
    rules = [row for row in RULES if row.id == rule]
    assert rules
    return {row.subject_key + (f" {row.item_key}" if row.item_key else ""): row.outcome
            for row in judge(rules, ask.house, ask).findings}


def value(ask: Ask, name: str, kind: str, key: str, item: str = "") -> float:
    subject = next(row for row in ask.house.subjects(kind) if row.key == key)
    found = ask.measure(name, subject, ask.house.parts[item]) if item else ask.measure(name, subject)
    assert found.known, found
    return found.low


# bolts in their plates -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("off", "fails"), [(0.0, False), (0.023, False), (-0.023, False), (0.024, True)])
def test_sill_bolt_within_the_middle_third(off: float, fails: bool) -> None:
    """IRC 2018 R403.1.6: bolts in the middle third of the plate's width; of 140 mm that is 23.3 mm off the middle."""
    build = small()
    build.add("sill", "sill_plate", block((0.0, 2.93, 0.0), (2.4, 3.07, 0.038)))
    build.add("bolt", "anchor_bolt", bar((1.2, 3.0 + off, -0.19), (1.2, 3.0 + off, 0.06), 0.00635))
    assert said(ask_of(build), "sill-bolt-off-middle") == ({"bolt": "fail"} if fails else {})


def test_a_bolt_in_an_undrawn_plate_is_a_question() -> None:
    build = small()
    build.add("bolt", "anchor_bolt", bar((1.2, 3.0, -0.19), (1.2, 3.0, 0.06), 0.00635))
    assert said(ask_of(build), "sill-bolt-off-middle") == {"bolt": "open"}


# rods in their concrete ------------------------------------------------------------------------------------------


def test_concrete_beside_and_below_an_anchor_rod() -> None:
    """Footing 0.25 m to both sides and down to -0.6 m; rod of 16 mm down to -0.4 m: 242 mm beside, 200 mm below."""
    ask = ask_of(small())
    assert value(ask, "concrete_beside", "rod", "anchor:1:start:0") == pytest.approx(0.242, abs=0.001)
    assert value(ask, "concrete_below", "rod", "anchor:1:start:0") == pytest.approx(0.200, abs=0.001)
    assert said(ask, "rod-near-concrete-edge") == {}
    assert said(ask, "rod-near-soil") == {}


def test_a_stem_poured_on_its_footing_is_no_edge() -> None:
    """The legitimate stepped footing: parts of one pour drawn as several bodies count as one."""
    build = small().drop("footing:1")
    build.add("stem", "stem_wall", block((-0.2, 2.90, -0.3), (2.6, 3.10, 0.0)))
    build.add("high", "footing", block((-0.2, 2.75, -0.6), (1.2, 3.25, -0.3)))
    build.add("low", "footing", block((1.2, 2.75, -0.9), (2.6, 3.25, -0.3)))
    ask = ask_of(build)
    assert said(ask, "rod-near-concrete-edge") == {}
    assert said(ask, "rod-near-soil") == {}


def test_a_rod_at_the_face_of_the_concrete_and_one_near_the_soil() -> None:
    build = small()
    build.drop("footing:1")
    build.add("thin", "footing", block((-0.2, 2.97, -0.45), (2.6, 3.25, 0.0)))
    ask = ask_of(build)
    both = {"anchor:1:end:0": "fail", "anchor:1:start:0": "fail"}
    assert said(ask, "rod-near-concrete-edge") == both  # 30 mm - 8 mm = 22 mm of concrete
    assert said(ask, "rod-near-soil") == both  # 50 mm


@pytest.mark.parametrize(("x", "near", "cone"), [(0.20, True, True), (0.60, False, True), (0.85, False, False)])
def test_drains_beside_an_anchor(x: float, near: bool, cone: bool) -> None:
    """Rod at x 0.111, 400 mm deep: 75 mm clear is common practice, 1.5 embedded lengths (0.6 m) the usual cone."""
    build = small()
    build.add("drain", "plumbing_pipe", bar((x, 2.0, -0.3), (x, 3.24, -0.3), 0.03))
    ask = ask_of(build)
    key = "anchor:1:start:0 drain"
    assert (key in said(ask, "drain-near-anchor")) is near
    assert (key in said(ask, "drain-in-anchor-cone")) is cone


def test_a_sewer_below_the_anchors_is_no_fault() -> None:
    build = small()
    build.add("sewer", "plumbing_pipe", bar((0.2, 2.0, -0.55), (0.2, 3.24, -0.55), 0.03))
    assert said(ask_of(build), "drain-in-anchor-cone") == {}


# nuts ------------------------------------------------------------------------------------------------------------


def nut(build: Build, low: float, high: float) -> None:
    build.add("nut", "nut", block((0.096, 2.985, low), (0.126, 3.015, high)))


@pytest.mark.parametrize(("low", "past", "fails"), [(0.27, 0.017, False), (0.287, 0.0, False), (0.295, -0.008, True)])
def test_thread_past_the_nut(low: float, past: float, fails: bool) -> None:
    """The anchor rod ends at 0.300 m; the nut is 13 mm high. Flush with the nut's top is the least (trade advice)."""
    build = small()
    nut(build, low, low + 0.013)
    ask = ask_of(build)
    assert value(ask, "thread_past_nut", "nut", "nut") == pytest.approx(past, abs=1e-6)
    assert said(ask, "nut-off-thread") == ({"nut": "fail"} if fails else {})


def test_a_nut_without_any_rod_is_not_judged_here() -> None:
    build = small()
    build.add("nut", "nut", block((1.0, 2.985, 0.2), (1.03, 3.015, 0.213)))
    assert said(ask_of(build), "nut-off-thread") == {}


@pytest.mark.parametrize(("gap", "outcome"), [(0.074, {"nut pipe": "fail"}), (0.076, {})])
def test_room_for_a_wrench(gap: float, outcome: dict[str, str]) -> None:
    """75 mm round a nut: common practice, no source."""
    build = small()
    nut(build, 0.27, 0.283)
    x = 0.126 + gap + 0.011
    build.add("pipe", "plumbing_pipe", bar((x, 3.0, 0.1), (x, 3.0, 0.9), 0.011))
    assert said(ask_of(build), "nut-out-of-reach") == outcome


# straps, posts and floors ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("shift", "fails"), [(0.0, False), (0.200, True), (-0.200, False)])
def test_a_strap_across_the_floor(shift: float, fails: bool) -> None:
    """Strap 1.9 to 3.3 m; lower post up to 2.324, upper one from 2.738 m: 424 and 562 mm lie on the posts."""
    build = small("strap")
    strap = build.parts["strap:1:start:1"].solids[0].box
    build.drop("strap:1:start:1")
    by = np.array([0.0, 0.0, shift])
    low, high = strap.low + by, strap.high + by
    build.add("strap:1:start:1", "strap", block(low, high), name="strap")
    ask = ask_of(build)
    expected = min(2.324 - (1.9 + shift), 3.3 + shift - 2.738)
    found = value(ask, "shorter_strap_end", "strap", "strap:1:start:1")
    assert found == pytest.approx(expected, abs=0.001)
    assert ("strap:1:start:1" in said(ask, "strap-end-too-short")) is fails


def blocks(build: Build, *without: str) -> None:
    for stack in range(3):
        for side, x in (("start", 0.0), ("end", 2.4 - 0.076)):
            key = f"block:{stack}:{side}"
            if key not in without:
                y = 3.0 * stack
                build.add(key, "blocking", block((x, y - 0.07, 2.4), (x + 0.076, y + 0.07, 2.7)))


def test_a_post_on_an_empty_floor() -> None:
    build = small()
    blocks(build, "block:1:start")
    build.add("rim", "rim", block((0.0, 2.93, 2.4), (2.4, 2.968, 2.7)))
    ask = ask_of(build)
    end = "wall:1:1@start"
    # 38 of 140 mm of the post stand on the rim
    assert value(ask, "wood_under_post", "wall_end", end) == pytest.approx(38 / 140, abs=0.05)
    assert said(ask, "floor-empty-under-post") == {end: "fail"}


def test_floors_drawn_without_any_blocks_are_a_question() -> None:
    build = small()
    build.add("rim", "rim", block((0.0, 2.93, 2.4), (2.4, 2.968, 2.7)))
    assert set(said(ask_of(build), "floor-empty-under-post").values()) == {"open"}


def test_blocking_under_upper_soles() -> None:
    build = small()
    for stack in (0, 2):
        build.add(f"rim:{stack}", "rim", block((0.0, 3.0 * stack - 0.07, 2.4), (2.4, 3.0 * stack - 0.032, 2.7)))
    for k in range(6):  # joists across the wall at 400 mm, no blocking between them
        build.add(f"joist:{k}", "joist", block((0.4 * k, 2.5, 2.4), (0.4 * k + 0.038, 3.5, 2.7)))
    ask = ask_of(build)
    assert value(ask, "wood_under_sole", "wall_line", "wall:1:1") == pytest.approx(6 * 0.038 / 2.4, abs=0.05)
    assert said(ask, "sole-without-blocking") == {"wall:1:1": "fail"}


def test_plies_of_built_up_posts() -> None:
    """Posts of 76 mm are two plies (common practice); one that says nothing fails only where the others say it."""
    build = small()
    keys = [key for key in build.parts if key.startswith("post:")]
    assert set(said(ask_of(build), "post-plies-loose").values()) == {"open"}
    for key in keys[1:]:
        solid = build.parts[key].solids[0]
        build.drop(key)
        build.add(key, "post", solid, name="end post", PlyFastening="16d nails at 150 mm")
    found = said(ask_of(build), "post-plies-loose")
    assert list(found.values()) == ["fail"]


def test_a_solid_post_has_no_plies() -> None:
    build = small()
    for key in [key for key in build.parts if key.startswith("post:")]:
        box = build.parts[key].solids[0].box
        build.drop(key)
        build.add(key, "post", block(box.low, [box.low[0] + 0.089, box.high[1], box.high[2]]), name="post 89x140")
    assert "fail" not in said(ask_of(build), "post-plies-loose").values()


def test_studs_with_a_hole_between_them() -> None:
    build = small()
    for k in (1, 2, 4, 5):  # the third stud at 400 mm is left out: 762 mm clear
        build.add(f"stud:{k}", "stud", block((0.4 * k, 2.93, 0.038), (0.4 * k + 0.038, 3.07, 2.324)))
    found = said(ask_of(build), "studs-far-apart")
    assert found.pop("wall:1:0@start..end") == "fail"
    assert set(found.values()) == {"open"}  # of walls with end posts only, nobody knows their studs


# roof ties -------------------------------------------------------------------------------------------------------


def roof(build: Build, truss: bool = False, ties: tuple[tuple[int, float], ...] = ()) -> Build:
    """Five frames over the walls at y 0 and 6, with ties at (frame, y)."""
    for k in range(5):
        x = 0.4 * k + 0.2
        build.add(f"frame:{k}", "truss" if truss else "rafter",
                  block((x, -0.5, 5.1), (x + 0.038, 6.5 if truss else 3.0, 5.3)))
    for k, y in ties:
        x = 0.4 * k + 0.2
        build.add(f"tie:{k}:{y}", "roof_tie", block((x - 0.03, y - 0.01, 4.9), (x, y + 0.01, 5.2)))
    return build


def test_one_rafter_without_its_tie() -> None:
    assert said(ask_of(roof(small(), ties=((0, 0.0), (1, 0.0), (2, 0.0), (4, 0.0)))), "roof-tie-missing") \
        == {"frame:3": "fail"}


def test_roof_ties_that_nobody_draws_are_a_question() -> None:
    assert set(said(ask_of(roof(small())), "roof-tie-missing").values()) == {"open"}


def test_a_truss_is_tied_at_both_outer_walls_and_not_at_the_one_between() -> None:
    whole = tuple((k, y) for k in range(5) for y in (0.0, 6.0))
    assert said(ask_of(roof(small(), truss=True, ties=whole)), "roof-tie-missing") == {}
    assert said(ask_of(roof(small(), truss=True, ties=whole[:-1])), "roof-tie-missing") == {"frame:4": "fail"}


# holes in panels -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("x", "outside", "fails"), [
    (0.60, 0.048, False), (0.60, 0.060, True), (0.12, 0.048, True), (1.15, 0.048, True), (0.12, 0.022, False)])
def test_pipes_through_the_panels(x: float, outside: float, fails: bool) -> None:
    """Without the engineer's word 50 mm, 150 mm from a panel's edge, 300 mm from a tie (common practice)."""
    build = small()
    for k in (0, 1):
        build.add(f"panel:{k}", "sheathing", block((1.2 * k, 3.07, 0.0), (1.2 * k + 1.2, 3.081, 2.4)))
    build.add("pipe", "plumbing_pipe", bar((x, 2.9, 1.2), (x, 3.4, 1.2), outside / 2))
    assert (said(ask_of(build), "sheathing-pierced") != {}) is fails


def test_a_hole_near_a_tie() -> None:
    """Hole of 40 mm at 0.30 m along and 0.60 m up; the tie covers 0.076 to 0.146 m and 0.1 to 0.4 m."""
    build = small()
    build.add("panel", "sheathing", block((0.0, 3.07, 0.0), (2.4, 3.081, 2.4)))
    build.add("pipe", "plumbing_pipe", bar((0.30, 2.9, 0.60), (0.30, 3.4, 0.60), 0.02))
    ask = ask_of(build)
    segment = next(row for row in ask.house.subjects("wall_segment") if row.key.startswith("wall:1:0"))
    found = ask.measure("hole_to_tie", segment, ask.house.parts["pipe"]).low
    assert found == pytest.approx((0.154**2 + 0.2**2) ** 0.5 - 0.02, abs=0.001)


def test_a_pipe_inside_the_wall_makes_no_hole_in_the_panel() -> None:
    build = small()
    build.add("panel", "sheathing", block((0.0, 3.07, 0.0), (2.4, 3.081, 2.4)))
    build.add("pipe", "plumbing_pipe", bar((1.0, 3.0, 0.1), (1.0, 3.0, 2.3), 0.03))
    assert said(ask_of(build), "sheathing-pierced") == {}


# filing ----------------------------------------------------------------------------------------------------------


def test_scheduled_walls_and_the_models() -> None:
    full = "{},OSB structural,11,3.33 x 63 mm,100,9,ASD wind,segmented\n"
    build = small(shear_walls=WALLS + full.format("S1") + full.format("S3") + full.format("S9"),
                  wall_ends=ENDS + "S1,Level 2,west,TD-3,,5,ASD wind\nS1,Level 3,west,TD-3,,5,ASD wind\n")
    ask = ask_of(build)
    house = next(iter(ask.house.subjects("building")))
    assert ask.measure("scheduled_walls_unfound", house).text == "S1, Level 3; S9"
    assert set(said(ask, "shear-wall-not-scheduled")) == {"wall:1:0", "wall:1:1"}


@pytest.mark.parametrize(("nail", "blank"), [("8d common", ""), ("3.33 x 63 mm", ""), ("8d", "nail"), ("", "nail")])
def test_half_a_nail_is_no_nail(nail: str, blank: str) -> None:
    """'8d' is a box nail of 0.113 in or a common nail of 0.131 in (NDS 2018, Appendix L4): two different nails."""
    rows = "mark,sheathing grade,sheathing thickness (mm),nail,edge spacing (mm),field spacing (mm),sides\n"
    build = small(shear_walls=f"{rows}S1,OSB structural,11,{nail},100,300,1\n")
    ask = ask_of(build)
    line = next(row for row in ask.house.subjects("wall_line") if row.key == "wall:0:0")
    assert ask.measure("blanks_of_sheathing", line).text.split(" (")[0] == (blank or "none")


@pytest.mark.parametrize(("inset", "fails"), [("", True), ("411", False), ("430", True)])
def test_an_inset_that_the_engineer_reckoned_with(inset: str, fails: bool) -> None:
    """The tie of S2 stands 411 mm in; 8 in is usual, and 13 mm off a given inset is common practice."""
    ends = "wall,storey,end,tie,inset (mm)\n" + (f"S2,Level 1,west,TD-3,{inset}\n" if inset else "")
    build = small()
    build.schedules = tables(wall_ends=ends) if inset else {}
    for key in ("base:1:start:0", "post:1:start:0"):
        box = build.parts[key].solids[0].box
        build.drop(key)
        role = "hold_down" if key.startswith("base") else "post"
        by = np.array([0.3, 0.0, 0.0])
        build.add(key, role, block(box.low + by, box.high + by), name="tie-down TD-3")
    assert (said(ask_of(build), "tie-distance-from-end").get("wall:1:0@start") == "fail") is fails


# party walls -----------------------------------------------------------------------------------------------------


def test_a_party_wall_that_lacks_its_rod_is_not_given_the_neighbours() -> None:
    """Two walls 50 mm apart, each with its own rods; the one that is missing is named as missing."""
    build = small()
    for level, sole in enumerate(SOLES):
        build.wall(f"party:{level}", (0.0, 6.12, sole), (2.4, 6.26, sole + 2.4), name="S4")
        add_post(build, f"post:p:{level}", 6.19, "start", level)
        for name, low, high in (("base", sole + 0.1, sole + 0.4), *([("top", 2.0, 2.3)] if level == 0 else [])):
            build.add(f"{name}:p:{level}", "hold_down", block((0.076, 6.155, low), (0.146, 6.225, high)),
                      name="tie-down TD-3")
    build.add("footing:p", "footing", block((-0.2, 6.0, -0.6), (2.6, 6.5, 0.0)))
    build.add("floorrod:p", "rod", bar((0.111, 6.19, 2.1), (0.111, 6.19, 3.0)), name="floor rod")
    ask = ask_of(build)
    end = next(row for row in ask.house.nodes["wall_end"] if row.key == "party:1@start")
    broken = next(step for step in end.steps if step.state == "broken")
    assert broken.text == "no anchor rod drawn"
    assert broken.pieces == ()


def test_a_missing_tie_is_told_once_and_the_chain_refers_to_it() -> None:
    build = small().drop("base:1:start:1")
    ask = ask_of(build)
    assert said(ask, "wall-end-has-tie") == {"wall:1:1@start": "fail"}
    rules = [row for row in RULES if row.id == "tie-reaches-foundation"]
    broken = [row for row in judge(rules, ask.house, ask).findings if row.subject_key == "wall:1:1@start"]
    assert "follows from the missing tie at this end" in broken[0].message
