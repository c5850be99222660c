"""Seeded defects: each a small change of the clean house, with the rule that must see it and where."""

from __future__ import annotations

from . import crossings, demand, gravel, ground, models, records, ties, vents, vents_exit, vents_route, walls
from .base import Defect, Where

DEFECTS: tuple[Defect, ...] = (
    *ties.DEFECTS,
    *walls.DEFECTS,
    *vents.DEFECTS,
    *vents_route.DEFECTS,
    *vents_exit.DEFECTS,
    *gravel.DEFECTS,
    *records.DEFECTS,
    *ground.DEFECTS,
    *crossings.DEFECTS,
    *models.DEFECTS,
    *demand.DEFECTS,
)

__all__ = ["DEFECTS", "Defect", "Where"]
