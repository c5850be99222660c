"""A wall end from the roof down to its foundation, with the distances a person tapes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from modellint.drawings.elevation import draw_chain, draw_wall
from modellint.drawings.svg import Sheet
from modellint.units import show

Data = Mapping[str, Any]
TALL, HEAD, LEFT, RIGHT = 860.0, 30.0, 70.0, 185.0
OUT, IN = 0.25, 0.85  # metres shown beyond the wall's end and within it


def draw_end_column(elevation: Data, ends: Sequence[Data], chain: Data, ident: str, display: str) -> Sheet:
    """The column of one chain.

    Args:
        ends: the wall ends it stands on, the uppermost first.
        ident: XML id.
    """
    floor, top = elevation["z"][0], max(end["top"] for end in ends)
    scale = min(TALL / (top - floor), 150.0)
    inward = ends[0]["inward"]
    low = min(end["at"] for end in ends) - (OUT if inward > 0 else IN)
    high = max(end["at"] for end in ends) + (IN if inward > 0 else OUT)
    sheet = Sheet(
        ident,
        (high - low) * scale + LEFT + RIGHT,
        (top - floor) * scale + HEAD + 10,
        f"Column of {chain['name']}",
        f"The wall end through {len(ends)} storeys; chain {chain['verdict']}",
    )

    def at(along: float, z: float) -> tuple[float, float]:
        return LEFT + (along - low) * scale, HEAD + (top - z) * scale

    cut = (low, floor, high, top)
    draw_wall(sheet, _cropped(elevation, cut), at, window=cut)
    draw_chain(sheet, chain, at)
    parts = {part["id"]: part for part in elevation["parts"]}
    for end in ends:
        _storey(sheet, end, parts, at, display, at(high, 0)[0] + 8)
    return sheet


def _cropped(elevation: Data, cut: tuple[float, float, float, float]) -> dict[str, Any]:
    """The elevation with everything cut at the window's sides."""

    def within(row: Data) -> bool:
        return bool(row["from"] < cut[2] and row["to"] > cut[0])

    def cropped(row: Data, **more: Any) -> dict[str, Any]:
        return {**row, "from": max(row["from"], cut[0]), "to": min(row["to"], cut[2]), **more}

    storeys = [
        cropped(row, openings=[cropped(hole) for hole in row["openings"] if within(hole)])
        for row in elevation["storeys"]
        if within(row)
    ]
    parts = []
    for part in elevation["parts"]:
        low, floor, high, top = part["box"]
        if low < cut[2] and high > cut[0]:
            parts.append({**part, "box": [max(low, cut[0]), floor, min(high, cut[2]), top]})
    return {**elevation, "storeys": storeys, "parts": parts}


def _storey(sheet: Sheet, end: Data, parts: Mapping[str, Data], at: Any, display: str, column: float) -> None:
    """Distances of one storey: end to tie centre, sole to tie top, and the storey's name."""
    sole = at(end["at"], end["sole"])
    sheet.line("level", (4, sole[1]), (column + 60, sole[1]))
    sheet.words("quiet", (4, sole[1] - 5), end["storey"] or "storey", limit=12)
    ties = [parts[key] for key in end["parts"].get("base_ties", ()) if key in parts]
    spots = [row["at"] for row in end["ties"]]
    words = []
    if spots:
        inset = abs(spots[0] - end["at"])
        x = at(spots[0], 0)[0]
        y = sole[1] - 34
        sheet.line("dim", (sole[0], y), (x, y))
        for foot in (sole[0], x):
            sheet.line("dim", (foot, y - 5), (foot, y + 5))
        words.append(f"{show(inset, 'length', display)} end to centre")
        sheet.way("dim-foot", ((max(x, sole[0]), y), (column - 4, y)))
    if ties:
        words.append(f"{show(ties[0]['box'][3] - end['sole'], 'length', display)} sole to tie top")
    for k, text in enumerate(words):
        sheet.words("head-small", (column, sole[1] - 30 + 14 * k), text, limit=40)
