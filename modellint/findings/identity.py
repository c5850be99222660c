"""Which finding it is (id), and what was judged (state)."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256
from math import floor, isfinite

import numpy as np

from modellint.ifc.solid import Array
from modellint.measures.quantity import Evidence
from modellint.roles.part import Part

SHORT = 16


def _digest(rows: Iterable[str]) -> str:
    return sha256("\x1e".join(rows).encode()).hexdigest()[:SHORT]


def finding_id(rule: str, subject_key: str, item_key: str = "") -> str:
    """First 16 hex digits of sha256 over rule id, subject key and item key; no number, text or place."""
    return sha256("\x1f".join((rule, subject_key, item_key)).encode()).hexdigest()[:SHORT]


def millimetres(metres: float) -> int:
    """Whole millimetres; a value on the half goes up even when a turned model adds noise below 0.3 µm."""
    return floor(metres * 1000 + 0.5003) if isfinite(metres) else -(10**9)


def state(host: Part | None, parts: Iterable[Part], evidence: Iterable[Evidence] = ()) -> str:
    """Fingerprint of what was judged, the same for a moved, turned or mirrored house.

    Args:
        host: part whose long side is the reference for places (the wall of an end, the first pipe of a run);
            the first drawn part by key if None or undrawn.
        parts: all parts that the outcome rests on (the recorded reads).
        evidence: facts of the deciding values; those read from properties (text, or named "IFC property …")
            count.
    """
    ordered = sorted({part.key: part for part in parts}.values(), key=lambda part: part.key)
    frame = _frame(host) or next((found for found in map(_frame, ordered) if found), None)
    rows = [_part_row(part, frame) for part in ordered]
    rows += sorted(
        {
            _evidence_row(fact)
            for fact in evidence
            if isinstance(fact.value, str) or fact.what.startswith("IFC property")
        }
    )
    return _digest(rows)


def _frame(part: Part | None) -> tuple[Array, Array] | None:
    """Both ends of a part's longest side, the lower first."""
    if part is None or part.box is None:
        return None
    long = int(np.argmax(part.box.half))
    reach = part.box.axes[long] * part.box.half[long]
    ends = sorted((part.box.centre - reach, part.box.centre + reach), key=lambda end: round(float(end[2]), 4))
    return ends[0], ends[1]


def _place(point: Array, frame: tuple[Array, Array]) -> str:
    """Plan distances to both ends of the frame (in either order) and height over its lower end, 1 mm."""
    plan = sorted(millimetres(float(np.hypot(*(point - end)[:2]))) for end in frame)
    return f"{plan[0]},{plan[1]},{millimetres(float(point[2] - frame[0][2]))}"


def _part_row(part: Part, frame: tuple[Array, Array] | None) -> str:
    roles = ",".join(f"{role}={rung.word}" for role, rung in sorted(part.roles.items()))
    section = ",".join(
        "-" if size is None else str(millimetres(size))
        for size in (part.radius, part.inner_radius, part.thickness)
    )
    if part.box is None or frame is None:
        return f"{part.key}|{roles}|{section}|undrawn"
    sizes = ",".join(str(size) for size in sorted(millimetres(2 * float(half)) for half in part.box.half))
    return f"{part.key}|{roles}|{section}|{sizes}|{_place(part.box.centre, frame)}"


def _evidence_row(fact: Evidence) -> str:
    value = f"{fact.value:.9g}" if isinstance(fact.value, int | float) else str(fact.value)
    what = fact.what if fact.what.startswith("IFC property") else ""
    return f"{what}|{value}|{fact.dimension}|{fact.global_id}"
