"""Numbered marks that tie a finding to its places in the drawings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import cos, hypot, sin
from typing import Any

from modellint.drawings.svg import Sheet

Data = Mapping[str, Any]
WORDS = {"fail": "fails", "open": "cannot tell", "accepted": "accepted", "later": "later", "changed": "changed"}
APART = 26.0  # pixels between marks


@dataclass(frozen=True)
class Mark:
    """One number on one drawing.

    Attributes:
        drawing: id of the drawing.
        at: in the drawing's own metres.
        outcome: `fail`, `open` or `accepted`.
        card: id of the card it leads to; "" for a drawing on its own.
        text: what is found there.
        turn: counts the marks of one number on one drawing.
        minor: one of many places of one cause, drawn small.
    """

    drawing: str
    at: tuple[float, float]
    number: int
    outcome: str
    card: str
    text: str
    turn: int = 0
    minor: bool = False

    @property
    def ident(self) -> str:
        """XML id."""
        return f"m-{self.drawing}-{self.number}" + (f"-{self.turn}" if self.turn else "")


def places(finding: Data, scenes: Iterable[Data], origin: Iterable[float]) -> list[tuple[str, tuple[float, float]]]:
    """`(drawing id, place in it)` of a finding: its elevation or riser, then its plan.

    Args:
        scenes: the `drawings` of a report.
        origin: the report's origin, metres.
    """
    found = []
    for number, scene in enumerate(scenes):
        for k, elevation in enumerate(scene["elevations"]):
            at = _in_elevation(finding, elevation)
            if at is not None:
                found.append((f"elevation-{number}-{k}", at))
        for k, riser in enumerate(scene["risers"]):
            at = _in_riser(finding, riser)
            if at is not None:
                found.append((f"riser-{number}-{k}", at))
        at_plan = _in_plan(finding, number, scene, tuple(origin))
        if at_plan is not None and not (found and finding["subject"]["role"] == "vent_run"):
            found.append(at_plan)
    return found


def _in_elevation(finding: Data, elevation: Data) -> tuple[float, float] | None:
    item, key = finding["item"], finding["subject"]["key"]
    for chain in elevation["chains"]:
        for step in chain["steps"]:
            if item and step["key"] == item:
                return step["at"][0], step["at"][1]
    for end in elevation["ends"]:
        if end["key"] == key and (spot := _trouble(finding, elevation)) is not None:
            return spot
        if end["key"] == key:
            return end["at"] + 0.12 * end["inward"], end["sole"] + 0.35
    for plate in elevation["plates"]:
        if plate["key"] == key:
            return (plate["from"] + plate["to"]) / 2, plate["top"]
    for storey in elevation["storeys"]:
        for segment in storey["segments"]:
            if segment["key"] == key:
                return (segment["from"] + segment["to"]) / 2, (segment["sole"] + segment["top"]) / 2
    return _on_part(finding, elevation["parts"])


def _trouble(finding: Data, elevation: Data) -> tuple[float, float] | None:
    """Where the chain of a wall end first breaks, for a finding about its links."""
    if not any(limit["measure"] == "link_state" for limit in finding["limits"]):
        return None
    state = "broken" if finding["outcome"] == "fail" else "unknown"
    for chain in elevation["chains"]:
        for step in chain["steps"] if chain["end"] == finding["subject"]["key"] else ():
            if step["state"] == state:
                return step["at"][0], step["at"][1]
    return None


def _on_part(finding: Data, parts: Iterable[Data]) -> tuple[float, float] | None:
    """The middle of the first element of the finding that is drawn; foundations do not count."""
    boxes = {
        part["id"]: part["box"]
        for part in parts
        if part["role"] not in {"footing", "stem_wall", "foundation_slab", "pile"}
    }
    wanted = finding["subject"]["key"].split("/")[0]
    for key in (wanted, *finding["elements"][:1]):
        if key in boxes:
            box = boxes[key]
            return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    return None


def _in_riser(finding: Data, riser: Data) -> tuple[float, float] | None:
    role = finding["subject"]["role"]
    named = {finding["subject"]["key"].split("#")[0], *finding["elements"]}
    if role == "vent_outlet" and riser["exit"] and any(row["id"] in named for row in riser["pieces"]):
        return riser["exit"][0], riser["exit"][1]
    for joint in riser["breaks"]:
        if set(joint["ids"]) <= named or (role == "vent_run" and finding["subject"]["key"] == riser["key"]):
            return tuple((a + b) / 2 for a, b in zip(joint["from"], joint["to"], strict=True))
    for pool in riser["pools"]:
        if pool["id"] in named:
            return pool["at"][0], pool["at"][1]
    for row in riser["pieces"]:
        if row["id"] in named:
            points = row["line"]
            return (points[0][0] + points[-1][0]) / 2, (points[0][1] + points[-1][1]) / 2
    return None


def _in_plan(
    finding: Data, number: int, scene: Data, origin: tuple[float, ...]
) -> tuple[str, tuple[float, float]] | None:
    """The plan of the finding's storey, where it has coordinates and lies in this building."""
    place = finding["place"]
    if place["x"] is None or place["y"] is None:
        return None
    x, y, angle = place["x"] - origin[0], place["y"] - origin[1], scene["frame"]["angle"]
    at = (x * cos(angle) + y * sin(angle), y * cos(angle) - x * sin(angle))
    for k, plan in enumerate(scene["plans"]):
        if plan["name"] == (place["storey"] or finding["subject"]["storey"]):
            spans = [point for wall in plan["walls"] for point in wall["outline"]] or [list(at)]
            inside = all(min(p[i] for p in spans) - 3 <= at[i] <= max(p[i] for p in spans) + 3 for i in (0, 1))
            return (f"plan-{number}-{k}", at) if inside else None
    return None


