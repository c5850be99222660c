"""A take-off as one CSV table (RFC 4180): rows of pieces, of what is open and of differences."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from typing import Any

from modellint.reports.takeoff_tables import Cell, flat
from modellint.text import for_csv

LONGEST = 30_000  # characters of a cell; spreadsheets hold 32,767


def render(plain: Mapping[str, Any]) -> bytes:
    """The take-off as UTF-8 text; a text that looks like a formula gets a leading apostrophe."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    table = flat(plain)
    writer.writerow(table.header)
    for row in table.rows:
        writer.writerow([_cell(value) for value in row])
    return out.getvalue().encode()


def _cell(value: Cell) -> str | int | float:
    if value is None:
        return ""
    return for_csv(value, LONGEST) if isinstance(value, str) else value
