"""Stories of a change, as they come up on site, each with the answer a person gives by hand.

The houses are the generator's; the numbers are worked out beside each test from its plan: SW-1 is 10.8 m long with a
window from 1.5 to 3.3 m and a door from 7.5 to 9.3 m; an end post is two plies of 38 mm, a tie's middle stands 35 mm
inside the post, its rod 38 mm; trimmers of one ply stand at openings. Forces are worked out by hand in `Segment` with
the schedules' values: storey shear 1.8 kN per metre of full-height wall on Level 1 and 1.0 kN/m on Level 2, dead load
that counts 0.4 kN/m, 2.787 m from floor to floor and 2.467 m from the upper floor to the top plates, ties TD-2 of 22 kN
below TD-1 of 14 kN.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from modellint import comparison, pipeline
from sample_models.generator.changes import STORIES, story, tie_round_a_drain
from tests.compare.pairs import compared, rows, written

Made = dict[str, Any]


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Comparison of a story's two houses, made once."""
    @cache
    def tell(name: str) -> Made:
        one = story(name)
        return compared(one.before(), one.after(), "semantic", tmp_path_factory.mktemp(name), schedules=True)

    return tell


def names(made: Made, kind: str) -> list[str]:
    return sorted(row["name"] for row in made["changes"] if kind in row["kinds"])


def fails(made: Made) -> list[str]:
    return sorted({row["rule"] for row in rows(made, "new", outcome="fail")})


def who(made: Made) -> set[str]:
    return {row["who"] for row in made["tell"]}


def causes(made: Made, rule: str) -> set[str]:
    """Names of the changes that caused the new findings of a rule."""
    known = {row["key"]: row["name"] for row in made["changes"]}
    return {known[cause["change"]] for row in made["findings"] if row["finding"]["rule"] == rule
            and row["status"] == "new" for cause in row["causes"]}


TIE, POST_OUTER, POST_INNER = 0.035, 0.038, 0.076  # rod from the post's face; middle of the post from the end
FLOOR, TOP = 2.787, 2.467


@dataclass(frozen=True)
class Segment:
    """A full-height length by hand: pull = (v b h - w b (b / 2 - post)) / arm, storeys added from the top.

    Attributes:
        length: b, metres.
        tie: from its end; `post`: middle of the pressed post from the other end, metres.
        shear: v of Level 1, kN/m; `height`: of Level 1, metres.
    """

    length: float
    tie: float
    post: float
    shear: float = 1.8
    height: float = FLOOR

    @property
    def arm(self) -> float:
        return self.length - self.tie - self.post

    def storey(self, shear: float, height: float) -> float:
        """Pull that one storey adds, kN; by statics, SDPWS 2021 4.3.6.4.4 for the sum."""
        dead = 0.4 * self.length * (self.length / 2 - self.post)
        return (shear * self.length * height - dead) / self.arm

    @property
    def upper(self) -> float:
        return self.storey(1.0, TOP)

    @property
    def own(self) -> float:
        return self.storey(self.shear, self.height)

    @property
    def pull(self) -> float:
        return self.own + self.upper

    def may_move(self, capacity: float) -> float:
        """How far the tie may move in until the pull reaches the capacity, the storey above as it is, metres."""
        return self.arm - self.own * self.arm / (capacity - self.upper)


def forces(made: Made, end: str, measure: str) -> Any:
    """Before and now in kN; the schedules round shears to 10 N."""
    before, after = number(made, end, measure)
    return pytest.approx((before / 1000, after / 1000), abs=0.005)


def span(made: Made, end: str, measure: str) -> tuple[list[Any], list[Any]]:
    """The possible values of a number before and now."""
    row = next(row for row in made["numbers"] if row["name"] == end and row["measure"] == measure)
    return row["before_range"], row["after_range"]


def number(made: Made, end: str, measure: str) -> tuple[float, float]:
    """A number of a wall end before and after."""
    return next((row["before"], row["after"]) for row in made["numbers"]
                if row["name"] == end and row["measure"] == measure)


