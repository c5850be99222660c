"""Seeded defects: each a small change of the clean house, with the rule that must see it and where."""

from __future__ import annotations

from . import (
    crossings,
    demand,
    details,
    filing,
    gravel,
    ground,
    loads,
    models,
    records,
    ties,
    vents,
    vents_exit,
    vents_place,
    vents_route,
    vents_variants,
    walls,
)
from .base import Defect, Where

DEFECTS: tuple[Defect, ...] = (
    *ties.DEFECTS,
    *walls.DEFECTS,
    *vents.DEFECTS,
    *vents_route.DEFECTS,
    *vents_exit.DEFECTS,
    *vents_place.DEFECTS,
    *vents_variants.DEFECTS,
    *gravel.DEFECTS,
    *records.DEFECTS,
    *ground.DEFECTS,
    *crossings.DEFECTS,
    *models.DEFECTS,
    *demand.DEFECTS,
    *loads.DEFECTS,
    *details.DEFECTS,
    *filing.DEFECTS,
)

__all__ = ["DEFECTS", "Defect", "Where"]
