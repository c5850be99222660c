"""Schedules of a project: CSV tables with units in their headers."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from modellint import units
from modellint.errors import FileProblems, UnitProblem, UsageProblem
from modellint.rulebook.progress_rows import progress_problems
from modellint.rulebook.vocabulary import nearest
from modellint.rulebook.yaml_text import Problem

MAX_BYTES = 4 * 1024 * 1024

TABLES: dict[str, dict[str, str]] = {
    "shear_walls": {
        "mark": "text!",
        "sheathing_grade": "text",
        "sheathing_thickness": "length",
        "nail": "text",
        "edge_spacing": "length",
        "field_spacing": "length",
        "sides": "count",
        "anchor": "text",
        "anchor_diameter": "length",
        "anchor_spacing": "length",
        "unit_shear": "force_per_length",
        "level": "text",
        "method": "text",
        "tie_count": "count",
        "plate_uplift": "force_per_length",
        "deflection_limit": "length",
    },
    "hold_downs": {
        "mark": "text!",
        "allowable_tension": "force",
        "level": "text",
        "rod_diameter": "length",
        "minimum_post": "text",
        "minimum_post_thickness": "length",
        "centreline_offset": "length",
        "anchor_embedment": "length",
        "anchor_edge_distance": "length",
        "device_slip": "length",
        "post_compression": "force",
    },
    "rod_runs": {
        "wall": "text!",
        "storey": "text!",
        "rod_diameter": "length",
        "rod_grade": "text",
        "rod_tension": "force",
        "coupler_tension": "force",
        "plate_width": "length",
        "plate_length": "length",
        "plate_thickness": "length",
        "plate_bearing": "force",
        "take_up_travel": "length",
        "movement_limit": "length",
        "level": "text",
    },
    "wall_ends": {
        "wall": "text!",
        "storey": "text!",
        "end": "text!",
        "tie": "text",
        "reason": "text",
        "inset": "length",
        "tension": "force",
        "compression": "force",
        "level": "text",
    },
    "vent_tests": {
        "vent": "text!",
        "date": "text!",
        "medium": "text",
        "pressure": "pressure",
        "end_pressure": "pressure",
        "duration": "time",
        "boundary": "text",
        "start_temperature": "temperature",
        "end_temperature": "temperature",
        "start_air_pressure": "pressure",
        "end_air_pressure": "pressure",
        "fingerprint": "text",
        "covered": "text",
    },
    "tested_pieces": {
        "vent": "text!",
        "date": "text!",
        "piece": "text!",
        "fingerprint": "text!",
    },
    "progress": {
        "part": "text",
        "wall": "text",
        "storey": "text",
        "end": "text",
        "state": "text!",
        "date": "text",
        "type": "text",
        "as_built": "text",
        "note": "text",
    },
    "radon_tests": {
        "place": "text!",
        "date": "text!",
        "result": "activity",
        "duration": "time",
        "occupied": "text",
    },
    "wall_demands": {
        "wall": "text!",
        "storey": "text!",
        "shear": "force",
        "dead_load": "force",
        "level": "text",
    },
}
"""Table name to column name to dimension (`text` for words; `!` marks a column that must be filled)."""

ONE_PER_LEVEL = {"hold_downs": "allowable_tension", "wall_ends": "tension", "wall_demands": "shear"}
"""Tables that may hold one row per load level for one thing, and the column in which two rows may disagree; a rule
tells of the latter, as two sources that disagree are for a person to settle."""
NEVER_BELOW_ZERO = frozenset({"length", "force", "force_per_length", "count"})
"""Dimensions whose cells are sizes: a pull below zero is a push and stands in another column."""


@dataclass(frozen=True)
class Row:
    """One line of a schedule: column to text or number in SI; a column left blank is absent."""

    line: int
    cells: dict[str, Any]
    written: dict[str, str] = field(default_factory=dict)

    def get(self, column: str, default: Any = None) -> Any:
        """Value of a column."""
        return self.cells.get(column, default)


@dataclass(frozen=True)
class Schedule:
    """One table, `file` as named in the project file."""

    name: str
    file: str
    rows: tuple[Row, ...]


def read_schedule(name: str, path: Path, shown: str = "") -> Schedule:
    """Read a schedule.

    Args:
        name: a key of `TABLES`.
        shown: file name for messages.

    Raises:
        FileProblems: unknown columns, unreadable cells, blank obligatory ones; all at once, with lines.
        UsageProblem: the file cannot be read.
    """
    file = shown or str(path)
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except OSError as error:
        raise UsageProblem(f"{file}: cannot be read ({error.strerror or 'error'}).") from None
    if len(raw) > MAX_BYTES:
        raise UsageProblem(f"{file}: the schedule is larger than {MAX_BYTES // 1024 // 1024} MB.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UsageProblem(f"{file}: the schedule is not UTF-8 text.") from None
    return parse_schedule(name, text, file)


def parse_schedule(name: str, text: str, file: str) -> Schedule:
    """Parse a schedule's text; see `read_schedule`."""
    if "\0" in text:
        raise FileProblems([(file, 1, 1, "The schedule contains a NUL character.")])
    first = text.split("\n", 1)[0]
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=";" if first.count(";") > first.count(",") else ","
    )
    problems: list[Problem] = []
    rows: list[Row] = []
    columns: list[tuple[str, str]] | None = None
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
                continue
            if columns is None:
                columns = _header(name, cells, file, reader.line_num, problems)
                continue
            rows.append(_row(name, columns, cells, file, reader.line_num, problems))
    except csv.Error as error:
        problems.append((file, reader.line_num, 1, f"Not readable as CSV: {error}."))
    if columns is None and not problems:
        problems.append((file, 1, 1, "The schedule is empty; its first line names the columns."))
    problems += progress_problems(rows, file) if name == "progress" else _twice(name, rows, file)
    if problems:
        raise FileProblems(problems)
    return Schedule(name, file, tuple(rows))


