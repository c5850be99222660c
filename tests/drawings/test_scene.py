"""Drawing data: the same house drawn alike in all manners, at the places and sizes it was built with."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from modellint import pipeline
from sample_models.generator import MANNERS
from tests.drawn import seeded

ROOT = Path(__file__).parents[2]


def test_without_being_asked_a_report_has_no_drawings() -> None:
    report = pipeline.check({"models": [str(ROOT / "sample_models/two-storey/semantic.ifc")]})
    assert "drawings" not in report


def test_the_report_with_drawings_fits_its_schema() -> None:
    schema = json.loads((ROOT / "docs" / "report.schema.json").read_text("utf-8"))
    jsonschema.validate(seeded(), schema)


def _chains(report: dict[str, Any]) -> list[tuple[str, list[tuple[str, int]]]]:
    """Per elevation the side it is seen from and its chains from the left: verdict and place along, in cm."""
    found = []
    for elevation in report["drawings"][0]["elevations"]:
        ends = {end["key"]: end["at"] for end in elevation["ends"]}
        rows = [(chain["verdict"], round(100 * ends[chain["end"]])) for chain in elevation["chains"]]
        found.append((elevation["seen_from"], sorted(rows, key=lambda row: row[1])))
    return found


@pytest.mark.parametrize("manner", [name for name in MANNERS if name != "semantic"])
def test_all_manners_give_the_same_drawings(manner: str) -> None:
    """Moved, turned by 23 degrees, in feet, or of meshes: a house is drawn in its own frame."""
    ours, other = _chains(seeded()), _chains(seeded(manner))
    assert [side for side, _ in ours] == [side for side, _ in other]
    for (_, left), (_, right) in zip(ours, other, strict=True):
        assert [row[0] for row in left] == [row[0] for row in right]
        assert all(abs(a[1] - b[1]) <= 2 for a, b in zip(left, right, strict=True))
    north = seeded(manner)["drawings"][0]["frame"]["north"]
    assert north[1] > 0.99


def test_walls_of_a_turned_house_lie_level_or_upright_on_the_sheet() -> None:
    for wall in seeded("plain")["drawings"][0]["plans"][0]["walls"]:
        (x0, y0), (x1, y1) = wall["outline"][:2]
        assert min(abs(x1 - x0), abs(y1 - y0)) < 0.01


def test_the_broken_chain_has_its_break_at_the_missing_rod() -> None:
    """The rod between Level 2 and Level 1 at the west end of a length of SW-1 was taken out."""
    broken = [
        (elevation["name"], step)
        for elevation in seeded()["drawings"][0]["elevations"]
        for chain in elevation["chains"]
        for step in chain["steps"]
        if step["state"] == "broken"
    ]
    assert len(broken) == 1
    name, step = broken[0]
    assert name.startswith("SW-1")
    assert (step["slot"], step["storey"]) == ("rod", "Level 2")
    assert 2.3 < step["at"][1] < 2.787  # in the floor under Level 2, whose elevation is 2.787 m


def test_plates_carry_their_bolts_with_the_seeded_end_distance() -> None:
    """The seeded bolt stands 450 mm from its plate's end."""
    distances = [
        distance
        for elevation in seeded()["drawings"][0]["elevations"]
        for plate in elevation["plates"]
        if plate["bolts"]
        for distance in (
            plate["bolts"][0]["at"] - plate["from"],
            plate["to"] - plate["bolts"][-1]["at"],
        )
    ]
    assert max(distances) == pytest.approx(0.450, abs=0.002)


def test_the_riser_is_unrolled_from_suction_to_exit() -> None:
    riser = seeded()["drawings"][0]["risers"][0]
    main = [row for row in riser["pieces"] if row["main"]]
    assert main[0]["role"] == "suction_point"
    starts = [row["line"][0][0] for row in main]
    assert starts == sorted(starts)  # plan length never runs backward on the way
    assert [row["gap"] for row in riser["breaks"]] == [0.042]
    offset = next(row for row in main if row["name"].endswith("attic offset"))
    rise = offset["line"][-1][1] - offset["line"][0][1]
    run = offset["line"][-1][0] - offset["line"][0][0]
    assert offset["fall"]["low"] == pytest.approx(rise / run, abs=1e-3)
    assert riser["exit"][1] > max(z for _, z in riser["roof"])
