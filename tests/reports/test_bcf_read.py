"""Answers that come back in a BCF file, and files that nobody should trust."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from modellint.errors import UsageProblem
from modellint.reports import bcf, bcf_read
from modellint.reports.bcf_read import attach, read_answers
from modellint.reports.terminal import render
from tests.reports.plain_reports import plain
from tests.reports.test_bcf import problems

GUID = "0b0e7a2e-6c39-5f5e-9a58-2e0f3a3c1d11"


def archive(path: Path, members: dict[str, bytes], version: str = "bcf.version") -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr(version, b'<Version VersionId="3.0"/>')
        for name, data in members.items():
            made.writestr(name, data)
    return path


def edited(path: Path, version: str, old: bytes, new: bytes) -> Path:
    """The sample's archive with a piece of every markup replaced, as a person's tool would save it."""
    path.write_bytes(bcf.render(plain(), version=version))
    with zipfile.ZipFile(path) as made:
        members = {name: made.read(name) for name in made.namelist()}
    return archive(
        path,
        {
            name: data.replace(old, new) if name.endswith("markup.bcf") else data
            for name, data in members.items()
            if name != "bcf.version"
        },
    )


def edited_again(path: Path, old: bytes, new: bytes) -> Path:
    """An archive with a piece of every markup replaced."""
    with zipfile.ZipFile(path) as made:
        members = {name: made.read(name) for name in made.namelist() if name != "bcf.version"}
    return archive(path, {name: data.replace(old, new) for name, data in members.items()})


COMMENTS = (
    b"<Comment Guid='%s'><Date>2026-05-02T08:00:00Z</Date><Author>o.lund@example.org</Author>"
    b"<Comment>Rod\nordered.</Comment></Comment>"
    b"<Comment Guid='%s'><Date>2026-05-01T08:00:00Z</Date><Author>modellint</Author>"
    b"<Comment>ours</Comment></Comment>"
) % (GUID.encode(), GUID.encode())


def test_status_and_comments_of_3_0(tmp_path: Path) -> None:
    path = edited(
        tmp_path / "a.bcf", "3.0", b"<Viewpoints>", b"<Comments>" + COMMENTS + b"</Comments><Viewpoints>"
    )
    answers = read_answers(path)
    assert list(answers) == [f"{number:016x}" for number in (1, 2, 3, 4, 5, 6, 8, 9, 10)]
    assert (
        answers["0000000000000008"].comments == ()
    )  # without a place there was no viewpoint to put one before
    assert answers["0000000000000001"].plain() == {
        "status": "Open",
        "assigned_to": "",
        "comments": [
            {"author": "o.lund@example.org", "date": "2026-05-02T08:00:00Z", "text": "Rod\\nordered."}
        ],
    }


def test_status_and_comments_of_2_1(tmp_path: Path) -> None:
    path = edited(tmp_path / "a.bcf", "2.1", b"</Topic>", b"</Topic>" + COMMENTS)
    with_status = read_answers(path)
    assert len(with_status) == 9
    assert with_status["0000000000000004"] == with_status["0000000000000006"]  # one topic for one cause
    assert [row.author for row in with_status["0000000000000004"].comments] == ["o.lund@example.org"]


def test_answers_are_shown_with_their_findings(tmp_path: Path) -> None:
    path = edited(tmp_path / "a.bcf", "3.0", b'TopicStatus="Open"', b'TopicStatus="Closed"')
    report = plain()
    assert attach(report, read_answers(path)) == 9
    assert report["findings"][0]["extra"]["answer"]["status"] == "Closed"
    assert "Answered   Closed" in render(report)
    untouched = plain()
    path.write_bytes(bcf.render(untouched))
    assert attach(untouched, read_answers(path)) == 9
    assert "Answered" not in render(untouched)


@pytest.mark.parametrize("version", ["3.0", "2.1"])
def test_comments_go_back_and_an_ended_topic_whose_finding_stands_is_open_again(tmp_path: Path, version: str) -> None:
    inside = version == "3.0"
    old, new = (b"<Viewpoints>", b"<Comments>" + COMMENTS + b"</Comments><Viewpoints>") if inside else (
        b"</Topic>", b"</Topic>" + COMMENTS)
    path = edited(tmp_path / "a.bcf", version, old, new)
    ended = edited_again(path, b'TopicStatus="Open"', b'TopicStatus="Closed"')
    report = plain()
    attach(report, read_answers(ended))
    report["findings"][0]["extra"]["answer"]["assigned_to"] = "o.lund@example.org"
    made = bcf.render(report, version=version)
    assert made == bcf.render(report, version=version)
    assert problems(made, version) == []
    path.write_bytes(made)
    first = read_answers(path)[report["findings"][0]["id"]]
    assert (first.status, first.assigned_to) == ("Open", "o.lund@example.org")
    assert [(row.author, row.date) for row in first.comments] == [("o.lund@example.org", "2026-05-02T08:00:00Z")]
    with zipfile.ZipFile(path) as archive_:
        texts = [archive_.read(name).decode() for name in archive_.namelist() if name.endswith("markup.bcf")]
        words = archive_.read("extensions.xml" if inside else "extensions.xsd").decode()
    assert any("the finding still stands" in text for text in texts)
    assert "o.lund@example.org" in words
    # a second round adds nothing
    attach(report, read_answers(path))
    path.write_bytes(bcf.render(report, version=version))
    assert len(read_answers(path)[report["findings"][0]["id"]].comments) == 1


def test_rewritten_description_is_known_by_its_guid(tmp_path: Path) -> None:
    path = edited(tmp_path / "a.bcf", "3.0", b"Findings: ", b"gone ")
    assert read_answers(path) == {}
    assert len(read_answers(path, plain())) == 9


def test_an_answer_saved_by_an_independent_library(tmp_path: Path) -> None:
    reader = pytest.importorskip("bcf.v3.bcfxml")
    path = tmp_path / "a.bcf"
    path.write_bytes(bcf.render(plain()))
    made = reader.BcfXml.load(path)
    try:
        for topic in made.topics.values():
            topic.topic.topic_status = "Closed"
        made.save(tmp_path / "b.bcf")
    finally:
        made.close()
    assert {answer.status for answer in read_answers(tmp_path / "b.bcf").values()} == {"Closed"}


BOMB = (
    b'<!DOCTYPE Markup [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    b"<Markup><Topic><Title>&b;</Title></Topic></Markup>"
)
OUTSIDE = b'<!DOCTYPE Markup [<!ENTITY x SYSTEM "file:///etc/hostname">]><Markup><Topic><Title>&x;</Title></Topic></Markup>'


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (BOMB, "document type"),
        (OUTSIDE, "document type"),
        (b"<Markup><Topic>", "not well-formed"),
        (b"<a>" * 60 + b"</a>" * 60, "nested deeper"),
        (b"", "not well-formed"),
        (b"\xff\xfe\x00", "not well-formed"),
        (b"<Markup>" + b" " * (bcf_read.MOST_BYTES + 1) + b"</Markup>", "too large"),
    ],
)
def test_hostile_markup_is_refused_in_one_sentence(tmp_path: Path, data: bytes, words: str) -> None:
    path = archive(tmp_path / "a.bcf", {f"{GUID}/markup.bcf": data})
    with pytest.raises(UsageProblem, match=words) as caught:
        read_answers(path)
    assert "\n" not in str(caught.value)


def test_other_zip_files_and_no_zip_files(tmp_path: Path) -> None:
    with pytest.raises(UsageProblem, match=r"without bcf\.version"):
        read_answers(archive(tmp_path / "a.zip", {}, version="other"))
    (tmp_path / "b.bcf").write_bytes(b"no zip")
    for name in ("b.bcf", "missing.bcf"):
        with pytest.raises(UsageProblem, match="cannot be read as a BCF file"):
            read_answers(tmp_path / name)


def test_too_many_members_and_odd_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    markup = (
        b'<Markup><Topic Guid="x" TopicStatus="Done"><Description>Findings: 00000000000000ff'
        b"</Description></Topic></Markup>"
    )
    path = archive(
        tmp_path / "a.bcf",
        {"../../x/markup.bcf": markup, "/abs/markup.bcf": markup, f"{GUID}/markup.bcf": markup},
    )
    assert list(read_answers(path)) == ["00000000000000ff"]
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["a.bcf"]  # nothing was unpacked
    monkeypatch.setattr(bcf_read, "MOST_MEMBERS", 3)
    with pytest.raises(UsageProblem, match="holds 4 files"):
        read_answers(path)
