"""A small dimensioned sketch of the place a finding is about, cut out of its elevation or riser."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from modellint.drawings.elevation import draw_chain, draw_wall
from modellint.drawings.marks import Mark, draw_marks
from modellint.drawings.riser import draw_pipes, fall_words, invert
from modellint.drawings.svg import Sheet
from modellint.units import show

Data = Mapping[str, Any]
WIDE, TALL = 330.0, 240.0


def draw_sketch(finding: Data, scenes: list[Data], mark: Mark, display: str = "metric") -> Sheet | None:
    """A sketch for a finding with a mark in an elevation or riser; None for other drawings."""
    kind, number, index = mark.drawing.split("-")
    if kind == "elevation":
        return _at_wall(finding, scenes[int(number)]["elevations"][int(index)], mark, display)
    if kind == "riser":
        return _at_pipe(finding, scenes[int(number)]["risers"][int(index)], mark, display)
    return None


def _window(finding: Data, elevation: Data, mark: Mark) -> tuple[float, float, float, float]:
    """Part of the elevation to show: the whole plate for bolts, else a window round the mark."""
    plate = _plate(finding, elevation)
    x, z = mark.at
    half = 0.75
    if plate is not None:
        x, half = (plate["from"] + plate["to"]) / 2, max((plate["to"] - plate["from"]) / 2 + 0.2, 0.5)
    high = half * TALL / WIDE
    return x - half, z - high, x + half, z + high


def _plate(finding: Data, elevation: Data) -> Data | None:
    return next((row for row in elevation["plates"] if row["key"] == finding["subject"]["key"]), None)


def _at_wall(finding: Data, elevation: Data, mark: Mark, display: str) -> Sheet:
    window = _window(finding, elevation, mark)
    scale = WIDE / (window[2] - window[0])
    sheet = Sheet(f"sketch-{mark.number}", WIDE, TALL, f"Sketch to finding {mark.number}", _said(finding))

    def at(along: float, z: float) -> tuple[float, float]:
        return (along - window[0]) * scale, (window[3] - z) * scale

    draw_wall(sheet, elevation, at, window=window, lit=frozenset(_lit(finding, elevation)))
    for chain in elevation["chains"]:
        keys = {step["key"] for step in chain["steps"]} | {chain["end"]}
        if keys & {finding["item"], finding["subject"]["key"]}:
            draw_chain(sheet, chain, at)
    plate = _plate(finding, elevation)
    if plate is not None:
        _plate_dimensions(sheet, plate, at, display)
    else:
        _inset(sheet, elevation, at, display, window)
    _measured(sheet, finding)
    if plate is None:
        draw_marks(sheet, [(replace(mark, card=""), at(*mark.at))], (40.0, -34.0))
    return sheet


def _lit(finding: Data, elevation: Data) -> list[str]:
    """Parts to highlight: those of the broken step, else the subject's own, never walls or ground."""
    steps = [step for chain in elevation["chains"] for step in chain["steps"] if step["key"] == finding["item"]]
    return steps[0]["ids"] if steps and finding["item"] else list(finding["elements"])


def _plate_dimensions(sheet: Sheet, plate: Data, at: Any, display: str) -> None:
    """Distances from end to bolt to end, one dimension each."""
    stops = [plate["from"], *sorted(bolt["at"] for bolt in plate["bolts"]), plate["to"]]
    y = at(0, plate["top"])[1]
    for k, (a, b) in enumerate(itertools.pairwise(stops)):
        off = -26.0 if k % 2 == 0 else -50.0
        sheet.dimension((at(a, 0)[0], y), (at(b, 0)[0], y), show(b - a, "length", display), off)


def _inset(
    sheet: Sheet,
    elevation: Data,
    at: Any,
    display: str,
    window: tuple[float, float, float, float],
) -> None:
    """Distance from the wall end to the nearest tie or rod."""
    spot = ((window[0] + window[2]) / 2, (window[1] + window[3]) / 2)
    ends = [end for end in elevation["ends"] if end["sole"] - 0.8 <= spot[1] <= end["top"] + 0.8]
    if not ends:
        return
    end = min(ends, key=lambda row: (round(abs(row["at"] - spot[0]), 3), row["key"]))
    if not window[0] <= end["at"] <= window[2]:
        return
    y = TALL - 54.0
    sheet.line("dim-foot", (at(end["at"], 0)[0], 0), (at(end["at"], 0)[0], TALL))
    ties = [tie["at"] for tie in end["ties"] if window[0] < tie["at"] < window[2]]
    if ties and abs(ties[0] - end["at"]) > 0.005:
        a, b = sorted((at(end["at"], 0)[0], at(ties[0], 0)[0]))
        sheet.dimension((a, y), (b, y), f"{show(abs(ties[0] - end['at']), 'length', display)} from the end")


