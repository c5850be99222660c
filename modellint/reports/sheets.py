"""Field sheets as one HTML page made to be printed: wall ends, anchors, riser, checklists, hand-over."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from hashlib import sha256
from importlib.resources import files
from typing import Any

from modellint.drawings.svg import look
from modellint.reports.html_text import words
from modellint.reports.sheets_ends import end_sheets
from modellint.reports.sheets_lists import anchor_sheets, checklists, hand_over, riser_sheets
from modellint.reports.sheets_text import MOST_SHEETS, Issue, Sheet, framed

Data = Mapping[str, Any]


def render(report: Data, issue: Issue | None = None) -> str:
    """All sheets of a report that holds `drawings`.

    Args:
        report: the plain form made by `json_report.to_dict`.
        issue: revision and date to print; blanks to fill in by hand without.
    """
    issue = issue or Issue()
    sheets = sheets_of(report)
    style = files("modellint.reports").joinpath("page", "sheets.css").read_text("utf-8") + look()
    digest = b64encode(sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    names = ", ".join(file["name"] for file in report["model"]["files"]) or "model"
    pages = "\n".join(framed(sheet, k, len(sheets), report, issue) for k, sheet in enumerate(sheets, 1))
    return (
        f'<!doctype html>\n<html lang="en">\n<!-- written by modellint -->\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Field sheets: {words(names)}</title>\n<style>{style}</style>\n</head>\n<body>\n<main>\n"
        f"{pages}\n</main>\n</body>\n</html>\n"
    )


def sheets_of(report: Data) -> list[Sheet]:
    """All sheets in their order, the contents first."""
    before, cover = checklists(report)
    kinds = [anchor_sheets(report), end_sheets(report), riser_sheets(report)]
    left = sum(max(0, len(kind) - MOST_SHEETS) for kind in kinds)
    places = [sheet for kind in kinds for sheet in kind[:MOST_SHEETS]]
    sheets = [before, *places, cover, hand_over(report)]
    return [_contents(sheets, report, left), *sheets]


def _contents(sheets: list[Sheet], report: Data, left: int) -> Sheet:
    """The first page: what is in the set, and how complete the check was."""
    rows = "".join(f'<li><a href="#{sheet.ident}">{k}. {words(sheet.title)}</a></li>'
                   for k, sheet in enumerate(sheets, 2))  # fmt: skip
    reasons = report["exit"]["reasons"] if report["exit"]["status"] == 3 else []
    alarm = "".join(f"<li>{words(reason)}</li>" for reason in reasons)
    body = (
        "<p>Each sheet shows what the model shows. Where the model is silent, the sheet says so; it fills in no size, "
        "load or distance of its own.</p>"
        + (f'<div class="warn"><b>The check is incomplete</b><ul>{alarm}</ul></div>' if alarm else "")
        + (f"<p><b>{left} more sheets of anchors, wall ends and vents are left out</b>; the report has them.</p>"
           if left else "")
        + f"<h2>In this set</h2><ul>{rows}</ul>"
    )
    return Sheet("contents", "Field sheets", body, len(sheets) > 40)
