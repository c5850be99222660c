"""Which of several load cases governs: the one that uses up the largest share of what is there to carry it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite

from modellint.measures.ask import Ask
from modellint.measures.quantity import Evidence, Quantity, Subject
from modellint.measures.wall_loads import LoadCase


@dataclass(frozen=True)
class Governing:
    """The governing load case with its demand; the evidence names the shares of the others."""

    case: LoadCase
    demand: Quantity


def governing(subject: Subject, cases: Sequence[LoadCase], demand: str, capacity: str, ask: Ask) -> Governing:
    """The load case that comes out worst: one that fails before one that cannot be told before one that holds.

    Among those the largest share of the capacity, then the first in file order. A larger force does not govern
    where more is there to carry it: seismic and wind strengths differ.

    Args:
        subject: what both measures are asked of, with the case as item.
        cases: at least one.
        demand, capacity: names of two measures with an item of kind `load_case`.
        ask: reads both.
    """
    if len(cases) == 1:
        return Governing(cases[0], ask.measure(demand, subject, cases[0]))
    rows = [(case, ask.measure(demand, subject, case), ask.measure(capacity, subject, case)) for case in cases]
    case, value, _ = max(rows, key=lambda row: (*_rank(row[1], row[2]), -cases.index(row[0])))
    said = "; ".join(f"{one.name} {_percent(had, takes)}" for one, had, takes in rows)
    seen = Evidence(f"{case.name} governs; share of what can be carried: {said}", case.name)
    return Governing(case, replace(value, evidence=(*value.evidence, seen)))


def _rank(demand: Quantity, capacity: Quantity) -> tuple[int, float, float]:
    like = demand.level == capacity.level or demand.high == 0.0
    if like and demand.low > capacity.high:
        return 2, _share(demand.low, capacity.high), demand.low
    if like and demand.high <= capacity.low:
        return 0, _share(demand.high, capacity.low), demand.high
    return 1, _share(demand.low, capacity.high), demand.low


def _share(demand: float, capacity: float) -> float:
    if capacity <= 0:
        return inf if demand > 0 else 0.0
    return demand / capacity if isfinite(demand) and isfinite(capacity) else 0.0


def _percent(demand: Quantity, capacity: Quantity) -> str:
    like = demand.level == capacity.level and demand.known and capacity.known and capacity.low > 0
    return f"{demand.low / capacity.low:.0%}" if like else "not known"