def _measured(sheet: Sheet, finding: Data) -> None:
    """A line with the numbers at the foot."""
    limits = finding["limits"]
    text = _said(finding) if limits else finding["subject"]["name"]
    sheet.box("pane", (0, TALL - 22), (WIDE, TALL))
    sheet.words("", (8, TALL - 7), text, limit=54)


def _said(finding: Data) -> str:
    for limit in finding["limits"]:
        if limit["limit_si"] is not None:
            return f"measured {limit['measured']}; limit {limit['comparison']} {limit['limit']}"
    return str(finding["message"] or finding["title"]).rsplit(": ", 1)[-1]


def _at_pipe(finding: Data, riser: Data, mark: Mark, display: str) -> Sheet | None:
    named = {finding["subject"]["key"].split("#")[0], *finding["elements"]}
    row = next((piece for piece in riser["pieces"] if piece["id"] in named and len(piece["line"]) > 1), None)
    sheet = Sheet(f"sketch-{mark.number}", WIDE, TALL, f"Sketch to finding {mark.number}", _said(finding))
    joint = next((row for row in riser["breaks"] if set(row["ids"]) & named), None)
    if finding["subject"]["role"] == "vent_pipe" and row is not None and not (row.get("fall") or {}).get("upright"):
        return _fall(sheet, finding, row, display)
    span = 1.2
    scale = WIDE / span

    def at(s: float, z: float) -> tuple[float, float]:
        return WIDE / 2 + (s - mark.at[0]) * scale, (TALL - 30) / 2 + (mark.at[1] - z) * scale

    near = [
        piece
        for piece in riser["pieces"]
        if any(abs(p[0] - mark.at[0]) < span and abs(p[1] - mark.at[1]) < span for p in _along(piece["line"]))
    ]
    pools = [pool for pool in riser["pools"] if pool["id"] in named]
    draw_pipes(sheet, {**riser, "pieces": near, "pools": pools}, at, named)
    for pool in pools:
        x, y = at(*pool["at"])
        sheet.words("dim-text", (x + 16, y + 22), f"water {show(pool['depth'], 'length', display)} deep")
    if riser["roof"]:
        sheet.way("roof", [at(*p) for p in riser["roof"]])
    if joint is not None and joint["gap"] is not None:
        a, b = sorted((at(*joint["from"]), at(*joint["to"])), key=lambda p: (p[1], p[0]))
        text = f"gap {show(joint['gap'], 'length', display)}"
        if abs(b[1] - a[1]) > 4:
            sheet.dimension(a, b, text, 60.0)
        else:  # a fitting without ports ends where its pipe does; only the length of the gap is known
            sheet.words("dim-text", (a[0] + 24, a[1] + 4), text)
    elif riser["exit"] and finding["subject"]["role"] == "vent_outlet" and riser["roof"]:
        under = min(riser["roof"], key=lambda p: abs(p[0] - riser["exit"][0]))
        rise = riser["exit"][1] - under[1]
        sheet.dimension(at(*riser["exit"]), at(riser["exit"][0], under[1]), show(abs(rise), "length", display), 60.0)
    _measured(sheet, finding)
    return sheet


def _along(line: Any) -> list[list[float]]:
    """Points every tenth of the way of each stretch."""
    return [
        [a[i] + t / 10 * (b[i] - a[i]) for i in (0, 1)] for a, b in itertools.pairwise(line) for t in range(11)
    ] or list(line)


def _fall(sheet: Sheet, finding: Data, row: Data, display: str) -> Sheet:
    """A lying pipe with its inverts; its slope is drawn ten times as steep."""
    (s0, _), (s1, _) = row["line"][0], row["line"][-1]
    z0, z1 = invert(row, 0), invert(row, -1)
    run = max(abs(s1 - s0), 0.01)
    rise = max(min(10 * (z1 - z0) / run * 200, 70.0), -70.0)
    a, b = (65.0, 110.0 + rise / 2), (265.0, 110.0 - rise / 2)
    for kind, width in (("pipe-edge", 30.0), ("pipe", 26.0)):
        sheet.open("g", "", stroke_width=width)
        sheet.way(kind, (a, b))
        sheet.close("g")
    sheet.words("halo", (6, a[1] - 24), "to suction")
    sheet.words("halo", (WIDE - 6, b[1] - 24), "to exit", "end")
    sheet.words("dim-text", (6, a[1] + 34), f"invert {z0:.3f} m")
    sheet.words("dim-text", (WIDE - 6, b[1] + 34), f"{z1:.3f} m", "end")
    sheet.dimension((65, 190), (265, 190), show(run, "length", display))
    sheet.words("dim-text", (WIDE / 2, 18), fall_words(row, display), "middle", 60)
    sheet.words("quiet", (WIDE / 2, 32), "slope drawn ten times as steep", "middle")
    _measured(sheet, finding)
    return sheet
