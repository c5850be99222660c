"""The HTML page: structure, content-security policy, hostile strings, size, the same bytes each time."""

from __future__ import annotations

import base64
import hashlib
import json
import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

from modellint.reports.html import render
from modellint.reports.html_cards import MOST_CARDS
from tests.drawn import SEEDED, seeded
from tests.reports.plain_reports import ATTACKS, attacked, large, plain

VOID = {"meta", "input", "br", "link", "img", "hr"}
TAGS = (
    "html head meta title style body a header h1 h2 h3 h4 p nav main section div ul li svg path "
    "circle rect line polyline polygon text g desc span b small code form fieldset legend label "
    "input select option button article dl dt dd details summary figure figcaption table caption "
    "thead tbody tr th td footer script"
)
HARMLESS = set(TAGS.split())


class Page(HTMLParser):
    """Elements of a page; fails on tags that do not nest."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.said: dict[str, list[str]] = {}
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open:
            self.said.setdefault(self.open[-1], []).append(data)


@pytest.fixture(scope="module")
def text() -> str:
    return render(seeded())


def test_the_page_nests_and_every_link_has_its_target(text: str) -> None:
    page = Page(text)
    ids = [attrs["id"] for _, attrs in page.tags if attrs.get("id")]
    assert len(ids) == len(set(ids))
    links = [attrs["href"] for tag, attrs in page.tags if tag == "a"]
    assert links
    assert all(href and href.startswith("#") and href[1:] in ids for href in links)
    for _, attrs in page.tags:
        for name in ("aria-labelledby", "aria-describedby"):
            assert all(key in ids for key in (attrs.get(name) or "").split())


def test_nothing_loads_and_only_our_style_and_script_may_run(text: str) -> None:
    """Content Security Policy Level 3 (W3C), 6.7.2: hashes of the exact text between the tags."""
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', text)
    assert policy
    assert policy[1].startswith("default-src 'none'; ")
    for tag in ("style", "script"):
        bodies = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.DOTALL)
        assert len(bodies) == 1
        digest = base64.b64encode(hashlib.sha256(bodies[0].encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy[1]
    page = Page(text)
    for _, attrs in page.tags:
        assert not [
            name for name in attrs if name.startswith("on") or name in {"style", "src", "srcset", "action"}
        ]
    assert not re.search(r"url\(|@import|https?://(?!www\.w3\.org/2000/svg)", text)


def test_every_finding_has_a_card_with_word_number_limit_basis_and_decider(text: str) -> None:
    fails = [f for f in seeded()["findings"] if f["outcome"] == "fail"]
    assert len(fails) == len(SEEDED)
    for finding in fails:
        card = re.search(rf'<article class="card fail" id="f-{finding["id"]}".*?</article>', text, re.DOTALL)
        assert card
        for part in (
            "<b>fails</b>",
            finding["decides"],
            f'data-stage="{finding["stage"]}"',
            "<svg",
            "Next step",
        ):
            assert part in card[0]
        for limit in finding["limits"]:
            if limit["dimension"] not in {"truth", "choice"}:
                assert limit["measured"] in card[0]
                assert limit["basis"]["text"] in card[0]


def test_what_cannot_be_told_is_never_called_passed(text: str) -> None:
    for card in re.findall(r'<article class="card open".*?</article>', text, re.DOTALL):
        assert "<b>cannot tell</b>" in card
        assert "Question" in card
        assert "pass" not in re.findall(r"\w+", card.lower())
        assert "passed" not in re.findall(r"\w+", card.lower())
    assert "compliant" not in text.lower()
    assert not re.search(r"\bsafe\b", text.lower())


def test_the_page_shows_each_storey_wall_line_and_the_riser(text: str) -> None:
    for number in range(4):
        assert f'id="plan-0-{number}"' in text
    for number in range(6):
        assert f'id="elevation-0-{number}"' in text
    assert 'id="riser-0-0"' in text
    assert "joint drawn apart: gap 42 mm" in text
    assert ">450 mm<" in text  # the dimension of the seeded bolt in its sketch


def test_without_drawings_the_page_still_stands() -> None:
    page = render(plain())
    Page(page)
    assert "made without drawings" in page


@pytest.mark.parametrize("attack", ATTACKS)
def test_hostile_strings_stay_text(attack: str) -> None:
    page = Page(render(attacked(attack)))
    assert {tag for tag, _ in page.tags} <= HARMLESS
    assert [tag for tag, _ in page.tags].count("script") == 1
    for _, attrs in page.tags:
        assert not [name for name in attrs if name.startswith("on")]
        assert (attrs.get("href") or "#").startswith("#")


def test_hostile_names_in_drawings_stay_text() -> None:
    evil = "\"><img src=x onerror=alert(1)>'</text></svg><script>alert(2)</script>"
    data = json.loads(json.dumps(seeded()).replace("SW-1 shear wall", json.dumps(evil)[1:-1]))
    page = Page(render(data))
    assert {tag for tag, _ in page.tags} <= HARMLESS
    assert [tag for tag, _ in page.tags].count("script") == 1


def test_the_three_storey_page_is_small_and_a_large_report_is_capped_with_a_count(text: str) -> None:
    assert len(text.encode()) < 3_000_000
    page = render(large(5000))
    assert len(page.encode()) < 3_000_000
    cards = page.count("<article ")
    assert cards <= MOST_CARDS
    assert re.search(r"<b>\d+ more findings</b> are left out", page)


def test_the_same_report_gives_the_same_bytes_whatever_the_hash_seed(tmp_path: Path, text: str) -> None:
    path = tmp_path / "report.json"
    path.write_text(json.dumps(seeded()), "utf-8")
    program = (
        "import sys, json, hashlib\nfrom modellint.reports.html import render\n"
        "print(hashlib.sha256(render(json.load(open(sys.argv[1], encoding='utf-8'))).encode()).hexdigest())"
    )
    expected = hashlib.sha256(text.encode()).hexdigest()
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", program, str(path)],
            env={**os.environ, "PYTHONHASHSEED": seed},
            cwd=Path(__file__).parents[2],
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.strip() == expected
