"""A take-off to read: lists with their items, cuts and storeys, rods by column, what is open, what differs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from modellint.reports.lines import STAGE_WORDS, Lines
from modellint.reports.takeoff_tables import ADVICE, difference_words, piece_words, run_words

Data = Mapping[str, Any]
_MOST_PLACES = 6
_MOST_CUTS = 12


def render(plain: Data, *, colour: bool = False, width: int = 88) -> str:
    """The take-off as text.

    Args:
        plain: what `pipeline_takeoff.take_off` gave.
        colour: repeat headings by colour.
        width: columns of the terminal.
    """
    page, made = Lines(width, colour), plain["takeoff"]
    names = ", ".join(file["name"] for file in plain["model"]["files"])
    page.text(f"Take-off of {names}: what the model shows", 0, "heading")
    for reason in plain["incomplete"]:
        page.text(f"Incomplete: {reason}", 0, "open")
    for name in dict.fromkeys(row["list"] for row in made["items"]):
        page.heading(name)
        _list(page, [row for row in made["items"] if row["list"] == name])
    if made["runs"]:
        page.heading("Rods by column of wall ends")
        for run in made["runs"]:
            couplers = f", {_many(run['couplers'], 'coupler')}" if run["couplers"] else ""
            page.item(
                f"{run['runs']} x",
                f"{run_words(run)} = {_metres(run['length'])}{couplers} ({_few(run['places'])})",
                2,
                6,
            )
    _sets(page, made["sets"], made["scheduled"])
    page.heading("Open: not seen in the model")
    for row in made["open"]:
        where = f" ({_few(row['places'])})" if row["places"] else ""
        page.signed("open", "open", f"{row['text']}{where}")
    if plain["differences"] is not None:
        _differences(page, plain)
    page.blank()
    page.text(f"{ADVICE} Stages are the last ones (common practice, no source); set your own dates.", 0)
    return page.end()


def _list(page: Lines, rows: Sequence[Data]) -> None:
    """Items of one list; lengths of one item stand below it."""
    for role, item in dict.fromkeys((row["role"], row["item"]) for row in rows):
        same = [row for row in rows if (row["role"], row["item"]) == (role, item)]
        count = sum(row["count"] for row in same)
        whole = [row["total_length"] for row in same if row["total_length"] is not None]
        area = sum(row["area"] or 0.0 for row in same)
        plies = sum(row["plies"] for row in same)
        said = [item]
        said += [f"{_metres(sum(whole))} in all"] if whole else []
        said += [f"{plies} plies in all"] if plies > count else []
        said += [f"{area:.1f} m2 in plan"] if area else []
        page.item(
            f"{count:>4} x",
            "; ".join([*said, _storeys(same), _stages(same), _marked(same)]).replace("; ; ", "; ").rstrip("; "),
            2,
            8,
        )
        cuts = [row for row in same if row["length"] is not None]
        if cuts:
            shown = [f"{row['count']} x {row['length']:.3f} m" for row in cuts[:_MOST_CUTS]]
            more = [f"and {len(cuts) - _MOST_CUTS} more lengths"] if len(cuts) > _MOST_CUTS else []
            page.item("cut", ", ".join([*shown, *more]), 10, 5)


def _storeys(rows: Sequence[Data]) -> str:
    counts: dict[str, int] = {}
    for row in rows:
        for name, number in row["storeys"].items():
            counts[name] = counts.get(name, 0) + number
    return ", ".join(f"{number} on {name or 'no storey'}" for name, number in sorted(counts.items()))


def _stages(rows: Sequence[Data]) -> str:
    """When they are needed, with numbers where that differs."""
    counts: dict[str, int] = {}
    for row in rows:
        counts[row["stage"]] = counts.get(row["stage"], 0) + row["count"]
    if len(counts) == 1:
        return f"needed {STAGE_WORDS[next(iter(counts))]}"
    return ", ".join(f"{number} needed {STAGE_WORDS[stage]}" for stage, number in counts.items())


def _marked(rows: Sequence[Data]) -> str:
    said = sorted({text for row in rows for text in row["marked"]})
    return f"some marked as {', '.join(said)}" if said else ""


def _sets(page: Lines, sets: Sequence[Data], scheduled: Sequence[Data]) -> None:
    page.heading("Matched sets")
    for device in dict.fromkeys(row["device"] for row in sets):
        own = [row for row in sets if row["device"] == device]
        bad = [row for row in own if row["lacks"]]
        page.text(f"{device}: {len(own) - len(bad)} of {len(own)} wall ends draw what other ends of the kind draw.")
        for row in bad:
            page.signed("fail", "lacks", f"{', '.join(row['lacks'])}: {row['place']}", 4)
    if not sets:
        page.text("No wall end with a tie-down, strap or continuous rod was recognised.")
    for row in scheduled:
        same = row["asked"] == row["drawn"]
        differs = "" if same else f": not at {_few(row['differs'])}"
        asked, drawn = row["asked"], row["drawn"]
        said = f"{row['mark']}: the schedule asks for it at {asked} ends, the model draws it at {drawn}{differs}"
        page.text(f"{said}.") if same else page.signed("fail", "differs", f"{said}.")


def _differences(page: Lines, plain: Data) -> None:
    before = ", ".join(file["name"] for file in plain["before"]["files"])
    page.heading(f"Different from {before}")
    rows = plain["differences"]["items"]
    for row in rows:
        change = f"{row['difference']:+d}" if row["difference"] else "same count"
        page.item(
            f"{change}", f"{piece_words(row)}: {row['before']} -> {row['after']}. {difference_words(row, 4)}.", 2, 12
        )
    if not rows:
        page.text("Nothing: every item and length is there as often as before.")


def _few(places: Sequence[str]) -> str:
    more = f" and {len(places) - _MOST_PLACES} more" if len(places) > _MOST_PLACES else ""
    return "; ".join(places[:_MOST_PLACES]) + more


def _metres(value: float | None) -> str:
    return "length not known" if value is None else f"{value:.3f} m"


def _many(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
