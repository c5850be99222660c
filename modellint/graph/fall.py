"""Fall of pipes: the drop of the invert toward the suction side over the length in plan."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from modellint.graph.pipe_nodes import Piece, Span
from modellint.ifc.solid import Array

UPRIGHT = 1000.0
"""Slope that stands for an upright stretch draining the right way; its negative for one standing on its
head."""


@dataclass(frozen=True)
class Fall:
    """Possible fall of a piece toward its suction side.

    Attributes:
        low, high: as a tangent; negative falls away from the suction side.
        upright: all of it is vertical.
        drop, run: of the governing stretch, metres; drop positive toward the suction side.
        low_point: the lower end of the governing stretch.
        reason: why that side is the suction side; "" if it is not known.
    """

    low: float
    high: float
    upright: bool
    drop: float
    run: float
    low_point: Array
    reason: str


def slope_of(start: Array, end: Array, bore: float, vertical: float) -> tuple[float, float, float]:
    """Fall of one straight stretch from `start` toward `end`: (slope, drop, run in plan).

    The inverts lie half the bore under the axis at both ends, so a pipe of one bore falls as its axis does.

    Args:
        start, end: (3,) axis points, metres.
        bore: inside diameter, metres.
        vertical: stretches shorter than this in plan are vertical, metres.
    """
    invert_start, invert_end = float(start[2]) - bore / 2, float(end[2]) - bore / 2
    drop = round(invert_start - invert_end, 7)  # a tenth of a micrometre: noise of far coordinates
    run = float(np.hypot(*(end - start)[:2]))
    if run < vertical:
        return (UPRIGHT if drop > 0 else -UPRIGHT if drop < 0 else 0.0), drop, run
    return float(np.clip(drop / run, -UPRIGHT, UPRIGHT)), drop, run


def fall_of(piece: Piece, vertical: float) -> Fall | None:
    """Least fall over all stretches of a pipe; None if it has no centre line or no length."""
    bore = piece.bore[0] if piece.bore else 0.0
    found: list[Fall] = []
    for span in piece.spans:
        found += _span_falls(span, bore, vertical)
    if not found:
        return None
    worst = min(found, key=lambda fall: (fall.low, fall.high))
    sure = min(fall.high for fall in found)
    return Fall(
        worst.low,
        sure,
        all(fall.upright for fall in found),
        worst.drop,
        worst.run,
        worst.low_point,
        worst.reason,
    )


def _span_falls(span: Span, bore: float, vertical: float) -> list[Fall]:
    line = span.line if span.toward != "first" else span.line[::-1]
    total = float(np.linalg.norm(line[-1] - line[0]))
    found = []
    for start, end in _stretches(line, vertical):
        slope, drop, run = slope_of(start, end, bore, vertical)
        if total > 1e-9 and np.linalg.norm(end - start) > 1e-9:
            low, high = (slope, slope) if span.toward in {"first", "second"} else (-abs(slope), abs(slope))
            lower = end if end[2] <= start[2] else start
            found.append(Fall(low, high, run < vertical, drop, run, lower, span.reason))
    return found


def _stretches(line: Array, vertical: float) -> list[tuple[Array, Array]]:
    """A straight line as one stretch, a bent one segment by segment."""
    if len(line) == 2 or _straight(line):
        return [(line[0], line[-1])]
    return list(itertools.pairwise(line))


def _straight(line: Array) -> bool:
    chord = line[-1] - line[0]
    size = float(np.linalg.norm(chord))
    if size < 1e-9:
        return False
    offsets = np.linalg.norm(np.cross(line - line[0], chord / size), axis=1)
    return float(offsets.max()) < 0.0005
