"""Role overrides and property mappings of the project file: checked like rules, with line and column."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from modellint.roles.book import CLAUSE_KEYS
from modellint.rulebook.shipped import rules_folder
from modellint.rulebook.vocabulary import ROLES, nearest
from modellint.rulebook.yaml_text import Document, Path_, Problem

MAPPING_KEYS = ("quantity", "set", "property")
DWELLING_KEYS = ("zone", "space", "storey")


def read_roles(rows: Sequence[Any], document: Document, problems: list[Problem]) -> tuple[dict[str, Any], ...]:
    """Role overrides: `role` and one or more clauses, each a glob or a list of globs of which one must match.

    Each row gets the key `line`, where it stands in the project file.
    """
    found = []
    for index, row in enumerate(rows):
        where: Path_ = ("roles", index)
        if not isinstance(row, dict) or row.get("role") not in ROLES:
            named = str(row.get("role", "")) if isinstance(row, dict) else ""
            problems.append(document.problem(where, f"'{named}' is not a role{nearest(named, ROLES)}."))
            continue
        _known_keys(row, ("role", *CLAUSE_KEYS), where, document, problems)
        if len(row) < 2:
            text = f"A role override names at least one of {', '.join(CLAUSE_KEYS)}."
            problems.append(document.problem(where, text))
        for key in CLAUSE_KEYS:
            if key in row and not _globs(row[key]):
                problems.append(document.problem((*where, key), f"'{key}' is a glob or a list of globs."))
        found.append({**row, "line": document.positions.get(where, (0, 0))[0]})
    return tuple(found)


def read_properties(rows: Sequence[Any], document: Document,
                    problems: list[Problem]) -> tuple[dict[str, Any], ...]:
    """Property mappings: `quantity`, `property` (a glob) and perhaps `set` (a glob); each row gets its `line`."""
    known = sorted(path.stem for path in (rules_folder() / "properties").glob("*.yaml"))
    found = []
    for index, row in enumerate(rows):
        where: Path_ = ("properties", index)
        if not isinstance(row, dict) or not {"quantity", "property"} <= set(row):
            problems.append(document.problem(where, "A property mapping names quantity, set and property."))
            continue
        _known_keys(row, MAPPING_KEYS, where, document, problems)
        quantity = str(row["quantity"])
        if quantity not in known:
            text = f"There is no quantity '{quantity}'{nearest(quantity, known)}."
            problems.append(document.problem((*where, "quantity"), text))
        for key in ("set", "property"):
            if key in row and not (isinstance(row[key], str) and row[key]):
                problems.append(document.problem((*where, key), f"'{key}' is a glob."))
        found.append({**row, "line": document.positions.get(where, (0, 0))[0]})
    return tuple(found)


def read_dwellings(rows: Sequence[Any], document: Document,
                   problems: list[Problem]) -> tuple[dict[str, Any], ...]:
    """Dwelling units: `name` and one or more of `zone`, `space` and `storey`, each a glob or a list of globs."""
    found = []
    for index, row in enumerate(rows):
        where: Path_ = ("dwellings", index)
        if not isinstance(row, dict) or not (isinstance(row.get("name"), str) and row["name"]):
            problems.append(document.problem(where, "A dwelling unit has a name."))
            continue
        _known_keys(row, ("name", *DWELLING_KEYS), where, document, problems)
        if not any(key in row for key in DWELLING_KEYS):
            text = f"A dwelling unit names at least one of {', '.join(DWELLING_KEYS)}."
            problems.append(document.problem(where, text))
        for key in DWELLING_KEYS:
            if key in row and not _globs(row[key]):
                problems.append(document.problem((*where, key), f"'{key}' is a glob or a list of globs."))
        found.append(dict(row))
    names = [row["name"] for row in found]
    for index, row in enumerate(found):
        if row["name"] in names[:index]:
            problems.append(document.problem(("dwellings", index), f"Two dwelling units are called '{row['name']}'."))
    return tuple(found)


def _known_keys(row: dict[str, Any], known: tuple[str, ...], where: Path_, document: Document,
                problems: list[Problem]) -> None:
    for key in row:
        if key not in known:
            text = f"The key '{key}' is not known here{nearest(str(key), known)}."
            problems.append(document.problem((*where, key), text, key=True))


def _globs(value: Any) -> bool:
    texts = value if isinstance(value, list) else [value]
    return bool(texts) and all(isinstance(text, str) and text for text in texts)
