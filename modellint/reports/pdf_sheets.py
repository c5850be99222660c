"""Field sheets as a PDF file: the same sheets as the HTML page, one after the other, each with its head and foot.

Needs reportlab (extra `pdf`). Nothing of the machine, the day or the run goes into the file, so the same report and
the same release of reportlab give the same bytes.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepInFrame, Paragraph

from modellint.reports.pdf_drawing import Picture
from modellint.reports.pdf_flow import Look, flow, read
from modellint.reports.pdf_fonts import BOLD, LACKING, PLAIN, lacks, letters, shown
from modellint.reports.sheets import sheets_of
from modellint.reports.sheets_text import ADVICE, Issue, Sheet, fingerprints, house_names
from modellint.text import clean

Data = Mapping[str, Any]
PAPERS: dict[str, tuple[float, float]] = {"a4": A4, "letter": LETTER}
MARGIN, HEAD, FOOT = 34.0, 44.0, 30.0
SIZES = (8.6, 7.9, 7.2, 6.6)  # letters of a sheet, the largest with which it stays on one page; else the second
MOST_PAGES = 40  # of one sheet
_PICTURE = 0.4  # of the width, for the column of a wall end
_MARK = (b"ReportLab Generated PDF document (opensource)", b"written by modellint with reportlab")

Placed = tuple[Flowable, float, float]
Page = list[Placed]


def render(report: Data, issue: Issue | None = None, paper: str = "") -> bytes:
    """All sheets of a report that holds `drawings`.

    Args:
        report: the plain form made by `json_report.to_dict`.
        issue: revision and date to print; blanks to fill in by hand without.
        paper: `a4` or `letter`; by the report's units without.
    """
    letters()
    issue = issue or Issue()
    size = PAPERS[paper or ("letter" if report["display"] == "us" else "a4")]
    sheets = sheets_of(report)
    made = BytesIO()
    canvas = _canvas(made, size)
    canvas.setTitle(shown(clean(f"Field sheets: {_names(report)}")))
    canvas.setAuthor("")
    canvas.setCreator("modellint")
    canvas.setSubject(ADVICE)
    for number, sheet in enumerate(sheets, 1):
        notes = [_boxes_note()] if number == 1 and any(lacks(row.title + row.body) for row in sheets) else []
        for page, placed in enumerate(_laid_out(sheet, size, notes), 1):
            if page == 1:
                canvas.bookmarkPage(sheet.ident)
                canvas.addOutlineEntry(shown(clean(sheet.title)), sheet.ident, 0)
            _frame(canvas, size, sheet, (number, len(sheets), page), report, issue)
            for flowable, x, y in placed:
                flowable.drawOn(canvas, x, y)
            canvas.showPage()
    canvas.save()
    return _marked(made.getvalue())


def _canvas(target: BytesIO, size: tuple[float, float]) -> Canvas:
    """An empty file. reportlab would date it by SOURCE_DATE_EPOCH, or fail on a wrong one; its date stays fixed."""
    epoch = os.environ.pop("SOURCE_DATE_EPOCH", None)
    try:
        return Canvas(target, pagesize=size, invariant=1, pageCompression=1, initialFontName=PLAIN)
    finally:
        if epoch is not None:
            os.environ["SOURCE_DATE_EPOCH"] = epoch


def _marked(data: bytes) -> bytes:
    """The file with our mark in its first comment, of the same length so that no offset moves."""
    old, new = _MARK
    return data.replace(old, new.ljust(len(old)), 1)


def _names(report: Data) -> str:
    return ", ".join(file["name"] for file in report["model"]["files"]) or "model"


def _boxes_note() -> str:
    return (f"<p>Some letters of this model's names are not in the font of these sheets and stand as {LACKING}; the "
            "HTML page of the sheets shows them.</p>")  # fmt: skip


def _laid_out(sheet: Sheet, size: tuple[float, float], notes: list[str]) -> list[Page]:
    """Pages of one sheet, with the largest letters that keep it on one page, if any do."""
    body = "".join(notes) + sheet.body
    for letters_of in SIZES:
        pages = _pages(body, size, letters_of)
        if len(pages) == 1:
            return pages
        if sheet.long:
            break
    return _pages(body, size, SIZES[1])


def _pages(body: str, size: tuple[float, float], letters_of: float) -> list[Page]:
    width, height = size[0] - 2 * MARGIN, size[1] - 2 * MARGIN - HEAD - FOOT
    tree = read(body)
    two = tree[0] if len(tree) == 1 and tree[0].get("class") == "two" else None
    first: Page = []
    if two is None:
        rest = flow(tree, Look(letters_of, width, height))
        room = _Room(MARGIN, MARGIN + FOOT, width, height)
    else:
        picture, side = width * _PICTURE, width * (1 - _PICTURE) - 10
        found = two[0].find("{http://www.w3.org/2000/svg}svg")
        if found is not None:
            drawn = Picture(found, picture, height, most=1.2)
            first.append((drawn, MARGIN, MARGIN + FOOT + height - drawn.height))
        rest = flow(two[1], Look(letters_of, side, height))
        room = _Room(MARGIN + picture + 10, MARGIN + FOOT, side, height)
    return _filled(rest, room, first)


@dataclass(frozen=True)
class _Room:
    """Where a page takes flowables: its lower left corner and its size, points."""

    x: float
    y: float
    width: float
    height: float


def _filled(rest: list[Flowable], room: _Room, first: Page) -> list[Page]:
    """Flowables in rooms of the same kind, page after page; what is taller than a page is made to fit."""
    scratch = _canvas(BytesIO(), A4)
    queue, page, y, after = list(rest), list(first), room.height, 0.0
    pages: list[Page] = []
    while queue and len(pages) < MOST_PAGES:
        item, top = queue.pop(0), y == room.height
        before = 0.0 if top else max(item.getSpaceBefore(), after)
        free = y - before
        _, tall = item.wrapOn(scratch, room.width, max(free, 0.1))
        follows = 40.0 if queue and item.getKeepWithNext() else 0.0
        if tall + follows <= free:
            page.append((item, room.x, room.y + free - tall))
            y, after = free - tall, item.getSpaceAfter()
            continue
        parts = item.splitOn(scratch, room.width, free) if free > 0 else []
        if len(parts) > 1:
            _, tall = parts[0].wrapOn(scratch, room.width, free)
            page.append((parts[0], room.x, room.y + free - tall))
            queue[:0] = parts[1:]
        elif top:  # nothing else stands on the page and still it does not fit
            shrunk = KeepInFrame(room.width, room.height, [item], mode="shrink")
            _, tall = shrunk.wrapOn(scratch, room.width, room.height)
            page.append((shrunk, room.x, room.y + room.height - tall))
        else:
            queue.insert(0, item)
        pages.append(page)
        page, y, after = [], room.height, 0.0
    if queue:
        note = Paragraph("More is left out here; the HTML page of the sheets has all.", Look(9, 1, 1).style())
        _, tall = note.wrapOn(scratch, room.width, room.height)
        page = [(note, room.x, room.y + room.height - tall)]
    return [*pages, page] if page or not pages else pages


def _frame(canvas: Canvas, size: tuple[float, float], sheet: Sheet, count: tuple[int, int, int], report: Data,
           issue: Issue) -> None:  # fmt: skip
    """Head and foot of a page: title, building, revision, date, fingerprint, and which sheet it is."""
    width, height = size
    number, of, page = count
    again = " (continued)" if page > 1 else ""
    right = height - MARGIN - 12
    canvas.setFont(PLAIN, 8.5)
    canvas.drawRightString(width - MARGIN, right, _cut(canvas, house_names(report), 150, 8.5))
    said = f"Revision {clean(issue.revision) or '________'}, date {clean(issue.day) or '____________'}"
    canvas.drawRightString(width - MARGIN, right - 12, _cut(canvas, said, 220, 8.5))
    room = width - 2 * MARGIN - 170
    size_of = next((s for s in (13, 11, 9.5) if canvas.stringWidth(shown(sheet.title + again), BOLD, s) <= room), 8)
    canvas.setFont(BOLD, size_of)
    canvas.drawString(MARGIN, right - 2, _cut(canvas, clean(sheet.title) + again, room, size_of, BOLD))
    canvas.setLineWidth(2)
    canvas.line(MARGIN, height - MARGIN - HEAD + 12, width - MARGIN, height - MARGIN - HEAD + 12)
    canvas.setLineWidth(0.6)
    canvas.line(MARGIN, MARGIN + FOOT - 8, width - MARGIN, MARGIN + FOOT - 8)
    canvas.setFont(PLAIN, 7)
    canvas.drawString(MARGIN, MARGIN + 10, _cut(canvas, fingerprints(report), width - 2 * MARGIN - 80, 7))
    canvas.drawString(MARGIN, MARGIN + 1, ADVICE)
    label = f"{number} of {of}" + (f", page {page}" if page > 1 else "")
    canvas.drawRightString(width - MARGIN, MARGIN + 10, label)


def _cut(canvas: Canvas, text: str, room: float, size: float, font: str = PLAIN) -> str:
    """One line that fits."""
    line = shown(clean(text, 400))
    while len(line) > 1 and canvas.stringWidth(line, font, size) > room:
        line = line[: max(1, len(line) - max(2, len(line) // 20))] + "…" if not line.endswith("…") else line[:-2] + "…"
    return line
