"""What fittings cost: equivalent lengths by nominal pipe size, and loss coefficients for the rest."""

from typing import Literal

from modellint.engineering.estimate import Range
from modellint.engineering.pipe_sizes import NOMINAL_SIZES, nominal_of_bore
from modellint.engineering.source import Source
from modellint.engineering.us_units import FT

ElbowMake = Literal["sweep", "sharp", "unknown"]
"""``sweep``: long radius; ``sharp``: short radius; ``unknown``: the model does not say."""

EQUIVALENT_LENGTH_SOURCE = Source(
    "standard",
    "ANSI/AARST CC-1000-2018",
    "companion guidance 8.6",
    grade="B",
    note="smooth solvent-welded pipe; the 6 in sharp 45 degree value was not seen",
)
ELBOW_EQUIVALENT_LENGTH: dict[tuple[int, int, str], float] = {
    (3, 90, "sweep"): 3 * FT,
    (3, 90, "sharp"): 11 * FT,
    (3, 45, "sweep"): 2 * FT,
    (3, 45, "sharp"): 5 * FT,
    (4, 90, "sweep"): 6 * FT,
    (4, 90, "sharp"): 15 * FT,
    (4, 45, "sweep"): 3 * FT,
    (4, 45, "sharp"): 6 * FT,
    (6, 90, "sweep"): 15 * FT,
    (6, 90, "sharp"): 20 * FT,
    (6, 45, "sweep"): 6 * FT,
}
"""Equivalent length of an elbow [m] by nominal size [in], angle [degree] and make."""

EQUIVALENT_LENGTH_LIMIT: dict[int, float] = {3: 75 * FT, 4: 150 * FT, 6: 440 * FT}
"""Longest equivalent length of a run from soil to exhaust [m] by nominal size [in]."""
LENGTH_LIMIT_SOURCE = Source("standard", "ANSI/AARST CC-1000-2018", "8.6", grade="B")

LOSS_SOURCE = Source(
    "handbook",
    "Handbook tables of minor losses",
    "entrance, exit, elbow, tee",
    grade="B",
    note="tables disagree on the short 90 degree elbow (0.9 or 1.5): both ends are kept",
)
LOSS_COEFFICIENTS: dict[str, Range] = {
    "entrance": (0.5, 0.5),
    "entrance re-entrant": (0.8, 1.0),
    "exit": (1.0, 1.0),
    "elbow 90 sweep": (0.2, 0.3),
    "elbow 90 sharp": (0.9, 1.5),
    "elbow 90 mitre": (1.1, 1.3),
    "elbow 45 sweep": (0.2, 0.2),
    "elbow 45 sharp": (0.3, 0.42),
    "tee run": (0.2, 0.9),
    "tee branch": (1.0, 2.0),
}
"""Loss coefficient K, lowest and highest printed."""

SUDDEN_CHANGE_SOURCE = Source(
    "handbook",
    "Textbooks of fluid mechanics",
    "sudden enlargement (Borda and Carnot) and contraction",
    memory=True,
    grade="M",
)


def elbow_equivalent_length(bore: float, angle: int, make: ElbowMake) -> Range | None:
    """Return the published equivalent length of an elbow of 45 or 90 degrees.

    Args:
        bore: Inside diameter [m].
        angle: 45 or 90 [degree].
        make: How tight the bend is; unknown gives the span from sweep to sharp.

    Returns:
        Lowest and highest length [m]; None if the table has no row for that bore, angle and make.
    """
    size = nominal_of_bore(bore)
    makes = ("sweep", "sharp") if make == "unknown" else (make,)
    if size is None or any((size, angle, one) not in ELBOW_EQUIVALENT_LENGTH for one in makes):
        return None
    lengths = [ELBOW_EQUIVALENT_LENGTH[size, angle, one] for one in makes]
    return min(lengths), max(lengths)


def elbow_loss(angle: int, make: ElbowMake) -> Range:
    """Return the span of loss coefficients K of an elbow of 45 or 90 degrees.

    Args:
        angle: 45 or 90 [degree].
        make: How tight the bend is; unknown gives the span from sweep to sharp.

    Returns:
        Lowest and highest K.
    """
    makes = ("sweep", "sharp") if make == "unknown" else (make,)
    spans = [LOSS_COEFFICIENTS[f"elbow {angle} {one}"] for one in makes]
    return min(low for low, _ in spans), max(high for _, high in spans)


def reducer_loss(bore_before: float, bore_after: float) -> Range:
    """Return the loss of a change of bore, from a gentle taper (none) to a sudden step.

    Args:
        bore_before: Bore on the side the air comes from [m].
        bore_after: Bore on the side it goes to [m].

    Returns:
        Lowest and highest K, for the speed in the smaller bore.
    """
    ratio = (min(bore_before, bore_after) / max(bore_before, bore_after)) ** 2
    sudden = (1.0 - ratio) ** 2 if bore_after > bore_before else 0.5 * (1.0 - ratio)
    return 0.0, sudden


def length_limit(bore: float) -> float | None:
    """Return the longest equivalent length [m] for a bore [m], None if the standard lists none for it."""
    size = nominal_of_bore(bore)
    return None if size is None else EQUIVALENT_LENGTH_LIMIT.get(size)


def listed_sizes() -> tuple[int, ...]:
    """Return the nominal sizes [in] for which elbows are listed."""
    return tuple(size for size in NOMINAL_SIZES if (size, 90, "sweep") in ELBOW_EQUIVALENT_LENGTH)
