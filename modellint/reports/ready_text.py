"""Readiness as text: what was recognised, what can be asked, what to add first; and why a part is what it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.reports.lines import Lines, columns, shown

_GROUPS = (
    ("can run", "Rules that can be asked"),
    ("in part", "Rules that can be asked in part"),
    ("waits", "Rules that cannot be asked yet"),
    ("nothing to ask", "Rules with nothing to ask about"),
)


def render(plain: Mapping[str, Any], *, colour: bool = False, width: int = 80) -> str:
    """The readiness of a model.

    Args:
        plain: what `pipeline_ready.ready` gave.
        colour: repeat headings by colour.
        width: columns of the terminal.
    """
    page = Lines(width, colour)
    page.text("What this model is ready for. Nothing is judged here.", 0)
    for file in plain["model"]["files"]:
        page.item(
            "File",
            f"{file['name']}: {file['schema']}, lengths in {file['length_unit']}, "
            f"{file['entities']:,} records",
            0,
        )
    for note in plain["input_notes"]:
        page.item("Note", note["text"], 0)
    _recognised(page, plain)
    _demands(page, plain)
    _rules(page, plain["rules"])
    _unread(page, plain["unread"])
    page.blank()
    page.text("Why a part is what it is: modellint ready MODEL --why GLOBAL_ID", 0)
    return page.end()


def _recognised(page: Lines, plain: Mapping[str, Any]) -> None:
    page.heading("What was recognised")
    page.text(
        "How sure: declared by the model, scheduled in a table, inferred from two signs of different kind, "
        "guessed from one and never relied on."
    )
    rows = plain["roles"]
    label = max((columns(_words(row["role"])) for row in rows), default=0) + 2
    for building in dict.fromkeys(row["building"] for row in rows):
        page.blank()
        page.text(f"Building: {building or 'not named'}")
        for row in rows:
            if row["building"] == building:
                page.item(_words(row["role"]), _storeys(row), 4, label)
    if not rows:
        page.text("Nothing.")
    for row in plain["stated_ties"]:
        ends = f"{row['ends']} wall end{'s' if row['ends'] != 1 else ''}"
        page.item("stated, not drawn:", f"tie {row['mark']} at {ends} of {row['building'] or 'the building'}", 2, 19)
    page.item("none found:", ", ".join(_words(role) for role in plain["missing_roles"]), 2, label)


def _storeys(row: Mapping[str, Any]) -> str:
    parts = []
    for storey, rungs in row["storeys"].items():
        counts = ", ".join(f"{rungs[rung]} {rung}" for rung in row["found"] if rung in rungs)
        parts.append(f"{shown(storey, 40) or 'no shape'}: {counts}")
    if row["places"]:
        parts.append(f"drawn at {row['drawn']} of {row['places']} places")
    return "; ".join(parts)


def _demands(page: Lines, plain: Mapping[str, Any]) -> None:
    page.heading("What to add first")
    if not plain["demands"]:
        page.text("Nothing: every rule that has something to ask about has its facts.")
    for number, row in enumerate(plain["demands"], 1):
        checks = f"{row['checks']} check{'s' if row['checks'] != 1 else ''}"
        waits = "wait for it" if row["checks"] != 1 else "waits for it"
        page.item(f"{number}.", f"{row['text']} {checks} {waits}.", 2, 4)
        if row["ifc"]:
            page.text(row["ifc"]["text"], 6)
        if row["guesses"]:
            verb = "part looks" if row["guesses"] == 1 else "parts look"
            page.text(
                f"{row['guesses']} {verb} like it by one sign only: {', '.join(row['guessed'])}. A second sign "
                "of another kind, or a line in the project file, settles it.",
                6,
            )
        page.text(f"Rules: {', '.join(row['rules'])}", 6, "quiet")
        if row["of"]:
            page.text(f"Asked at: {'; '.join(row['of'])}", 6, "quiet")
    if plain["further_demands"]:
        page.text(f"and {plain['further_demands']} more, each of which unlocks fewer.")


def _rules(page: Lines, rows: list[dict[str, Any]]) -> None:
    for state, title in _GROUPS:
        chosen = [row for row in rows if row["state"] == state]
        if not chosen:
            continue
        page.heading(f"{title} ({len(chosen)})")
        if state == "can run":
            page.text(", ".join(row["rule"] for row in chosen))
            continue
        for row in chosen:
            page.text(f"{row['rule']}: {_why_not(row)}")


def _why_not(row: Mapping[str, Any]) -> str:
    if row["state"] == "nothing to ask":
        return (
            f"no {_words(row['wants'])} was recognised" if row["wants"] else "nothing here that it applies to"
        )
    lacks = ", ".join(f"{_words(fact)} ({number})" for fact, number in row["lacks"].items())
    answered = f"{row['answered']} answered, {row['waiting']} waiting" if row["answered"] else ""
    return "; ".join(text for text in (answered, f"for want of {lacks}" if lacks else "") if text)


def _unread(page: Lines, rows: list[dict[str, Any]]) -> None:
    if not rows:
        return
    page.heading("Properties that could not be read")
    for row in rows:
        page.item(
            "*",
            f"{row['where']} = {row['value']}: {row['reason']}, so no {_words(row['quantity'])} was taken "
            f"from it ({row['number']} times, first at {row['elements'][0]})",
            2,
            2,
        )


def render_why(plain: Mapping[str, Any], *, colour: bool = False, width: int = 80) -> str:
    """Why a part has its role; the arguments are those of `render`."""
    page = Lines(width, colour)
    for row in plain["why"]:
        page.blank()
        page.text(f"{row['name']} ({row['ifc_class']} {row['key']})", 0, "heading")
        said = ", ".join(f"{_words(role)} ({rung})" for role, rung in row["roles"].items())
        page.item("Role", said or "none", 0)
        if not row["drawn"]:
            page.item("Shape", f"none{': ' + row['undrawn'] if row['undrawn'] else ''}", 0)
        if row["considered"]:
            page.heading("What was considered")
        slight = [one["role"] for one in row["considered"] if one["slight"] and one["verdict"] != "chosen"]
        for one in row["considered"]:
            if one["role"] in slight:
                continue
            grounds = "; ".join(f"{ground['kind']}: {ground['text']}" for ground in one["grounds"])
            page.text(f"{_words(one['role'])} ({one['rung']}): {one['verdict']}")
            page.text(grounds or "nothing of its own speaks for it", 6)
        if slight:
            page.text(
                f"By its class or its material alone it could also be: {', '.join(map(_words, slight))}."
            )
        if row["ruled_out"]:
            page.heading("What was ruled out")
        for role, reason in row["ruled_out"].items():
            page.text(f"{_words(role)}: {reason}")
        if row["changes"]:
            page.heading("What would change it")
        for text in row["changes"]:
            page.item("*", text, 2, 2)
    return page.end()


def _words(role: object) -> str:
    return shown(role, 60).replace("_", " ")
