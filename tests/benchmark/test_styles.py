"""The same house as other offices would write it: each style says what has to come out.

Most styles change nothing of what is built, so every rule must say exactly what it says of the usual manner.
The house is invented; what is stated beside a style is the promise that no evidence is never a pass or a fail.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from modellint import pipeline, pipeline_ready
from sample_models.generator import build, transform
from sample_models.generator.styles import STYLES, Style, write_pair, write_style

USUAL = Style("usual")
BY_NAME = {style.name: style for style in STYLES}
# what is drawn differently, but built and drawn in full: nothing else may come out
SAME = ("tie-proxy", "pipe-gaps", "fittings-brep", "assemblies-in-assemblies",
        "tie-fastener", "tie-member", "tie-plate", "rod-bar", "rod-beam", "rod-member", "rod-proxy-no-name",
        "bolts-in-one", "ports-none", "ports-half", "ports-twice", "ports-reversed", "roof-one-extrusion",
        "roof-one-brep", "wrong-storey")


def report_of(style: Style, folder: Path) -> dict[str, Any]:
    write_style(build("two-storey"), style, folder / "house.ifc")
    return pipeline.check({"models": [str(folder / "house.ifc")]})


def outcomes(report: dict[str, Any], outcome: str) -> Counter[str]:
    return Counter(row["rule"] for row in report["findings"] if row["outcome"] == outcome)


def counts(report: dict[str, Any]) -> dict[str, tuple[int, int, int]]:
    return {row["rule"]: (row["pass"], row["fail"], row["open"]) for row in report["rules"]}


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    return report_of(USUAL, tmp_path_factory.mktemp("usual"))


@pytest.mark.parametrize("name", SAME)
def test_says_the_same_however_it_is_written(name: str, usual: dict[str, Any], tmp_path: Path) -> None:
    report = report_of(BY_NAME[name], tmp_path)
    # where a part is filed is the one thing that this style changes, and one rule is about just that
    filed = {"part-on-other-storey": (0, 1, 0)} if name == "wrong-storey" else {}
    assert counts(report) == counts(usual) | filed
    assert [(path["kind"], path["verdict"]) for path in report["paths"]] == \
        [(path["kind"], path["verdict"]) for path in usual["paths"]]


def test_every_style_has_a_test() -> None:
    assert {*SAME, "walls-alone", "vent-without-shape", "footings-as-slabs", "no-storeys",
            "ties-stated"} == set(BY_NAME)


def test_walls_without_framing_leave_posts_open(usual: dict[str, Any], tmp_path: Path) -> None:
    report = report_of(BY_NAME["walls-alone"], tmp_path)
    assert outcomes(report, "fail") <= outcomes(usual, "fail")
    opens = outcomes(report, "open")
    assert opens["end-post-present"] == 40
    assert opens["sheathing-present"] == 20
    assert opens["tie-reaches-foundation"] == 20
    assert {path["verdict"] for path in report["paths"] if path["kind"] == "uplift"} == {"unknown"}
    assert counts(report)["wall-end-has-tie"] == counts(usual)["wall-end-has-tie"]


def test_ties_that_the_walls_state_count_and_their_places_stay_open(tmp_path: Path) -> None:
    """A property of the wall names the tie at its two ends; nothing of the tie is drawn."""
    report = report_of(BY_NAME["ties-stated"], tmp_path)
    assert not any(row["rule"] in {"wall-end-has-tie", "tie-reaches-foundation"} and row["outcome"] == "fail"
                   for row in report["findings"])
    outer = 2 * 10  # shear walls
    assert counts(report)["wall-end-has-tie"] == (outer, 0, 40 - outer)  # beside an opening nothing is stated
    assert counts(report)["tie-distance-from-end"][0] == 0
    told = [slot for path in report["paths"] if path["kind"] == "uplift" for slot in path["slots"]
            if "'TD-2' is stated, not drawn" in slot["text"]]
    assert told
    assert {(slot["state"], slot["rung"]) for slot in told} == {("unknown", "declared")}
    ready = pipeline_ready.ready({"models": [str(tmp_path / "house.ifc")]})
    assert [(row["mark"], row["ends"]) for row in ready["stated_ties"]] == [("TD-2", outer)]


def test_pipes_without_shape_leave_falls_open(usual: dict[str, Any], tmp_path: Path) -> None:
    report = report_of(BY_NAME["vent-without-shape"], tmp_path)
    assert outcomes(report, "fail") <= outcomes(usual, "fail")
    opens = outcomes(report, "open")
    assert opens["vent-falls-back"] == 4
    assert opens["vent-fall-too-flat"] == 4
    assert opens["vent-low-point"] == 1
    assert counts(report)["vent-joined"] == (1, 0, 0)  # by the joints that the model states


def test_foundations_drawn_as_slabs_still_carry_the_walls(usual: dict[str, Any], tmp_path: Path) -> None:
    report = report_of(BY_NAME["footings-as-slabs"], tmp_path)
    assert outcomes(report, "fail") <= outcomes(usual, "fail")
    for rule in ("foundation-under-end", "rod-embedded", "tie-reaches-foundation", "gravel-under-slab"):
        assert counts(report)[rule] == counts(usual)[rule]


def test_a_house_without_storeys_is_judged_by_heights(usual: dict[str, Any], tmp_path: Path) -> None:
    report = report_of(BY_NAME["no-storeys"], tmp_path)
    # without storeys, the walls above one another have one name
    assert outcomes(report, "fail") <= outcomes(usual, "fail") + Counter({"wall-ends-of-one-name": 1})
    assert outcomes(report, "open")["storey-heights-believable"] == 1
    for rule in ("wall-end-has-tie", "tie-reaches-foundation", "vent-joined", "exit-above-roof"):
        assert counts(report)[rule] == counts(usual)[rule]


def test_two_buildings_are_judged_apart(usual: dict[str, Any], tmp_path: Path) -> None:
    """The second lacks one anchor rod; its neighbour keeps its clean report, and completeness is its own."""
    first, second = build("two-storey"), build("two-storey")
    second = transform.move(second, (40.0, 0.0, 0.0))
    second.salt, second.title = "second", "Lot 5"
    second.remove("SW-1/L1/1a/anchor")
    write_pair(first, second, tmp_path / "pair.ifc")
    report = pipeline.check({"models": [str(tmp_path / "pair.ifc")]})
    assert {row["name"] for row in report["model"]["buildings"]} == {first.title, "Lot 5"}
    more = outcomes(report, "fail") - outcomes(usual, "fail") - outcomes(usual, "fail")
    assert set(more) >= {"tie-reaches-foundation"}
    broken = [row for row in report["findings"] if row["rule"] == "tie-reaches-foundation" and row["outcome"] == "fail"]
    assert len(broken) == 1
    wall = second.guid("SW-1/L1")
    assert second.guid("SW-1/L2") in broken[0]["elements"] or wall in broken[0]["elements"]
    for rule, (passed, failed, _) in counts(usual).items():
        if rule in {"wall-end-has-tie", "vent-joined", "exit-near-opening", "sill-bolt-spacing"}:
            assert counts(report)[rule][:2] == (2 * passed, 2 * failed), rule
