"""Workflow commands: escapes as in the documentation "Workflow commands for GitHub Actions" and its toolkit.

There, data escapes % CR LF, and properties escape : and , as well (`packages/core/src/command.ts`).
"""

from __future__ import annotations

import re

import pytest

from modellint.reports import annotations
from tests.reports.plain_reports import ATTACKS, attacked, large, plain

COMMAND = re.compile(r"::(error|warning|notice) ([^:]*)::(.*)")


def test_commands_point_at_file_and_line() -> None:
    lines = annotations.render(plain(), uris={"heron-lane-12.ifc": "models/heron-lane-12.ifc"}).splitlines()
    found = COMMAND.fullmatch(lines[1])
    assert found
    assert found[1] == "error"
    assert found[2] == "file=models/heron-lane-12.ifc,line=700,title=tie-reaches-foundation (fail)"
    assert "150 mm above the footing" in found[3]
    assert (
        lines[-1]
        == "modellint: 4 fail, 4 open, 32 pass, 1 accepted, 0 later; exit status 1: a due error fails."
    )


def test_one_cause_is_one_annotation_and_open_only_a_notice() -> None:
    opened = [line for line in annotations.render(plain()).splitlines() if "(open)" in line]
    assert len(opened) == 2
    assert "(3 findings have this one cause.)" in opened[0]
    assert all(line.startswith("::notice ") for line in opened)
    report = plain()
    report["exit"]["open_is_fail"] = True
    assert "::error file=heron-lane-12.ifc,line=700,title=anchor-embedded (open)::" in annotations.render(
        report
    )


@pytest.mark.parametrize("text", ATTACKS)
def test_no_line_begins_with_text_of_a_model(text: str) -> None:
    page = annotations.render(attacked(text))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", page)
    lines = page.splitlines()
    assert lines[0].startswith("Annotations written by modellint ")
    assert lines[-1].startswith("modellint: ")
    for line in lines[1:-1]:
        found = COMMAND.fullmatch(line)
        assert found, line
        assert [pair.partition("=")[0] for pair in found[2].split(",")] in (
            ["file", "title"],
            ["file", "line", "title"],
        )
        assert not re.search("%0[AD]", line)  # a build server would read that as a new line


def test_incomplete_check_is_the_first_error() -> None:
    report = plain()
    report["incomplete"], report["exit"]["status"] = ["The file is cut."], 3
    second = annotations.render(report).splitlines()[1]
    assert second == "::error file=heron-lane-12.ifc,title=The check is incomplete::The file is cut."


def test_large_report_is_cut_and_counted() -> None:
    lines = annotations.render(large()).splitlines()
    assert len(lines) == annotations.MOST + 3
    assert "further findings are left out here" in lines[-2]
