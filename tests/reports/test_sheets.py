"""Field sheets: one per chain and wall line, with the model's own distances, and its fingerprint on each."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from modellint.cli.sheets import sheets as command
from modellint.reports.sheets import render
from modellint.reports.sheets_text import Issue
from sample_models.generator import sizes
from tests.drawn import seeded
from tests.reports.plain_reports import ATTACKS, attacked, plain
from tests.reports.test_html import HARMLESS, Page

ISSUE = Issue("B", "2026-03-02")


@pytest.fixture(scope="module")
def text() -> str:
    return render(seeded(), ISSUE)


def _sheets(text: str) -> list[str]:
    return re.findall(r'<section class="sheet.*?</section>', text, re.DOTALL)


def test_there_is_a_sheet_for_every_chain_wall_line_vent_and_list(text: str) -> None:
    ids = [match[1] for sheet in _sheets(text) if (match := re.search(r'id="([^"]+)"', sheet))]
    chains = sum(len(row["chains"]) for row in seeded()["drawings"][0]["elevations"])
    assert sum(ident.startswith("end-") for ident in ids) == chains == 30
    assert sum(ident.startswith("anchors-") for ident in ids) == 6
    assert sum(ident.startswith("riser-") for ident in ids) == 1
    assert {"contents", "pre-pour", "pre-cover", "hand-over"} <= set(ids)
    assert len(ids) == len(set(ids))


def test_every_sheet_carries_revision_date_and_fingerprint(text: str) -> None:
    sheets = _sheets(text)
    sha = seeded()["model"]["files"][0]["sha256"][:16]
    for number, sheet in enumerate(sheets, 1):
        assert "Revision B, date 2026-03-02" in sheet
        assert sha in sheet
        assert f"<span>{number} of {len(sheets)}</span>" in sheet
        assert "Advice, not a design" in sheet
    blank = render(seeded())
    assert "Revision ________, date ____________" in blank


def test_the_broken_end_says_so_and_the_others_do_not(text: str) -> None:
    ends = [sheet for sheet in _sheets(text) if 'id="end-' in sheet]
    broken = [sheet for sheet in ends if "Chain as drawn: <b>broken</b>" in sheet]
    assert len(broken) == 1
    assert "NOT DRAWN: no rod" in broken[0]
    assert sum("Chain as drawn: <b>joined</b>" in sheet for sheet in ends) == 29


def test_distances_are_those_the_house_was_built_with(text: str) -> None:
    """Expected values from the generator's sizes: a post of three plies, the rod beside it, the tie above the sole."""
    sheet = next(sheet for sheet in _sheets(text) if 'id="end-0-0-1"' in sheet)
    rod = f"centre {1000 * (3 * sizes.PLY + sizes.ROD_FROM_POST):.0f} mm from the end"
    low = 1000 * (sizes.PLY + sizes.TIE_LIFT)
    assert f"Anchor rod 15.9 mm; {rod};" in sheet
    assert f"{1000 * sizes.ROD_EMBEDMENT:.0f} mm below" in sheet
    assert f"{low:.0f} mm to {low + 1000 * sizes.TIE_LENGTH:.0f} mm above the sole" in sheet
    assert f"{1000 * sizes.STUD:.0f} mm tall" in sheet
    assert f"sheathing {1000 * sizes.PANEL:.0f} mm" in sheet


def test_anchor_distances_run_from_one_end(text: str) -> None:
    for sheet in (row for row in _sheets(text) if 'id="anchors-' in row):
        rows = re.findall(r"<td>(\d+)</td><td>[^<]*</td><td>[^<]*</td><td>([\d.]+) (mm|m)</td>", sheet)
        running = [float(value) * (1000 if unit == "m" else 1) for _, value, unit in rows]
        assert running
        assert running == sorted(running)
        assert [int(number) for number, _, _ in rows] == list(range(1, len(rows) + 1))


def test_us_units_are_feet_inches_and_fractions() -> None:
    page = render({**seeded(), "display": "us"}, ISSUE)
    ends = "".join(sheet for sheet in _sheets(page) if 'id="end-' in sheet)
    shown = re.findall(r"centre ([^;<]+) from the end", ends)
    assert shown
    assert all(re.fullmatch(r"(\d+ ft ?)?([\d-]+(/\d+)? in)?", value) for value in shown), shown


@pytest.mark.parametrize("attack", ATTACKS)
def test_hostile_strings_stay_text_and_nothing_runs(attack: str) -> None:
    names = json.loads(json.dumps(seeded()).replace("SW-1 shear wall", json.dumps(attack)[1:-1]))
    for report in (names, attacked(attack)):
        page = Page(render(report, Issue(attack, attack)))
        tags = {tag for tag, _ in page.tags}
        assert tags <= (HARMLESS - {"script"}) | {"br"}
        assert all((attrs.get("href") or "#").startswith("#") for _, attrs in page.tags)


def test_without_drawings_there_are_lists_and_no_ends() -> None:
    page = render(plain(), ISSUE)
    assert 'id="hand-over"' in page
    assert 'id="end-' not in page


def test_the_command_asks_for_drawings_and_writes_the_file(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    asked = {}

    def run(request, *_, **__):
        asked.update(request)
        return seeded()

    monkeypatch.setattr("modellint.worker.run", run)
    out = tmp_path / "sheets.html"
    done = CliRunner().invoke(command, ["house.ifc", "-o", str(out), "--revision", "B", "--date", "2026-03-02"])
    assert done.exit_code == 0
    assert asked["drawings"] is True
    assert out.read_text("utf-8") == render(seeded(), ISSUE)
    out.write_text("mine")
    assert CliRunner().invoke(command, ["house.ifc", "-o", str(out)]).exception is not None
    assert out.read_text() == "mine"
