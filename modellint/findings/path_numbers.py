"""The numbers behind the loads of a wall end's chain: lever arm, pull by load case, break-even, push, movement."""

from __future__ import annotations

from math import isfinite

from modellint.findings.report import PathNumber
from modellint.graph.continuous_rod import is_continuous
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask
from modellint.measures.quantity import Quantity
from modellint.measures.wall_loads import end_cases

OF_END = (
    ("lever_arm", "lever arm"),
    ("break_even_moment", "overturning moment at break-even"),
    ("tie_may_move", "way the tie could move further in"),
    ("push_demand", "push on the end post"),
    ("post_bearing", "plate under the post takes"),
    ("post_strength", "end post takes"),
)
OF_ROD = (
    ("rod_stretch", "stretch of the rod at this storey"),
    ("rod_stretch_total", "stretch of the rod from the foundation up"),
    ("floor_shrinkage", "shrinkage of this storey's wood"),
    ("rod_movement", "lift before the rod holds"),
)
OF_SEGMENT = (
    ("unit_shear", "shear along the wall"),
    ("sheathing_capacity", "sheathing and nails take"),
    ("plate_uplift", "uplift of the sole plate between the ends"),
    ("wall_deflection", "deflection at the top of the wall"),
)
OF_LINE = (
    ("sill_shear", "shear at the sill of the whole wall"),
    ("sill_bolts_take", "its anchor bolts take together"),
)


def numbers_of(end: WallEnd, ask: Ask) -> tuple[PathNumber, ...]:
    """Numbers of all ends of a chain, from the top; what is not known at all is left out."""
    rows: list[PathNumber] = []
    current: WallEnd | None = end
    while current is not None:
        storey = current.line.storey
        cases = end_cases(current, ask)
        for case in cases if len(cases) > 1 else ():
            rows += _row(f"pull, {case.name}", storey, ask.measure("uplift_demand_in", current, case))
            rows += _row(f"weakest link takes, {case.name}", storey, ask.measure("chain_capacity_in", current, case))
        for name, said in (*OF_END, *(OF_ROD if is_continuous(current) else ())):
            rows += _row(said, storey, ask.measure(name, current))
        for name, said in OF_SEGMENT:
            rows += _row(said, storey, ask.measure(name, current.segment))
        for name, said in OF_LINE if current.on_foundation and current.below is None else ():
            rows += _row(said, storey, ask.measure(name, current.line))
        current = current.below
    return tuple(rows)


def _row(name: str, storey: str, value: Quantity) -> list[PathNumber]:
    low, high = (bound if isfinite(bound) else None for bound in (value.low, value.high))
    if (high is None and not low) or low == high == 0.0:
        return []
    return [PathNumber(name, storey, low, high, value.dimension, value.level)]
