"""Seeded defects: each a small change of the clean house, with the rule that must see it and where."""

from __future__ import annotations

from . import crossings, ground, models, ties, vents, walls
from .base import Defect, Where

DEFECTS: tuple[Defect, ...] = (
    *ties.DEFECTS,
    *walls.DEFECTS,
    *vents.DEFECTS,
    *ground.DEFECTS,
    *crossings.DEFECTS,
    *models.DEFECTS,
)

__all__ = ["DEFECTS", "Defect", "Where"]
