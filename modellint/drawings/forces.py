"""Force measures of a wall end, for the table beside its elevation."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any

from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, MeasureSpec


def forces_at(end: WallEnd, ask: Ask, measures: Mapping[str, MeasureSpec]) -> dict[str, Any]:
    """Force measures of a wall end known at least on one side, as `{name: {low, high, level}}`, newtons.

    A side that is not known is None. Nothing known gives no entry, never a number nobody gave.
    """
    found = {}
    for name in sorted(measures):
        spec = measures[name]
        if spec.dimension != "force" or spec.item or "wall_end" not in spec.of:
            continue
        value = ask.measure(name, end)
        low = round(value.low) if isfinite(value.low) and value.low > 0 else None
        high = round(value.high) if isfinite(value.high) else None
        if low is not None or high is not None:
            found[name] = {"low": low, "high": high, "level": value.level}
    return found