def test_there_are_the_twelve_stories_and_one_variant() -> None:
    assert len({row.name for row in STORIES}) == 13
    assert all(row.text for row in STORIES)


def test_basin_deleted(told: Any) -> None:
    """The tie was 300 mm further in for a drain that is gone: 111 + 300 = 411 mm. It may go back; nobody moves it."""
    made = told("basin-deleted")
    assert names(made, "vanished") == ["Basin drain 60", "Wash basin"]
    assert names(made, "moved") == []
    assert not rows(made, "new")
    assert {row["rule"] for row in rows(made, "cleared")} <= {"shear-wall-plate-bored"}
    reasons = [(row["inset"], row["least"]) for row in made["reasons_gone"]]
    assert (0.411, 0.111) in reasons
    assert all("engineer of record decides" in row["text"] for row in made["reasons_gone"])
    assert all("unless it is built already" in row["text"] for row in made["reasons_gone"])
    assert made["numbers"] == []
    assert "plumber" in who(made)
    assert made["exit"]["status"] == 0


def test_basin_deleted_leaves_the_acceptance_of_the_tie_standing(tmp_path: Path) -> None:
    """What was accepted (the inset) has not changed, so the waiver holds in the later model."""
    before = written(tie_round_a_drain(), "semantic", tmp_path / "before.ifc")
    after = written(story("basin-deleted").after(), "semantic", tmp_path / "after.ifc")
    report = pipeline.check({"models": [str(before)]})
    row = next(row for row in report["findings"] if row["rule"] == "tie-distance-from-end")
    (tmp_path / "modellint.yaml").write_text(
        f'waivers:\n- {{id: "{row["id"]}", state: "{row["state"]}", by: A. Rivera, reason: drain}}\n', encoding="utf-8")
    made = comparison.compare({"before": [str(before)], "models": [str(after)]})
    accepted = [one["finding"]["rule"] for one in made["findings"] if one["finding"]["accepted"]]
    assert accepted == ["tie-distance-from-end"]
    gone = next(row for row in made["reasons_gone"] if row["accepted"])
    assert gone["accepted"] == "A. Rivera (drain)"
    assert "acceptance by A. Rivera (drain) is then no longer needed" in gone["text"]


def test_shower_added(told: Any) -> None:
    """A 60.3 mm drain in the axis of a rod cuts the tie (60 mm across) and the rod; no force changes."""
    made = told("shower-added")
    assert names(made, "appeared") == ["Drain 60"]
    assert "pipe-through-hardware" in fails(made)
    assert causes(made, "pipe-through-hardware") == {"Drain 60"}
    assert made["numbers"] == []
    assert "plumber" in who(made)
    assert made["exit"]["status"] == 1


END, OTHER = ("SW-1 shear wall, Level 1, west end of the length 3.30 to 7.50 m",
              "SW-1 shear wall, Level 1, east end of the length 3.30 to 7.50 m")


def test_ties_moved_in(told: Any) -> None:
    """Tie 35 mm + post 76 mm + trimmer 38 mm = 149 mm from the end; 300 mm more is 449 mm, and the arm is 300 less."""
    made = told("ties-moved-in")
    assert len(made["changes"]) == 10
    assert {row["text"] for row in made["changes"]} == {"moved 300 mm to the east"}
    assert "tie-distance-from-end" in fails(made)
    assert sum(row["rule"] == "tie-distance-from-end" for row in rows(made, "new", outcome="fail")) == 2
    assert number(made, END, "tie distance from end") == pytest.approx((0.149, 0.449), abs=5e-4)
    tie = POST_INNER + TIE + 0.038
    was, west, east = Segment(4.2, tie, POST_INNER), Segment(4.2, tie + 0.3, POST_INNER), Segment(4.2, tie, 0.376)
    assert (was.arm, west.arm, east.arm) == pytest.approx((3.975, 3.675, 3.675))
    assert (was.pull, west.pull, east.pull) == pytest.approx((6.196, 6.702, 6.977), abs=1e-3)
    for end, now in ((END, west), (OTHER, east)):
        assert number(made, end, "lever arm") == pytest.approx((was.arm, now.arm), abs=5e-4)
        assert (was.pull, now.pull) == forces(made, end, "pull")
        assert (22 - was.pull, 22 - now.pull) == forces(made, end, "margin")
        assert number(made, end, "may move further in") == pytest.approx((was.may_move(22), now.may_move(22)), abs=2e-3)
        assert forces(made, end, "weakest link takes") == (22, 22)
        assert (was.upper, now.upper) == forces(made, end.replace("Level 1", "Level 2"), "pull")
    assert {"engineer of record", "framer", "concrete crew"} <= who(made)
    assert not any(row["who"] == "plumber" for row in made["tell"])