def _header(
    name: str, cells: list[str], file: str, line: int, problems: list[Problem]
) -> list[tuple[str, str]]:
    """Column name and unit of each header cell: "Tension (lb)" is tension in lb; "" for an unknown column."""
    table = TABLES[name]
    columns: list[tuple[str, str]] = []
    for place, cell in enumerate(cells, 1):
        unit = units.unit_in_name(cell) or ""
        bare = cell.split("(")[0].split("[")[0] if unit else cell
        if unit and bare == cell:
            bare = cell.strip()[: -len(unit)]
        column = bare.strip(" _,").lower().replace(" ", "_").replace("-", "_")
        if column not in table and cell.strip().lower().replace(" ", "_") in table:
            column, unit = cell.strip().lower().replace(" ", "_"), ""
        dimension = table.get(column, "").rstrip("!")
        if column not in table:
            problems.append(
                (
                    file,
                    line,
                    place,
                    f"The column '{cell.strip()}' is not known in the schedule "
                    f"{name}{nearest(column, table)}.",
                )
            )
        elif unit and dimension not in units.dimensions_of(unit):
            problems.append(
                (
                    file,
                    line,
                    place,
                    f"The column '{cell.strip()}' has a unit, but '{column}' is a "
                    f"{dimension.replace('_', ' ')}.",
                )
            )
        elif column in {one for one, _ in columns}:
            problems.append((file, line, place, f"The column '{column}' stands here a second time."))
        columns.append((column if column in table else "", unit))
    named = {column for column, _ in columns}
    problems += [
        (file, line, 1, f"The column '{column}' is missing.")
        for column, dimension in table.items()
        if dimension.endswith("!") and column not in named
    ]
    return columns


def _row(
    name: str, columns: list[tuple[str, str]], cells: list[str], file: str, line: int, problems: list[Problem]
) -> Row:
    table, values, written = TABLES[name], {}, {}
    if len(cells) > len(columns):
        problems.append(
            (file, line, len(columns) + 1, "The line has more cells than the header has columns.")
        )
    for place, ((column, unit), cell) in enumerate(zip(columns, cells, strict=False), 1):
        text = cell.strip()
        if not column or not text:
            continue
        dimension = table[column].rstrip("!")
        try:
            number = 0.0 if dimension == "text" else units.parse_loose(text, dimension, unit)
            values[column] = text if dimension == "text" else number
            written[column] = f"{text} {unit}".strip()
            if dimension in NEVER_BELOW_ZERO and number < 0:
                problems.append((file, line, place, f"{column}: '{text}' is below zero."))
        except UnitProblem as problem:
            problems.append((file, line, place, f"{column}: {problem}"))
    problems += [
        (file, line, 1, f"'{column}' is blank.")
        for column, dimension in table.items()
        if dimension.endswith("!") and column in dict(columns) and column not in values
    ]
    if name == "wall_ends" and str(values.get("tie", "")).lower() == "none" and "reason" not in values:
        problems.append((file, line, 1, "A wall end without a tie ('none') needs a reason."))
    return Row(line, values, written)


def _twice(name: str, rows: list[Row], file: str) -> list[Problem]:
    must = [column for column, dimension in TABLES[name].items() if dimension.endswith("!")]
    keys = [*must, *(["level", ONE_PER_LEVEL[name]] if name in ONE_PER_LEVEL else [])]
    seen: dict[tuple[str, ...], int] = {}
    problems: list[Problem] = []
    for row in rows:
        key = tuple(str(row.get(column, "")).lower() for column in keys)
        if key in seen and all(key[: len(must)]):
            filled = ", ".join(column for column, cell in zip(keys, key, strict=True) if cell)
            problems.append((file, row.line, 1, f"{filled} are the same as on line {seen[key]}."))
        seen.setdefault(key, row.line)
    return problems
