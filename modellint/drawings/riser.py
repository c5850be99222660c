"""Riser diagram: the soil-gas vent unrolled, with inverts, sizes, falls, pools, roof and openings near."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

from modellint.drawings.marks import Mark, draw_marks
from modellint.drawings.svg import Sheet
from modellint.units import show

Data = Mapping[str, Any]
At = Callable[[float, float], tuple[float, float]]
LEFT, RIGHT, HEAD, FOOT = 96.0, 400.0, 44.0, 30.0


def draw_riser(riser: Data, ident: str, marks: Iterable[Mark] = (), display: str = "metric") -> Sheet:
    """The diagram; lengths in plan and heights have scales of their own, which it says."""
    window = extent(riser)
    across = min(max(330.0 / max(window[2] - window[0], 0.5), 34.0), 110.0)
    up = min(max(560.0 / max(window[3] - window[1], 1.0), 44.0), 110.0)
    sheet = Sheet(
        ident,
        (window[2] - window[0]) * across + LEFT + RIGHT,
        (window[3] - window[1]) * up + HEAD + FOOT,
        f"Riser diagram of {riser['name']}",
        _described(riser),
    )

    def at(s: float, z: float) -> tuple[float, float]:
        return LEFT + (s - window[0]) * across, HEAD + (window[3] - z) * up

    sheet.words("head", (12, 20), f"Riser diagram of {riser['name']}, unrolled")
    _levels(sheet, riser, at)
    draw_pipes(sheet, riser, at)
    _openings(sheet, riser, at)
    _labels(sheet, riser, at, display)
    sheet.words(
        "quiet",
        (12, sheet.height - 10),
        "not one scale: lengths in plan and heights are drawn each to fit; read the numbers",
        limit=120,
    )
    draw_marks(sheet, [(mark, at(*mark.at)) for mark in marks], (-26.0, -28.0))
    return sheet


def extent(riser: Data) -> tuple[float, float, float, float]:
    """(low s, low z, high s, high z) of what is drawn, metres, with some room."""
    points = [p for row in riser["pieces"] for p in row["line"]] + riser["roof"]
    points += [[riser["exit"][0], row[key]] for row in riser["openings"] for key in ("bottom", "top")]
    points += [[riser["exit"][0] + (row["string"][0] or 0.0), row["top"]] for row in riser["openings"]]
    s, z = [p[0] for p in points], [p[1] for p in points]
    if riser["gravel"]:
        z = [*z, *riser["gravel"]]
    return min(s) - 0.3, min(z) - 0.3, max(s) + 0.3, max(z) + 0.4


def _described(riser: Data) -> str:
    said = [row["name"] for row in riser["pieces"] if row["main"]]
    pools = "; ".join(f"water {1000 * row['depth']:.0f} mm deep" for row in riser["pools"])
    breaks = f"; {len(riser['breaks'])} joints drawn apart" if riser["breaks"] else ""
    return f"From suction point to exit: {', '.join(said)}{breaks}{'; ' + pools if pools else ''}"


def _levels(sheet: Sheet, riser: Data, at: At) -> None:
    window = extent(riser)
    for row in riser["storeys"]:
        y = at(0, row["z"])[1]
        sheet.line("level", (8, y), (sheet.width - 8, y))
        sheet.words("quiet", (8, y - 5), row["name"], limit=14)
    if riser["gravel"]:
        bottom, top = riser["gravel"]
        sheet.box("gravel", at(window[0], bottom), at(window[2], top))
        sheet.words("quiet", (8, at(0, bottom)[1] + 3), "gravel")
    if riser["roof"]:
        sheet.way("roof", [at(*p) for p in riser["roof"]])
        sheet.words("halo", (at(*riser["roof"][0])[0] - 6, at(*riser["roof"][0])[1] + 4), "roof", "end")


def draw_pipes(sheet: Sheet, riser: Data, at: At, lit: Collection[str] = ()) -> None:
    """All pieces, the breaks and the water standing in them."""
    for row in sorted(riser["pieces"], key=lambda piece: piece["main"]):
        points = [at(*p) for p in row["line"]]
        wide = max(2 * row["radius"] * 60, 6.0) + (3 if row["kind"] == "fitting" else 0)
        if len(points) == 1:
            sheet.circle("pipe-edge", points[0], wide / 2)
            continue
        for kind, width in (("pipe-edge", wide + 2), (_colour(row, lit), wide)):
            sheet.open("g", "", stroke_width=width)
            sheet.way(kind, points)
            sheet.close("g")
    for pool in riser["pools"]:
        x, y = at(*pool["at"])
        sheet.way("water", ((x - 12, y - 4), (x + 12, y - 4), (x + 6, y + 3), (x - 6, y + 3)), closed=True)
    for joint in riser["breaks"]:
        a, b = at(*joint["from"]), at(*joint["to"])
        x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        for off in (-5, 5):
            sheet.way(
                "broken" if joint["state"] == "broken" else "unknown",
                [(x - 14 + 7 * k, y + off + (3 if k % 2 else -3)) for k in range(5)],
            )


def _colour(row: Data, lit: Collection[str]) -> str:
    if row["id"] in lit:
        return "pipe-lit"
    return "pipe" if row["main"] else "pipe-side"


def size_of(row: Data, display: str) -> str:
    """Size of a piece in words, as well as it is known."""
    if row["nominal"] and row["nominal"][0] == row["nominal"][1]:
        return f"nominal {show(row['nominal'][0], 'length', display)}"
    if row["outside"]:
        return f"outside {show(row['outside'], 'length', display)}"
    return "size not known"


def fall_words(row: Data, display: str) -> str:
    """Fall of a pipe toward its suction side in words."""
    fall = row.get("fall")
    if fall is None:
        return ""
    if fall["upright"]:
        return "upright" if fall["low"] > 0 else "upright, but draining the wrong way"
    if fall["low"] != fall["high"]:
        return "fall: direction not known"
    if fall["low"] == 0:
        return "level: no fall"
    way = "back to the suction point" if fall["low"] > 0 else "AWAY from the suction point"
    return f"falls {show(abs(fall['low']), 'slope', display)} {way}"


def invert(row: Data, end: int) -> float:
    """Invert level at the first (0) or last (-1) point, metres."""
    return float(row["line"][end][1] - (row["bore"] or 2 * row["radius"]) / 2)


def _labels(sheet: Sheet, riser: Data, at: At, display: str) -> None:
    """Two or three lines beside each pipe of the main way, kept apart; then pools, breaks and the exit."""
    wanted: list[tuple[float, float, list[str]]] = []
    for row in riser["pieces"]:
        if row["kind"] == "pipe" and row["main"] and len(row["line"]) > 1:
            (x1, y1), (x2, y2) = at(*row["line"][0]), at(*row["line"][-1])
            lines = [row["name"], f"{size_of(row, display)}; {fall_words(row, display)}"]
            if not (row.get("fall") or {}).get("upright", True):
                lines.append(f"invert {invert(row, 0):.3f} m to {invert(row, -1):.3f} m")
            wanted.append(((x1 + x2) / 2, (y1 + y2) / 2, lines))
    for pool in riser["pools"]:
        x, y = at(*pool["at"])
        wanted.append(
            (
                x,
                y + 16,
                [
                    f"water stands {show(pool['depth'], 'length', display)} deep, {pool['litres']} L, "
                    f"{100 * pool['closed']:.0f} % of the bore"
                ],
            )
        )
    for joint in riser["breaks"]:
        x, y = at(*joint["from"])
        gap = "gap not known" if joint["gap"] is None else f"gap {show(joint['gap'], 'length', display)}"
        wanted.append((x, y, [f"joint drawn apart: {gap}"]))
    wanted += _opening_words(riser, at, display)
    column = at(extent(riser)[2], 0)[0] + 14
    y_free = HEAD + 18.0
    for x, y, lines in sorted(wanted, key=lambda row: (row[1], row[0])):
        top = max(y - 6, y_free)
        sheet.way("dim-foot", ((x + 6, y), (column - 10, top - 4), (column - 3, top - 4)))
        for k, text in enumerate(lines):
            sheet.words("head-small" if k == 0 else "quiet", (column, top + 13 * k), text, limit=90)
        y_free = top + 13 * len(lines) + 7
    if riser["exit"]:
        x, y = at(*riser["exit"])
        sheet.words("halo head", (x + 10, y - 6), "exit")


def _openings(sheet: Sheet, riser: Data, at: At) -> None:
    """Windows and doors near the exit, as far from it as the string that reaches them is long."""
    if not riser["exit"]:
        return
    for row in riser["openings"]:
        x = riser["exit"][0] + (row["string"][0] or 0.0)
        sheet.box("pane", at(x - 0.04, row["bottom"]), at(x + 0.04, row["top"]))
        sheet.line("level", at(*riser["exit"]), at(x, row["top"]))


def _opening_words(riser: Data, at: At, display: str) -> list[tuple[float, float, list[str]]]:
    """Labels of the openings near the exit: the string to them and their height against it."""
    found = []
    for row in riser["openings"] if riser["exit"] else ():
        string = row["string"][0] or 0.0
        above = show(abs(row["above_top"]), "length", display) + (" above" if row["above_top"] >= 0 else " below")
        x, y = at(riser["exit"][0] + string, (row["bottom"] + row["top"]) / 2)
        found.append((x, y, [row["name"], f"string {show(string, 'length', display)}; the exit is {above} its top"]))
    return found
