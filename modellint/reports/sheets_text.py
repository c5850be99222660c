"""What all field sheets share: the frame of a page, tables with tick boxes, findings of a stage."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from modellint.reports.html_text import words

Data = Mapping[str, Any]
TICK = '<span class="tick" aria-hidden="true"></span>'
MOST_LINES = 40  # of one list
MOST_SHEETS = 300  # of one kind
ADVICE = "Advice, not a design: the engineer of record, the local code and licensed trades decide."


@dataclass(frozen=True)
class Sheet:
    """One page.

    Attributes:
        ident: XML id.
        body: ready HTML.
        long: it may run over one sheet of paper.
    """

    ident: str
    title: str
    body: str
    long: bool = False


@dataclass(frozen=True)
class Issue:
    """What the user says about this issue of the sheets; "" leaves a blank to fill in."""

    revision: str = ""
    day: str = ""


def fingerprints(report: Data) -> str:
    """The model's files and the start of their SHA-256."""
    return "; ".join(f"{row['name']}, sha256 {row['sha256'][:16]}" for row in report["model"]["files"])


def house_names(report: Data) -> str:
    """Names of the buildings."""
    return ", ".join(row.get("name") or "building not named" for row in report["model"]["buildings"])


def framed(sheet: Sheet, number: int, of: int, report: Data, issue: Issue) -> str:
    """A page with its head and foot: revision, date and the model's fingerprint on each."""
    file, building = fingerprints(report), house_names(report)
    return (
        f'<section class="sheet{" long" if sheet.long else ""}" id="{sheet.ident}" aria-labelledby="{sheet.ident}-h">'
        f'<div class="top"><h1 id="{sheet.ident}-h">{words(sheet.title)}</h1><p>{words(building)}<br>'
        f"Revision {words(issue.revision) or '________'}, date {words(issue.day) or '____________'}</p></div>"
        f'{sheet.body}<div class="foot"><span>{words(file)}</span><span>{ADVICE}</span>'
        f"<span>{number} of {of}</span></div></section>"
    )


def grid(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table of ready HTML cells; a row of one cell is a heading over all columns."""
    head = "".join(f'<th scope="col">{words(name)}</th>' for name in heads)
    wide = f'<th colspan="{len(heads)}" scope="colgroup">'
    body = "".join(
        f"<tr>{wide}{row[0]}</th></tr>"
        if len(row) == 1
        else "<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>"
        for row in rows
    )
    return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


def ticks(items: Iterable[str]) -> str:
    """A list of plain texts with a box before each."""
    rows = "".join(f"<li>{TICK}{words(item)}</li>" for item in items)
    return f'<ul class="ticks">{rows}</ul>' if rows else ""


def capped_ticks(items: Sequence[str], nothing: str) -> str:
    """A list with a box before each, cut at MOST_LINES with the number left out; `nothing` if it is empty."""
    more = f"<p>… and {len(items) - MOST_LINES} more in the report.</p>" if len(items) > MOST_LINES else ""
    return (ticks(items[:MOST_LINES]) or f"<p>{words(nothing)}</p>") + more


def said(finding: Data) -> str:
    """A finding as one line of a sheet."""
    word = {"fail": "FAILS", "open": "CANNOT TELL"}.get(finding["outcome"], finding["outcome"])
    accepted = " (accepted by a person)" if finding["accepted"] is not None else ""
    text = finding["question"] if finding["outcome"] == "open" and finding["question"] else finding["message"]
    return f"{word}{accepted}: {text or finding['title']} Decides: {finding['decides']}."


def of_stage(report: Data, *stages: str) -> list[str]:
    """Findings whose last cheap moment is one of some stages; those with one cause once, with their number."""
    groups: dict[str, list[Data]] = {}
    for finding in report["findings"]:
        if finding["stage"] in stages:
            groups.setdefault(finding["group"] or finding["id"], []).append(finding)
    rows = sorted(groups.values(), key=lambda group: (group[0]["outcome"] != "fail", group[0]["rule"], group[0]["id"]))
    return [said(group[0]) + (f" ({len(group)} places)" if len(group) > 1 else "") for group in rows]
