"""The terminal report and the trace, read as text."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from modellint.cli.trace import choose
from modellint.errors import UsageProblem
from modellint.reports.json_report import to_dict
from modellint.reports.lines import columns, wrap
from modellint.reports.terminal import render
from modellint.reports.trace_text import render_path
from tests.reports.sample_report import WALL_S1, hostile, sample

GOLDEN = Path(__file__).parent / "golden"


@pytest.mark.parametrize("width", [80, 120])
def test_report_reads_as_in_the_golden_file(width: int) -> None:
    expected = (GOLDEN / f"report_{width}.txt").read_text("utf-8")
    assert render(to_dict(sample(), due="cover"), width=width) == expected


def test_trace_reads_as_in_the_golden_file() -> None:
    text = "\n".join(render_path(path) for path in to_dict(sample())["paths"])
    assert text == (GOLDEN / "trace_80.txt").read_text("utf-8")


@pytest.mark.parametrize("make", [sample, hostile])
@pytest.mark.parametrize("width", [10, 40, 80, 120])
def test_lines_keep_to_the_width_and_hold_no_control(make, width: int) -> None:
    report = to_dict(make())
    pages = [render(report, width=width), *(render_path(path, width=width) for path in report["paths"])]
    for page in pages:
        lines = page.removesuffix("\n").split("\n")
        body = lines[:-1] if page is pages[0] else lines
        assert max(columns(line) for line in body) <= max(width, 40)
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", page)


def test_colour_adds_nothing_but_colour() -> None:
    report = to_dict(hostile())
    painted = render(report, colour=True)
    assert painted != render(report)
    assert re.sub(r"\x1b\[[0-9;]*m", "", painted) == render(report)


def test_never_says_that_a_house_is_fine() -> None:
    bare = sample()
    bare.findings = []
    traces = map(render_path, to_dict(sample())["paths"])
    for text in (render(to_dict(sample())), render(to_dict(bare)), *traces):
        assert not re.search(r"\b(compliant|complies|safe|ok|okay)\b", text, re.IGNORECASE)


def test_last_line_counts_every_outcome_and_says_the_exit_status() -> None:
    last = render(to_dict(sample())).splitlines()[-1]
    assert last == "4 fail, 4 open, 32 pass, 11 not applicable. Exit status 1: a due error fails."
    assert render(to_dict(hostile())).splitlines()[-1].endswith("Exit status 3: the check is incomplete.")


def test_one_missing_fact_is_asked_once_with_all_its_places() -> None:
    text = render(to_dict(sample()), width=200)
    assert text.count("How deep are the anchors embedded?") == 1
    assert "Level 1: wall S1, west end; wall S4, east end; wall S4, west end" in text


def test_wide_characters_take_two_columns() -> None:
    assert columns("木造") == 4
    assert wrap("木造木造木造", 5) == ["木造", "木造", "木造"]


@pytest.mark.parametrize("asked", ["S1 Level 1 east", "east s1", "wall S1, Level 1, E end", f"{WALL_S1}@end"])
def test_a_wall_end_is_found_by_forgiving_words(asked: str) -> None:
    assert choose(to_dict(sample())["paths"], asked)["subject_key"] == f"{WALL_S1}@end"


def test_the_vent_is_found_and_what_is_not_clear_lists_candidates() -> None:
    paths = to_dict(sample())["paths"]
    assert choose(paths, "vent")["kind"] == "vent"
    for asked, said in (("S1", "fits 2 chains"), ("S9 north", "No chain is called"), ("", "Say which chain")):
        with pytest.raises(UsageProblem, match=said) as problem:
            choose(paths, asked)
        assert "wall S1, Level 1, east end (uplift)" in str(problem.value)
    with pytest.raises(UsageProblem, match="shows no chain"):
        choose([], "vent")


def test_the_first_break_stands_before_the_broken_link() -> None:
    text = render_path(to_dict(sample())["paths"][0])
    assert text.count("FIRST BREAK IS HERE") == 1
    assert "-/- broken" in text.split("FIRST BREAK IS HERE")[1].splitlines()[1]
