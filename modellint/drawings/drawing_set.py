"""All drawings of a report, with the marks of its findings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from modellint.drawings.elevation import draw_elevation, title
from modellint.drawings.marks import Mark, places
from modellint.drawings.plan import draw_plan
from modellint.drawings.riser import draw_riser
from modellint.drawings.svg import Sheet

Data = Mapping[str, Any]
MANY = 6  # a card of more places gets small marks


@dataclass
class Drawings:
    """Drawings of a report.

    Attributes:
        names: drawing id to its name, in order: plans, elevations, risers.
        data: drawing id to its data.
        marks: drawing id to its marks, in order of their numbers.
        of_card: card number to its marks, the elevation or riser before the plan.
        left_out: number of elevations beyond the most that were asked for.
    """

    scenes: list[Data]
    display: str
    names: dict[str, str] = field(default_factory=dict)
    data: dict[str, tuple[Data, Data]] = field(default_factory=dict)
    marks: dict[str, list[Mark]] = field(default_factory=dict)
    of_card: dict[int, list[Mark]] = field(default_factory=dict)
    left_out: int = 0

    def sheet(self, ident: str) -> Sheet:
        """One drawing."""
        data, scene = self.data[ident]
        marks = self.marks.get(ident, [])
        if ident.startswith("plan"):
            return draw_plan(data, scene["frame"], ident, marks)
        if ident.startswith("elevation"):
            return draw_elevation(data, ident, marks)
        return draw_riser(data, ident, marks, self.display)


def drawings_of(report: Data, cards: Iterable[tuple[int, str, list[Data]]], most: int = 1000) -> Drawings:
    """Drawings and marks of a report with a `drawings` block ({} of them without).

    Args:
        cards: `(number, card id, findings)`; a card of several findings gets a mark at each of their places.
        most: most elevations; the first are kept.
    """
    scenes = list(report.get("drawings") or ())
    made = Drawings(scenes, report["display"])
    many = len(scenes) > 1
    for number, scene in enumerate(scenes):
        of = f", {scene['name']}" if many else ""
        for k, plan in enumerate(scene["plans"]):
            _add(made, f"plan-{number}-{k}", f"Plan of {plan['name'] or 'the house'}{of}", plan, scene)
        for k, elevation in enumerate(scene["elevations"]):
            if sum(ident.startswith("elevation") for ident in made.names) >= most:
                made.left_out += 1
                continue
            _add(made, f"elevation-{number}-{k}", title(elevation) + of, elevation, scene)
        for k, riser in enumerate(scene["risers"]):
            _add(made, f"riser-{number}-{k}", f"Riser of {riser['name']}{of}", riser, scene)
    origin = [value or 0.0 for value in report["model"]["origin"]]
    for number, card, findings in cards:
        _mark(made, number, card, findings, origin)
    return made


def _add(made: Drawings, ident: str, name: str, data: Data, scene: Data) -> None:
    made.names[ident], made.data[ident] = name, (data, scene)


def _mark(made: Drawings, number: int, card: str, findings: list[Data], origin: list[float]) -> None:
    """Marks of one card; several findings at one spot, or on one drawing's same place, give one mark."""
    seen: set[tuple[str, float, float]] = set()
    for finding in findings:
        outcome = "accepted" if finding["accepted"] is not None else finding["outcome"]
        for ident, at in places(finding, made.scenes, origin):
            spot = (ident, round(at[0], 1), round(at[1], 1))
            if spot in seen or ident not in made.names:
                continue
            seen.add(spot)
            turn = sum(other[0] == ident for other in seen) - 1
            mark = Mark(ident, at, number, outcome, card, finding["title"], turn, len(findings) > MANY)
            made.marks.setdefault(ident, []).append(mark)
            made.of_card.setdefault(number, []).append(mark)