def test_ties_moved_in_on_one_storey_only(told: Any) -> None:
    """Then the rod from above misses its tie by 300 mm less half the tie and half the rod, and the chain is broken."""
    made = told("ties-moved-in-below")
    assert {"rod-meets-hold-down", "tie-distance-from-end", "tie-reaches-foundation"} <= set(fails(made))
    assert causes(made, "rod-meets-hold-down") == {"Tie-down TD-2"}
    stack = next(row for row in made["downstream"] if row["name"].startswith(END))
    assert "Threaded rod 15.9 mm" in stack["text"]
    assert made["exit"]["status"] == 1
    tie = POST_INNER + TIE + 0.038
    was, now = Segment(4.2, tie, POST_INNER), Segment(4.2, tie + 0.3, POST_INNER)
    assert (was.pull, now.own + was.upper) == forces(made, END, "pull")
    assert span(made, END.replace("Level 1", "Level 2"), "weakest link takes") == ([14000, 14000], [0, 14000])


def test_upsized(told: Any) -> None:
    """A TD-3 of 36 kN asks for a 22.2 mm rod, a post of 114 mm and 450 mm in concrete; there are 15.9, 76 and 350.

    So it takes what the old row takes, 22 kN; pull and arm stay: 36 kN is nowhere to be seen.
    """
    made = told("upsized")
    assert names(made, "retyped") == ["Tie-down TD-3"]
    assert "'Tie-down TD-2' became 'Tie-down TD-3'" in made["changes"][0]["text"]
    assert "RodDiameter 15.9 mm became 22.2 mm" in made["changes"][0]["text"]
    assert "moved" not in made["changes"][0]["kinds"]
    stack = made["downstream"][0]["text"]
    assert "Anchor rod 15.9 mm" in stack
    assert "End post" in stack
    assert {"engineer of record", "framer", "concrete crew", "purchasing"} <= who(made)
    assert {"hardware-not-a-set", "tie-not-as-scheduled"} <= set(fails(made))
    said = {row["message"].partition("end: ")[2] for row in rows(made, "new") if row["rule"] == "hardware-not-a-set"}
    assert said == {"rod 15.9 mm, row TD-3 asks for 22.2 mm.", "post 76 mm thick, row TD-3 asks for 114 mm.",
                    "anchor 350 mm deep in concrete, row TD-3 asks for 450 mm."}
    assert causes(made, "hardware-not-a-set") == {"Tie-down TD-3"}
    end = "SW-3 shear wall, Level 1, north end"
    short = Segment(2.32, POST_INNER + TIE, POST_INNER)
    assert short.arm == pytest.approx(2.133)
    assert (short.pull, short.pull) == forces(made, end, "pull")
    assert forces(made, end, "weakest link takes") == (22, 22)
    assert not any(row["changed"] for row in made["numbers"] if row["measure"] != "weakest link")
    assert made["exit"]["status"] == 1


def test_upsized_without_schedules_asks_the_device_itself(tmp_path: Path) -> None:
    """The model alone tells: the device states a 22.2 mm rod, the anchor drawn is 15.9 mm."""
    one = story("upsized")
    made = compared(one.before(), one.after(), "plain", tmp_path)
    assert fails(made) == ["hardware-not-a-set"]
    assert "rod 15.9 mm, Tie-down TD-3 itself asks for 22.2 mm" in rows(made, "new")[0]["message"]


