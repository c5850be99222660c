"""What to add to a model as an IDS 1.0 file (Information Delivery Specification, buildingSMART International).

A part to draw is a specification that at least one such element must meet; a property is required of the parts
that should carry it. Shapes and questions for people are left out: IDS 1.0 has no words for them. Globs of the
role and property books become patterns of XML Schema that accept the same texts.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import modellint
from modellint.reports.addresses import WRITTEN_BY
from modellint.text import clean

IDS, XS = "http://standards.buildingsmart.org/IDS", "http://www.w3.org/2001/XMLSchema"
XSI = "http://www.w3.org/2001/XMLSchema-instance"
LOCATION = f"{IDS} http://standards.buildingsmart.org/IDS/1.0/ids.xsd"
SYSTEMS = ("IFCSYSTEM", "IFCDISTRIBUTIONSYSTEM")
_ATTRIBUTES = {"object_type": "ObjectType", "name": "Name"}
_SPECIAL = frozenset("\\|.-^+{}()]")
_VERSIONS = {"IFC2X3": "IFC2X3", "IFC4": "IFC4"}


def render(plain: Mapping[str, Any]) -> bytes:
    """The demands of a readiness as an IDS file; b"" if none can be said in IDS.

    Args:
        plain: what `pipeline_ready.ready` gave.
    """
    version = _VERSIONS.get(plain["model"]["schema"], "IFC4X3_ADD2")
    root = ET.Element("ids", {"xmlns": IDS, "xmlns:xs": XS, "xmlns:xsi": XSI, "xsi:schemaLocation": LOCATION})
    info = ET.SubElement(root, "info")
    ET.SubElement(info, "title").text = "What to add to the model"
    ET.SubElement(info, "description").text = clean(
        "Parts and properties without which rules about hold-down chains and the soil-gas vent cannot be asked. "
        "Meeting them makes a model checkable; it says nothing about the house. Model: "
        + ", ".join(file["name"] for file in plain["model"]["files"])
    )
    ET.SubElement(info, "purpose").text = "checkable model"
    specifications = ET.SubElement(root, "specifications")
    for number, row in enumerate(plain["demands"], 1):
        _specify(specifications, row, number, version)
    if not len(specifications):
        return b""
    ET.indent(root)
    head = f'<?xml version="1.0" encoding="UTF-8"?>\n<!-- {WRITTEN_BY} {modellint.__version__} -->\n'
    return head.encode() + ET.tostring(root, encoding="unicode").encode() + b"\n"


def _specify(parent: ET.Element, row: Mapping[str, Any], number: int, version: str) -> None:
    ifc = row["ifc"]
    if not ifc:
        return
    if row["kind"] == "part":
        specification = _specification(parent, row, str(number), version)
        _applies(specification, ifc, at_least_one=True)
    elif row["kind"] == "storey":
        specification = _specification(parent, row, str(number), version)
        _applies(specification, {"classes": ifc["classes"]})
        need = ET.SubElement(
            ET.SubElement(specification, "requirements"), "attribute", cardinality="required"
        )
        _value(ET.SubElement(need, "name"), simple="Elevation")
    elif row["kind"] == "property":
        for part, way in enumerate(ifc["on"], 1):
            specification = _specification(parent, row, f"{number}.{part}", version)
            _applies(specification, way)
            need = ET.SubElement(
                ET.SubElement(specification, "requirements"),
                "property",
                cardinality="required",
                instructions=clean(ifc["text"]),
            )
            pairs = [*ifc["standard"], *ifc["names"]]
            _value(ET.SubElement(need, "propertySet"), patterns=(".*",))
            _value(ET.SubElement(need, "baseName"), patterns=[pattern_of(pair[1]) for pair in pairs])


def _specification(parent: ET.Element, row: Mapping[str, Any], identifier: str, version: str) -> ET.Element:
    return ET.SubElement(
        parent,
        "specification",
        {
            "name": clean(f"{row['name'].replace('_', ' ')} ({row['checks']} checks wait for it)"),
            "ifcVersion": version,
            "identifier": identifier,
            "description": clean(row["text"]),
            "instructions": clean(
                f"{row['ifc']['text']} Rules that need it: {', '.join(row['rules'])}".strip()
            ),
        },
    )


def _applies(specification: ET.Element, way: Mapping[str, Any], *, at_least_one: bool = False) -> None:
    """The applicability; facets in the order the schema asks for."""
    applies = ET.SubElement(
        specification, "applicability", minOccurs="1" if at_least_one else "0", maxOccurs="unbounded"
    )
    patterns = {key: tuple(globs) for key, globs in way.get("patterns", ())}
    entity = ET.SubElement(applies, "entity")
    _value(ET.SubElement(entity, "name"), choices=[name.upper() for name in way["classes"]])
    if patterns.get("predefined"):
        _value(ET.SubElement(entity, "predefinedType"), choices=patterns["predefined"])
    if patterns.get("system"):
        group = ET.SubElement(ET.SubElement(applies, "partOf", relation="IFCRELASSIGNSTOGROUP"), "entity")
        _value(ET.SubElement(group, "name"), choices=SYSTEMS)
    if patterns.get("classification"):
        reference = ET.SubElement(applies, "classification")
        _value(
            ET.SubElement(reference, "value"),
            patterns=[pattern_of(glob) for glob in patterns["classification"]],
        )
        _value(ET.SubElement(reference, "system"), patterns=(".*",))
    for key, name in _ATTRIBUTES.items():
        if patterns.get(key):
            attribute = ET.SubElement(applies, "attribute")
            _value(ET.SubElement(attribute, "name"), simple=name)
            _value(ET.SubElement(attribute, "value"), patterns=[pattern_of(glob) for glob in patterns[key]])


def _value(
    parent: ET.Element, *, simple: str = "", choices: Sequence[str] = (), patterns: Iterable[str] = ()
) -> None:
    """A single value, one of several, or a text that fits a pattern."""
    if len(choices) == 1:
        simple = choices[0]
    if simple:
        ET.SubElement(parent, "simpleValue").text = clean(simple)
        return
    restriction = ET.SubElement(parent, "xs:restriction", base="xs:string")
    for word in choices:
        ET.SubElement(restriction, "xs:enumeration", value=clean(word))
    for pattern in dict.fromkeys(patterns):
        ET.SubElement(restriction, "xs:pattern", value=clean(pattern))


def pattern_of(glob: str) -> str:
    """A pattern of XML Schema (part 2, appendix on regular expressions) for a glob, whatever the case."""
    made = []
    plain = glob.replace("[[]", "\x00")  # the one character class that the books use: a bracket itself
    for sign in plain:
        if sign == "*":
            made.append(".*")
        elif sign == "?":
            made.append(".")
        elif sign in "\x00[":
            made.append("\\[")
        elif sign.lower() != sign.upper():
            made.append(f"[{sign.lower()}{sign.upper()}]")
        else:
            made.append(f"\\{sign}" if sign in _SPECIAL else sign)
    return "".join(made)
