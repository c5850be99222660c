"""Measures of loads and capacities that two sources give: do they agree?"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from modellint.engineering.load_levels import holds_for, load_level
from modellint.graph.house import BuildingSubject
from modellint.graph.wall_nodes import WallEnd, WallLine
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, truth, unknown
from modellint.measures.schedule_rows import end_rows, tie_mark_of, tie_rows_of
from modellint.measures.wall_loads import WHAT_IF, scheduled_loads, stated_load, supposed
from modellint.roles.part import Part, Rung


@measure("truth", of="wall_end", example="true where the pull is given and the storey shear as well")
def demand_given_twice(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the pull is given for the end and can be worked out from the wall's shear, too."""
    return truth(ask.measure("uplift_given", end).known and ask.measure("uplift_computed", end).known)


@measure("ratio", of="wall_end", example="0.05 for 12.0 kN given and 11.4 kN by statics")
def demand_difference(end: WallEnd, ask: Ask) -> Quantity:
    """Difference between the given pull and the one from wall shear, over the larger of the two."""
    given, computed = ask.measure("uplift_given", end), ask.measure("uplift_computed", end)
    if not (given.known and computed.known):
        return unknown("ratio", *(given.missing or computed.missing), low=0.0)
    if given.level != computed.level:
        return unknown(
            "ratio", Missing("load level", end.name, "state the same load level for both"), low=0.0
        )
    return exact(
        _apart(given.low, computed.low),
        "ratio",
        *given.evidence,
        *computed.evidence,
        rung=min(given.rung, computed.rung),
    )


def _apart(one: float, other: float) -> float:
    larger = max(one, other)
    return abs(one - other) / larger if larger > 0 else 0.0


_Row = tuple[float, str, Evidence]


def _furthest(rows: list[_Row], unit: str) -> Quantity:
    """The largest difference between two statements at one level, and which two; 0 if there are no two."""
    pairs = [(_apart(a[0], b[0]), a, b) for a, b in combinations(rows, 2) if a[1] == b[1]]
    if not pairs:
        return exact(0.0, "ratio", text="no two values")
    apart, one, other = max(pairs, key=lambda row: row[0])
    words = " and ".join(f"{value / 1000:.4g} {unit} ({fact.what})" for value, _, fact in (one, other))
    return exact(apart, "ratio", one[2], other[2], rung=min(one[2].rung, other[2].rung), text=words)


@measure("ratio", of="wall_line", example="0.2 for 10 kN in the schedule and 8 kN as a property of the wall")
def shear_statements_apart(line: WallLine, ask: Ask) -> Quantity:
    """Largest difference between two statements of the wall's storey shear at one load level, over the larger.

    Rows of the wall-demand schedule and a property of the wall; 0 where there are no two.
    """
    loads, stated = list(scheduled_loads(line, ask)), stated_load(line, ask)
    if stated is not None and not stated.source.what.startswith(WHAT_IF):
        loads.append(stated)
    return _furthest([(load.shear, load.level, load.source) for load in loads], "kN")


@measure("ratio", of="wall_line", example="0.25 for a pull of 12 kN in the schedule and 9 kN as a property")
def pull_statements_apart(line: WallLine, ask: Ask) -> Quantity:
    """Largest difference between two statements of a pull at one load level, over the larger.

    Rows of the wall-end schedule for one end. A property of the wall is compared with the largest pull that the
    schedule gives for any of its ends at that level, since one value for the whole wall stands for the largest.
    """
    found = exact(0.0, "ratio", text="no two values")
    largest: dict[str, _Row] = {}
    for end in (end for segment in line.segments for end in segment.ends):
        rows = [
            (float(row.get("tension")), load_level(row.get("level") or ""),
             Evidence(f"wall-end schedule, line {row.line}", float(row.get("tension")), "force", Rung.SCHEDULED))
            for row in end_rows(ask, end) if row.get("tension") is not None
        ]
        found = max(found, _furthest(rows, "kN"), key=lambda one: one.low)
        for row in rows:
            largest[row[1]] = max(row, largest.get(row[1], row), key=lambda one: one[0])
    for wall in line.walls:
        stated = ask.house.stated(wall, "tension_demand")
        if stated is not None and not supposed(stated):
            level = ask.house.stated(wall, "load_level")
            said = load_level(str(level.value)) if level is not None else ""
            fact = Evidence(stated.where, float(stated.value), "force", stated.rung, wall.element.global_id)
            both = [(float(stated.value), said, fact), *([largest[said]] if said in largest else [])]
            found = max(found, _furthest(both, "kN"), key=lambda one: one.low)
    return found


