"""Role overrides and property mappings of the project file that match nothing in a model: worth a note."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from modellint.ifc.model import Model, Note
from modellint.roles.book import RoleBook, globs
from modellint.roles.recognise import holds


def unused_entries(model: Model, book: RoleBook, mappings: Iterable[Mapping[str, Any]], file: str) -> list[Note]:
    """One note per override or mapping that matches nothing, in the order of the project file.

    Args:
        book: role book with the project's overrides.
        mappings: property mappings of the project file, with `line`.
        file: name of the project file.
    """
    notes = []
    for role, clause in book.overrides:
        if not any(holds(clause, element) for element in model.elements.values()):
            notes.append(Note("override-matches-nothing", f"The role override '{role}' ({clause.text}) matches "
                              "nothing in this model.", file, clause.line or None))
    mappings = tuple(mappings)
    pairs = {pair for element in model.elements.values() for pair in element.properties} if mappings else set()
    for row in mappings:
        sets, names = globs(str(row.get("set", "*"))), globs(str(row["property"]))
        assert sets is not None
        assert names is not None
        if not any(sets.match((a or "").lower()) and names.match((b or "").lower()) for a, b in pairs):
            notes.append(Note("mapping-matches-nothing", f"The property mapping '{row['quantity']}' ("
                              f"{row.get('set', '*')}.{row['property']}) matches nothing in this model.", file,
                              row.get("line") or None))
    return notes
