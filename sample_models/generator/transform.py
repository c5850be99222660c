"""Changes that must not change what a checker finds: rigid motions, other line order and numbers."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import replace
from math import cos, radians, sin

from .pieces import House
from .shapes import Vec

_LINE = re.compile(r"^#(\d+)=(.*);$")
_TOKEN = re.compile(r"'(?:[^']|'')*'|#(\d+)")


def move(house: House, by: Vec) -> House:
    """The house shifted in plan; `by` in metres, its z must be 0 since storeys keep their elevations.

    Raises:
        ValueError: the shift has a vertical part.
    """
    if by[2]:
        raise ValueError("a house is moved in plan only; storeys keep their elevations")
    return _mapped(house, lambda p: (p[0] + by[0], p[1] + by[1], p[2]), lambda v: v, False)


def rotate(house: House, degrees: float) -> House:
    """The house turned about the vertical through the origin, true north turned along with it."""
    c, s = cos(radians(degrees)), sin(radians(degrees))

    def turn(v: Vec) -> Vec:
        return (c * v[0] - s * v[1], s * v[0] + c * v[1], v[2])

    return _mapped(house, turn, turn, False)


def mirror(house: House) -> House:
    """The house mirrored east to west: x becomes -x; east and west change places, north stays."""

    def flip(v: Vec) -> Vec:
        return (0.0 - v[0], v[1], v[2])

    return _mapped(house, flip, flip, True)


def _mapped(house: House, point: Callable[[Vec], Vec], vector: Callable[[Vec], Vec], mirrored: bool) -> House:
    made = house.copy()
    for key, piece in house.pieces.items():
        made.pieces[key] = replace(
            piece,
            shape=None if piece.shape is None else piece.shape.mapped(point, vector, mirrored),
            more_shapes=tuple(shape.mapped(point, vector, mirrored) for shape in piece.more_shapes),
            ports=tuple(point(p) for p in piece.ports),
            axis=None if piece.axis is None else (point(piece.axis[0]), point(piece.axis[1])),
        )
    if not mirrored:
        x, y, _ = vector((*house.north, 0.0))
        made.north = (x, y)
    return made


def shuffle(text: str, seed: int = 1) -> str:
    """STEP text with its data lines in another order (the same instances with the same numbers)."""
    head, lines, tail = _split(text)
    random.Random(seed).shuffle(lines)  # noqa: S311
    return head + "\n".join(lines) + tail


def renumber(text: str, seed: int = 1) -> str:
    """STEP text with other instance numbers throughout."""
    head, lines, tail = _split(text)
    old = [int(m.group(1)) for m in map(_LINE.match, lines) if m]
    new = [7 + 3 * k for k in range(len(old))]
    random.Random(seed).shuffle(new)  # noqa: S311
    number = dict(zip(old, new, strict=True))

    def swap(match: re.Match[str]) -> str:
        return f"#{number[int(match.group(1))]}" if match.group(1) else match.group(0)

    return head + "\n".join(_TOKEN.sub(swap, line) for line in lines) + tail


def _split(text: str) -> tuple[str, list[str], str]:
    start = text.index("DATA;\n") + len("DATA;\n")
    end = text.index("\nENDSEC;", start)
    return text[:start], text[start:end].split("\n"), text[end:]
