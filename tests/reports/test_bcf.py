"""BCF archives: the schemas of buildingSMART International, and an independent library that reads them."""

from __future__ import annotations

import io
import math
import xml.etree.ElementTree as ET
import zipfile
from pathlib import Path
from typing import Any

import pytest

from modellint.reports import bcf
from modellint.reports.atomic import write_atomic
from modellint.reports.bcf_topics import MOST_TOPICS, topics
from modellint.reports.bcf_view import FIELD_OF_VIEW, camera
from tests.reports.plain_reports import ATTACKS, GLOBAL_IDS, attacked, large, plain

SCHEMAS = Path(__file__).parents[1] / "schemas" / "bcf"
VERSIONS = ("3.0", "2.1")
ENDINGS = {
    "markup.bcf": "markup",
    ".bcfv": "visinfo",
    "project.bcfp": "project",
    "bcf.version": "version",
    "extensions.xml": "extensions",
}


def opened(data: bytes) -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(data))


def problems(data: bytes, version: str) -> list[str]:
    xmlschema = pytest.importorskip("xmlschema")
    known = {path.stem: xmlschema.XMLSchema10(path) for path in sorted((SCHEMAS / version).glob("*.xsd"))}
    found = []
    with opened(data) as archive:
        for name in archive.namelist():
            schema = next((known[stem] for ending, stem in ENDINGS.items() if name.endswith(ending)), None)
            if schema is None:
                assert name.endswith((".png", "extensions.xsd"))
                continue
            found += [
                f"{name}: {error.reason}" for error in schema.iter_errors(ET.fromstring(archive.read(name)))
            ]
    return found


def markups(data: bytes) -> list[ET.Element]:
    with opened(data) as archive:
        roots = [
            ET.fromstring(archive.read(name)) for name in archive.namelist() if name.endswith("markup.bcf")
        ]
    return sorted((root.find("Topic") for root in roots), key=lambda row: int(row.findtext("Index") or 0))


@pytest.mark.parametrize("version", VERSIONS)
@pytest.mark.parametrize("text", ["", *ATTACKS])
def test_every_part_is_valid(version: str, text: str) -> None:
    report = attacked(text) if text else plain()
    assert problems(bcf.render(report, version=version), version) == []


def test_2_1_words_are_allowed_by_its_own_extension_schema(tmp_path: Path) -> None:
    # BCF 2.1: extensions.xsd redefines markup.xsd; a topic must stay within its lists.
    xmlschema = pytest.importorskip("xmlschema")
    (tmp_path / "markup.xsd").write_bytes((SCHEMAS / "2.1" / "markup.xsd").read_bytes())
    with opened(bcf.render_2_1(plain())) as archive:
        (tmp_path / "extensions.xsd").write_bytes(archive.read("extensions.xsd"))
        schema = xmlschema.XMLSchema10(tmp_path / "extensions.xsd")
        for name in archive.namelist():
            if name.endswith("markup.bcf"):
                text = archive.read(name)
                assert [error.reason for error in schema.iter_errors(ET.fromstring(text))] == []
                assert not schema.is_valid(
                    ET.fromstring(
                        text.replace(b">pour<", b">someday<")
                        .replace(b">cover<", b">someday<")
                        .replace(b">permit<", b">someday<")
                        .replace(b">close<", b">someday<")
                    )
                )


@pytest.mark.parametrize("version", VERSIONS)
def test_an_independent_library_reads_it_back(version: str, tmp_path: Path) -> None:
    reader = pytest.importorskip("bcf.v3.bcfxml" if version == "3.0" else "bcf.v2.bcfxml")
    report = plain()
    path = tmp_path / "house.bcf"
    path.write_bytes(bcf.render(report, version=version))
    archive = reader.BcfXml.load(path)
    try:
        read = archive.topics
        made = topics(report)
        assert sorted(read) == sorted(str(topic.guid) for topic in made)
        for topic in made:
            body = read[str(topic.guid)].topic
            labels = body.labels.label if version == "3.0" else body.labels
            assert (body.title, list(labels), body.topic_status) == (
                topic.title(),
                topic.labels(),
                "Accepted" if topic.lead["accepted"] else "Open",
            )
            assert topic.lead["id"] in body.description
            for view in read[str(topic.guid)].viewpoints.values():
                parts = view.visualization_info.components
                ids = [row.ifc_guid for row in parts.selection.component] if parts.selection else []
                assert ids == topic.components()
    finally:
        archive.close()


