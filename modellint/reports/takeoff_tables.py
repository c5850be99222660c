"""A take-off as tables: what the CSV file and the workbook both hold."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from modellint.reports.lines import STAGE_WORDS

Data = Mapping[str, Any]
Cell = str | int | float | None

ADVICE = "Counted from the model as drawn; advice, not a design. What is not drawn is not counted: see what is open."


@dataclass(frozen=True)
class Table:
    """One table: a short name, the header, and rows of cells; widths in characters for a workbook."""

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def tables(plain: Data) -> list[Table]:
    """All tables of a take-off, for the sheets of a workbook."""
    made = plain["takeoff"]
    found = [
        _items(made["items"]),
        _places(made["pieces"]),
        _runs(made["runs"]),
        _sets(made["sets"]),
        _scheduled(made["scheduled"]),
        _open(made["open"]),
    ]
    if plain["differences"] is not None:
        found.append(_differences(plain["differences"]["items"]))
    return [*found, _about(plain)]


# columns of the one table that a CSV file holds, and those of `_places` that it takes over
FLAT = [
    "table",
    "list",
    "item",
    "length (m)",
    "area (m2)",
    "storey",
    "place",
    "needed",
    "count",
    "total length (m)",
    "plies",
    "before",
    "after",
    "evidence",
    "marked",
    "note",
    "GlobalIds",
]
_PLACES = [
    "list",
    "item",
    "length (m)",
    "area (m2)",
    "storey",
    "place",
    "needed",
    "count",
    "total length (m)",
    "plies",
    "evidence",
    "marked",
    "note",
    "GlobalIds",
]


def flat(plain: Data) -> Table:
    """One table for a file that can hold only one: the first column says what a row is."""
    made, rows = plain["takeoff"], list[dict[str, Cell]]()
    for line in _places(made["pieces"]).rows:
        rows.append({"table": "counted", **dict(zip(_PLACES, line, strict=True))})
    for row in made["open"]:
        where = {"place": _joined(row["places"]), "GlobalIds": _joined(row["ids"], " ")}
        rows.append({"table": "open", "count": row["count"] or None, "note": row["text"], **where})
    for row in plain["differences"]["items"] if plain["differences"] is not None else ():
        own = {key: row[key] for key in ("list", "item", "before", "after")}
        more = {"length (m)": row["length"], "count": row["difference"], "note": difference_words(row)}
        rows.append({"table": "difference", **own, **more})
    return Table("take-off", tuple(FLAT), tuple(tuple(row.get(name) for name in FLAT) for row in rows))


def _joined(texts: Iterable[str], between: str = "; ") -> str:
    return between.join(texts)


def _items(rows: Sequence[Data]) -> Table:
    storeys = list(dict.fromkeys(name for row in rows for name in row["storeys"]))
    header = (
        "List",
        "Item",
        "Length (m)",
        "Needed",
        "Count",
        "Total length (m)",
        "Area (m2)",
        "Plies",
        "Evidence",
        "Marked",
        *(f"On {name or 'no storey'}" for name in storeys),
    )
    return Table(
        "Items",
        header,
        tuple(
            (
                row["list"],
                row["item"],
                row["length"],
                STAGE_WORDS[row["stage"]],
                row["count"],
                row["total_length"],
                row["area"],
                row["plies"] or None,
                row["rung"],
                _joined(row["marked"]),
                *(row["storeys"].get(name) for name in storeys),
            )
            for row in rows
        ),
    )


def _places(pieces: Sequence[Data]) -> Table:
    """Pieces of one kind at one place as one row."""
    header = (
        "List",
        "Item",
        "Length (m)",
        "Area (m2)",
        "Storey",
        "Place",
        "Needed",
        "Count",
        "Total length (m)",
        "Plies",
        "Evidence",
        "Marked",
        "Open",
        "GlobalIds",
    )
    groups: dict[tuple[Any, ...], list[Data]] = {}
    for row in pieces:
        key: tuple[Any, ...] = (
            row["list"],
            row["item"],
            row["length"],
            row["area"],
            row["storey"],
            row["place"],
            STAGE_WORDS[row["stage"]],
            row["rung"],
            row["marked"],
            row["lacks"],
        )
        groups.setdefault(key, []).append(row)
    made = []
    for key, same in groups.items():
        lengths = [row["length"] for row in same if row["length"] is not None]
        made.append(
            (
                *key[:7],
                len(same),
                round(sum(lengths), 4) if lengths else None,
                sum(row["plies"] for row in same) or None,
                key[7],
                key[8],
                f"{key[9]} not seen" if key[9] else "",
                _joined(dict.fromkeys(row["global_id"] for row in same), " "),
            )
        )
    return Table("By place", header, tuple(made))


def _runs(runs: Sequence[Data]) -> Table:
    return Table(
        "Rods by column",
        ("Pieces from the top", "Total (m)", "Couplers", "Columns", "Wall ends"),
        tuple((run_words(run), run["length"], run["couplers"], run["runs"], _joined(run["places"])) for run in runs),
    )


def run_words(run: Data) -> str:
    """The pieces of a column of rods: `Rod 15.9 mm: 3.150 + 3.100 m`."""
    items: dict[str, list[str]] = {}
    for cut in run["cuts"]:
        items.setdefault(cut["item"], []).append("?" if cut["length"] is None else f"{cut['length']:.3f}")
    return "; ".join(f"{item}: {' + '.join(cuts)} m" for item, cuts in items.items())


def _sets(rows: Sequence[Data]) -> Table:
    return Table(
        "Matched sets",
        ("Storey", "Place", "Device", "Drawn beside it", "Lacks", "Not drawn anywhere"),
        tuple(
            (
                row["storey"],
                row["place"],
                row["device"],
                _joined(row["has"]),
                _joined(row["lacks"]),
                _joined(row["unseen"]),
            )
            for row in rows
        ),
    )


def _scheduled(rows: Sequence[Data]) -> Table:
    return Table(
        "Against the schedule",
        ("Mark", "Ends that ask for it", "Ends that draw it", "Ends that differ"),
        tuple((row["mark"], row["asked"], row["drawn"], _joined(row["differs"])) for row in rows),
    )


def _open(rows: Sequence[Data]) -> Table:
    return Table(
        "Open",
        ("What cannot be seen", "Count", "Places", "GlobalIds"),
        tuple((row["text"], row["count"] or None, _joined(row["places"]), _joined(row["ids"], " ")) for row in rows),
    )


def _differences(rows: Sequence[Data]) -> Table:
    return Table(
        "Differences",
        ("List", "Item", "Length (m)", "Before", "After", "Difference", "What"),
        tuple(
            (
                row["list"],
                row["item"],
                row["length"],
                row["before"],
                row["after"],
                row["difference"],
                difference_words(row),
            )
            for row in rows
        ),
    )


def piece_words(piece: Data) -> str:
    """A piece's item with its length."""
    return str(piece["item"]) if piece["length"] is None else f"{piece['item']}, {piece['length']:.3f} m"


