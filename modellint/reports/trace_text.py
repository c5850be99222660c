"""One chain, link by link, as text: where it holds, where it first breaks, and what could not be seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from modellint.reports.lines import SIGNS, Lines
from modellint.units import show

Path = Mapping[str, Any]
_VERDICTS = {"joined": "No break was found in this chain. That is what the model shows; it says nothing "
                       "about strength.",
             "broken": "This chain is broken.", "unknown": "Whether this chain holds cannot be told."}
_MARKS = {"broken": "FIRST BREAK IS HERE", "unknown": "FIRST POINT THAT CANNOT BE TOLD IS HERE"}
_ORIGINS = {"stated": "stated by the model", "inferred": "inferred from the shapes"}
_KINDS = {"uplift": "uplift chain, from the top down to the foundation",
          "compression": "compression chain, from the top down to the foundation",
          "vent": "soil-gas vent, from the gravel to the exit"}


def render_path(path: Path, *, colour: bool = False, width: int = 80, display: str = "metric") -> str:
    """One path of the JSON report as text.

    Args:
        path: a member of the report's `paths`.
        colour: repeat words and signs by colour.
        width: columns of the terminal; at least 40 are used.
        display: `metric` or `us`, for gaps.
    """
    page = Lines(width, colour)
    page.text(path["name"], 0, "heading")
    page.text(_KINDS.get(path["kind"], path["kind"]), 0)
    rows = in_chain_order(path)
    first = _first(rows)
    storey = None
    for number, (what, row) in enumerate(rows):
        if what == "slot" and row["storey"] and row["storey"] != storey:
            storey = row["storey"]
            page.blank()
            page.text(f"[ {storey} ]", 0, "heading")
        if number == first:
            page.text(_MARKS[row["state"]], 2, row["state"])
        _slot(page, row) if what == "slot" else _link(page, row, display)
    _loads(page, path.get("loads", ()), display)
    _numbers(page, path.get("numbers", ()), display)
    page.blank()
    page.text(_VERDICTS.get(path["verdict"], path["verdict"]), 0, path["verdict"])
    if path["text"]:
        page.text(path["text"], 0)
    signs = f"{SIGNS['joined']} joined, {SIGNS['broken']} broken, {SIGNS['unknown']} cannot be told"
    page.text(f"Signs: {signs}.", 0, "quiet")
    return page.end()


def in_chain_order(path: Path) -> list[tuple[str, Mapping[str, Any]]]:
    """Slots and links as they are met on the way: `("slot", …)` and `("link", …)`.

    A link stands before the later one of the two slots whose parts it joins; one that joins no listed part
    stands at the end.
    """
    slots: list[Mapping[str, Any]] = path["slots"]
    before: dict[int, list[Mapping[str, Any]]] = {}
    for link in path["links"]:
        before.setdefault(_stands_before(link, slots), []).append(link)
    rows: list[tuple[str, Mapping[str, Any]]] = []
    for number, slot in enumerate(slots):
        rows += [("link", link) for link in before.get(number, ())]
        rows.append(("slot", slot))
    return rows + [("link", link) for link in before.get(len(slots), ())]


def _stands_before(link: Mapping[str, Any], slots: list[Mapping[str, Any]]) -> int:
    holders = [[number for number, slot in enumerate(slots) if _same(link[side], slot["parts"])]
               for side in ("first", "second")]
    pairs = [(abs(a - b), max(a, b)) for a in holders[0] for b in holders[1] if a != b]
    if pairs:
        return min(pairs)[1]
    if holders[0]:
        return holders[0][0] + 1
    return holders[1][0] if holders[1] else len(slots)


def _same(part: Mapping[str, str], parts: list[Mapping[str, str]]) -> bool:
    key = "global_id" if part["global_id"] else "name"
    return any(other[key] == part[key] for other in parts)


def _first(rows: list[tuple[str, Mapping[str, Any]]]) -> int | None:
    """Row of the first break; of the first unknown if nothing is broken; None if all is joined.

    A slot takes the state of its worst link, so a broken link beside a broken slot is the place to show.
    """
    for state in ("broken", "unknown"):
        for number, (_, row) in enumerate(rows):
            if row["state"] != state:
                continue
            after = rows[number + 1] if number + 1 < len(rows) else None
            filled = row.get("parts")
            if filled and after is not None and after[0] == "link" and after[1]["state"] == state:
                return number + 1
            return number
    return None


def _slot(page: Lines, slot: Mapping[str, Any]) -> None:
    parts = "; ".join(_part(part) for part in slot["parts"]) or "nothing drawn here"
    rung = f" ({slot['rung']})" if slot["rung"] and slot["parts"] else ""
    page.item(slot["name"], f"{parts}{rung}", 2, 13)
    if slot["text"]:
        page.item("", slot["text"], 2, 13)


def _link(page: Lines, link: Mapping[str, Any], display: str) -> None:
    state = "cannot tell" if link["state"] == "unknown" else link["state"]
    facts = "; ".join([link["kind"].replace("_", " "), _ORIGINS.get(link["origin"], link["origin"]),
                       _gap(link, display), *([f"evidence {link['rung']}"] if link["rung"] else [])])
    page.item(f"{SIGNS.get(link['state'], '-?-')} {state}", facts, 4, 16, link["state"])
    page.item("", f"{link['first']['name']} to {link['second']['name']}", 4, 16)
    if link["text"]:
        page.item("", link["text"], 4, 16)


def _loads(page: Lines, loads: Sequence[Mapping[str, Any]], display: str) -> None:
    """What each link takes beside the pull of its storey; the weakest of a storey is marked."""
    if loads:
        page.heading("What each link takes")
    storey = None
    for row in loads:
        if row["storey"] != storey:
            storey = row["storey"]
            level = f", {row['level']}" if row["level"] else ""
            page.text(f"{storey}: pull {_forces(row['demand'], display)}{level}", 2)
        mark = "  <- weakest link" if row["weakest"] else ""
        page.item(_forces(row["capacity"], display), f"{row['link']}{mark}", 4, 16)


def _numbers(page: Lines, numbers: Sequence[Mapping[str, Any]], display: str) -> None:
    """Lever arm, break-even and what else was reckoned, storey by storey."""
    if numbers:
        page.heading("The numbers behind it")
    storey = None
    for row in numbers:
        if row["storey"] != storey:
            storey = row["storey"]
            page.text(f"{storey}:", 2)
        level = f" {row['level']}" if row["level"] and row["level"] not in row["name"] else ""
        page.item(f"{_range(row, display)}{level}", row["name"], 4, 30)


def _range(row: Mapping[str, Any], display: str) -> str:
    """A range of any dimension: "2751 mm", "at most 22 kN", "at least 3 mm"."""
    shown = [show(row[side], row["dimension"], display) if row[side] is not None else "" for side in ("low", "high")]
    low, high = shown
    if low == high or not low:
        return low if low == high else f"at most {high}"
    if not high:
        return f"at least {low}"
    return f"at most {high}" if row["low"] == 0 else f"{low} to {high}"


def _forces(bounds: Sequence[float | None], display: str) -> str:
    """A range of forces: "22 kN", "at most 22 kN", "not known"."""
    low, high = bounds
    if high is None:
        return "not known" if not low else f"at least {show(low, 'force', display)}"
    if low == high:
        return show(high, "force", display)
    return f"at most {show(high, 'force', display)}" if not low else (
        f"{show(low, 'force', display)} to {show(high, 'force', display)}")


def _gap(link: Mapping[str, Any], display: str) -> str:
    limit = "" if link["gap_limit"] is None else f", limit {show(link['gap_limit'], 'length', display)}"
    if link["gap"] is None:
        return f"gap not known{limit}"
    return f"gap {show(link['gap'], 'length', display)}{limit}"


def _part(part: Mapping[str, str]) -> str:
    return f"{part['name']} {part['global_id']}".strip()
