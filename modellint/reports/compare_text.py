"""The comparison of two revisions for a reader: what changed, what that did, what hangs on it, who must be told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from modellint.reports.finding_lines import write_by_code, write_finding
from modellint.reports.lines import Lines, paint

Comparison = Mapping[str, Any]
CAUTION = ("Advice, not a design. It tells what the two models show; the engineer of record, the local code and "
           "licensed trades decide.")
_MOST_LINES, _MOST_UNCHANGED, _MOST_ENDS = 40, 20, 20


def render(made: Comparison, *, colour: bool = False, width: int = 80, display: str = "metric") -> str:
    """The whole comparison as text.

    Args:
        made: the plain form made by `compare_json.to_dict`.
        colour: add terminal colours; they repeat what words and signs say.
        width: columns of the terminal; at least 40 are used.
        display: `metric` or `us`, for numbers written here.
    """
    page = Lines(width, colour)
    page.text(f"modellint {made['tool']['version']}: what changed between two models, and what that did", 0, "heading")
    page.text(CAUTION, 0)
    _sides(page, made)
    _changes(page, made)
    by_status: dict[str, list[Any]] = {}
    for row in made["findings"]:
        by_status.setdefault(row["status"], []).append(row)
    texts = {line_key: line["text"] for line in made["change_lines"] for line_key in line["changes"]}
    _list(page, "Ordered, framed, poured or covered already", [row["text"] for row in made["built"]])
    _new(page, "New findings", by_status.get("new", []), texts, display)
    _new(page, "Returned findings, seen in an earlier report", by_status.get("returned", []), texts, display)
    _short(page, "Cleared findings", by_status.get("cleared", []))
    _short(page, "Unchanged findings", by_status.get("unchanged", []))
    _numbers(page, made["numbers"])
    for title, key in (("A reason that may be gone", "reasons_gone"),
                       ("Hangs on a change: same stack or same network", "downstream")):
        _list(page, title, [row["text"] for row in made[key]])
    _tell(page, made["tell"])
    if made["report"]["input_notes"]:
        page.heading("Notes on the later model")
        write_by_code(page, made["report"]["input_notes"], lambda note: str(note["text"]))
    for reason in made["exit"]["reasons"]:
        page.blank()
        page.text(reason, 0)
    return page.end() + _last_line(made, colour)


def _sides(page: Lines, made: Comparison) -> None:
    page.heading("The two models")
    for word in ("before", "after"):
        side = made[word]
        named = ", ".join(file["name"] for file in side["files"])
        label = f"{named} ({side['name']})" if side["name"] else named
        count = side["summary"]
        page.item(word.capitalize(), f"{label}: {count['fail']} fail, {count['open']} open, "
                                     f"{count['accepted']} accepted")
    matching = made["matching"]
    frame = matching["frame"]
    page.item("Place", frame["text"] if frame else "The two models cannot be laid on one another.")
    ids = "" if matching["ids_kept"] else " GlobalIds were renewed."
    page.item("Parts", f"{matching['before']} before, {matching['after']} after, {matching['matched']} of them the "
                       f"same ones.{ids}")
    page.item("By", "; ".join(f"{ground} {number}" for ground, number in matching["grounds"].items()))


def _changes(page: Lines, made: Comparison) -> None:
    lines = made["change_lines"]
    number = len(made["changes"])
    page.heading(f"What changed: {number or 'no'} part{'' if number == 1 else 's'}")
    for line in lines[:_MOST_LINES]:
        page.item("*", line["text"], label_width=2)
    if len(lines) > _MOST_LINES:
        page.text(f"… and {len(lines) - _MOST_LINES} more lines, all in the JSON form")


def _new(page: Lines, title: str, rows: list[Any], texts: Mapping[str, str], display: str) -> None:
    if not rows:
        if title.startswith("New"):
            page.heading("New findings: none")
        return
    page.heading(f"{title}: {len(rows)}")
    for row in rows:
        page.blank()
        write_finding(page, row["finding"], display)
        if row["finding"]["accepted"] is not None:
            page.item("Accepted", f"by {row['finding']['accepted']['by']}", 6)
        if row["was"]:
            page.item("Before", row["was"], 6)
        for word, near in (("Cause", False), ("Nearby", True)):
            said = dict.fromkeys(texts[one["change"]] for one in row["causes"] if one["near"] is near)
            for text in said:
                page.item(word, text, 6)
        if not row["causes"]:
            page.item("Cause", "no changed part stands in its evidence or near it", 6)


def _short(page: Lines, title: str, rows: list[Any]) -> None:
    """Fails one by one; what cannot be told by rule, with a count."""
    if not rows:
        return
    page.heading(f"{title}: {len(rows)}")
    single = [row for row in rows if row["finding"]["outcome"] == "fail" or row["was"]]
    for row in single[:_MOST_UNCHANGED]:
        page.signed(row["finding"]["outcome"], row["finding"]["outcome"], _said(row))
    if len(single) > _MOST_UNCHANGED:
        page.text(f"… and {len(single) - _MOST_UNCHANGED} more, all in the JSON form")
    counts: dict[str, int] = {}
    for row in rows:
        if row not in single:
            accepted = " (accepted)" if row["finding"]["accepted"] is not None else ""
            name = f"{row['finding']['title']}{accepted}"
            counts[name] = counts.get(name, 0) + 1
    for name, count in counts.items():
        page.signed("open", "open", f"{name}: {count}")


def _said(row: Mapping[str, Any]) -> str:
    finding = row["finding"]
    accepted = f" (accepted by {finding['accepted']['by']})" if finding["accepted"] is not None else ""
    was = f" (before: {row['was']})" if row["was"] else ""
    moved = ""
    if row["status"] == "unchanged" and row["measured_before"] != finding["measured"]:
        moved = f" Measured {row['measured_before'] or 'not known'} before, {finding['measured'] or 'not known'} now."
    return f"{finding['message']}{accepted}{was}{moved}"


def _list(page: Lines, title: str, texts: list[str]) -> None:
    if not texts:
        return
    page.heading(title)
    for text in texts[:_MOST_LINES]:
        page.item("*", text, label_width=2)
    if len(texts) > _MOST_LINES:
        page.text(f"… and {len(texts) - _MOST_LINES} more, all in the JSON form")


def _numbers(page: Lines, rows: list[Any]) -> None:
    """Demand and capacity, end by end."""
    ends: dict[str, list[str]] = {}
    for row in rows:
        ends.setdefault(row["name"], []).append(row["said"])
    if not ends:
        return
    page.heading("Wall ends that are touched: demand and capacity, before and now")
    for name, said in list(ends.items())[:_MOST_ENDS]:
        page.item("*", name, label_width=2)
        for text in said:
            page.text(text, 6)
    if len(ends) > _MOST_ENDS:
        page.text(f"… and {len(ends) - _MOST_ENDS} more wall ends, all in the JSON form")


def _tell(page: Lines, rows: Iterable[Mapping[str, str]]) -> None:
    rows = list(rows)
    if not rows:
        return
    page.heading("Who must be told")
    for row in rows:
        page.item(f"{row['who'].capitalize()}:", row["text"], label_width=2)


def _last_line(made: Comparison, colour: bool) -> str:
    count, status = made["counts"], made["exit"]["status"]
    meaning = {0: "nothing new counts", 1: "something new counts", 3: "the comparison is incomplete"}[status]
    text = (f"{count['new']} new, {count['returned']} returned, {count['cleared']} cleared, {count['unchanged']} "
            f"unchanged. Exit status {status}: {meaning}.")
    return paint(text, "heading", colour) + "\n"
