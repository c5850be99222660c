"""The Markdown summary, read back by an independent CommonMark parser where one is installed."""

from __future__ import annotations

import re

import pytest

from modellint.reports import summary_md
from modellint.reports.json_report import to_dict
from tests.reports.plain_reports import ATTACKS, attacked, large, plain
from tests.reports.sample_report import sample


def test_says_counts_breaks_questions_and_who_decides() -> None:
    page = summary_md.render(plain())
    assert "| 4 | 4 | 32 | 11 | 1 | 0 |" in page
    assert "the rod stops 150 mm above the footing" in page
    assert "(3 findings wait for this)" in page
    assert "engineer of record" in page
    assert page.rstrip().endswith("licensed trades decide.")


@pytest.mark.parametrize("make", [plain, large, attacked, lambda: to_dict(sample(), due="permit")])
def test_under_forty_lines(make) -> None:
    assert summary_md.render(make()).count("\n") <= summary_md.MOST_LINES


def test_counts_what_is_left_out() -> None:
    assert re.search(r"and [\d,]{6} more, in the full report", summary_md.render(large()))


@pytest.mark.parametrize("text", ATTACKS)
def test_markup_of_a_model_stays_text(text: str) -> None:
    page = summary_md.render(attacked(text))
    assert page.count("\n") <= summary_md.MOST_LINES
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", page)
    assert not re.search(r"(?m)^::", page)
    parser = pytest.importorskip("markdown_it")
    html = parser.MarkdownIt("commonmark").enable("table").render(page)
    assert not re.search(r"<(script|a|img|x)\b", html)


def test_incomplete_check_says_so_and_nothing_says_fine() -> None:
    report = plain()
    report["incomplete"], report["exit"]["status"] = ["The file is cut."], 3
    page = summary_md.render(report)
    assert "**The check is incomplete.**" in page
    assert "The file is cut" in page
    assert not re.search(r"\b(compliant|safe|ok)\b", page, re.IGNORECASE)
