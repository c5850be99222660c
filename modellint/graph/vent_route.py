"""The way of the air through a vent, piece by piece: lengths, turns and bores from suction to exit."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from modellint.contacts.polylines import arc_lengths, nearest_on, usable
from modellint.graph.pipe_ends import words_of
from modellint.graph.pipe_nodes import Piece, VentRun
from modellint.ifc.solid import Array
from modellint.roles.part import Part

_SWEEP = re.compile(r"\b(sweep|long radius|long turn|swept)\b")
_SHARP = re.compile(r"\b(sharp|short radius|short turn|street|mitre|miter)\b")


@dataclass(frozen=True, eq=False)
class Leg:
    """One piece on the way.

    Attributes:
        kind: `straight`, `elbow`, `tee` or `reducer`.
        length: of a straight, metres.
        angle: by which an elbow turns the air, degrees.
        make: `sweep`, `sharp` or `unknown` for an elbow.
        bore: possible inside diameter, metres; None if not known.
        before: bore on the side the air comes from, for a reducer.
        line: (n, 3) of a straight in the direction of the air.
    """

    kind: str
    part: Part
    length: float = 0.0
    angle: float = 0.0
    make: str = "unknown"
    bore: tuple[float, float] | None = None
    before: tuple[float, float] | None = None
    line: Array | None = None


def legs_of(run: VentRun) -> tuple[Leg, ...] | None:
    """Legs of a run from its suction point to its exit; None where a pipe on the way has no centre line."""
    pieces = [run.network.pieces[key] for key in run.order]
    legs: list[Leg] = []
    for k, piece in enumerate(pieces):
        if piece.kind == "pipe":
            if piece.line is None or not usable(piece.line):
                return None
            legs.append(_straight(run, pieces, k))
            continue
        before = next((p for p in reversed(pieces[:k]) if p.kind == "pipe" and p.line is not None), None)
        after = next((p for p in pieces[k + 1 :] if p.kind == "pipe" and p.line is not None), None)
        if before is not None and after is not None:
            legs += _fitting(piece, before, after)
    return tuple(legs)


def _straight(run: VentRun, pieces: list[Piece], k: int) -> Leg:
    """A pipe, or the part of it between the pieces it is joined to on the way."""
    piece = pieces[k]
    assert piece.line is not None
    low, high = 0.0, float(arc_lengths(piece.line)[-1])
    stations = []
    for other in (pieces[k - 1] if k else None, pieces[k + 1] if k + 1 < len(pieces) else None):
        stations.append(None if other is None else _station(run, piece, other))
    start, end = stations
    if start is None:
        start = high if end is not None and end < (low + high) / 2 else low
    if end is None:
        end = low if start > (low + high) / 2 else high
    line = piece.line if start <= end else piece.line[::-1]
    return Leg("straight", piece.part, abs(end - start), bore=piece.bore, line=line)


def _station(run: VentRun, piece: Piece, other: Piece) -> float | None:
    assert piece.line is not None
    for joint in run.network.joints:
        ends = (joint.first, joint.second)
        if {end.part.key for end in ends} == {piece.part.key, other.part.key}:
            own = next(end for end in ends if end.part.key == piece.part.key)
            if own.key in piece.along:
                return piece.along[own.key]
            point = joint.point if joint.point is not None else own.point
            if point is not None:
                return nearest_on(piece.line, point)[1]
    return None


def _fitting(piece: Piece, before: Piece, after: Piece) -> list[Leg]:
    angle = turn_between(before, after)
    words = words_of(piece.part)
    bore = piece.bore or before.bore
    legs = []
    if piece.needs == 3 or "tee" in words.split():
        legs.append(Leg("tee", piece.part, angle=angle, bore=bore))
    elif angle > 5.0:
        make = "sweep" if _SWEEP.search(words) else "sharp" if _SHARP.search(words) else "unknown"
        legs.append(Leg("elbow", piece.part, angle=angle, make=make, bore=bore))
    if before.bore and after.bore and abs(before.bore[0] - after.bore[0]) > 0.004:
        legs.append(Leg("reducer", piece.part, bore=after.bore, before=before.bore))
    return legs


def turn_between(before: Piece, after: Piece) -> float:
    """Angle between the lines of two pipes, taken as a turn of at most 90 degrees at their nearer ends."""
    first, second = _toward(before, after), _toward(after, before)
    cosine = float(np.clip(first @ -second, -1.0, 1.0))
    return float(np.degrees(np.arccos(cosine)))


def _toward(piece: Piece, other: Piece) -> Array:
    """Unit direction of a pipe toward its end that is nearer to another pipe."""
    assert piece.line is not None
    assert other.line is not None
    middle = other.line.mean(axis=0)
    last = np.linalg.norm(piece.line[-1] - middle) <= np.linalg.norm(piece.line[0] - middle)
    step = piece.line[-1] - piece.line[0] if last else piece.line[0] - piece.line[-1]
    return np.asarray(step / max(float(np.linalg.norm(step)), 1e-9))
