"""A vent's fingerprint: one word that changes when any of its pieces or joints changes."""

from __future__ import annotations

from hashlib import sha256

import numpy as np

from modellint.contacts.polylines import arc_lengths, usable
from modellint.graph.pipe_nodes import Piece, VentRun


def fingerprint(run: VentRun) -> str:
    """Twelve hex digits over the pieces of a vent (length, rise, size) and how they are joined.

    Heights and lengths count to a millimetre and relative to the run, so a moved or turned house keeps it.
    """
    gas, base = _gas(run)
    rows = [_piece(piece, base) for piece in gas]
    rows += sorted(row for row, _ in _joints(run))
    return sha256("\n".join(rows).encode()).hexdigest()[:12]


def piece_fingerprints(run: VentRun) -> dict[str, str]:
    """Part key to six hex digits over one piece (length, rise, height, size) and the joints it is part of.

    With these on record a changed vent tells which of its pieces the test no longer covers.
    """
    gas, base = _gas(run)
    joints = _joints(run)
    found = {}
    for piece in gas:
        own = sorted(row for row, keys in joints if piece.part.key in keys)
        found[piece.part.key] = sha256("\n".join([_piece(piece, base), *own]).encode()).hexdigest()[:6]
    return found


def _gas(run: VentRun) -> tuple[list[Piece], float]:
    """The vent's own pieces by key, and the level of the lowest pipe, metres."""
    gas = [
        piece
        for key, piece in sorted(run.network.pieces.items())
        if run.network.colour_of.get(key) != "plumbing"
    ]
    lows = [float(piece.line[:, 2].min()) for piece in gas if piece.line is not None and usable(piece.line)]
    return gas, min(lows, default=0.0)


def _joints(run: VentRun) -> list[tuple[str, tuple[str, str]]]:
    found = []
    for joint in run.network.joints:
        a, b = sorted((joint.first.part.key, joint.second.part.key))
        found.append((f"{a}+{b}:{joint.state}", (a, b)))
    return found


def _piece(piece: Piece, base: float) -> str:
    size = f"{_mm(piece.outside)}/{_mm(piece.bore[0] if piece.bore else None)}"
    if piece.line is not None and usable(piece.line):
        ends = sorted(_mm(float(z) - base) for z in piece.line[[0, -1], 2])
        return f"{piece.part.key} {size} {_mm(float(arc_lengths(piece.line)[-1]))} {ends}"
    box = piece.part.box
    sides = sorted(_mm(2 * float(half)) for half in box.half) if box is not None else []
    height = _mm(float(box.centre[2]) - base) if box is not None and np.isfinite(box.centre[2]) else 0
    return f"{piece.part.key} {size} {sides} {height}"


def _mm(value: float | None) -> int:
    return round(value * 1000) if value is not None and np.isfinite(value) else -1