@dataclass(eq=False)
class HardwareMark:
    """All drawn devices of one mark. Subject kind `hardware_mark`."""

    key: str
    devices: tuple[Part, ...]

    @property
    def name(self) -> str:
        """The mark."""
        return self.key

    @property
    def parts(self) -> tuple[Part, ...]:
        """The devices."""
        return self.devices

    def rung_as(self, role: str) -> Rung:
        """How sure the surest of them is a device."""
        return max((max(part.roles.values(), default=Rung.GUESSED) for part in self.devices), default=Rung.GUESSED)


@named_set(of="building", gives="hardware_mark")
def hardware_marks(building: BuildingSubject, ask: Ask) -> Members:
    """Marks of the drawn tie-downs, straps and couplers, in alphabetical order."""
    found: dict[str, list[Part]] = {}
    for part in building.house.with_role("hold_down", "strap", "coupler"):
        found.setdefault(tie_mark_of(part, ask) or part.name, []).append(part)
    return Members(tuple(HardwareMark(mark, tuple(found[mark])) for mark in sorted(found)))


@measure("ratio", of="building", item="hardware_mark",
         example="0.12 for 22 kN in the schedule and 25 kN as a property of the device")
def capacity_statements_apart(building: BuildingSubject, mark: HardwareMark, ask: Ask) -> Quantity:
    """Largest difference between two statements of one mark's tension capacity at one level, over the larger.

    Rows of the hold-down schedule and properties of the devices or their types. A row that names both wind and
    seismic load is compared with one that names either; 0 where there are no two.
    """
    rows: dict[tuple[float, str], _Row] = {}
    for part in mark.devices:
        for row in capacity_statements(part, ask):
            if not row[2].what.startswith(WHAT_IF):
                rows.setdefault((row[0], row[1]), row)
    found = exact(0.0, "ratio", text="no two values")
    for level in sorted({level for _, level in rows}):
        like = [(value, level, fact) for value, own, fact in rows.values() if own == level or holds_for(own, level)]
        found = max(found, _furthest(like, "kN"), key=lambda one: one.low)
    return found


def capacity_statements(tie: Part, ask: Ask) -> list[_Row]:
    """What schedule rows and properties say that a device takes [N], at which level, and where."""
    rows = [
        (float(row.get("allowable_tension")), load_level(row.get("level") or ""),
         Evidence(f"hold-down schedule, line {row.line}", float(row.get("allowable_tension")), "force", Rung.SCHEDULED))
        for row in tie_rows_of(ask, tie_mark_of(tie, ask)) if row.get("allowable_tension") is not None
    ]
    stated = ask.house.stated(tie, "tension_capacity")
    if stated is not None:
        level = ask.house.stated(tie, "load_level")
        said = load_level(str(level.value)) if level is not None else ""
        fact = Evidence(stated.where, float(stated.value), "force", stated.rung, tie.element.global_id)
        levels = {row[1] for row in rows}
        if supposed(stated):
            return [(float(stated.value), level, fact) for level in sorted({said} if said else levels or {""})]
        # a property without a level beside one row can only mean that row's level
        rows.append((float(stated.value), said or (levels.pop() if len(levels) == 1 else ""), fact))
    return rows
