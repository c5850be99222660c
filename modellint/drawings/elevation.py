"""Load-path elevation of one wall line through all storeys: parts to scale, each chain drawn link by link."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

from modellint.drawings.marks import Mark, draw_marks
from modellint.drawings.plan import short
from modellint.drawings.svg import Sheet

Data = Mapping[str, Any]
At = Callable[[float, float], tuple[float, float]]
LEFT, RIGHT, HEAD, FOOT = 86.0, 56.0, 46.0, 96.0
WOOD = ("post", "bottom_plate", "sill_plate", "top_plate", "header", "beam")
GROUND = ("footing", "stem_wall", "pile", "foundation_slab")
LINES = {"rod": "rod", "anchor_bolt": "bolt"}


def draw_elevation(
    elevation: Data, ident: str, marks: Iterable[Mark] = (), lit: Collection[str] = ()
) -> Sheet:
    """The elevation as a drawing; `marks` are those of this drawing, `lit` the GlobalIds to draw highlighted."""
    (low, high), (floor, top) = elevation["span"], elevation["z"]
    scale = min(max(64.0, 560.0 / max(high - low, 1.0)), 110.0)
    wide, tall = (high - low) * scale, (top - floor) * scale
    sheet = Sheet(ident, wide + LEFT + RIGHT, tall + HEAD + FOOT, title(elevation), _described(elevation))

    def at(along: float, z: float) -> tuple[float, float]:
        return LEFT + (along - low) * scale, HEAD + (top - z) * scale

    sheet.words("head", (12, 20), title(elevation))
    _levels(sheet, elevation, at)
    draw_wall(sheet, elevation, at, lit=lit)
    for chain in elevation["chains"]:
        draw_chain(sheet, chain, at)
    _verdicts(sheet, elevation, at)
    _bar(sheet, elevation, scale)
    draw_marks(sheet, [(mark, at(*mark.at)) for mark in marks], (24.0, -22.0))
    return sheet


def title(elevation: Data) -> str:
    """Name of the wall line and the side it is seen from."""
    names = " / ".join(dict.fromkeys(short(name) for name in elevation["names"]))
    side = f", seen from the {elevation['seen_from']}" if elevation["seen_from"] else ""
    return f"Elevation of {names}{side}"


def _described(elevation: Data) -> str:
    said = [f"{k}: {chain['name']}, {chain['verdict']}" for k, chain in enumerate(elevation["chains"], 1)]
    return (
        f"Load-path elevation through {len(elevation['storeys'])} storeys. Hold-down chains from the left: "
        + "; ".join(said)
    )


def draw_wall(
    sheet: Sheet,
    elevation: Data,
    at: At,
    *,
    window: tuple[float, float, float, float] | None = None,
    lit: Collection[str] = (),
) -> None:
    """Faces, openings, floors and parts of an elevation.

    Args:
        at: (along, z) in metres to pixels.
        window: only what touches (low, floor, high, top) is drawn; None for all.
        lit: GlobalIds to draw highlighted.
    """

    def seen(low: float, floor: float, high: float, top: float) -> bool:
        return window is None or (low <= window[2] and high >= window[0] and floor <= window[3] and top >= window[1])

    parts = [part for part in elevation["parts"] if seen(*part["box"])]
    for part in parts:
        if part["role"] in GROUND:
            _box(sheet, "ground", part, at)
    storeys = sorted(elevation["storeys"], key=lambda row: row["bottom"])
    for lower, upper in itertools.pairwise(storeys):
        if lower["top"] < upper["bottom"]:
            sheet.box("floor", at(lower["from"], lower["top"]), at(lower["to"], upper["bottom"]))
    for storey in storeys:
        if seen(storey["from"], storey["bottom"], storey["to"], storey["top"]):
            sheet.box("face", at(storey["from"], storey["bottom"]), at(storey["to"], storey["top"]))
        for hole in storey["openings"]:
            if seen(hole["from"], hole["bottom"], hole["to"], hole["top"]):
                sheet.box("hole", at(hole["from"], hole["bottom"]), at(hole["to"], hole["top"]))
    order = {role: k for k, role in enumerate((*WOOD, "strap", "hold_down", "bearing_plate", "plate_washer"))}
    for part in sorted((row for row in parts if row["role"] not in GROUND), key=lambda row: order.get(row["role"], 9)):
        _part(sheet, part, at, part["id"] in lit)


def _box(sheet: Sheet, kind: str, part: Data, at: At) -> None:
    low, floor, high, top = part["box"]
    sheet.box(kind, at(low, floor), at(high, top))


def _part(sheet: Sheet, part: Data, at: At, lit: bool) -> None:
    if part["role"] in LINES and "axis" in part:
        a, b = (at(*point) for point in part["axis"])
        sheet.line("lit-line" if lit else LINES[part["role"]], a, b)
        return
    _box(sheet, "lit" if lit else "wood" if part["role"] in WOOD else "steel", part, at)


def _levels(sheet: Sheet, elevation: Data, at: At) -> None:
    low, high = elevation["span"]
    for storey in elevation["storeys"]:
        y = at(low, storey["bottom"])[1]
        sheet.line("level", (8, y), (at(high, 0)[0] + 20, y))
        sheet.words("quiet", (8, y - 5), storey["storey"] or "storey", limit=14)
    for side, x, anchor in ((0, low, "start"), (1, high, "end")):
        sheet.words("quiet", (at(x, 0)[0], HEAD - 10), elevation["compass"][side], anchor)


def draw_chain(sheet: Sheet, chain: Data, at: At) -> None:
    """One uplift chain from the top down: a line per link in its state, a dot or a cross per step."""
    points = [at(*step["at"]) for step in chain["steps"]]
    if not points:
        return
    sheet.open("g", "chain")
    for k, step in enumerate(chain["steps"][1:], 1):
        sheet.line(step["state"] if step["state"] != "broken" else "unknown", points[k - 1], points[k])
    for point, step in zip(points, chain["steps"], strict=True):
        sheet.open("g", "")
        sheet.tip(f"{step['text']}: {step['state']}")
        if step["state"] == "broken":
            _break(sheet, point)
        else:
            sheet.circle(f"dot-{step['state']}", point, 3.2 if step["state"] == "joined" else 4.6)
        sheet.close("g")
    sheet.close("g")


def _break(sheet: Sheet, at: tuple[float, float]) -> None:
    """A torn link: two zigzag edges with a gap between them."""
    x, y = at
    for off in (-5, 5):
        sheet.way("broken", [(x - 12 + 6 * k, y + off + (3 if k % 2 else -3)) for k in range(5)])


def _verdicts(sheet: Sheet, elevation: Data, at: At) -> None:
    """Number and verdict under each chain in words, a row lower where the one before is too near."""
    ends = {end["key"]: end for end in elevation["ends"]}
    rows = []
    for number, chain in enumerate(elevation["chains"], 1):
        end = ends.get(chain["end"])
        along = end["at"] + 0.06 * end["inward"] if end is not None else elevation["span"][0]
        rows.append((at(along, elevation["z"][0]), number, chain["verdict"]))
    reached = [-999.0, -999.0]
    for (x, y), number, verdict in sorted(rows):
        row = 0 if x - reached[0] > 68 or x - reached[0] > x - reached[1] else 1
        reached[row] = x
        sheet.words("halo head", (x, y + 15 + 31 * row), f"chain {number}", "middle")
        word = {"unknown": "cannot tell"}.get(verdict, verdict)
        sheet.words(f"halo verdict-{verdict}", (x, y + 28 + 31 * row), word, "middle")


def _bar(sheet: Sheet, elevation: Data, scale: float) -> None:
    y, x = sheet.height - 14, LEFT
    for k in range(3):
        sheet.line("dim", (x + k * scale, y - 4), (x + k * scale, y + 4))
    sheet.line("dim", (x, y), (x + 2 * scale, y))
    sheet.words("quiet", (x + 2 * scale + 8, y + 4), "2 m; chain dots mark links and stand where the parts meet")
