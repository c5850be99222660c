"""Code Quality JSON: keys and words as GitLab's documentation "Code Quality report format" lists them."""

from __future__ import annotations

import json
from typing import Any

import pytest

from modellint.reports import gitlab
from modellint.reports.atomic import write_atomic
from tests.reports.plain_reports import ATTACKS, attacked, large, plain

SEVERITIES = {"info", "minor", "major", "critical", "blocker"}


def rows_of(report: dict[str, Any], **more: Any) -> list[dict[str, Any]]:
    text = gitlab.render(report, **more)
    assert not text.startswith("\ufeff")  # "no byte order mark"
    rows = json.loads(text)
    for row in rows:
        assert {"description", "check_name", "fingerprint", "severity", "location"} <= set(row)
        assert row["severity"] in SEVERITIES
        assert not row["location"]["path"].startswith(("/", "./"))
        assert row["location"]["lines"]["begin"] >= 1
    # "fingerprint: a unique identifier": equal ones are shown as one.
    assert len({row["fingerprint"] for row in rows}) == len(rows)
    return rows


def test_severity_line_and_first_word() -> None:
    rows = {row["check_name"]: row for row in rows_of(plain())}
    assert rows["tie-reaches-foundation"]["severity"] == "critical"
    assert rows["tie-reaches-foundation"]["location"] == {
        "path": "heron-lane-12.ifc",
        "lines": {"begin": 700},
    }
    assert rows["anchor-embedded"]["severity"] == "minor"
    assert rows["anchor-embedded"]["description"].startswith("Open: ")
    assert rows["tie-far-from-end"]["severity"] == "info"
    assert rows["tie-far-from-end"]["description"].startswith("Accepted: ")


def test_incomplete_check_is_a_blocker() -> None:
    report = plain()
    report["incomplete"], report["exit"]["status"] = ["The file is cut."], 3
    assert rows_of(report)[0]["severity"] == "blocker"
    assert "The file is cut." in rows_of(report)[0]["description"]


@pytest.mark.parametrize("text", ATTACKS)
def test_clean_whatever_the_model_says(text: str) -> None:
    for row in rows_of(attacked(text)):
        flat = json.dumps(row, ensure_ascii=False)
        assert not any(ord(c) < 0x20 or 0x202A <= ord(c) <= 0x202E for c in flat)


def test_large_report_is_cut_and_counted() -> None:
    rows = rows_of(large(), limit=500)
    assert len(rows) == 501
    assert "29,500 further findings are left out" in rows[-1]["description"]


def test_own_files_can_be_written_again_even_empty_ones(tmp_path) -> None:
    path = tmp_path / "quality.json"
    empty = plain()
    empty["findings"] = []
    for report in (empty, plain(), plain(), empty):
        write_atomic(path, gitlab.render(report).encode())
    assert json.loads(path.read_text("utf-8")) == []
