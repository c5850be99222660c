"""JUnit XML against the schema that build servers use (tests/schemas/junit-10.xsd)."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest

from modellint.reports import junit
from modellint.reports.json_report import to_dict
from tests.reports.plain_reports import ATTACKS, attacked, large, plain
from tests.reports.sample_report import sample

SCHEMA = Path(__file__).parents[1] / "schemas" / "junit-10.xsd"


def suite_of(report: dict[str, Any]) -> ET.Element:
    xmlschema = pytest.importorskip("xmlschema")
    root = ET.fromstring(junit.render(report))
    assert [error.reason for error in xmlschema.XMLSchema10(SCHEMA).iter_errors(root)] == []
    (suite,) = root.findall("testsuite")
    return suite


def case(suite: ET.Element, name: str) -> ET.Element:
    (found,) = (row for row in suite.findall("testcase") if row.get("name") == name)
    return found


def test_one_case_per_rule_in_order_and_right_counts() -> None:
    report = plain()
    suite = suite_of(report)
    assert [row.get("name") for row in suite.findall("testcase")] == [row["rule"] for row in report["rules"]]
    assert (suite.get("tests"), suite.get("failures"), suite.get("errors"), suite.get("skipped")) == (
        "8",
        "4",
        "0",
        "3",
    )


def test_fail_lists_place_line_numbers_and_basis() -> None:
    failure = case(suite_of(plain()), "tie-reaches-foundation").find("failure")
    assert failure is not None
    assert failure.get("type") == "error"
    text = failure.text or ""
    for words in (
        "the rod stops 150 mm above the footing",
        "heron-lane-12.ifc:700",
        "at most 20 mm",
        "common practice, no source",
        "engineer of record",
    ):
        assert words in text


def test_open_is_skipped_and_says_so_unless_open_counts_as_fail() -> None:
    report = plain()
    skipped = case(suite_of(report), "anchor-embedded").find("skipped")
    assert skipped is not None
    assert (skipped.get("message") or "").startswith("open: ")
    report["exit"]["open_is_fail"] = True
    entry = case(suite_of(report), "anchor-embedded")
    assert entry.find("skipped") is None
    assert entry.find("error") is not None


def test_not_applicable_later_and_accepted() -> None:
    suite = suite_of(plain())
    assert "not applicable" in (case(suite, "hole-in-stud").find("skipped").get("message"))  # type: ignore[union-attr]
    accepted = case(suite, "tie-far-from-end")
    assert accepted.find("failure") is None
    assert "Agreed with the engineer, sketch 4." in (accepted.findtext("system-out") or "")
    later = suite_of(to_dict(sample(), due="pour"))
    assert (case(later, "rod-leans").find("skipped").get("type")) == "later"  # type: ignore[union-attr]


def test_incomplete_check_is_an_error_of_its_own() -> None:
    report = plain()
    report["incomplete"], report["exit"]["status"] = ["The file is cut."], 3
    suite = suite_of(report)
    assert suite.get("errors") == "1"
    assert "The file is cut." in (case(suite, "check-complete").findtext("error") or "")


@pytest.mark.parametrize("text", ATTACKS)
def test_readable_whatever_the_model_says(text: str) -> None:
    suite_of(attacked(text))
    page = junit.render(attacked(text))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", page)
    assert not re.search(r"(?m)^\s*::", page)


def test_large_report_is_counted() -> None:
    page = junit.render(large())
    assert len(page) < 500_000
    assert re.search(r"and [\d,]+ more, all in the JSON report", page)


def test_same_bytes_no_date_and_own_mark() -> None:
    page = junit.render(plain())
    assert page == junit.render(plain())
    assert "timestamp" not in page
    assert "written by modellint" in page[:200]
