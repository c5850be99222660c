"""Stories of a change, as they come up on site, each with the answer a person gives by hand.

The houses are the generator's; the numbers are worked out beside each test from its plan: SW-1 is 10.8 m long with a
window from 1.5 to 3.3 m and a door from 7.5 to 9.3 m; an end post is two plies of 38 mm, a rod stands 38 mm inside
the post; trimmers of one ply stand at openings.
"""

from __future__ import annotations

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
        return compared(one.before(), one.after(), "semantic", tmp_path_factory.mktemp(name))

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
    assert not rows(made, "new", "cleared")
    reasons = [(row["inset"], row["least"]) for row in made["reasons_gone"]]
    assert (0.411, 0.111) in reasons
    assert all("engineer of record decides" in row["text"] for row in made["reasons_gone"])
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


def test_shower_added(told: Any) -> None:
    """A 60.3 mm drain in the axis of a rod cuts the tie (60 mm across) and the rod; no force changes."""
    made = told("shower-added")
    assert names(made, "appeared") == ["Drain 60"]
    assert fails(made) == ["pipe-through-hardware"]
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
    assert fails(made) == ["tie-distance-from-end"]
    assert len(rows(made, "new", outcome="fail")) == 2
    assert number(made, END, "tie distance from end") == pytest.approx((0.149, 0.449), abs=5e-4)
    for end in (END, OTHER):
        before, after = number(made, end, "lever arm")
        assert after - before == pytest.approx(-0.300, abs=5e-4)
    assert {"engineer of record", "framer", "concrete crew"} <= who(made)
    assert not any(row["who"] == "plumber" for row in made["tell"])


def test_ties_moved_in_on_one_storey_only(told: Any) -> None:
    """Then the rod from above misses its tie by 300 mm less half the tie and half the rod, and the chain is broken."""
    made = told("ties-moved-in-below")
    assert fails(made) == ["rod-meets-hold-down", "tie-distance-from-end", "tie-reaches-foundation"]
    assert causes(made, "rod-meets-hold-down") == {"Tie-down TD-2"}
    stack = next(row for row in made["downstream"] if row["name"].startswith(END))
    assert "Threaded rod 15.9 mm" in stack["text"]
    assert made["exit"]["status"] == 1


def test_upsized(told: Any) -> None:
    """The tie is another one; everything it must fit (anchor, post, rod above) is as before and is listed."""
    made = told("upsized")
    assert names(made, "retyped") == ["Tie-down TD-3"]
    assert "'Tie-down TD-2' became 'Tie-down TD-3'" in made["changes"][0]["text"]
    assert "RodDiameter 15.9 mm became 22.2 mm" in made["changes"][0]["text"]
    assert "moved" not in made["changes"][0]["kinds"]
    stack = made["downstream"][0]["text"]
    assert "Anchor rod 15.9 mm" in stack
    assert "End post" in stack
    assert {"engineer of record", "framer", "concrete crew", "purchasing"} <= who(made)


def test_two_straps_for_a_tie(told: Any) -> None:
    """Two straps are not the tie: the chain counts as broken and the engineer is asked; nothing is added up."""
    made = told("two-straps")
    assert names(made, "vanished") == ["Tie-down TD-2"]
    assert names(made, "appeared") == ["Strap tie ST-2 32x1.5"] * 2
    assert fails(made) == ["tie-reaches-foundation"]
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
    assert fails(made) == ["exit-near-opening"]
    assert causes(made, "exit-near-opening") & {"Vent terminal", "Soil-gas vent through roof"}
    assert {"soil-gas professional", "roofer", "electrician"} <= who(made)


def test_window_widened(told: Any) -> None:
    """4.2 m of wall become 3.6 m; tie and post move 600 mm, and the end above no longer stands on an end."""
    made = told("window-widened")
    assert number(made, END.replace("3.30", "3.90"), "length of wall") == (4.2, 3.6)
    before, after = number(made, END.replace("3.30", "3.90"), "lever arm")
    assert after - before == pytest.approx(-0.600, abs=5e-4)
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


def test_footing_stepped(told: Any) -> None:
    """Footing and stem wall are shorter, two lower ones are new; every stack of SW-1 stands on them."""
    made = told("footing-stepped")
    assert names(made, "resized") == ["Stem wall under SW-1", "Strip footing under SW-1"]
    assert len(names(made, "appeared")) == 2
    stacks = [row for row in made["downstream"] if row["name"].startswith("SW-1 shear wall, Level 1")]
    assert len(stacks) == 6
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
