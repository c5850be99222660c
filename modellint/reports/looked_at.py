"""What was looked at: files, storeys, parts by role with how sure each is, chains and rules."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.reports.lines import Lines, columns, shown
from modellint.reports.places import storey_names

_RUNGS = ("declared", "scheduled", "inferred", "guessed")
_CHAINS = (("uplift", "uplift, one for each wall end"), ("compression", "compression"),
           ("vent", "soil-gas vent"))
_STATES = (("joined", "joined"), ("broken", "broken"), ("unknown", "cannot be told"))


def write_looked_at(page: Lines, report: Mapping[str, Any]) -> None:
    """The section that says what the findings below stand on."""
    page.heading("What was looked at")
    for file in report["model"]["files"]:
        page.item("File", f"{file['name']}: {file['schema']}, lengths in {file['length_unit']}, "
                          f"{file['entities']:,} records")
    for building in report["model"]["buildings"]:
        whole = building.get("part_of")
        what = f"dwelling unit of {whole}, judged on its own" if whole else "one house; no dwelling units are stated"
        page.item("Building", f"{building.get('name') or 'not named'} ({what})")
    page.item("Storeys", ", ".join(storey_names(report)) or "none given")
    if report["due"]:
        page.item("Stage", f"{report['due']}: rules of later stages are listed under Later")
    page.item("Day", report["today"])
    rules = report["rules"]
    page.item("Rules", f"{len(rules)} asked, {sum(r['pass'] + r['fail'] + r['open'] for r in rules)} answers")
    _chains(page, report["paths"])
    if not report["coverage"]:
        page.item("Parts", "none recognised")


def _chains(page: Lines, paths: list[dict[str, Any]]) -> None:
    """Verdicts of all chains by kind, and how to walk one."""
    label = "Chains"
    for kind, words in _CHAINS:
        verdicts = [path["verdict"] for path in paths if path["kind"] == kind]
        states = ", ".join(f"{verdicts.count(state)} {word}" for state, word in _STATES if state in verdicts)
        if verdicts:
            page.item(label, f"{len(verdicts)} {words}: {states}")
            label = ""
    troubled = [path for state in ("broken", "unknown") for path in paths if path["verdict"] == state]
    if troubled:
        name = "vent" if troubled[0]["kind"] == "vent" else troubled[0]["name"]
        page.item("", f'walk one link by link: modellint trace MODEL "{name}"')


def write_parts(page: Lines, report: Mapping[str, Any]) -> None:
    """The section that lists what was recognised: one line per role that was found; the others by name."""
    coverage: list[dict[str, Any]] = report["coverage"]
    if not coverage:
        return
    page.heading("Parts found")
    page.text("How sure the model makes us: declared by the model, scheduled in a table, inferred from two signs, "
              "guessed from one and never relied on.")
    label = max(columns(_words(row["role"])) for row in coverage) + 2
    buildings = list(dict.fromkeys(row["building"] for row in coverage))
    for building in buildings:
        if len(buildings) > 1:
            page.text(f"Building {building or 'not named'}:")
        rows = [row for row in coverage if row["building"] == building]
        for row in rows:
            if any(row["found"].values()):
                page.item(_words(row["role"]), _found(row), 4, label)
        absent = [_words(row["role"]) for row in rows if not any(row["found"].values())]
        page.item("none found:", ", ".join(absent), 4, label)


def _found(row: Mapping[str, Any]) -> str:
    """Count by rung, by storey, and whether the model draws the role everywhere."""
    rungs = [*(r for r in _RUNGS if r in row["found"]), *(r for r in row["found"] if r not in _RUNGS)]
    parts = [", ".join(f"{row['found'][rung]} {rung}" for rung in rungs if row["found"][rung])]
    storeys = ", ".join(f"{name} {number}" for name, number in row["storeys"].items())
    if storeys:
        parts.append(storeys)
    if row["places"]:
        parts.append(f"drawn at {row['drawn']} of {row['places']} places")
    if row["places"] and row["drawn"] < row["places"]:
        parts.append("the rest counts as absent" if row["complete"] else "the rest cannot be told")
    return "; ".join(parts)


def _words(role: str) -> str:
    return shown(role, 40).replace("_", " ")
