"""Drafts of requests for information: read by an independent CommonMark parser (markdown-it-py)."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from modellint import pipeline
from modellint.cli.rfi import rfi as command
from modellint.errors import UsageProblem
from modellint.reports.rfi_md import Tried, find, render, sketch_of
from sample_models.generator import DEFECTS, build, write
from tests.reports.plain_reports import ATTACKS, attacked, plain

# what an RFI holds: common practice, no source
PARTS = ["Question", "What the model shows", "Numbers", "Sketch", "Options", "What is due when", "Evidence", "Answer"]


@pytest.fixture(scope="module")
def leaning(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A house with one rod out of plumb."""
    path = tmp_path_factory.mktemp("rfi") / "house.ifc"
    write(next(row for row in DEFECTS if row.name == "rod-leans").apply(build("two-storey")), "semantic", path)
    return path


@pytest.fixture(scope="module")
def report(leaning: Path) -> dict[str, Any]:
    """Its report, with drawings."""
    return pipeline.check({"models": [str(leaning)], "drawings": True})


def lean(report: dict[str, Any]) -> dict[str, Any]:
    return next(row for row in report["findings"] if row["rule"] == "rod-lean")


def tokens(text: str) -> list[Any]:
    markdown = pytest.importorskip("markdown_it")
    return markdown.MarkdownIt("commonmark", {"html": False}).enable("table").parse(text)


def headings(text: str) -> list[str]:
    parsed = tokens(text)
    return [after.content for token, after in pairwise(parsed) if token.type == "heading_open" and token.tag == "h2"]


def test_one_question_with_numbers_options_and_who_decides(report: dict[str, Any]) -> None:
    finding = lean(report)
    text = render(report, finding, sketch="rfi.svg")
    assert headings(text) == PARTS
    assert text.count("?**") == 1
    (limit,) = finding["limits"]
    assert f"| {limit['measured']} | " in text
    assert "Leave as is" in text
    assert "engineer of record" in text
    assert "before the concrete is poured" in text
    assert all(f"`{key}`" in text for key in finding["elements"])
    assert "(<rfi.svg>)" in text


def test_an_open_finding_asks_its_own_question(report: dict[str, Any]) -> None:
    finding = next(
        row for row in report["findings"] if row["outcome"] == "open" and row["question"] and not row["limits"]
    )
    text = render(report, finding)
    asked = text[text.index("## Question") : text.index("## What the model shows")]
    assert asked.count("?") == finding["question"].count("?") > 0
    assert "Not in the model:" in text
    assert "Say what is missing" in text


def test_numbers_of_an_earlier_model_and_of_a_change_that_was_tried(report: dict[str, Any]) -> None:
    finding = lean(report)
    number = {"measure": "pull", "before_text": "20 kN", "after_text": "24 kN"}
    tried = Tried("Move it", "gone", None, (("pull", "24 kN", "21 kN"), ("push", "1 kN", "1 kN")), ("Another fails.",))
    text = render(report, finding, changed=[number], status="new", tried=tried)
    assert "| pull | 20 kN | 24 kN |" in text
    assert "| pull | 24 kN | 21 kN |" in text
    assert "| push |" not in text
    assert "Put it back" in text
    assert "new since the earlier model" in text
    assert "on a copy, this finding goes; new then: Another fails" in text


def test_the_sketch_is_the_place(report: dict[str, Any]) -> None:
    sketch = sketch_of(report, lean(report))
    words = "".join(ET.fromstring(sketch).itertext())
    assert "7°" in words
    assert "limit at most" in words


def test_an_unknown_id_names_near_ones(report: dict[str, Any]) -> None:
    wanted = lean(report)["id"]
    assert find(report["findings"], wanted[:8])["id"] == wanted
    with pytest.raises(UsageProblem, match=wanted):
        find(report["findings"], wanted[:-1] + ("0" if wanted[-1] != "0" else "1"))
    with pytest.raises(UsageProblem, match="There is no finding"):
        find(report["findings"], wanted[:3])
    with pytest.raises(UsageProblem, match="there are no findings"):
        find([], "abcdef")


@pytest.mark.parametrize("text", ["", *ATTACKS])
def test_nothing_of_a_model_becomes_markup(text: str) -> None:
    made = attacked(text) if text else plain()
    for finding in made["findings"]:
        draft = render(made, finding, sketch="a.svg")
        parsed = tokens(draft)
        assert [one for one in headings(draft) if one not in PARTS] == []
        kinds = {child.type for token in parsed for child in token.children or ()}
        assert kinds <= {
            "text",
            "strong_open",
            "strong_close",
            "em_open",
            "em_close",
            "code_inline",
            "image",
            "softbreak",
        }
        images = [child.attrs["src"] for token in parsed for child in token.children or () if child.type == "image"]
        assert images == ["a.svg"]


def test_the_command_writes_the_draft_and_its_sketch(leaning: Path, report: dict[str, Any], tmp_path: Path) -> None:
    file = tmp_path / "rfi one.md"
    done = CliRunner().invoke(command, [str(leaning), lean(report)["id"][:8], "-o", str(file)])
    assert done.exit_code == 0, done.output
    assert file.with_suffix(".svg").read_text().count("<svg") == 1
    assert "(<rfi%20one.svg>)" in file.read_text()
    missing = CliRunner().invoke(command, [str(tmp_path / "none.ifc"), "abcdef"])
    assert missing.exit_code == 3
    assert file.read_text() == render(report, lean(report), sketch="rfi%20one.svg")
