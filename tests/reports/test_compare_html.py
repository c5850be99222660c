"""The comparison's HTML page: before beside now, marks that lead to the list, nothing that loads or runs, browser."""

from __future__ import annotations

import base64
import copy
import hashlib
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from modellint.reports.compare_html import MOST_CARDS, render
from sample_models.generator import build
from sample_models.generator.changes import basin_deleted, shower_added
from tests.compare.pairs import compared
from tests.compare.test_progress import project
from tests.reports.plain_reports import HOSTILE
from tests.reports.test_html import Page

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
KEPT = {"status", "state", "key", "change", "changes", "kind", "before", "after", "id", "outcome", "level", "verdict",
        "role", "sha256", "storey_before", "storey_after", "stage", "dimension"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """A tie moved in by 300 mm at one end of SW-3, its anchor marked as poured, and a drain through a rod of SW-1."""
    folder = tmp_path_factory.mktemp("page")
    after = basin_deleted()
    after.add(shower_added().pieces["plumbing/stray-drain"])
    project(folder, ",SW-3,Level 1,north,poured,2026-06-03")
    return compared(build("two-storey"), after, "semantic", folder, drawings=True)


@pytest.fixture(scope="module")
def text(made: dict[str, Any]) -> str:
    return render(made)


def test_the_page_nests_and_every_link_has_its_target(text: str) -> None:
    page = Page(text)
    ids = [attrs["id"] for _, attrs in page.tags if attrs.get("id")]
    assert len(ids) == len(set(ids))
    links = [attrs["href"] for tag, attrs in page.tags if tag == "a"]
    assert len(links) > 20
    assert all(href and href.startswith("#") and href[1:] in ids for href in links)
    for _, attrs in page.tags:
        for name in ("aria-labelledby", "aria-describedby"):
            assert all(key in ids for key in (attrs.get(name) or "").split())


def test_nothing_loads_and_nothing_runs(text: str) -> None:
    """Content Security Policy Level 3 (W3C), 6.7.2: the hash of the exact text between the tags; no script at all."""
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', text)
    assert policy
    styles = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(styles[0].encode()).digest()).decode()
    assert len(styles) == 1
    assert policy[1] == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    assert "<script" not in text
    for _, attrs in Page(text).tags:
        assert not [name for name in attrs if name.startswith("on") or name in {"style", "src", "srcset", "action"}]
    assert not re.search(r"url\(|@import|https?://(?!www\.w3\.org/2000/svg)", text)


def test_each_touched_wall_line_stands_before_beside_now(made: dict[str, Any], text: str) -> None:
    """SW-3 with its moved tie on both sides, each side with the numbers of the list of changes."""
    titles = re.findall(r'<div class="pair"><h3>(.*?)</h3>', text)
    assert "Elevation of SW-3, seen from the east" in titles
    assert "Plan of Level 1" in titles
    assert not any("SW-4" in title for title in titles)  # nothing changed there
    first = next(part for part in text.split('<div class="pair">')[1:] if part.startswith("<h3>Elevation of SW-3"))
    assert first.count("<figcaption>Before</figcaption>") == first.count("<figcaption>Now</figcaption>") == 1
    before, _, now = first.partition("<figcaption>Now")
    for half in (before, now):
        assert "lit-line" in half
        assert 'class="mark changed"' in half
    number = next(k for k, row in enumerate(made["change_lines"], 1) if "Anchor rod" in row["text"])
    assert f'href="#c-{number}"' in now
    assert f'id="c-{number}"' in text


def test_every_part_of_the_comparison_is_there(made: dict[str, Any], text: str) -> None:
    for row in made["findings"]:
        if row["status"] == "new":
            assert f'id="f-{row["finding"]["id"]}"' in text
    assert "marked poured on 2026-06-03" in text
    for words in ("lever arm", "margin", "ASD wind", "Who must be told", "Superintendent", "Ordered, framed, poured"):
        assert words in text
    assert text.count('class="card fail"') == sum(row["status"] == "new" and row["finding"]["outcome"] == "fail"
                                                 for row in made["findings"])


def test_without_drawings_and_changes_the_page_still_stands(made: dict[str, Any]) -> None:
    bare = {**made, "changes": [], "change_lines": [], "findings": [], "numbers": [], "built": [], "tell": [],
            "downstream": [], "reasons_gone": []}
    bare.pop("drawings")
    page = render(bare)
    Page(page)
    assert "No part is another one." in page


def test_many_findings_are_capped_with_a_count(made: dict[str, Any]) -> None:
    new = [row for row in made["findings"] if row["status"] == "new"]
    rows = [{**new[0], "finding": {**new[0]["finding"], "id": f"{k:016x}"}} for k in range(MOST_CARDS + 7)]
    page = render({**made, "findings": rows})
    assert page.count("<article") == MOST_CARDS
    assert "<b>7 more findings</b> are left out here" in page


def test_hostile_strings_stay_text(made: dict[str, Any]) -> None:
    def poisoned(value: Any, key: str = "") -> Any:
        if isinstance(value, dict):
            return {name: poisoned(item, name) for name, item in value.items()}
        if isinstance(value, list):
            return [poisoned(item, key) for item in value]
        return HOSTILE if isinstance(value, str) and key not in KEPT else value

    drawn = copy.deepcopy(made["drawings"])
    page = render({**{key: poisoned(row, key) for key, row in made.items() if key not in {"drawings", "display"}},
                   "drawings": drawn, "display": "metric"})
    assert {tag for tag, _ in Page(page).tags} <= {tag for tag, _ in Page(render(made)).tags}
    assert "<script" not in page


def test_the_same_bytes(made: dict[str, Any], text: str) -> None:
    assert render(copy.deepcopy(made)) == text


@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here; install Debian's package chromium")
def test_in_a_browser_side_by_side_and_under_one_another(text: str, tmp_path: Path) -> None:
    """Wide: now stands right of before. Phone: below it, and nothing runs over the side. Nothing is asked for."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    path = tmp_path / "page.html"
    path.write_text(text, "utf-8")
    trouble: list[str] = []
    with api.sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1400, "height": 900})
        page.on("console", lambda message: trouble.append(message.text))
        page.on("request", lambda asked: trouble.append(asked.url) if asked.url != path.as_uri() else None)
        page.goto(path.as_uri())
        for width in (1400, 390):
            page.set_viewport_size({"width": width, "height": 900})
            one, two = (page.locator(".pair figure").nth(k).bounding_box() for k in (0, 1))
            beside = two["x"] > one["x"] + one["width"] - 1 and abs(two["y"] - one["y"]) < 1
            below = two["y"] >= one["y"] + one["height"]
            assert (beside, below) == ((True, False) if width == 1400 else (False, True))
            assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.locator(".pair a.mark").first.click()
        assert re.search(r"#c-\d+$", page.url)
        assert len(page.pdf(format="A4")) > 10_000
        browser.close()
    assert trouble == []
