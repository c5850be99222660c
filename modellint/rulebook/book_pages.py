"""Pages about roles and properties, written from the role book and the property book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from modellint.rulebook.yaml_text import read_yaml

_CLAUSE = {
    "class": "class",
    "predefined": "predefined type",
    "object_type": "ObjectType",
    "system": "system",
    "classification": "classification",
    "layer": "CAD layer",
    "name": "name",
    "type_name": "type name",
}
_GROUND = {
    "name": "name, type name or ObjectType",
    "class": "class",
    "material": "material",
    "property": "property",
    "shape": "shape",
}
_RELATION = {
    "touches": "touches a",
    "end_in": "ends in a",
    "inside": "lies inside a",
    "under": "lies under a",
    "over": "lies over a",
}
_NAMED = {"standard": "standard", "names": "other names"}
_SLICES = {
    "layer": "A material layer of a slab, wall or covering may have this role.",
    "item": "The bodies of one element may each be counted as one part.",
}


def roles_page(folder: Path, head: str) -> str:
    """The role book as a page.

    Args:
        folder: rules/roles.
        head: the line that says that the page is generated.
    """
    lines = ["# Role book", "", head, ""]
    lines += [
        "How to read it: [how to draw and export](../modelling.md). `*` stands for any text; case does not",
        "matter. Any one line *declared by* gives rung declared. Otherwise two grounds of different kind",
        "give rung inferred, and one gives guessed. Two names are one ground.",
        "",
    ]
    for path in sorted(folder.glob("*.yaml")):
        lines += [*_role(_mapping(path)), ""]
    return "\n".join(lines).rstrip() + "\n"


def _role(data: Mapping[str, Any]) -> list[str]:
    lines = [f"## {data['role']}", ""]
    lines += [f"- declared by: {_clause(clause)}" for clause in data.get("declared", ())]
    grounds = data.get("grounds", {})
    lines += [f"- ground {word}: {_listed(grounds[key])}" for key, word in _GROUND.items() if key in grounds]
    for place in grounds.get("place", ()):
        lines += [f"- ground place: {_RELATION[k]} {_listed(near, ' or ')}" for k, near in place.items()]
    if "only" in data:
        lines.append(f"- only for the classes: {_listed(data['only'])}")
    if "not_name" in data:
        lines.append(f"- never with a name like: {_listed(data['not_name'])}")
    if data.get("needs_words"):
        place = ", or its place," if data["needs_words"] == "or place" else ""
        lines.append(f"- a name, schedule, property or declaration{place} must speak for it")
    if data.get("generic"):
        lines.append("- a stand-in: any other role at rung inferred or better comes before it")
    if data.get("slices"):
        lines.append(f"- {_SLICES[data['slices']]}")
    return lines


def _clause(clause: Mapping[str, Any]) -> str:
    tests = ((word, clause[key]) for key, word in _CLAUSE.items() if key in clause)
    return ", with ".join(f"{word} {_listed(values, ' or ')}" for word, values in tests)


def _listed(values: Any, joint: str = ", ") -> str:
    rows = [values] if isinstance(values, str) else values
    return joint.join(f"`{row}`" for row in rows)


def properties_page(folder: Path, head: str) -> str:
    """The property book as a page; arguments as for `roles_page`."""
    lines = ["# Property book", "", head, ""]
    lines += [
        "How to read it: [how to draw and export](../modelling.md). Each entry is `set.property`; `*`",
        "stands for any text; case does not matter. Standard ones give rung declared, others inferred.",
        "",
    ]
    for path in sorted(folder.glob("*.yaml")):
        data = _mapping(path)
        lines += [f"## {data['quantity']}", "", f"{data['description']} Gives a {data['dimension']}.", ""]
        lines += [f"- {word}: {_pairs(data[key])}" for key, word in _NAMED.items() if key in data]
        words = data.get("words", {})
        lines += [f"- `{word}` is meant by: {_listed(texts)}" for word, texts in words.items()]
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _pairs(rows: Iterable[Iterable[str]]) -> str:
    return ", ".join(f"`{'.'.join(row)}`" for row in rows)


def _mapping(path: Path) -> dict[str, Any]:
    data: dict[str, Any] = read_yaml(path).data
    return data
