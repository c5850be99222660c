"""Pieces of a vent run and what each opposes to the air."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from modellint.engineering.estimate import Range
from modellint.engineering.fitting_losses import (
    LOSS_COEFFICIENTS,
    ElbowMake,
    elbow_equivalent_length,
    elbow_loss,
    reducer_loss,
)


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight pipe: length [m] and bore [m]."""

    length: float
    bore: float


@dataclass(frozen=True, slots=True)
class Elbow:
    """A bend: turning angle [degree], bore [m] and how tight it is."""

    angle: float
    bore: float
    make: ElbowMake = "unknown"


@dataclass(frozen=True, slots=True)
class Tee:
    """A tee that the air passes straight (``run``) or round the corner (``branch``); bore [m]."""

    bore: float
    way: Literal["run", "branch", "unknown"] = "unknown"


@dataclass(frozen=True, slots=True)
class Reducer:
    """A change of bore [m] in the direction of the air."""

    bore_before: float
    bore_after: float


Piece = Straight | Elbow | Tee | Reducer


@dataclass(frozen=True, slots=True)
class Resistance:
    """What one piece opposes to the air.

    Attributes:
        bore: Bore at whose speed it counts [m].
        length: Lowest and highest equivalent length [m].
        loss: Lowest and highest loss coefficient K.
    """

    bore: float
    length: Range = (0.0, 0.0)
    loss: Range = (0.0, 0.0)


def _standard_elbow(bore: float, angle: int, make: ElbowMake) -> Resistance:
    length = elbow_equivalent_length(bore, angle, make)
    if length is not None:
        return Resistance(bore, length=length)
    return Resistance(bore, loss=elbow_loss(angle, make))


def _elbow(elbow: Elbow) -> Resistance:
    """Bracket any angle by the listed ones next to it: 0, 45, 90 and two of 90 degrees."""
    angle = abs(elbow.angle)
    right = _standard_elbow(elbow.bore, 90, elbow.make)
    half = _standard_elbow(elbow.bore, 45, elbow.make)
    if abs(angle - 45.0) <= 2.0:
        return half
    if abs(angle - 90.0) <= 2.0:
        return right
    nothing = Resistance(elbow.bore)
    twice = Resistance(
        elbow.bore, (2 * right.length[0], 2 * right.length[1]), (2 * right.loss[0], 2 * right.loss[1])
    )
    below, above = (nothing, half) if angle < 45.0 else (half, right) if angle < 90.0 else (right, twice)
    return Resistance(elbow.bore, (below.length[0], above.length[1]), (below.loss[0], above.loss[1]))


def resistance(piece: Piece) -> Resistance:
    """Return what a piece opposes to the air, as a range where its make is not known.

    Args:
        piece: Straight pipe, elbow, tee or reducer.

    Returns:
        Equivalent length and loss coefficient.
    """
    if isinstance(piece, Straight):
        return Resistance(piece.bore, length=(piece.length, piece.length))
    if isinstance(piece, Elbow):
        return _elbow(piece)
    if isinstance(piece, Reducer):
        loss = reducer_loss(piece.bore_before, piece.bore_after)
        return Resistance(min(piece.bore_before, piece.bore_after), loss=loss)
    run, branch = LOSS_COEFFICIENTS["tee run"], LOSS_COEFFICIENTS["tee branch"]
    loss = {"run": run, "branch": branch, "unknown": (run[0], branch[1])}[piece.way]
    return Resistance(piece.bore, loss=loss)


def equivalent_length(pieces: Iterable[Piece]) -> Range:
    """Return the equivalent length of a run: pipe plus elbows by the published table.

    Tees, reducers, and elbows of a bore that the table lacks are not part of it.

    Args:
        pieces: The run.

    Returns:
        Shortest and longest length [m].
    """
    lengths = [resistance(piece).length for piece in pieces]
    return sum(low for low, _ in lengths), sum(high for _, high in lengths)
