"""Named shape tests of the role book: does a part look like a stud, a rod, a slab?

The size ranges are common practice, no source; they only ever count as one ground among others.
"""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt
from typing import NamedTuple

import numpy as np

from modellint.ifc.solid import Array
from modellint.roles.part import Part


class Look(NamedTuple):
    """The few numbers that all shape tests need, as plain numbers: arrays of three are slow to ask.

    Attributes:
        half: half sizes of the box, metres.
        up: how upright each box axis stands, the z of its unit vector.
        thin: box axis of the least half size.
        sizes: whole sizes, ascending.
        rise: z of the unit vector along the part's axis; None without an axis of any length.
    """

    half: tuple[float, float, float]
    up: tuple[float, float, float]
    thin: int
    sizes: tuple[float, float, float]
    rise: float | None


def look_at(part: Part) -> Look | None:
    """A drawn part's numbers, worked out once as long as it keeps its box and axis; None if it has no box."""
    box, axis = part.box, part.axis
    if box is None:
        return None
    known = part.look
    if known is not None and known[0] is box and known[1] is axis:
        look: Look = known[2]
        return look
    a, b, c = box.half.tolist()
    p, q, r = box.axes[:, 2].tolist()
    small, middle, large = sorted((2 * a, 2 * b, 2 * c))
    half = (a, b, c)
    look = Look(half, (p, q, r), half.index(min(half)), (small, middle, large), _rise(axis))
    part.look = (box, axis, look)
    return look


def _rise(axis: Array | None) -> float | None:
    if axis is None:
        return None
    (ax, ay, az), (bx, by, bz) = axis[0].tolist(), axis[-1].tolist()
    length = sqrt((bx - ax) ** 2 + (by - ay) ** 2 + (bz - az) ** 2)
    return (bz - az) / length if length > 1e-9 else None


def _section(part: Part) -> tuple[float, float]:
    """Smaller and larger side across the longest box axis, metres."""
    look = look_at(part)
    return look.sizes[:2] if look is not None else (0.0, 0.0)


def _lies_flat(look: Look) -> bool:
    return abs(look.up[look.thin]) > 0.99


def upright_stud(part: Part) -> bool:
    """Upright, slender, the section's smaller side 30 to 60 mm."""
    return _upright(part) and 0.030 <= _section(part)[0] < 0.060 and _section(part)[1] <= 0.30


def upright_post(part: Part) -> bool:
    """Upright, slender, the section's smaller side 60 to 300 mm."""
    return _upright(part) and 0.060 <= _section(part)[0] <= 0.30


def _rise_of(part: Part) -> float | None:
    look = look_at(part)
    return look.rise if look is not None else _rise(part.axis)


def _upright(part: Part) -> bool:
    rise = _rise_of(part)
    return rise is not None and part.radius is None and abs(rise) > 0.99


def level_timber(part: Part) -> bool:
    """Level, slender, section 15 to 450 mm."""
    rise = _rise_of(part)
    low, high = _section(part)
    return rise is not None and abs(rise) < 0.05 and low >= 0.015 and high <= 0.45


def level_plate(part: Part) -> bool:
    """Level timber lying flat, 30 to 100 mm thick."""
    look = look_at(part)
    return look is not None and level_timber(part) and _lies_flat(look) and 0.030 <= look.sizes[0] <= 0.10


def sloping_timber(part: Part) -> bool:
    """Slender and neither level nor upright."""
    rise = _rise_of(part)
    return rise is not None and part.radius is None and 0.05 <= abs(rise) <= 0.95


def thin_upright_panel(part: Part) -> bool:
    """Upright panel up to 40 mm thick and at least 300 mm wide and high."""
    look = look_at(part)
    if look is None:
        return False
    rest = min(half for k, half in enumerate(look.half) if k != look.thin)
    return 2 * look.half[look.thin] <= 0.040 and abs(look.up[look.thin]) < 0.1 and rest >= 0.15


def steel_rod(part: Part) -> bool:
    """Long and round (or square), 6 to 50 mm across."""
    low, high = _section(part)
    return part.axis is not None and low >= 0.006 and high <= 0.050 and high <= 1.3 * low + 1e-6


def round_pipe(part: Part) -> bool:
    """Round and long, 30 to 400 mm outside."""
    return part.axis is not None and part.radius is not None and 0.015 <= part.radius <= 0.20


def small_block(part: Part) -> bool:
    """No side longer than 900 mm."""
    look = look_at(part)
    return look is not None and look.sizes[2] <= 0.90


def small_flat_plate(part: Part) -> bool:
    """Lying flat, at most 30 mm thick and 300 mm wide."""
    look = look_at(part)
    return look is not None and _lies_flat(look) and look.sizes[0] <= 0.030 and look.sizes[2] <= 0.30


def thin_upright_strip(part: Part) -> bool:
    """Upright strip up to 6 mm thick, 20 to 150 mm wide and at least 300 mm long."""
    look = look_at(part)
    if look is None:
        return False
    upright = abs(look.up[look.half.index(max(look.half))]) > 0.9
    return upright and look.sizes[0] <= 0.006 and 0.020 <= look.sizes[1] <= 0.150 and look.sizes[2] >= 0.30


def flat_slab(part: Part) -> bool:
    """Level and thin against its spread, at least 1 m each way."""
    look = look_at(part)
    return look is not None and _lies_flat(look) and look.sizes[1] >= 1.0 and look.sizes[0] <= 0.6


def upright_wall(part: Part) -> bool:
    """Upright, 40 to 500 mm thick, at least 300 mm long and 1.5 m high."""
    look = look_at(part)
    if look is None:
        return False
    flat = [k for k in range(3) if abs(look.up[k]) < 0.1]
    if len(flat) != 2:
        return False
    height = 2 * look.half[3 - flat[0] - flat[1]]
    thick, long = sorted(2 * look.half[k] for k in flat)
    return 0.040 <= thick <= 0.50 and long >= 0.30 and height >= 1.5


SHAPES: dict[str, Callable[[Part], bool]] = {
    shape.__name__: shape for shape in (
        flat_slab, level_plate, level_timber, round_pipe, sloping_timber, small_block, small_flat_plate,
        steel_rod, thin_upright_panel, thin_upright_strip, upright_post, upright_stud, upright_wall)
}


def radius_of(part: Part) -> float | None:
    """Outer radius of a round or square long part, metres; None if it has no long axis."""
    if part.radius is not None:
        return part.radius
    return _section(part)[1] / 2 if part.axis is not None and part.box is not None else None


def length_of(part: Part) -> float | None:
    """Length along the centre line, or the longest side of the box, metres."""
    if part.axis is not None:
        return float(np.linalg.norm(np.diff(part.axis, axis=0), axis=1).sum())
    return 2 * float(part.box.half.max()) if part.box is not None else None
