"""SARIF logs against the schema and clauses of the OASIS Standard "SARIF Version 2.1.0 Plus Errata 01"."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from modellint.reports import sarif
from modellint.reports.addresses import uri_of
from modellint.reports.json_report import to_dict
from tests.reports.plain_reports import ATTACKS, GLOBAL_IDS, attacked, large, plain
from tests.reports.sample_report import sample

SCHEMA = json.loads((Path(__file__).parents[1] / "schemas" / "sarif-schema-2.1.0.json").read_text("utf-8"))
VALIDATOR = jsonschema.Draft4Validator(SCHEMA)


def run_of(report: dict[str, Any], **more: Any) -> dict[str, Any]:
    log = json.loads(sarif.render(report, **more))
    assert [error.message for error in VALIDATOR.iter_errors(log)] == []
    return log["runs"][0]


@pytest.mark.parametrize("text", ATTACKS)
def test_valid_and_clean_whatever_the_model_says(text: str) -> None:
    run = run_of(attacked(text))
    flat = json.dumps(run, ensure_ascii=False)
    assert not any(ord(c) < 0x20 or 0x202A <= ord(c) <= 0x202E for c in flat)
    for result in run["results"]:
        shown = result["message"]["text"]
        assert "](" not in shown  # clause 3.11.6: would be an embedded link
        assert "{" not in shown.replace("{{", "")  # clause 3.11.5: would be a placeholder


def test_open_fail_and_accepted_are_kept_apart() -> None:
    results = run_of(plain())["results"]
    kinds = {}
    for result in results:
        kinds.setdefault((result["kind"], "suppressions" in result), []).append(result)
    assert {key: len(rows) for key, rows in kinds.items()} == {
        ("fail", False): 4,
        ("open", False): 4,
        ("fail", True): 1,
    }
    # Clause 3.27.10: a result that is no fail has level "none".
    assert {row["level"] for row in kinds["open", False]} == {"none"}
    (accepted,) = kinds["fail", True]
    # Clause 3.35: kind says where the decision is kept, status that it stands.
    assert accepted["suppressions"][0]["kind"] == "external"
    assert accepted["suppressions"][0]["status"] == "accepted"
    assert "Agreed with the engineer, sketch 4." in accepted["suppressions"][0]["justification"]


def test_place_line_and_fingerprint() -> None:
    report = plain()
    result = run_of(report, uris={"heron-lane-12.ifc": "models/lot 12/heron-lane-12.ifc"})["results"][0]
    place = result["locations"][0]["physicalLocation"]
    assert place["artifactLocation"]["uri"] == "models/lot%2012/heron-lane-12.ifc"
    assert place["region"]["startLine"] == 700
    assert result["partialFingerprints"]["primaryLocationLineHash"] == report["findings"][0]["id"] + ":1"
    assert result["relatedLocations"][0]["physicalLocation"]["region"]["startLine"] == 701


def test_fingerprints_stay_when_lines_and_numbers_change() -> None:
    before, after = plain(), plain()
    for finding in after["findings"]:
        finding["message"] = finding["message"].replace("150", "152")
        finding["extra"].pop("lines", None)
    prints = [[row["partialFingerprints"] for row in run_of(report)["results"]] for report in (before, after)]
    assert prints[0] == prints[1]
    assert len({row["primaryLocationLineHash"] for row in prints[0]}) == len(prints[0])


def test_logical_places_lead_from_building_to_element() -> None:
    run = run_of(plain())
    rows = run["logicalLocations"]
    reference = run["results"][0]["locations"][0]["logicalLocations"][0]
    chain, index = [], reference["index"]
    while index is not None:
        chain.append(rows[index])
        parent = rows[index].get("parentIndex")
        assert parent is None or parent < index
        index = parent
    assert [row.get("decoratedName", row["name"]) for row in chain] == [GLOBAL_IDS[0], "Level 1", "H"]
    assert reference["fullyQualifiedName"] == chain[0]["fullyQualifiedName"]


def test_the_chain_of_the_wall_end_is_a_code_flow_in_order() -> None:
    report = plain()
    result = run_of(report)["results"][0]
    steps = result["codeFlows"][0]["threadFlows"][0]["locations"]
    slots = report["paths"][0]["slots"]
    assert [step["location"]["message"]["text"].split(":")[0] for step in steps] == [
        slot["name"] for slot in slots
    ]
    assert [step["executionOrder"] for step in steps] == [1, 2, 3, 4]
    assert [step["importance"] == "essential" for step in steps] == [
        slot["state"] == "broken" for slot in slots
    ]


def test_rules_have_what_code_scanning_asks_for() -> None:
    report = plain()
    run = run_of(report)
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == [row["rule"] for row in report["rules"]]
    for rule in rules:
        assert rule["shortDescription"]["text"]
        assert rule["fullDescription"]["text"]
        assert len(rule["fullDescription"]["text"]) <= 1024
        assert rule["help"]["text"]
        assert rule["help"]["markdown"]
    for result in run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]


def test_incomplete_check_says_so() -> None:
    report = plain()
    report["incomplete"] = ["The check ran out of time."]
    report["exit"]["status"] = 3
    invocation = run_of(report)["invocations"][0]
    assert invocation["executionSuccessful"] is False
    assert invocation["exitCode"] == 3
    errors = [note for note in invocation["toolExecutionNotifications"] if note["level"] == "error"]
    assert errors[0]["message"]["text"] == "The check ran out of time."
    assert run_of(plain())["invocations"][0]["executionSuccessful"] is True


def test_more_than_25000_results_are_cut_and_counted() -> None:
    # 25,000 results a run is the documented limit of code scanning; a longer run is refused.
    report = large(30_000)
    log = json.loads(sarif.render(report))
    run = log["runs"][0]
    assert len(run["results"]) == 25_000
    notes = run["invocations"][0]["toolExecutionNotifications"]
    assert "5,000 further findings are left out" in notes[-1]["message"]["text"]
    assert run["properties"]["leftOut"] == 5_000
    levels = ("error", "warning", "note")
    kept = [
        ("suppressions" in row, row["kind"] != "fail", levels.index(row["properties"]["ownLevel"]))
        for row in run["results"]
    ]
    assert kept == sorted(kept)  # what is left out is the least urgent


def test_each_model_has_its_own_run_id() -> None:
    first, second = plain(), plain()
    second["model"]["files"][0]["name"] = "other.ifc"
    assert run_of(first)["automationDetails"]["id"] == "modellint/heron-lane-12.ifc/"
    assert run_of(second)["automationDetails"]["id"] == "modellint/other.ifc/"


def test_uri_of_a_file_elsewhere_is_its_name_alone() -> None:
    assert uri_of("a b#%.ifc") == "a%20b%23%25.ifc"
    assert uri_of("a.ifc", {"b.ifc": "x/b.ifc"}) == "a.ifc"


def test_same_report_same_bytes_and_own_mark() -> None:
    text = sarif.render(to_dict(sample()))
    assert text == sarif.render(to_dict(sample()))
    assert '"name": "modellint"' in text[:4096]


def test_one_house_in_two_files_points_into_the_right_one() -> None:
    report = plain()
    report["model"]["files"].append({**report["model"]["files"][0], "name": "pipes.ifc"})
    report["findings"][2]["extra"]["file"] = "pipes.ifc"
    run = run_of(report)
    by_rule = {row["ruleId"]: row for row in run["results"]}
    files = [
        by_rule[rule]["locations"][0]["physicalLocation"]["artifactLocation"]
        for rule in ("vent-falls-back", "tie-reaches-foundation")
    ]
    assert files == [{"uri": "pipes.ifc", "index": 1}, {"uri": "heron-lane-12.ifc", "index": 0}]
    # The line of another part could be one of either file.
    assert all(
        "physicalLocation" not in place for row in run["results"] for place in row.get("relatedLocations", ())
    )
    assert run["automationDetails"]["id"] == "modellint/heron-lane-12.ifc+pipes.ifc/"
