"""The report as one HTML page that needs no network: findings, drawings, what was looked at, what not."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Mapping
from hashlib import sha256
from importlib.resources import files
from typing import Any

from modellint.drawings.drawing_set import drawings_of
from modellint.drawings.svg import look
from modellint.findings.finding import STAGES
from modellint.reports.html_cards import OUTCOMES, Card, cards_of, storeys_of, write_card
from modellint.reports.html_sections import (
    CAUTION,
    write_drawings,
    write_looked_at,
    write_not_checked,
    write_tally,
)
from modellint.reports.html_text import words
from modellint.reports.html_view3d import scripts, wanted, write_view
from modellint.reports.html_view3d import style as view_style

Data = Mapping[str, Any]
MOST_ELEVATIONS = 120


def render(report: Data) -> str:
    """The whole page.

    Args:
        report: the plain form made by `json_report.to_dict`; with `drawings` the page has drawings, with
            `shapes` a 3-D view.
    """
    cards, left = cards_of(report)
    drawings = drawings_of(report, [(card.number, card.ident, list(card.findings)) for card in cards],
                           MOST_ELEVATIONS)  # fmt: skip
    in_3d = wanted(report)
    style = _part("page.css") + look() + (view_style() if in_3d else "")
    code = [_part("page.js"), *(scripts() if in_3d else ())]
    names = ", ".join(file["name"] for file in report["model"]["files"]) or "model"
    listed = "".join(write_card(card, drawings, in_3d) for card in cards)
    more = f"<p><b>{left} more findings</b> are left out here; the JSON report has all.</p>" if left else ""
    none = "<p>Nothing that was asked fails or is open.</p>" if not cards else ""
    total = len(report["findings"])
    grouped = (
        f"<p>{total} findings on {len(cards)} cards; those with one cause share a card.</p>"
        if total > len(cards)
        else ""
    )
    found = (
        f'{_chooser(report, cards)}{grouped}{none}<div id="due">{listed}</div><h3 class="later-head" id="later-head" '
        f'hidden>Later, not due at this stage</h3><div id="later"></div>{more}'
    )
    return (
        f'<!doctype html>\n<html lang="en">\n<!-- written by modellint -->\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy(style, code)}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="referrer" content="no-referrer">\n<title>modellint: {words(names)}</title>\n'
        f"<style>{style}</style>\n</head>\n<body>\n"
        f'<a class="skip" href="#findings">To the findings</a>{_head(report, names, in_3d)}\n<main>\n'
        f"{_section('summary', 'Where this house stands', write_tally(report))}\n"
        f'<div class="desk">{_section("findings", "Findings", found)}\n'
        f"{_section('drawings', 'Drawings', write_drawings(report, drawings), 'drawings')}</div>\n"
        f"{_section('model3d', '3-D view', write_view(report, cards)) if in_3d else ''}"
        f"{_section('looked', 'What was looked at', write_looked_at(report))}\n"
        f"{_section('not-checked', 'What was not checked, and why', write_not_checked(report))}\n"
        f"</main>\n{_foot(report)}\n{''.join(f'<script>{part}</script>' for part in code)}\n</body>\n</html>\n"
    )


def _section(ident: str, title: str, body: str, kind: str = "") -> str:
    """A section of the page under its heading."""
    return (
        f'<section id="{ident}" class="{kind}" aria-labelledby="{ident}-h"><h2 id="{ident}-h">{title}</h2>'
        f"{body}</section>"
    )


def _part(name: str) -> str:
    return files("modellint.reports").joinpath("page", name).read_text("utf-8")


def _policy(style: str, code: Iterable[str]) -> str:
    """Nothing may load or run but the page's own style and scripts."""

    def hashed(text: str) -> str:
        return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"

    return (
        f"default-src 'none'; style-src {hashed(style)}; script-src {' '.join(hashed(part) for part in code)}; "
        "base-uri 'none'; form-action 'none'"
    )


def _head(report: Data, names: str, in_3d: bool) -> str:
    links = (
        ("findings", "Findings"),
        ("drawings", "Drawings"),
        *([("model3d", "3-D view")] if in_3d else ()),
        ("looked", "What was looked at"),
        ("not-checked", "What was not checked"),
    )
    buildings = ", ".join(row.get("name") or "building not named" for row in report["model"]["buildings"])
    return (
        f"<header><h1>{words(buildings) or 'House'}</h1><p>{words(names)}, read by modellint "
        f"{words(report['tool']['version'])}{', ' + words(report['today']) if report['today'] else ''}</p>"
        f'<nav aria-label="Page">'
        + "".join(f'<a href="#{ident}">{text}</a>' for ident, text in links)
        + "</nav></header>"
    )


def _chooser(report: Data, cards: list[Card]) -> str:
    """Stage chooser and filters; hidden until the script runs, since without it they would do nothing."""
    stage = report["due"] or "all"
    radios = "".join(
        f'<label><input type="radio" name="stage" value="{value}"{" checked" if value == stage else ""}>'
        f"<span>{value}</span></label>"
        for value in ("all", *STAGES)
    )
    storeys = list(dict.fromkeys(name.replace("|", "/") for card in cards for name in storeys_of(card)))
    filters = (
        _select("storey", "Storey", storeys),
        _select("decides", "Who decides", sorted({card.first["decides"] for card in cards})),
        _select(
            "stages",
            "Cheap until",
            [row for row in STAGES if any(card.first["stage"] == row for card in cards)],
        ),
        _select(
            "outcome",
            "Outcome",
            [row for row in OUTCOMES if any(card.outcome == row for card in cards)],
            OUTCOMES,
        ),
    )
    return (
        '<form id="chooser" hidden aria-label="Sort and filter findings"><fieldset>'
        f'<legend>What is due at this stage?</legend><div class="stages">{radios}</div></fieldset>'
        f'<div class="filters">{"".join(filters)}'
        '<button type="button" id="reset">Show all</button></div>'
        '<p class="count" id="count" role="status" aria-live="polite"></p></form>'
    )


def _select(name: str, label: str, values: Iterable[str], shown: Mapping[str, str] | None = None) -> str:
    options = "".join(
        f'<option value="{words(value)}">{words((shown or {}).get(value, value))}</option>' for value in values
    )
    return f'<label>{label}<select name="{name}"><option value="">all</option>{options}</select></label>'


def _foot(report: Data) -> str:
    prints = "; ".join(f"{row['name']} sha256 {row['sha256']}" for row in report["model"]["files"])
    return f"<footer><p>{CAUTION}</p><p>{words(prints)}</p></footer>"