def test_two_straps_for_a_tie(told: Any) -> None:
    """Two straps are not the tie: the chain counts as broken and the engineer is asked; nothing is added up."""
    made = told("two-straps")
    assert names(made, "vanished") == ["Tie-down TD-2"]
    assert names(made, "appeared") == ["Strap tie ST-2 32x1.5"] * 2
    assert "tie-reaches-foundation" in fails(made)
    low, high = span(made, "SW-3 shear wall, Level 1, north end", "weakest link takes")[1]
    assert (low, high) == (0, 22000)
    assert "Tie-down TD-2" in causes(made, "tie-reaches-foundation")
    decide = next(row["text"] for row in made["tell"] if row["who"] == "engineer of record")
    assert "Please decide before the concrete is poured" in decide
    assert "purchasing" in who(made)


def test_riser_moved(told: Any) -> None:
    """6.6 - 4.8 = 1.8 m west, with offset and exit; the exit now lies 2.3 m from the roof window (10 ft needed)."""
    made = told("riser-moved")
    moved = [row for row in made["changes"] if row["text"] == "moved 1800 mm to the west"]
    assert len(moved) == 20
    assert len(made["changes"]) - len(moved) <= 1
    assert "exit-near-opening" in fails(made)
    assert causes(made, "exit-near-opening") & {"Vent terminal", "Soil-gas vent through roof"}
    assert {"soil-gas professional", "roofer", "electrician"} <= who(made)


def test_window_widened(told: Any) -> None:
    """4.2 m of wall become 3.6 m; tie and post move 600 mm, and the end above no longer stands on an end."""
    made = told("window-widened")
    assert number(made, END.replace("3.30", "3.90"), "length of wall") == (4.2, 3.6)
    shear = 1.8 * 7.2 / 6.6  # the storey shear stays, the wall is 600 mm shorter
    tie = POST_INNER + TIE + 0.038
    was, now = Segment(4.2, tie, POST_INNER), Segment(3.6, tie, POST_INNER, shear)
    outer, outer_now = (Segment(1.5, POST_INNER + TIE, POST_INNER, v) for v in (1.8, shear))
    east = OTHER.replace("3.30", "3.90")
    assert number(made, east, "lever arm") == pytest.approx((was.arm, now.arm), abs=5e-4)
    assert (was.pull, now.own + was.upper) == forces(made, east, "pull")
    assert (outer.pull, outer_now.pull) == forces(made, "SW-1 shear wall, Level 1, west end", "pull")
    # at the window the wall above stands on no end: what comes down there nobody knows, so at least the wall's own pull
    before, after = span(made, END.replace("3.30", "3.90"), "pull")
    assert before[0] == before[1] == pytest.approx(1000 * was.pull, abs=2)
    assert after == [pytest.approx(1000 * now.own, abs=2), None]
    assert {"tie-reaches-foundation", "upper-end-stands-on-lower-end"} <= set(fails(made))
    assert all(row["place"]["storey"] == "Level 2" for row in rows(made, "new", outcome="fail"))
    window = next(row for row in made["changes"] if row["role"] == "window")
    assert "1780 mm became 2380 mm" in window["text"]
    assert next(iter(made["tell"]))["who"] == "engineer of record"
    assert {"designer", "purchasing"} <= who(made)


def test_deeper_joists(told: Any) -> None:
    """302 + 54 = 356 mm; 20 rods through the floor are 54 mm longer; nothing moves in plan and nothing breaks."""
    made = told("deeper-joists")
    texts = {row["text"].rpartition("each ")[2] for row in made["change_lines"]}
    assert "moved 54 mm up" in texts
    assert any(text.startswith("302 mm became 356 mm") for text in texts)
    rods = [row for row in made["changes"] if row["role"] == "rod" and "resized" in row["kinds"]]
    assert len(rods) == 20
    assert {row["text"].split(";")[0] for row in rods} == {"604 mm became 658 mm"}
    assert all(row["moved"][:2] == [0.0, 0.0] for row in made["changes"])
    assert not rows(made, "new", "cleared", outcome="fail")
    assert "purchasing" in who(made)
    assert len(made["change_lines"]) < 10
    tie = POST_INNER + TIE + 0.038
    was, now = Segment(4.2, tie, POST_INNER), Segment(4.2, tie, POST_INNER, height=FLOOR + 0.054)
    assert (was.pull, now.pull) == forces(made, END, "pull")
    assert now.pull - was.pull == pytest.approx(1.8 * 4.2 * 0.054 / was.arm)


