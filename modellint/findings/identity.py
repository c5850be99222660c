"""Which finding it is (id), and what was judged (state)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from math import floor, isfinite

import numpy as np

from modellint.ifc.solid import Array
from modellint.measures.quantity import Evidence
from modellint.roles.part import Part

SHORT = 16
LEVEL = 0.98


def _digest(rows: Iterable[str]) -> str:
    return sha256("\x1e".join(rows).encode()).hexdigest()[:SHORT]


def finding_id(rule: str, subject_key: str, item_key: str = "") -> str:
    """First 16 hex digits of sha256 over rule id, subject key and item key; no number, text or place."""
    return sha256("\x1f".join((rule, subject_key, item_key)).encode()).hexdigest()[:SHORT]


def millimetres(metres: float) -> int:
    """Whole millimetres for a fingerprint.

    The edge between two of them lies at 0.628 mm, 3 µm away from any multiple of 1/32 in and of 0.1 mm, so that
    the noise of a turned or far-away export does not carry a drawn size over it.
    """
    return floor(metres * 1000 + 0.371875) if isfinite(metres) else -(10**9)


def state(hosts: Iterable[Part], parts: Iterable[Part], evidence: Iterable[Evidence] = ()) -> str:
    """Fingerprint of what was judged, the same for a moved, turned or mirrored house and under other GlobalIds.

    Args:
        hosts: parts that may be the reference for places (the walls of an end, the pipes of a run); the one
            is taken that stands out by size and place, not by key. Any drawn part if none is drawn.
        parts: all parts that the outcome rests on (the recorded reads).
        evidence: facts of the deciding values; those read from properties (text, or named "IFC property …")
            count.
    """
    every = list({part.key: part for part in parts}.values())
    frame = _frame(list(hosts), every)
    rows = sorted(_part_row(part, frame) for part in every)
    rows += sorted(
        {
            _evidence_row(fact)
            for fact in evidence
            if isinstance(fact.value, str) or fact.what.startswith("IFC property")
        }
    )
    return _digest(rows)


@dataclass(frozen=True)
class _Frame:
    """Reference of places: a point, a level direction (None for an upright host) and a second point."""

    origin: Array
    along: Array | None
    middle: Array


def _frame(hosts: list[Part], parts: list[Part]) -> _Frame | None:
    """The frame of the longest level host; among equals the one that its distance from the middle of all tells apart.

    Distances along and across a level part are mostly drawn sizes, far from the edges of rounding; distances
    from an upright one are not, so it is the reference only where nothing level is there.
    """
    drawn = [part for part in parts if part.box is not None]
    candidates = list({part.key: part for part in hosts if part.box is not None}.values()) or drawn
    if not candidates:
        return None
    centres = np.array([middle_of(part) for part in drawn or candidates])
    middle = np.array([*centres[:, :2].mean(axis=0), centres[:, 2].min()])
    level = [part for part in candidates if _level_axis(part) is not None]
    level = level or [part for part in drawn if _level_axis(part) is not None]
    host = min(level or candidates, key=lambda part: (_standing(part, middle), part.key))
    along = _level_axis(host)
    return _Frame(middle_of(host), along, middle)


def _level_axis(part: Part) -> Array | None:
    """(2,) plan direction of a drawn part's longest side; None if it is not level (nor falls a little)."""
    assert part.box is not None
    axis = part.box.axes[int(np.argmax(part.box.half))]
    level = float(np.hypot(axis[0], axis[1]))
    return axis[:2] / level if level > LEVEL else None


def _standing(part: Part, middle: Array) -> tuple[object, ...]:
    sizes = (-millimetres(side) for side in sides_of(part)[:3])
    centre = middle_of(part)
    away = millimetres(float(np.hypot(*(centre - middle)[:2])))
    return (*sizes, millimetres(float(centre[2] - middle[2])), -away)


def _place(point: Array, frame: _Frame) -> str:
    """Plan distances in the frame, whichever way it points, and the height over its origin, 1 mm."""
    offset = (point - frame.origin)[:2]
    if frame.along is None:
        plan = (float(np.hypot(*offset)), float(np.hypot(*(point - frame.middle)[:2])))
    else:
        across = float(offset[1] * frame.along[0] - offset[0] * frame.along[1])
        plan = (abs(float(offset @ frame.along)), abs(across))
    return f"{millimetres(plan[0])},{millimetres(plan[1])},{millimetres(float(point[2] - frame.origin[2]))}"


def middle_of(part: Part) -> Array:
    """Middle of a drawn part, the same however the house is turned: of its box, or of its own several bodies."""
    assert part.box is not None
    if len(part.solids) < 2 or part.members:
        return part.box.centre
    middle: Array = np.mean([solid.box.centre for solid in part.solids], axis=0)
    return middle


def sides_of(part: Part) -> tuple[float, ...]:
    """Sides of a drawn part in metres, the longest first; of each body in turn where it has several of its own."""
    assert part.box is not None
    several = len(part.solids) > 1 and not part.members
    boxes = [solid.box for solid in part.solids] if several else [part.box]
    sides = sorted((sorted((2 * float(half) for half in box.half), reverse=True) for box in boxes), reverse=True)
    return tuple(side for three in sides for side in three)


def _part_row(part: Part, frame: _Frame | None) -> str:
    roles = ",".join(f"{role}={rung.word}" for role, rung in sorted(part.roles.items()))
    section = ",".join(
        "-" if size is None else str(millimetres(size))
        for size in (part.radius, part.inner_radius, part.thickness)
    )
    if part.box is None or frame is None:
        return f"{roles}|{section}|undrawn"
    sizes = ",".join(str(millimetres(side)) for side in sides_of(part))
    return f"{roles}|{section}|{sizes}|{_place(middle_of(part), frame)}"


def _evidence_row(fact: Evidence) -> str:
    value = f"{fact.value:.9g}" if isinstance(fact.value, int | float) else str(fact.value)
    what = fact.what if fact.what.startswith("IFC property") else ""
    return f"{what}|{value}|{fact.dimension}"
