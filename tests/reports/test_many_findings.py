"""Thirty thousand findings: every writer stays within a size and a time, and says how many it leaves out.

What code-scanning services take (25,000 results, from memory) bounds SARIF; the other bounds are judgement, no source.
"""

from __future__ import annotations

import re
import time
from typing import Any

import pytest

from modellint.reports.formats import FORMATS, render
from tests.reports.plain_reports import large

NUMBER = 30_000
# most megabytes; the JSON report alone holds them all
MOST = {"text": 4.0, "json": 100.0, "sarif": 60.0, "junit": 1.0, "gitlab": 10.0, "annotations": 0.1, "markdown": 0.1,
        "html": 4.0, "bcf": 4.0, "bcf2.1": 4.0}
SLOW = {"json", "sarif"}  # each has a test of its own with so many findings, so that both are not made twice


@pytest.fixture(scope="module")
def report() -> dict[str, Any]:
    return large(NUMBER)


def test_every_format_has_a_bound() -> None:
    assert set(MOST) == set(FORMATS)


@pytest.mark.parametrize("kind", sorted(FORMATS.keys() - SLOW))
def test_size_and_time_are_bounded(kind: str, report: dict[str, Any]) -> None:
    start = time.process_time()
    made = render(kind, report, uris={})
    assert len(made) < MOST[kind] * 1e6
    assert time.process_time() - start < 10.0


def test_the_text_says_how_many_it_leaves_out(report: dict[str, Any]) -> None:
    text = " ".join(render("text", report, options={"width": 100}).decode().split())
    said = [int(number.replace(",", "")) for number in re.findall(r"([\d,]+) further findings are left out here", text)]
    assert sum(said) == NUMBER - 3 * 1_000  # of the fails, of the open ones and of those due later
    assert f"{report['summary']['fail']} fail" in text
