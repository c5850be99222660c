"""What a change would do, as text: numbers old beside new, findings that go, come or change."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.reports.lines import Lines
from modellint.units import show

# the order in which the numbers of a wall end are shown, and how they are called
LABELS = {
    "lever_arm": "lever arm",
    "uplift_demand": "pull",
    "chain_capacity": "weakest takes",
    "weakest_link": "weakest link",
    "margin": "margin",
    "tie_may_move": "break-even",
}
# further numbers, shown only where they change
MORE = {
    "load_case": "load case",
    "push_demand": "push",
    "post_bearing": "plate takes",
    "post_strength": "post takes",
    "rod_movement": "lift on rod",
    "unit_shear": "shear",
    "sheathing_capacity": "nailing takes",
    "wall_deflection": "leans",
}
NOTES = {"tie_may_move": " further in"}
CLOSING = (
    "The model was not changed. These are sums over what the model and the schedules say; the engineer of "
    "record decides."
)


def render_whatif(what_if: Mapping[str, Any], *, colour: bool = False, width: int = 80) -> str:
    """The comparison of `modellint.whatif.compare` as text."""
    page, display = Lines(width, colour), what_if["display"]
    page.heading("What the changes do")
    for end in what_if["ends"]:
        _end(page, end, display)
    if not what_if["ends"]:
        page.text("No lever arm, pull, capacity or break-even of any wall end changes.")
    _findings(page, what_if["findings"])
    page.blank()
    page.text(CLOSING, 0)
    return page.end()


def _end(page: Lines, end: Mapping[str, Any], display: str) -> None:
    page.blank()
    page.text(end["name"], 0, "heading")
    before, after = end["before"], end["after"]
    if before is None or after is None:
        page.text(
            "This wall end is there only " + ("before the change." if after is None else "after the change.")
        )
        return
    for label, old, new in numbers_of(end, display):
        page.item(label, old if old == new else f"{old}  ->  {new}", 2, 15)


def numbers_of(end: Mapping[str, Any], display: str) -> list[tuple[str, str, str]]:
    """`(what, as it is, with the change)` of a wall end's numbers; [] if it is there on one side only."""
    before, after = end["before"], end["after"]
    if before is None or after is None:
        return []
    rows = []
    for name, label in (LABELS | MORE).items():
        old, new = _shown(before.get(name), display), _shown(after.get(name), display)
        if old == new and (old == "not known" or name in MORE):
            continue
        note = NOTES.get(name, "")
        rows.append((label, f"{old}{note}", f"{new}{note}"))
    return rows


def _shown(value: Mapping[str, Any] | None, display: str) -> str:
    """A number with its unit and level, a range, a word, or "not known"."""
    if value is None:
        return "not known"
    if value["words"]:
        return " or ".join(value["words"])
    low, high, dimension = value["low"], value["high"], value["dimension"]
    if high is None:
        return f"at least {show(low, dimension, display)}" if low else "not known"
    level = f" {value['level']}" if value["level"] else ""
    if low == high:
        return show(high, dimension, display) + level
    if low is None or low == 0:
        return f"at most {show(high, dimension, display)}{level}"
    return f"{show(low, dimension, display)} to {show(high, dimension, display)}{level}"


def _findings(page: Lines, findings: Mapping[str, Any]) -> None:
    for name, heading in (("gone", "Findings that go"), ("new", "Findings that come")):
        if findings[name]:
            page.heading(f"{heading}: {len(findings[name])}")
        for row in findings[name]:
            page.signed(row["outcome"], row["outcome"], f"{row['message']} ({row['rule']})")
    if findings["changed"]:
        page.heading(f"Findings that change: {len(findings['changed'])}")
    for row in findings["changed"]:
        old, new = row["before"], row["after"]
        page.signed(old["outcome"], f"was {old['outcome']}", f"{old['message']} ({old['rule']})")
        page.signed(new["outcome"], f"now {new['outcome']}", new["message"])
    if not any(findings.values()):
        page.blank()
        page.text("No finding goes, comes or changes.")
