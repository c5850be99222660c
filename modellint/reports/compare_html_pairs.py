"""Drawings of both revisions side by side, the changed parts highlighted and numbered."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.drawings.change_marks import draw, drawing_of, spots
from modellint.reports.html_text import words

Data = Mapping[str, Any]
MOST_PAIRS, MOST_LINKED = 12, 200
_SIDES = (("before", "Before"), ("after", "Now"))


def write_pairs(made: Data) -> str:
    """Pairs of the drawings that show a change; "" without drawings."""
    drawn = made.get("drawings")
    if not drawn:
        return ""
    changes = _numbered(made)
    found = [(pair, shown) for pair in drawn["pairs"] if any((shown := _shown(pair, made, changes)).values())]
    if not found:
        return "<p>No wall line, vent or plan shows a changed part.</p>"
    made_pairs = [_pair(pair, shown, made, k) for k, (pair, shown) in enumerate(found[:MOST_PAIRS])]
    left = len(found) - MOST_PAIRS
    more = f"<p>… and {left} more drawings with changes are left out here.</p>" if left > 0 else ""
    return ('<p>The numbers in dark squares are those of the list of changes; changed hardware and wood are drawn '
            'thick.</p>' + "".join(made_pairs) + more)


def _numbered(made: Data) -> list[dict[str, Any]]:
    """Changes with the number and the anchor of their line."""
    lines = {key: number for number, line in enumerate(made["change_lines"], 1) for key in line["changes"]}
    return [{**change, "number": lines[change["key"]],
             "anchor": f"c-{lines[change['key']]}" if lines[change["key"]] <= MOST_LINKED else ""}
            for change in made["changes"]]


Shown = dict[str, list[tuple[Data, tuple[float, float]]]]


def _shown(pair: Data, made: Data, changes: list[dict[str, Any]]) -> Shown:
    """The changes on each side of a pair with their places."""
    found: Shown = {}
    for side, _ in _SIDES:
        place = pair[side]
        if place is not None:
            scene = made["drawings"][side][place[0]]
            origin = tuple(value or 0.0 for value in made["drawings"][f"origin_{side}"])
            found[side] = spots(drawing_of(scene, pair["kind"], place[1]), pair["kind"], scene, changes, side, origin)
    return found


def _pair(pair: Data, shown: Shown, made: Data, k: int) -> str:
    figures, title = [], ""
    for side, label in _SIDES:
        place = pair[side]
        if place is None:
            figures.append(f"<figure><figcaption>{label}</figcaption><p>Not there.</p></figure>")
            continue
        scene = made["drawings"][side][place[0]]
        sheet = draw(drawing_of(scene, pair["kind"], place[1]), pair["kind"], scene, f"{side}-{k}",
                     shown[side], side, made["display"])
        title = sheet.title
        figures.append(f'<figure><figcaption>{label}</figcaption><div class="scroll" tabindex="0" role="region" '
                       f'aria-label="{words(f"{label}: {title}")}">{sheet.render()}</div></figure>')
    return f'<div class="pair"><h3>{words(title)}</h3><div class="two">{"".join(figures)}</div></div>'