def test_footing_stepped(told: Any) -> None:
    """At x = 3.48 m the concrete steps down 300 mm: 350 mm of anchor become 50, 190 mm of bolt become none.

    One anchor stays in the high part: 38 mm trimmer, 76 mm post and 38 mm more from 3.30 m is 3.452 m, 28 mm from the
    step. TD-2 asks for 250 mm and 50 mm.
    """
    made = told("footing-stepped")
    assert names(made, "resized") == ["Stem wall under SW-1", "Strip footing under SW-1"]
    assert len(names(made, "appeared")) == 2
    stacks = [row for row in made["downstream"] if row["name"].startswith("SW-1 shear wall, Level 1")]
    assert len(stacks) == 6
    assert {"hardware-not-a-set", "rod-embedded", "sill-bolt-embedded"} <= set(fails(made))
    short = [row["message"] for row in rows(made, "new") if row["rule"] == "hardware-not-a-set"]
    assert sum("anchor 50 mm deep in concrete, row TD-2 asks for 250 mm" in text for text in short) == 3
    assert sum("anchor 28 mm from the edge of the concrete, row TD-2 asks for 50 mm" in text for text in short) == 1
    assert all(row["measured"] == "0 mm" for row in rows(made, "new") if row["rule"] == "sill-bolt-embedded")
    for rule in ("hardware-not-a-set", "rod-embedded", "sill-bolt-embedded"):
        assert "Stem wall under SW-1" in causes(made, rule)
    assert span(made, "SW-1 shear wall, Level 1, east end", "weakest link takes") == ([22000, 22000], [0, 22000])
    assert made["exit"]["status"] == 1
    assert {"engineer of record", "concrete crew"} <= who(made)


def test_tighter_nailing(told: Any) -> None:
    """4 in become 2 in: the wall is stronger in the middle; the framing under the joints must be wide enough now."""
    made = told("tighter-nailing")
    assert [row["kinds"] for row in made["changes"]] == [["properties"]]
    assert made["changes"][0]["text"] == "EdgeNailSpacing 102 mm became 50.8 mm"
    assert made["numbers"] == []
    assert not {"tie-reaches-foundation", "tie-distance-from-end"} & set(fails(made))
    assert {"engineer of record", "framer"} <= who(made)


def test_bump_out(told: Any) -> None:
    """Nine new parts; the new gravel is a pocket of its own that nothing opens into."""
    made = told("bump-out")
    assert len(names(made, "appeared")) == 9
    assert "gravel-pocket-served" in fails(made)
    assert any("Gas-permeable layer" in name for name in causes(made, "gravel-pocket-served"))
    assert {"engineer of record", "soil-gas professional", "concrete crew"} <= who(made)


def test_mirrored_lot(told: Any) -> None:
    """Stack at 2.2 m from the old west end: mirrored it would stand at -2.2, it stands at -10.8 + 2.2 = -8.6."""
    made = told("mirrored-lot")
    frame = made["matching"]["frame"]
    assert frame["mirrored"]
    assert not made["matching"]["ids_kept"]
    moved = [row for row in made["changes"] if "moved" in row["kinds"]]
    assert sorted(row["name"] for row in moved) == ["Drain stack Level 1", "Drain stack Level 2",
                                                    "Plumbing vent through roof", "Stack tee 60x48", "Stack tee 60x48"]
    assert {row["text"] for row in moved} == {"moved 6400 mm to the west"}
    assert {"plumber", "framer", "concrete crew", "engineer of record"} <= who(made)
    assert all("mirrored" in row["text"] for row in made["tell"])
