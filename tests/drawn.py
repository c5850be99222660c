"""A three-storey house with three seeded defects, checked with drawings, for tests of drawings and pages."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path
from typing import Any

from modellint import pipeline
from sample_models.generator import DEFECTS, build, write

SEEDED = ("rod-missing", "riser-gap-42-mm", "bolt-too-far-from-end")


def seeded(manner: str = "semantic", house: str = "three-storey") -> dict[str, Any]:
    """Its report; the same dict each time, so do not change it."""
    return _without_shapes(manner, house)


def seeded_in_3d(manner: str = "semantic", house: str = "three-storey") -> dict[str, Any]:
    """Its report with the shapes of its parts; the same dict each time, so do not change it."""
    return _checked(manner, house)


@cache
def _without_shapes(manner: str, house: str) -> dict[str, Any]:
    return {key: value for key, value in _checked(manner, house).items() if key != "shapes"}


@cache
def _checked(manner: str, house: str) -> dict[str, Any]:
    model = build(house)
    for name in SEEDED:
        model = next(defect for defect in DEFECTS if defect.name == name).apply(model)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{house}.ifc"
        write(model, manner, path)
        return pipeline.check({"models": [str(path)], "drawings": True, "shapes": True})
