"""Shear walls sheathed on both faces: what of the second face counts (SDPWS 4.3.3.3, 2021: 4.3.5.4)."""

from __future__ import annotations

from dataclasses import dataclass

from modellint.engineering.require import not_negative, one_of, positive
from modellint.engineering.sheathing_table import LOADS
from modellint.engineering.source import Source
from modellint.engineering.source_book import RESTATED

SOURCES = {
    "two_faces": Source("standard", "SDPWS 2015 and 2021", "4.3.3.3 and 4.3.5.4", memory=True),
    "two_faces@identical": Source("standard", "SDPWS 2021", "4.3.5.4.1", note=RESTATED),
    "combined_stiffness": Source("standard", "SDPWS 2015", "4.3.3.3.1", memory=True),
}

SAME_SLACK = 1e-9


@dataclass(frozen=True)
class Face:
    """One sheathed face.

    Attributes:
        material: `wood_structural_panel` or `gypsum` (or another word; equal words are the same material).
        unit_shear: nominal or design unit shear [N/m]; both faces at the same level.
        stiffness: apparent stiffness G_a [N/m], None if unknown.
    """

    material: str
    unit_shear: float
    stiffness: float | None = None


def combined_stiffness(first: float, second: float) -> float:
    """Stiffness of a wall sheathed on both faces: the sum [N/m].

    Raises:
        ValueError: a negative stiffness.
    """
    return not_negative(first, "Stiffness") + not_negative(second, "Stiffness")


def two_faces(first: Face, second: Face, load: str) -> tuple[float, str]:
    """Unit shear of a wall with both faces sheathed [N/m], and the rule that gave it.

    Rules: `identical` faces add; `by stiffness` for the same material with unlike strength, v = ΣG_a ·
    min(v/G_a), but not under the larger face alone; `twice the smaller` or `larger alone` where stiffness is
    unknown or, for seismic load, materials differ; `wind adds` for panels with gypsum under wind.

    Args:
        first: one face.
        second: the opposite face.
        load: `wind` or `seismic`.

    Raises:
        ValueError: a unit shear not above zero, or unknown load.
    """
    one_of(load, LOADS, "Load")
    one, two = positive(first.unit_shear, "Unit shear"), positive(second.unit_shear, "Unit shear")
    if first.material != second.material:
        if load == "wind":
            return one + two, "wind adds"
    elif abs(one - two) <= SAME_SLACK * one and first.stiffness == second.stiffness:
        return one + two, "identical"
    elif first.stiffness and second.stiffness:
        shared = (first.stiffness + second.stiffness) * min(one / first.stiffness, two / second.stiffness)
        return (shared, "by stiffness") if shared >= max(one, two) else (max(one, two), "larger alone")
    doubled = 2.0 * min(one, two)
    return (doubled, "twice the smaller") if doubled >= max(one, two) else (max(one, two), "larger alone")
