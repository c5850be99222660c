"""A workbook of tables in Office Open XML (ECMA-376, part 1, SpreadsheetML), the same bytes on every machine.

Text is written as inline strings, which no spreadsheet takes for a formula; there are no formulas, links or macros.
Members are stored uncompressed, since compression differs between machines, and carry a fixed date.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from math import isfinite
from xml.sax.saxutils import escape

from modellint.reports.takeoff_tables import Cell, Table
from modellint.text import clean

LONGEST = 30_000  # characters of a cell; the format ends at 32,767 (ECMA-376-1, 18.3.1.4, as implemented)
MOST_ROWS = 1_000_000  # the programs end at 1,048,576
_DATE = (1980, 1, 1, 0, 0, 0)
_XML = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_FORBIDDEN = re.compile(r"[\\/?*\[\]:]")
_STYLES = (
    f'<styleSheet xmlns="{_MAIN}"><fonts count="2"><font><sz val="11"/><name val="Calibri"/></font>'
    '<font><b/><sz val="11"/><name val="Calibri"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill>'
    '</fills><borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    '<cellXfs count="3"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0" applyAlignment="1">'
    '<alignment vertical="top" wrapText="1"/></xf>'
    '<xf numFmtId="0" fontId="1" fillId="0" borderId="0" xfId="0" applyFont="1" applyAlignment="1">'
    '<alignment vertical="top" wrapText="1"/></xf>'
    '<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0" applyAlignment="1">'
    '<alignment vertical="top"/></xf></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)


def workbook(tables: Sequence[Table]) -> bytes:
    """The tables as the sheets of an .xlsx file, the first row of each in bold, frozen, with filters."""
    names = _names(tables)
    members = {
        "[Content_Types].xml": _content_types(len(tables)),
        "_rels/.rels": _relations([("officeDocument", "xl/workbook.xml")]),
        "xl/workbook.xml": _book(tables, names),
        "xl/_rels/workbook.xml.rels": _relations(
            [*(("worksheet", f"worksheets/sheet{k}.xml") for k in range(1, len(tables) + 1)), ("styles", "styles.xml")]
        ),
        "xl/styles.xml": _STYLES,
        **{f"xl/worksheets/sheet{k}.xml": "".join(_sheet(table)) for k, table in enumerate(tables, 1)},
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name, text in members.items():
            entry = zipfile.ZipInfo(name, _DATE)
            entry.create_system = 3
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, (_XML + text).encode())
    return out.getvalue()


def _names(tables: Sequence[Table]) -> list[str]:
    """Names of the sheets: at most 31 characters, none of those that the format forbids."""
    return [_FORBIDDEN.sub(" ", clean(table.name, 31)) or f"Table {k}" for k, table in enumerate(tables, 1)]


def _content_types(sheets: int) -> str:
    parts = [
        ("/xl/workbook.xml", f"{_TYPE}.sheet.main+xml"),
        ("/xl/styles.xml", f"{_TYPE}.styles+xml"),
        *((f"/xl/worksheets/sheet{k}.xml", f"{_TYPE}.worksheet+xml") for k in range(1, sheets + 1)),
    ]
    return (
        f'<!-- written by modellint --><Types xmlns="{_PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        + "".join(f'<Override PartName="{name}" ContentType="{kind}"/>' for name, kind in parts)
        + "</Types>"
    )


def _relations(rows: Sequence[tuple[str, str]]) -> str:
    return (
        f'<Relationships xmlns="{_PACKAGE}/relationships">'
        + "".join(
            f'<Relationship Id="rId{k}" Type="{_OFFICE}/{kind}" Target="{target}"/>'
            for k, (kind, target) in enumerate(rows, 1)
        )
        + "</Relationships>"
    )


def _book(tables: Sequence[Table], names: Sequence[str]) -> str:
    sheets = "".join(
        f'<sheet name="{escape(name, {chr(34): "&quot;"})}" sheetId="{k}" r:id="rId{k}"/>'
        for k, name in enumerate(names, 1)
    )
    filters = "".join(
        f'<definedName name="_xlnm._FilterDatabase" localSheetId="{k}" hidden="1">'
        f"{escape(_quoted(name))}!$A$1:${_column(len(table.header))}${_last(table)}</definedName>"
        for k, (table, name) in enumerate(zip(tables, names, strict=True))
    )
    return (
        f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>{sheets}</sheets>'
        f"<definedNames>{filters}</definedNames></workbook>"
    )


def _quoted(name: str) -> str:
    return "'" + name.replace("'", "''") + "'"


def _last(table: Table) -> int:
    return min(len(table.rows), MOST_ROWS) + 1


def _sheet(table: Table) -> Iterator[str]:
    yield f'<worksheet xmlns="{_MAIN}"><sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>'
    yield f'<dimension ref="A1:{_column(len(table.header))}{_last(table)}"/>'
    yield '<sheetViews><sheetView workbookViewId="0"><pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" '
    yield 'state="frozen"/></sheetView></sheetViews><cols>'
    for k, name in enumerate(table.header):
        yield f'<col min="{k + 1}" max="{k + 1}" width="{_width(name, table, k)}" customWidth="1"/>'
    yield "</cols><sheetData>"
    yield _row(1, table.header, 1)
    for number, row in enumerate(table.rows[:MOST_ROWS], 2):
        yield _row(number, row, 0)
    yield f'</sheetData><autoFilter ref="A1:{_column(len(table.header))}{_last(table)}"/>'
    yield '<pageSetup orientation="landscape" fitToWidth="1" fitToHeight="0"/></worksheet>'


def _width(name: str, table: Table, column: int) -> int:
    """Characters that fit the header and what stands in the first rows, within reason."""
    if name == "GlobalIds":
        return 26
    longest = max((len(str(row[column])) for row in table.rows[:200] if row[column] is not None), default=0)
    return max(8, min(len(name), 14) + 2, min(longest + 2, 60))


def _row(number: int, cells: Sequence[Cell], style: int) -> str:
    made = "".join(_cell(f"{_column(k)}{number}", value, style) for k, value in enumerate(cells, 1))
    return f'<row r="{number}">{made}</row>'


def _cell(where: str, value: Cell, style: int) -> str:
    if value is None or value == "" or (isinstance(value, float) and not isfinite(value)):
        return ""
    if isinstance(value, str):
        text = escape(clean(value, LONGEST))
        return f'<c r="{where}" s="{style}" t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'
    return f'<c r="{where}" s="2"><v>{value!r}</v></c>'


def _column(number: int) -> str:
    """Letters of a column from 1: A, B, … Z, AA."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def render(plain: dict[str, object]) -> bytes:
    """A take-off as a workbook."""
    from modellint.reports.takeoff_tables import tables

    return workbook(tables(plain))
