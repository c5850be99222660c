"""The body of a field sheet as paragraphs, tables and pictures for the page maker.

A sheet's body is the well-formed markup that `sheets_*` write, with few elements; it is read as such, so that paper
and page say the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor, black
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Paragraph, Spacer, Table, TableStyle

from modellint.reports.pdf_drawing import Picture
from modellint.reports.pdf_fonts import BOLD, PLAIN, shown

Element = ElementTree.Element
BOX = "\u2610"
MOST_OF_A_CELL = 360  # letters; a row must fit on one page
_WEIGHTS = {  # of the columns, by their heads; what is not here weighs 2
    "Part": 2.2, "The model shows": 5.6, "Taped": 2.0, "Tick at": 1.9, "No.": 0.8, "Kind": 2.2, "From the end": 1.9,
    "From the one before": 2.0, "Set": 0.9, "Seen": 0.9, "Pipe": 3.4, "Level read": 1.8,
}  # fmt: skip


@dataclass(frozen=True)
class Look:
    """Sizes of one try at laying a sheet out; points.

    Attributes:
        size: of the letters.
        width, height: of the room for the body.
    """

    size: float
    width: float
    height: float

    def style(self, **more: object) -> ParagraphStyle:
        """A paragraph's style."""
        given = {"fontName": PLAIN, "fontSize": self.size, "leading": self.size * 1.24, "spaceAfter": self.size * 0.35,
                 **more}  # fmt: skip
        return ParagraphStyle("text", **given)


def read(body: str) -> Element:
    """The body as a tree. It is our own text, without document type or entities of its own."""
    return ElementTree.fromstring(f"<body>{body}</body>")  # noqa: S314 - made by sheets_*, never a file


def flow(elements: Iterator[Element] | Element, look: Look) -> list[Flowable]:
    """Flowables of some elements, one after the other.

    Raises:
        ValueError: an element that sheets do not have (a programming error).
    """
    made: list[Flowable] = []
    for element in elements:
        made += _one(element, look)
    return made


def _one(element: Element, look: Look) -> list[Flowable]:
    tag, kind = element.tag.rpartition("}")[2], element.get("class", "")
    if tag == "svg":
        return [Picture(element, look.width, look.height * 0.55), Spacer(1, look.size * 0.4)]
    if tag == "p":
        return [Paragraph(_marked(element), look.style(**(_framed(look) if kind == "warn" else {})))]
    if tag == "h2":
        return [Paragraph(_marked(element), look.style(fontName=BOLD, fontSize=look.size * 1.25,
                                                       leading=look.size * 1.6, spaceBefore=look.size * 0.5,
                                                       keepWithNext=1))]  # fmt: skip
    if tag == "b":
        return [Paragraph(_marked(element), look.style(fontName=BOLD))]
    if tag == "ul":
        return [_bullet(row, look) for row in element]
    if tag == "table":
        return [_table(element, look), Spacer(1, look.size * 0.4)]
    if tag == "div" and kind == "sign":
        return [Spacer(1, look.size * 2), _signatures(element, look)]
    if tag == "div":
        return flow(element, look)
    raise ValueError(f"a sheet has no {tag}")


def _framed(look: Look) -> dict[str, object]:
    return {"borderWidth": 1.2, "borderColor": black, "borderPadding": look.size * 0.5, "leftIndent": look.size * 0.6,
            "rightIndent": look.size * 0.6, "spaceBefore": look.size, "spaceAfter": look.size}  # fmt: skip


def _marked(element: Element, limit: int = 4000) -> str:
    """Text of an element in the page maker's markup: bold, links within the file, boxes to tick; all else escaped."""
    text = _text(element.text, limit)
    for child in element:
        inner = _marked(child, limit)
        kind = child.get("class", "")
        if child.tag == "b":
            text += f"<b>{inner}</b>"
        elif child.tag == "a":
            text += f'<a href="{_text(child.get("href"), limit)}" color="black">{inner}</a>'
        elif kind == "tick":
            text += f'<font size="12">{BOX}</font>\u00a0'
        elif kind != "blank":
            text += inner
        text += _text(child.tail, limit)
    return text


def _text(text: str | None, limit: int) -> str:
    given = shown(text or "")
    return escape(given if len(given) <= limit else given[: limit - 1] + "…", {'"': "&quot;"})


def _bullet(row: Element, look: Look) -> Flowable:
    ticked = any(child.get("class") == "tick" for child in row)
    text = _marked(row) if not ticked else _text("".join(row.itertext()), 4000)
    indent = look.size * 1.75
    style = look.style(leftIndent=indent, bulletIndent=0, bulletFontName=PLAIN, bulletFontSize=look.size * 1.2,
                       spaceAfter=look.size * 0.2)  # fmt: skip
    return Paragraph(text, style, bulletText=BOX if ticked else "•")


def _table(element: Element, look: Look) -> Flowable:
    heads = [_plain(cell) for cell in element.iter("th") if cell.get("scope") == "col"]
    cell_style = look.style(spaceAfter=0)
    head_style = look.style(spaceAfter=0, fontName=BOLD)
    rows: list[list[Flowable | str]] = [[Paragraph(_text(head, 80), head_style) for head in heads]]
    looks: list[tuple[object, ...]] = [
        ("GRID", (0, 0), (-1, -1), 0.5, black), ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("BACKGROUND", (0, 0), (-1, 0), HexColor("#e8e8e8")),
        ("LEFTPADDING", (0, 0), (-1, -1), 3), ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), look.size * 0.18), ("BOTTOMPADDING", (0, 0), (-1, -1), look.size * 0.32),
    ]  # fmt: skip
    for row in element.iterfind("tbody/tr"):
        cells = list(row)
        if len(cells) == 1:
            looks += [("SPAN", (0, len(rows)), (-1, len(rows))),
                      ("BACKGROUND", (0, len(rows)), (-1, len(rows)), HexColor("#f3f3f3"))]  # fmt: skip
            rows.append([Paragraph(_marked(cells[0], MOST_OF_A_CELL), head_style), *[""] * (len(heads) - 1)])
        else:
            rows.append([Paragraph(_marked(cell, MOST_OF_A_CELL), cell_style) for cell in cells])
    weights = [_WEIGHTS.get(head, 2.0) for head in heads]
    widths = [look.width * weight / sum(weights) for weight in weights]
    return Table(rows, colWidths=widths, repeatRows=1, style=TableStyle(looks), splitInRow=1)


def _signatures(element: Element, look: Look) -> Flowable:
    names = [_plain(child) for child in element]
    rows = [names[k : k + 3] for k in range(0, len(names), 3)]
    cells = [[Paragraph(_text(name, 80), look.style(borderWidth=0)) for name in row] + [""] * (3 - len(row))
             for row in rows]  # fmt: skip
    lines = [("LINEABOVE", (column, row), (column, row), 0.8, black)
             for row, names_of in enumerate(rows) for column in range(len(names_of))]  # fmt: skip
    return Table(cells, colWidths=[look.width / 3] * 3, rowHeights=[look.size * 4] * len(cells),
                 style=TableStyle([*lines, ("VALIGN", (0, 0), (-1, -1), "TOP")]))  # fmt: skip


def _plain(element: Element) -> str:
    return "".join(element.itertext())
