"""Plan of one storey: walls, openings, wall ends with their chain's verdict, ties, bolts and vent pieces."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import hypot
from typing import Any

from modellint.drawings.marks import Mark, draw_marks
from modellint.drawings.svg import Sheet

Data = Mapping[str, Any]
EDGE, HEAD, FOOT = 46.0, 40.0, 34.0
WIDEST = 860.0
CLASSES = {"post": "wood", "hold_down": "steel", "strap": "steel", "rod": "steel", "anchor_bolt": "bolt"}


def draw_plan(plan: Data, frame: Data, ident: str, marks: Iterable[Mark] = ()) -> Sheet:
    """The plan as a drawing; `marks` are those of this drawing."""
    low, high = extent(plan)
    scale = min(WIDEST / max(high[0] - low[0], 1.0), 760.0 / max(high[1] - low[1], 1.0), 110.0)
    width = (high[0] - low[0]) * scale + 2 * EDGE
    height = (high[1] - low[1]) * scale + 2 * EDGE + HEAD + FOOT
    name = plan["name"] or "the house"
    shear = sum(wall["shear"] for wall in plan["walls"])
    sheet = Sheet(
        ident,
        max(width, 420),
        height,
        f"Plan of {name}",
        f"Plan of {name} with {shear} shear walls and {len(plan['ends'])} wall ends. Bars across a wall "
        "end are solid where its chain is joined, open where it cannot be told, crossed where it is broken.",
    )

    def at(point: Any) -> tuple[float, float]:
        return EDGE + (point[0] - low[0]) * scale, HEAD + EDGE + (high[1] - point[1]) * scale

    sheet.words("head", (12, 20), f"Plan of {name}")
    _ground(sheet, plan, at)
    for wall in sorted(plan["walls"], key=lambda row: row["shear"]):
        sheet.way("wall-shear" if wall["shear"] else "wall-other", [at(p) for p in wall["outline"]], closed=True)
    for row in plan["openings"]:
        sheet.way("pane", [at(p) for p in row["outline"]], closed=True)
    _parts(sheet, plan, at, scale)
    for piece in plan["vent"]:
        _vent(sheet, piece, at, scale)
    for end in plan["ends"]:
        _end(sheet, end, at)
    _names(sheet, plan, at)
    _north(sheet, frame)
    _bar(sheet, scale)
    draw_marks(sheet, [(mark, at(mark.at)) for mark in marks])
    return sheet


def extent(plan: Data) -> tuple[tuple[float, float], tuple[float, float]]:
    """Lower and upper corner of what is drawn, metres."""
    points = [p for name in ("walls", "openings", "ground") for row in plan[name] for p in row.get("outline", ())]
    points += [p for row in plan["vent"] for p in row["line"]]
    points += [row["circle"][:2] for row in plan["parts"] if "circle" in row]
    points = points or [[0.0, 0.0], [1.0, 1.0]]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _ground(sheet: Sheet, plan: Data, at: Any) -> None:
    for row in plan["ground"]:
        if row["role"] != "foundation_slab" and "outline" in row:
            sheet.way("ground", [at(p) for p in row["outline"]], closed=True)
    for row in plan["pockets"]:
        sheet.way("gravel" if row["served"] else "pocket-bare", [at(p) for p in row["outline"]], closed=True)


def _parts(sheet: Sheet, plan: Data, at: Any, scale: float) -> None:
    for row in plan["parts"]:
        kind = CLASSES.get(row["role"], "steel")
        if "circle" in row:
            x, y, radius = row["circle"]
            sheet.circle(kind, at((x, y)), max(radius * scale, 2.2))
        else:
            sheet.way(kind, [at(p) for p in row["outline"]], closed=True)


def _vent(sheet: Sheet, piece: Data, at: Any, scale: float) -> None:
    points = [at(p) for p in piece["line"]]
    span = max(hypot(p[0] - points[0][0], p[1] - points[0][1]) for p in points)
    if span < 3:
        sheet.circle("pipe-edge", points[0], max(piece["radius"] * scale, 4.0))
        return
    width = max(2 * piece["radius"] * scale, 4.0)
    _stroke(sheet, "pipe-edge", points, width + 1.6)
    _stroke(sheet, "pipe", points, width)


def _stroke(sheet: Sheet, kind: str, points: list[tuple[float, float]], width: float) -> None:
    sheet.open("g", "", stroke_width=width)
    sheet.way(kind, points)
    sheet.close("g")


def _end(sheet: Sheet, end: Data, at: Any) -> None:
    """A bar across the wall at its end, by verdict."""
    x, y = at(end["at"])
    dx, dy = end["inward"][0], -end["inward"][1]
    x, y = x + 3 * dx, y + 3 * dy
    reach = 9.0
    a, b = (x - dy * reach, y + dx * reach), (x + dy * reach, y - dx * reach)
    sheet.open("g", "")
    sheet.tip(f"{end['name']}: chain {end['verdict']}")
    sheet.line(end["verdict"], a, b)
    if end["verdict"] == "broken":
        for s in (-1, 1):
            sheet.line("broken", (x - 6 - dx, y - 6 * s), (x + 6 - dx, y + 6 * s))
    sheet.close("g")


def _names(sheet: Sheet, plan: Data, at: Any) -> None:
    for wall in plan["walls"]:
        if not wall["shear"]:
            continue
        xs, ys = [p[0] for p in wall["outline"]], [p[1] for p in wall["outline"]]
        x, y = at(((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2))
        name = short(wall["name"])
        if max(xs) - min(xs) >= max(ys) - min(ys):
            inside = (min(ys) + max(ys)) / 2 > (extent(plan)[0][1] + extent(plan)[1][1]) / 2
            sheet.words("halo head", (x, y + (24 if inside else -14)), name, "middle")
        else:
            left = x > sheet.width / 2
            sheet.words("halo head", (x + (-14 if left else 14), y), name, "end" if left else "start")


def short(name: str) -> str:
    """A wall's mark alone, where its name goes on to say that it is a wall."""
    for more in (" shear wall", " wall"):
        if name.lower().endswith(more) and len(name) > len(more):
            return name[: -len(more)]
    return name


def _north(sheet: Sheet, frame: Data) -> None:
    if not frame["north"]:
        return
    x, y = sheet.width - 30, 30.0
    dx, dy = frame["north"][0], -frame["north"][1]
    tip, tail = (x + 18 * dx, y + 18 * dy), (x - 14 * dx, y - 14 * dy)
    sheet.line("dim", tail, tip)
    sheet.way(
        "steel",
        (tip, (x + 6 * dx - 5 * dy, y + 6 * dy + 5 * dx), (x + 6 * dx + 5 * dy, y + 6 * dy - 5 * dx)),
        closed=True,
    )
    sheet.words("head", (x - 12 * dx - 16, y - 12 * dy + 4), "N", "middle")


def _bar(sheet: Sheet, scale: float) -> None:
    """A scale bar; the drawing may be shown at any size."""
    size = 5 if scale < 60 else 2
    y = sheet.height - 16
    sheet.line("dim", (14, y), (14 + size * scale, y))
    for k in range(size + 1):
        sheet.line("dim", (14 + k * scale, y - 4), (14 + k * scale, y + 4))
    sheet.words("quiet", (22 + size * scale, y + 4), f"{size} m")
