"""Seeded defects."""

from .base import Defect, Where

DEFECTS: tuple[Defect, ...] = ()
