"""The XML parts of a BCF file, in versions 3.0 and 2.1 (schemas of buildingSMART International)."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

import modellint
from modellint.reports.addresses import WRITTEN_BY, sentence
from modellint.reports.bcf_comments import AUTHOR, Remark, assigned_to, remarks
from modellint.reports.bcf_topics import PRIORITIES, STATUSES, TYPES, Topic
from modellint.reports.bcf_view import ASPECT, FIELD_OF_VIEW, Camera, Vector

STAGES = ("permit", "issue", "pour", "cover", "close")
# Vermilion and blue of the colour-blind-safe palette of Okabe and Ito (2008); the topic type says it in words
_COLOURS = {"fail": "D55E00", "open": "0072B2"}


def version(number: str) -> bytes:
    """`bcf.version`, with the mark by which a later run knows the archive as its own."""
    root = ET.Element("Version", VersionId=number)
    if number == "2.1":
        ET.SubElement(root, "DetailedVersion").text = number
    return _bytes(root)


def project(number: str, guid: UUID, name: str) -> bytes:
    """`project.bcfp`."""
    root = ET.Element("ProjectInfo" if number == "3.0" else "ProjectExtension")
    entry = ET.SubElement(root, "Project", ProjectId=str(guid))
    if sentence(name):
        ET.SubElement(entry, "Name").text = sentence(name)
    if number == "2.1":
        ET.SubElement(root, "ExtensionSchema").text = "extensions.xsd"
    return _bytes(root)


def extensions(labels: Sequence[str], users: Sequence[str]) -> bytes:
    """`extensions.xml` of version 3.0: every word that topics use."""
    root = ET.Element("Extensions")
    for plural, singular, words in _words(labels, users):
        rows = ET.SubElement(root, plural)
        for word in words:
            ET.SubElement(rows, singular).text = word
    return _bytes(root)


def extension_schema(labels: Sequence[str], users: Sequence[str]) -> bytes:
    """`extensions.xsd` of version 2.1: the same words as a redefinition of markup.xsd."""
    root = ET.Element("xs:schema", {"xmlns:xs": "http://www.w3.org/2001/XMLSchema"})
    change = ET.SubElement(root, "xs:redefine", schemaLocation="markup.xsd")
    for _, singular, words in _words(labels, users):
        if singular == "SnippetType":
            continue  # markup.xsd of 2.1 has no such type
        kind = "UserIdType" if singular == "User" else singular
        entry = ET.SubElement(ET.SubElement(change, "xs:simpleType", name=kind), "xs:restriction", base=kind)
        for word in words:
            ET.SubElement(entry, "xs:enumeration", value=word)
    return _bytes(root)


def _words(labels: Sequence[str], users: Sequence[str]) -> list[tuple[str, str, Sequence[str]]]:
    return [
        ("TopicTypes", "TopicType", tuple(TYPES.values())),
        ("TopicStatuses", "TopicStatus", STATUSES),
        ("Priorities", "Priority", PRIORITIES),
        ("TopicLabels", "TopicLabel", labels),
        ("Users", "User", users),
        ("SnippetTypes", "SnippetType", ()),
        ("Stages", "Stage", STAGES),
    ]


def markup(
    number: str, topic: Topic, files: Sequence[Mapping[str, Any]], *, date: str, index: int, view: UUID | None
) -> bytes:
    """`markup.bcf` of one topic.

    Args:
        number: version of the format.
        topic: the topic.
        files: the model files of the report.
        date: creation date as xs:dateTime.
        index: position of the topic in the report, from 0.
        view: id of its viewpoint, None if it has none.
    """
    root = ET.Element("Markup")
    new = number == "3.0"
    header = ET.SubElement(root, "Header")
    rows = ET.SubElement(header, "Files") if new else header
    for file in files or ({"name": "model"},):
        entry = ET.SubElement(rows, "File", {"IsExternal" if new else "isExternal": "true"})
        ET.SubElement(entry, "Filename").text = sentence(file["name"]) or "model"
    body = _topic(root, topic, new, date, index)
    _comments(body if new else root, remarks(topic, date), new)
    if view is not None:
        rows = ET.SubElement(body, "Viewpoints") if new else root
        entry = ET.SubElement(rows, "ViewPoint" if new else "Viewpoints", Guid=str(view))
        ET.SubElement(entry, "Viewpoint").text = f"{view}.bcfv"
        ET.SubElement(entry, "Snapshot").text = f"{view}.png"
        ET.SubElement(entry, "Index").text = "0"
    return _bytes(root)


def _topic(root: ET.Element, topic: Topic, new: bool, date: str, index: int) -> ET.Element:
    lead = topic.findings[0] if topic.findings else None
    kind = TYPES.get(lead["outcome"] if lead else "", TYPES["open"])
    status = "Accepted" if lead and lead["accepted"] is not None else "Open"
    body = ET.SubElement(root, "Topic", Guid=str(topic.guid), TopicType=kind, TopicStatus=status)
    ET.SubElement(body, "Title").text = topic.title() or "Finding"
    if lead:
        ET.SubElement(body, "Priority").text = lead["level"]
    ET.SubElement(body, "Index").text = str(index)
    labels = ET.SubElement(body, "Labels") if new and topic.findings else body
    for label in topic.labels():
        ET.SubElement(labels, "Label" if new else "Labels").text = label
    ET.SubElement(body, "CreationDate").text = date
    ET.SubElement(body, "CreationAuthor").text = AUTHOR
    if assigned_to(topic):
        ET.SubElement(body, "AssignedTo").text = assigned_to(topic)
    if lead and lead["stage"] in STAGES:
        ET.SubElement(body, "Stage").text = lead["stage"]
    ET.SubElement(body, "Description").text = topic.description()
    return body


def _comments(above: ET.Element, found: Sequence[Remark], new: bool) -> None:
    """Comments stand inside the topic in 3.0, beside it in 2.1."""
    rows = ET.SubElement(above, "Comments") if new and found else above
    for row in found:
        entry = ET.SubElement(rows, "Comment", Guid=str(row.guid))
        for tag, text in (("Date", row.date), ("Author", row.author), ("Comment", row.text)):
            ET.SubElement(entry, tag).text = text


def viewpoint(number: str, guid: UUID, topic: Topic, seen: Camera) -> bytes:
    """A viewpoint: the topic's components selected and coloured, everything else visible, one camera."""
    new = number == "3.0"
    root = ET.Element("VisualizationInfo", Guid=str(guid))
    ids = topic.components()
    parts = ET.SubElement(root, "Components")
    if not new:
        _hints(parts)
    if ids:
        _components(ET.SubElement(parts, "Selection"), ids)
    visible = ET.SubElement(parts, "Visibility", DefaultVisibility="true")
    if new:
        _hints(visible)
    if ids:
        colour = ET.SubElement(
            ET.SubElement(parts, "Coloring"), "Color", Color=_COLOURS[topic.lead["outcome"]]
        )
        _components(ET.SubElement(colour, "Components") if new else colour, ids)
    entry = ET.SubElement(root, "PerspectiveCamera")
    for name, vector in (
        ("CameraViewPoint", seen.position),
        ("CameraDirection", seen.direction),
        ("CameraUpVector", seen.up),
    ):
        _vector(ET.SubElement(entry, name), vector)
    ET.SubElement(entry, "FieldOfView").text = f"{FIELD_OF_VIEW:g}"
    if new:
        ET.SubElement(entry, "AspectRatio").text = f"{ASPECT:g}"
    return _bytes(root)


def _hints(above: ET.Element) -> None:
    ET.SubElement(
        above,
        "ViewSetupHints",
        SpacesVisible="false",
        SpaceBoundariesVisible="false",
        OpeningsVisible="false",
    )


def _components(above: ET.Element, ids: Sequence[str]) -> None:
    for key in ids:
        ET.SubElement(above, "Component", IfcGuid=key)


def _vector(above: ET.Element, vector: Vector) -> None:
    for axis, value in zip("XYZ", vector, strict=True):
        ET.SubElement(above, axis).text = f"{round(value, 6) + 0.0:.6f}"


def _bytes(root: ET.Element) -> bytes:
    ET.indent(root)
    head = f'<?xml version="1.0" encoding="UTF-8"?>\n<!-- {WRITTEN_BY} {modellint.__version__} -->\n'
    return (head + ET.tostring(root, encoding="unicode") + "\n").encode()