def draw_marks(
    sheet: Sheet, spots: Iterable[tuple[Mark, tuple[float, float]]], aside: tuple[float, float] = (0.0, 0.0)
) -> None:
    """Marks at places in pixels, the minor ones first, moved where they would hide one another.

    Args:
        aside: how far a mark stands from its place, pixels, so that the place itself is seen.
    """
    taken: list[tuple[float, float]] = []
    rows = list(spots)
    for mark, at in [row for row in rows if row[0].minor] + [row for row in rows if not row[0].minor]:
        if mark.minor:
            beside = (at[0] + 10, at[1] - 10)
            _draw(sheet, mark, beside, beside)
            continue
        spot = _free(sheet, (at[0] + aside[0], at[1] + aside[1]), taken)
        taken.append(spot)
        _draw(sheet, mark, spot, at)


def _free(sheet: Sheet, wanted: tuple[float, float], taken: list[tuple[float, float]]) -> tuple[float, float]:
    """The nearest free spot round a wanted one, within the sheet."""
    spot = wanted
    for turn in range(41):
        reach = APART * (1 + (turn - 1) // 8) if turn else 0.0
        angle = 0.7854 * ((turn - 1) % 8)
        spot = (
            min(max(wanted[0] + reach * cos(angle), 14.0), sheet.width - 14),
            min(max(wanted[1] - reach * sin(angle), 14.0), sheet.height - 14),
        )
        if all(hypot(spot[0] - a, spot[1] - b) >= APART for a, b in taken):
            break
    return spot


def _draw(sheet: Sheet, mark: Mark, at: tuple[float, float], true: tuple[float, float]) -> None:
    x, y = at
    said = f"{mark.number}, {WORDS[mark.outcome]}: {mark.text}"
    if hypot(x - true[0], y - true[1]) > 2:
        sheet.line("mark-lead", true, at)
    kind = f"mark {mark.outcome}" + (" minor" if mark.minor else "")
    if mark.card:
        sheet.open("a", kind, href=f"#{mark.card}", id=mark.ident, aria_label=said)
    else:
        sheet.open("g", kind)
    sheet.tip(said)
    shape(sheet, mark.outcome, x, y, 0.55 if mark.minor else 1.0)
    sheet.words("mark-number", (x, y + (3 if mark.minor else 4)), str(mark.number), "middle")
    sheet.close("a" if mark.card else "g")


def shape(sheet: Sheet, outcome: str, x: float, y: float, size: float = 1.0) -> None:
    """A diamond for a fail, a circle for what cannot be told, a square for what a person accepted."""
    if outcome == "fail":
        reach = 13 * size
        sheet.way("mark-shape", ((x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)), closed=True)
    elif outcome == "open":
        sheet.circle("mark-shape", (x, y), 11 * size)
    else:
        sheet.box("mark-shape", (x - 10 * size, y - 10 * size), (x + 10 * size, y + 10 * size))