def test_one_topic_per_finding_and_one_per_common_cause() -> None:
    made = markups(bcf.render(plain()))
    assert len(made) == 7  # nine findings, three of which have one cause
    (grouped,) = (topic for topic in made if (topic.findtext("Title") or "").endswith("(3 places)"))
    assert (grouped.findtext("Description") or "").splitlines()[-1] == (
        "Findings: 0000000000000004 0000000000000005 0000000000000006"
    )
    lead = made[0]
    assert (lead.get("TopicType"), lead.get("TopicStatus"), lead.findtext("Stage")) == (
        "Fail",
        "Open",
        "pour",
    )
    assert [row.text for row in lead.iter("Label")] == ["lateral", "pour", "error"]
    assert "Decides: engineer of record, before the concrete is poured" in (
        lead.findtext("Description") or ""
    )
    assert {
        topic.get("TopicStatus") for topic in made if "sketch 4" in (topic.findtext("Description") or "")
    } == {"Accepted"}


def test_ids_stay_when_numbers_and_words_change() -> None:
    changed = plain()
    for finding in changed["findings"]:
        finding["message"], finding["limits"] = "Something else.", []
    before, after = (
        [topic.get("Guid") for topic in markups(bcf.render(report))] for report in (plain(), changed)
    )
    assert before == after
    assert len(set(before)) == len(before)


def test_same_bytes_in_sorted_order_with_own_mark(tmp_path: Path) -> None:
    data = bcf.render(plain())
    assert data == bcf.render(plain())
    with opened(data) as archive:
        names = archive.namelist()
        assert names[0] == "bcf.version"
        assert names[1:] == sorted(names[1:])
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    write_atomic(tmp_path / "a.bcf", data)
    write_atomic(tmp_path / "a.bcf", data)  # known as its own by the mark in the first 4 KB


def test_date_is_the_day_of_the_report_or_a_fixed_one() -> None:
    report = plain()
    assert markups(bcf.render(report))[0].findtext("CreationDate") == "2000-01-01T00:00:00Z"
    report["today"] = "2026-05-04"
    assert markups(bcf.render(report))[0].findtext("CreationDate") == "2026-05-04T00:00:00Z"


@pytest.mark.parametrize("points", [[(5001.0, 2002.0, 100.5)], [(0.0, 0.0, 0.0), (12.0, 8.0, 6.0)]])
def test_camera_sees_all_points(points: list[tuple[float, float, float]]) -> None:
    # A point is in the picture if its angle from the view axis is under half the (vertical) field of view.
    seen = camera(points)
    assert seen is not None
    assert sum(a * b for a, b in zip(seen.direction, seen.up, strict=True)) == pytest.approx(0, abs=1e-12)
    assert [math.hypot(*vector) for vector in (seen.direction, seen.up)] == pytest.approx([1, 1])
    for point in points:
        ray = [p - c for p, c in zip(point, seen.position, strict=True)]
        angle = math.degrees(
            math.acos(sum(r * d for r, d in zip(ray, seen.direction, strict=True)) / math.hypot(*ray))
        )
        assert angle < FIELD_OF_VIEW / 2
        assert math.hypot(*ray) > 3
    assert camera([(math.nan, 0.0, 0.0)]) is None


def test_only_proper_global_ids_are_selected() -> None:
    report = plain()
    report["findings"][0]["elements"] = [
        GLOBAL_IDS[0],
        GLOBAL_IDS[1] + "~2",
        "too short",
        "<b>" * 8,
        GLOBAL_IDS[0],
    ]
    assert topics(report)[0].components() == list(GLOBAL_IDS[:2])


def test_large_report_is_grouped_by_rule_and_cut() -> None:
    made = topics(large())
    assert len(made) < 20
    assert sum(len(topic.findings) for topic in made) == 30_000
    many = plain()
    many["findings"] = [
        {**many["findings"][0], "id": f"{number:016x}", "group": f"cause {number}"}
        for number in range(MOST_TOPICS + 50)
    ]
    cut = topics(many)
    assert len(cut) == MOST_TOPICS + 1
    assert "50 further findings are left out" in cut[-1].title()
    assert problems(bcf.render(many), "3.0") == []


def test_unknown_version() -> None:
    report: dict[str, Any] = plain()
    with pytest.raises(ValueError, match="version"):
        bcf.render(report, version="1.0")
