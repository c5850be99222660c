"""What a model is ready for, without a verdict on anything. Runs inside the child process."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

import modellint
from modellint.errors import UsageProblem
from modellint.findings.demand_words import STANDS_FOR
from modellint.findings.readiness import (
    MOST_DEMANDS,
    Demand,
    demands,
    roles_found,
    rules_ready,
    unread_properties,
)
from modellint.graph.house import House
from modellint.ifc.model import Model
from modellint.ifc.schema_facts import predefined_types
from modellint.pipeline import Books, Say, judge_model, load_books, read_model, recognised_parts, schedule_marks, silent
from modellint.roles.advice import PredefinedTypes, PropertyAdvice, RoleAdvice, property_advice, role_advice

FORMAT = 1
_HINTS = {
    "shape": "Export the bodies of these parts: what has no shape has no place, and distances cannot be measured.",
    "storey elevations": "Give every IfcBuildingStorey its Elevation.",
}


def ready(request: Mapping[str, Any], announce: Say = silent, progress: Say = silent) -> dict[str, Any]:
    """Readiness of the models of a request, as plain data for JSON.

    Args:
        request: `models`, and optionally `project`, `display`, `skip`, `native`; `why`: a GlobalId to explain.
        announce: is told the GlobalId of a part before native code gets it.
        progress: is told what is being done.

    Raises:
        UsageProblem: `why` names no part of the model.
    """
    paths = [Path(path) for path in request["models"]]
    books = load_books(paths[0], request.get("project"))
    progress("reading")
    model = read_model(paths, frozenset(request.get("skip", ())), announce, bool(request.get("native", True)))
    advice = _Advice.load(model)
    plain = {
        "format": FORMAT,
        "tool": {"name": "modellint", "version": modellint.__version__},
        "model": {"files": [asdict(file) for file in model.files], "schema": advice.schema},
    }
    if request.get("why"):
        progress("recognising")
        return {
            **plain,
            "incomplete": [],
            "input_notes": [],
            "why": _why(model, books, advice, str(request["why"])),
        }
    progress("recognising")
    return {**plain, **_state(model, books, request, advice)}


class _Advice:
    """The books as advice, for the model's schema."""

    def __init__(
        self, schema: str, roles: dict[str, RoleAdvice], quantities: dict[str, PropertyAdvice]
    ) -> None:
        self.schema, self.roles, self.quantities = schema, roles, quantities

    @classmethod
    def load(cls, model: Model) -> _Advice:
        from modellint.rulebook.shipped import rules_folder

        folder = rules_folder()
        schema = model.files[0].schema if model.files else "IFC4"
        return cls(schema, role_advice(folder / "roles"), property_advice(folder / "properties"))

    @property
    def types_of(self) -> PredefinedTypes:
        return lambda ifc_class: predefined_types(self.schema, ifc_class)


def _state(model: Model, books: Books, request: Mapping[str, Any], advice: _Advice) -> dict[str, Any]:
    kept: list[tuple[House, Any]] = []
    report = judge_model(model, books, request, kept)
    seen = [house for house, _ in kept]
    known, quantities = frozenset(advice.roles), frozenset(advice.quantities)
    rules = rules_ready(books.rules, report.rules, report.findings, seen, known)
    wanted = demands(report.findings, rules, seen, known, quantities)
    return {
        "input_notes": [asdict(note) for note in report.notes],
        "incomplete": [note.text for note in report.notes if note.serious],
        "roles": [{**asdict(row), "found": row.by_rung()} for row in roles_found(seen)],
        "stated_ties": _stated_ties(seen),
        "missing_roles": sorted(
            role for role in advice.roles if not any(house.with_role(role) for house in seen)
        ),
        "rules": [asdict(row) for row in rules],
        "demands": [_demand(row, advice) for row in wanted[:MOST_DEMANDS]],
        "further_demands": max(0, len(wanted) - MOST_DEMANDS),
        "unread": [asdict(row) for row in unread_properties(seen)],
    }


