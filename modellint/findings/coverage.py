"""What was recognised: per building and role, by which rung, on which storeys, drawn at n of m places."""

from __future__ import annotations

from collections import defaultdict

from modellint.findings.report import RoleCoverage
from modellint.graph.house import GROUPS, House
from modellint.graph.storeys import storey_at, storeys_of


def coverage(house: House) -> list[RoleCoverage]:
    """One row per role found or expected, sorted by role."""
    storeys = storeys_of(house.model, house.key)
    found: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    where: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for part in house.parts.values():
        for role, rung in part.roles.items():
            found[role][rung.word] += 1
            storey = storey_at(storeys, float(part.box.low[2])) if part.box is not None else None
            if storey is not None:
                where[role][storey.name] += 1
    rows = []
    for role in sorted({*found, *(role for role, row in house.completeness.items() if row.places)} - GROUPS.keys()):
        state = house.completeness.get(role)
        rows.append(
            RoleCoverage(
                role,
                house.name,
                dict(sorted(found[role].items())),
                state.drawn if state else 0,
                state.places if state else 0,
                bool(state and state.complete),
                state.ground if state else "",
                dict(sorted(where[role].items())),
            )
        )
    return rows
