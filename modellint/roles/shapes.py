"""Named shape tests of the role book: does a part look like a stud, a rod, a slab?

The size ranges are common practice, no source; they only ever count as one ground among others.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from modellint.ifc.solid import Array, Box
from modellint.roles.part import Part


def _axis_direction(part: Part) -> Array | None:
    if part.axis is None:
        return None
    along = part.axis[-1] - part.axis[0]
    length = float(np.linalg.norm(along))
    return along / length if length > 1e-9 else None


def _section(part: Part) -> tuple[float, float]:
    """Smaller and larger side across the longest box axis, metres."""
    box = part.box
    if box is None:
        return (0.0, 0.0)
    sizes = sorted(2 * float(h) for h in box.half)
    return sizes[0], sizes[1]


def _length(part: Part) -> float:
    return 2 * float(part.box.half.max()) if part.box is not None else 0.0


def _lies_flat(box: Box) -> bool:
    thin = int(np.argmin(box.half))
    return abs(float(box.axes[thin, 2])) > 0.99


def upright_stud(part: Part) -> bool:
    """Upright, slender, the section's smaller side 30 to 60 mm."""
    return _upright(part) and 0.030 <= _section(part)[0] < 0.060 and _section(part)[1] <= 0.30


def upright_post(part: Part) -> bool:
    """Upright, slender, the section's smaller side 60 to 300 mm."""
    return _upright(part) and 0.060 <= _section(part)[0] <= 0.30


def _upright(part: Part) -> bool:
    direction = _axis_direction(part)
    return direction is not None and part.radius is None and abs(float(direction[2])) > 0.99


def level_timber(part: Part) -> bool:
    """Level, slender, section 15 to 450 mm."""
    direction = _axis_direction(part)
    low, high = _section(part)
    return direction is not None and abs(float(direction[2])) < 0.05 and low >= 0.015 and high <= 0.45


def level_plate(part: Part) -> bool:
    """Level timber lying flat, 30 to 100 mm thick."""
    box = part.box
    return box is not None and level_timber(part) and _lies_flat(box) and 0.030 <= _section(part)[0] <= 0.10


def sloping_timber(part: Part) -> bool:
    """Slender and neither level nor upright."""
    direction = _axis_direction(part)
    return direction is not None and part.radius is None and 0.05 <= abs(float(direction[2])) <= 0.95


def thin_upright_panel(part: Part) -> bool:
    """Upright panel up to 40 mm thick and at least 300 mm wide and high."""
    box = part.box
    if box is None:
        return False
    thin = int(np.argmin(box.half))
    rest = np.delete(box.half, thin)
    return 2 * box.half[thin] <= 0.040 and abs(float(box.axes[thin, 2])) < 0.1 and bool(rest.min() >= 0.15)


def steel_rod(part: Part) -> bool:
    """Long and round (or square), 6 to 50 mm across."""
    low, high = _section(part)
    return part.axis is not None and low >= 0.006 and high <= 0.050 and high <= 1.3 * low + 1e-6


def round_pipe(part: Part) -> bool:
    """Round and long, 30 to 400 mm outside."""
    return part.axis is not None and part.radius is not None and 0.015 <= part.radius <= 0.20


def small_block(part: Part) -> bool:
    """No side longer than 900 mm."""
    return part.box is not None and bool((2 * part.box.half).max() <= 0.90)


def small_flat_plate(part: Part) -> bool:
    """Lying flat, at most 30 mm thick and 300 mm wide."""
    box = part.box
    return box is not None and _lies_flat(box) and 2 * box.half.min() <= 0.030 and 2 * box.half.max() <= 0.30


def thin_upright_strip(part: Part) -> bool:
    """Upright strip up to 6 mm thick, 20 to 150 mm wide and at least 300 mm long."""
    box = part.box
    if box is None:
        return False
    sizes = np.sort(2 * box.half)
    upright = abs(float(box.axes[int(np.argmax(box.half)), 2])) > 0.9
    return bool(upright and sizes[0] <= 0.006 and 0.020 <= sizes[1] <= 0.150 and sizes[2] >= 0.30)


def flat_slab(part: Part) -> bool:
    """Level and thin against its spread, at least 1 m each way."""
    box = part.box
    if box is None or not _lies_flat(box):
        return False
    sizes = np.sort(2 * box.half)
    return bool(sizes[1] >= 1.0 and sizes[0] <= 0.6)


def upright_wall(part: Part) -> bool:
    """Upright, 40 to 500 mm thick, at least 300 mm long and 1.5 m high."""
    box = part.box
    if box is None:
        return False
    flat = [k for k in range(3) if abs(float(box.axes[k, 2])) < 0.1]
    if len(flat) != 2:
        return False
    height = 2 * float(box.half[3 - flat[0] - flat[1]])
    thick, long = sorted(2 * float(box.half[k]) for k in flat)
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
    return _length(part) if part.box is not None else None