def _stated_ties(seen: list[House]) -> list[dict[str, Any]]:
    """Ties that a wall property or schedule names for an end and that nobody drew, by building and mark."""
    counts = Counter((house.name or house.key, end.stated_tie) for house in seen
                     for end in house.nodes.get("wall_end", ()) if end.stated_tie)
    return [{"building": building, "mark": mark, "ends": counts[building, mark]} for building, mark in sorted(counts)]


def _demand(demand: Demand, advice: _Advice) -> dict[str, Any]:
    """A demand with its text, and what of IFC to use."""
    need = demand.need
    row: dict[str, Any] = {
        "kind": need.kind,
        "name": need.name,
        "checks": demand.checks,
        "rules": demand.rules,
        "of": demand.of,
        "guesses": demand.guesses,
        "guessed": demand.guessed,
        "ifc": None,
    }
    if need.kind == "part":
        row["text"] = f"{_words(need.name)}: draw each one and say what it is."
        way = advice.roles[need.name].way_in(advice.types_of)
        if way is not None:
            row["ifc"] = {**asdict(way), "text": f"Use {way.words()}."}
    elif need.kind == "property":
        row["text"] = f"{_words(need.name)}: {advice.quantities[need.name].description or demand.hint}"
        row["ifc"] = _property(need.name, demand, advice)
    elif need.kind in {"shape", "storey"}:
        row["text"] = f"{need.name}: {_HINTS[need.name]}"
        if need.kind == "storey":
            row["ifc"] = {"classes": ["IfcBuildingStorey"], "attribute": "Elevation", "text": ""}
    else:
        row["text"] = f"{need.name}: {demand.hint or 'say it in the model or the project file'}."
    return row


def _property(quantity: str, demand: Demand, advice: _Advice) -> dict[str, Any]:
    """Where to write a property: on which classes, in which set, under which name."""
    book = advice.quantities[quantity]
    carriers = [
        advice.roles[STANDS_FOR.get(role, role)].way_in(advice.types_of)
        for role in demand.subjects
        if STANDS_FOR.get(role, role) in advice.roles
    ]
    ways = [asdict(way) for way in carriers if way is not None]
    if "building" in demand.subjects or not ways:
        ways.append({"classes": ("IfcBuilding",), "predefined": "", "patterns": ()})
    on = " or ".join(dict.fromkeys(way["classes"][0] for way in ways))
    return {
        "on": ways,
        "quantity": quantity,
        "dimension": book.dimension,
        "standard": [*book.standard],
        "names": [*book.names],
        "values": [*book.values],
        "text": f"Give {on} {book.words()}.",
    }


def _words(role: str) -> str:
    return role.replace("_", " ")


def _why(model: Model, books: Books, advice: _Advice, key: str) -> list[dict[str, Any]]:
    """Explanations of a part, and of its layers and items if it has any."""
    from modellint.roles.recognise import Candidate, recognise
    from modellint.roles.why import why

    recognised_parts(model, books)  # draws what only the native kernel can
    considered: dict[str, list[Candidate]] = {}
    parts = recognise(model, books.roles, books.properties.has, schedule_marks(books.schedules), considered)
    found = [part for name, part in parts.items() if name == key or name.startswith(f"{key}/")]
    if not found:
        raise UsageProblem(f"No part of this model has the GlobalId {key!r}.")
    rows = []
    for part in found:
        answer = why(part, considered.get(part.key, ()), books.roles, advice.roles, advice.types_of)
        row = asdict(answer)
        row["roles"] = {role: rung.word for role, rung in answer.roles.items()}
        for entry, one in zip(row["considered"], answer.considered, strict=True):
            entry["rung"] = one.rung.word
        row["undrawn"] = part.element.undrawn if part.box is None else ""
        row["drawn"] = part.box is not None
        rows.append(row)
    return rows