def difference_words(row: Data, most: int = 8) -> str:
    """What happened to the pieces of an item, in a sentence or two."""
    said = []
    for word, pieces in (("added", row["added"]), ("dropped", row["dropped"])):
        if pieces:
            said.append(f"{word}: {_where(pieces, most)}")
    for word, pairs, side in (("became", row["became"], "after"), ("was", row["was"], "before")):
        kinds: dict[str, list[Data]] = {}
        for pair in pairs:
            kinds.setdefault(piece_words(pair[side]), []).append(pair["after"])
        said += [f"{word} {kind}: {_where(pieces, most)}" for kind, pieces in kinds.items()]
    marked = sorted(
        {piece["marked"] for piece in (*row["dropped"], *(pair["before"] for pair in row["became"])) if piece["marked"]}
    )
    if marked:
        said.append(f"of these some are {', '.join(marked)}")
    return ". ".join(said)


def _where(pieces: Sequence[Data], most: int) -> str:
    places: dict[str, int] = {}
    for piece in pieces:
        name = piece["place"] or piece["storey"] or "place not known"
        places[name] = places.get(name, 0) + 1
    shown = [f"{count} at {name}" for name, count in list(places.items())[:most]]
    return "; ".join([*shown, *([f"and at {len(places) - most} more places"] if len(places) > most else [])])


def _about(plain: Data) -> Table:
    rows: list[tuple[Cell, ...]] = [("Written by", f"modellint {plain['tool']['version']}"), ("Advice", ADVICE)]
    for word, side in (("Model", plain["model"]), ("Earlier model", plain["before"])):
        for file in side["files"] if side else ():
            rows += [(word, file["name"]), (f"{word}, SHA-256", file["sha256"])]
    rows += [("Incomplete", reason) for reason in plain["incomplete"]]
    return Table("About", ("What", "Value"), tuple(rows))
