"""Reads a BCF file that came back: the status and the comments that people gave to findings.

The file is untrusted: its directory is looked at before anything is unpacked, nothing is written to disk,
sizes are counted while reading since a directory may lie, and a document type declaration (the door to entity
bombs and external entities) is refused.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element, TreeBuilder
from xml.parsers import expat

from modellint.errors import UsageProblem
from modellint.text import clean

MOST_MEMBERS = 20_000
MOST_BYTES = 4 * 1024 * 1024
MOST_TOTAL = 256 * 1024 * 1024
MOST_DEPTH = 40
_MOST_COMMENTS = 200
_TEXT = 4000
_MARKUP = re.compile(r"[^/\\]{1,100}/markup\.bcf", re.IGNORECASE)
_FINDINGS = re.compile(r"(?m)^\s*Findings: ((?:[0-9a-f]{16}\s*)+)")
_OURS = "modellint"


@dataclass(frozen=True)
class Comment:
    """One remark: who, when (as the file says it), what. Text is clean, one line."""

    author: str
    date: str
    text: str


@dataclass(frozen=True)
class Answer:
    """What came back for a finding.

    Attributes:
        status: topic status, e.g. `Open`, `Closed`.
        assigned_to: who the topic was given to, "" if nobody.
        comments: by date, those of other people only.
    """

    status: str
    assigned_to: str = ""
    comments: tuple[Comment, ...] = field(default=())

    def plain(self) -> dict[str, Any]:
        """The same as plain data for a report."""
        return {
            "status": self.status,
            "assigned_to": self.assigned_to,
            "comments": [{"author": row.author, "date": row.date, "text": row.text} for row in self.comments],
        }


def read_answers(path: Path, report: Mapping[str, Any] | None = None) -> dict[str, Answer]:
    """Finding id to what came back for it, sorted by id.

    A topic is known by the line of its description that names its findings; if someone rewrote that, by its
    Guid, which needs the report. Topics of other origin are passed over.

    Args:
        path: a BCF file, version 2.0 to 3.0.
        report: the JSON form of the report in hand.

    Raises:
        UsageProblem: the file is missing, no BCF file, damaged, or larger than any honest one.
    """
    name = clean(str(path))
    known = _known(report) if report is not None else {}
    answers: dict[str, Answer] = {}
    try:
        with zipfile.ZipFile(path) as archive:
            for member, data in _markups(archive, name):
                root = _root(data, f"{name}, {clean(member)}")
                topic = root.find("Topic")
                if topic is None:
                    continue
                answer = _answer(root, topic)
                for finding in _ids(topic) or known.get((topic.get("Guid") or "").lower(), ()):
                    answers[finding] = answer
    except (OSError, zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, ValueError) as error:
        reason = clean(getattr(error, "strerror", None) or str(error) or type(error).__name__)
        raise UsageProblem(f"{name} cannot be read as a BCF file: {reason}.") from error
    return dict(sorted(answers.items()))


def attach(report: dict[str, Any], answers: Mapping[str, Answer]) -> int:
    """Put each answer into its finding's `extra.answer`; gives the number of findings that got one."""
    number = 0
    for finding in report["findings"]:
        if finding["id"] in answers:
            finding["extra"]["answer"] = answers[finding["id"]].plain()
            number += 1
    return number


def _known(report: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    from modellint.reports.bcf_topics import topics

    return {str(topic.guid): tuple(finding["id"] for finding in topic.findings) for topic in topics(report)}


def _markups(archive: zipfile.ZipFile, name: str) -> Iterator[tuple[str, bytes]]:
    """The markup of each topic; sizes are those met while reading."""
    members = archive.infolist()
    if len(members) > MOST_MEMBERS:
        raise UsageProblem(
            f"{name} holds {len(members):,} files; a BCF file of findings has at most {MOST_MEMBERS:,}."
        )
    if not any(member.filename.lower() == "bcf.version" for member in members):
        raise UsageProblem(f"{name} is a zip file without bcf.version, so no BCF file.")
    total = 0
    for member in sorted(members, key=lambda entry: entry.filename):
        if not _MARKUP.fullmatch(member.filename):
            continue
        with archive.open(member) as stream:
            data = stream.read(MOST_BYTES + 1)
        total += len(data)
        if len(data) > MOST_BYTES or total > MOST_TOTAL:
            raise UsageProblem(f"{name}: {clean(member.filename)} is too large for a topic of findings.")
        yield member.filename, data


def _root(data: bytes, where: str) -> Element:
    """The root of an XML document without a document type.

    Raises:
        UsageProblem: it is not well-formed, has a document type or is nested too deep.
    """
    builder, depth = TreeBuilder(), 0
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1
        if depth > MOST_DEPTH:
            raise UsageProblem(f"{where} is nested deeper than {MOST_DEPTH} levels.")
        builder.start(tag, attributes)

    def end(tag: str) -> None:
        nonlocal depth
        depth -= 1
        builder.end(tag)

    def refuse(*_: object) -> None:
        raise UsageProblem(
            f"{where} has a document type declaration, which no BCF file needs; it was not read."
        )

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler = builder.data
    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise UsageProblem(f"{where} is not well-formed XML: {clean(str(error))}.") from error
    return builder.close()


def _ids(topic: Element) -> list[str]:
    found = _FINDINGS.search(topic.findtext("Description") or "")
    return found[1].split() if found else []


def _answer(root: Element, topic: Element) -> Answer:
    """Status and comments; comments stand inside the topic in 3.0, beside it in 2.1."""
    entries = topic.findall("Comments/Comment") or root.findall("Comment")
    rows = [
        Comment(
            _text(entry, "ModifiedAuthor") or _text(entry, "Author"),
            _text(entry, "ModifiedDate") or _text(entry, "Date"),
            _text(entry, "Comment"),
        )
        for entry in entries[:_MOST_COMMENTS]
    ]
    kept = sorted(
        (row for row in rows if row.text and row.author != _OURS), key=lambda row: (row.date, row.text)
    )
    return Answer(clean(topic.get("TopicStatus") or "Open"), _text(topic, "AssignedTo"), tuple(kept))


def _text(element: Element, tag: str) -> str:
    return clean(element.findtext(tag) or "", _TEXT)
