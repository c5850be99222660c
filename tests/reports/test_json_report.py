"""The JSON report against its schema, and the exit status."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from modellint.findings.finding import STAGES
from modellint.measures.quantity import Place
from modellint.reports.exit_status import exit_status
from modellint.reports.json_report import to_dict, to_json
from tests.reports.sample_report import HOSTILE, ORIGIN, PIPE, ROD, hostile, sample

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "report.schema.json").read_text("utf-8"))


def problems(report: dict) -> list[str]:
    return [
        f"{list(error.path)}: {error.message}"
        for error in jsonschema.Draft7Validator(SCHEMA).iter_errors(report)
    ]


def test_the_schema_is_draft_7_and_describes_every_field() -> None:
    jsonschema.Draft7Validator.check_schema(SCHEMA)

    def undescribed(node: object, name: str = "") -> list[str]:
        if not isinstance(node, dict):
            return []
        here = [
            f"{name}.{key}"
            for key, child in node.get("properties", {}).items()
            if "description" not in child and "$ref" not in child
        ]
        return here + [found for key, child in node.items() for found in undescribed(child, f"{name}.{key}")]

    assert undescribed(SCHEMA) == []


@pytest.mark.parametrize("make", [sample, hostile])
@pytest.mark.parametrize("due", [None, *STAGES])
def test_reports_satisfy_the_schema_after_a_round_trip(make, due: str | None) -> None:
    data = to_json(to_dict(make(), due=due))
    assert data.endswith(b"}\n")
    assert problems(json.loads(data)) == []


def test_a_report_with_a_field_too_many_or_too_few_is_refused() -> None:
    report = to_dict(sample())
    assert problems({**report, "more": 1})
    assert problems({key: value for key, value in report.items() if key != "findings"})
    wrong = copy.deepcopy(report)
    wrong["findings"][0]["outcome"] = "pass"
    assert problems(wrong)


def test_coordinates_are_the_files_own_and_numbers_are_rounded() -> None:
    report = sample()
    report.findings[0].place = Place(
        "here", np.array([1.00004, -2000.00001, -100.0]), along=0.30479999999999996
    )
    place = to_dict(report)["findings"][0]["place"]
    assert (place["x"], place["y"], place["z"]) == (ORIGIN[0] + 1.0, 0.0, 0.0)
    assert place["along"] == 0.3048
    assert b"-0.0" not in to_json({"y": place["y"], "z": place["z"]})


def test_nothing_is_infinite_or_not_a_number() -> None:
    text = to_json(to_dict(hostile())).decode()
    json.loads(text, parse_constant=pytest.fail)
    assert " -0.0," not in text
    with pytest.raises(ValueError, match="not JSON compliant"):
        to_json({"x": float("nan")})


def test_same_report_same_bytes_and_strings_kept_but_for_half_characters() -> None:
    assert to_json(to_dict(hostile())) == to_json(to_dict(hostile()))
    name = to_dict(hostile())["model"]["files"][0]["name"]
    assert name == HOSTILE.replace("\ud83d", "\\ud83d")


def test_a_missing_fact_names_every_rule_that_waits_for_it() -> None:
    report = sample()
    report.findings[6].missing += report.findings[3].missing
    fact = to_dict(report)["findings"][4]["missing"][0]
    assert fact["unlocks"] == ["anchor-embedded", "soil-gas-vent-present"]


def test_evidence_carries_the_line_of_its_element_and_the_subject_its_host() -> None:
    first = to_dict(sample())["findings"][0]
    assert first["evidence"][0]["line"] == 1204
    assert first["evidence"][0]["global_id"] == ROD
    assert first["subject"]["global_id"] == first["elements"][0]
    assert first["limit"] == "at most 20 mm"
    assert first["basis"] == "common practice, no source"


def test_due_sorts_later_stages_out_of_the_counts() -> None:
    everything, poured = to_dict(sample())["summary"], to_dict(sample(), due="pour")["summary"]
    assert everything == {"fail": 4, "open": 4, "pass": 32, "notApplicable": 11, "accepted": 1, "later": 0}
    assert poured == {"fail": 1, "open": 4, "pass": 20, "notApplicable": 11, "accepted": 1, "later": 3}


def test_unknown_words_are_refused() -> None:
    with pytest.raises(ValueError, match="due must be one of"):
        to_dict(sample(), due="tomorrow")
    with pytest.raises(ValueError, match="fail_on must be one of"):
        to_dict(sample(), fail_on="catastrophe")


def status(report, **options) -> int:
    return to_dict(report, **options)["exit"]["status"]


def only(*numbers: int):
    report = sample()
    report.findings = [report.findings[number] for number in numbers]
    return report


@pytest.mark.parametrize(
    ("numbers", "options", "expected"),
    [
        ((), {}, 0),
        ((0,), {}, 1),  # an error that fails
        ((1,), {}, 0),  # a warning that fails
        ((1,), {"fail_on": "warning"}, 1),
        ((8,), {"fail_on": "warning"}, 0),  # a note that fails
        ((8,), {"fail_on": "note"}, 1),
        ((0,), {"fail_on": "never"}, 0),
        ((3,), {}, 0),  # open alone
        ((3,), {"open_is_fail": True}, 1),
        ((6,), {"open_is_fail": True}, 0),  # an open warning, errors asked for
        ((7,), {"fail_on": "note"}, 0),  # accepted
        ((2,), {"due": "pour"}, 0),  # its stage comes later
        ((2,), {"due": "cover"}, 1),
    ],
)
def test_exit_status_of_complete_checks(numbers, options, expected) -> None:
    assert status(only(*numbers), **options) == expected


def test_incomplete_outranks_fails_and_gives_its_reasons() -> None:
    report = only(0)
    report.incomplete = ["The time limit of 60 s was hit while reading pipes."]
    outcome = to_dict(report)["exit"]
    assert outcome["status"] == 3
    assert outcome["reasons"] == [
        "The time limit of 60 s was hit while reading pipes.",
        "1 due finding at level error: fail.",
    ]


def test_a_serious_note_or_nothing_recognised_is_incomplete() -> None:
    assert status(hostile()) == 3
    bare = only()
    bare.coverage = [row for row in bare.coverage if row.role == "membrane"]
    assert status(bare) == 3
    guessed = only()
    for row in guessed.coverage:
        row.found.clear()
        row.found["guessed"] = 2
    assert status(guessed) == 3


def test_exit_status_reads_the_plain_form_alone() -> None:
    report = to_dict(sample())
    assert exit_status(json.loads(to_json(report))) == (1, ["2 due findings at level error: fail."])
    assert report["findings"][2]["subject"]["key"] == PIPE
