"""What a wall is loaded with as the engineer gives it: one load case for each load level.

Wind and seismic loads, allowable and strength level may stand beside each other; none is ever added to another.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from weakref import WeakKeyDictionary

from modellint.engineering.load_levels import load_level
from modellint.graph.wall_nodes import WallEnd, WallLine
from modellint.measures.ask import Ask, named_set
from modellint.measures.quantity import Evidence, Members, Missing
from modellint.measures.schedule_rows import demand_rows, end_rows, wall_row
from modellint.roles.part import Part, Rung
from modellint.roles.properties import Reading

UNSTATED = "load level not stated"
# how a value that `whatif` sets is named by the property book
WHAT_IF = "what if."


@dataclass(unsafe_hash=True)
class LoadCase:
    """Loads of one level. Subject kind `load_case`.

    Attributes:
        level: as `load_level` spells it; "" where none is stated.
        key: the level.
    """

    level: str
    key: str = field(init=False, compare=False, default="")

    def __post_init__(self) -> None:
        self.key = self.name

    @property
    def name(self) -> str:
        """Level to say in a sentence."""
        return self.level or UNSTATED

    @property
    def parts(self) -> tuple[Part, ...]:
        """None: loads are given, not drawn."""
        return ()

    def rung_as(self, role: str) -> Rung:
        """The schedule names it."""
        return Rung.SCHEDULED


@dataclass(frozen=True)
class LineLoad:
    """Storey shear on a wall [N] with the dead load on it that may be counted [N], and its source."""

    shear: float
    dead: float
    level: str
    source: Evidence


def no_demand(ask: Ask, of: str, quantity: str = "wall demand") -> Missing:
    """What is missing: one question for the building while no demand is given at all, else this one."""
    if "true" in ask.measure("demand_given_anywhere", next(iter(ask.house.subjects("building")))).words:
        return Missing(quantity, of, "fill in the wall-demand or wall-end schedule")
    return Missing(
        "wall demand",
        "the building",
        "give the engineer's storey shears (schedule wall_demands) or "
        "the pull at each wall end (schedule wall_ends), with their load level",
    )


def method_of_wall(line: WallLine, ask: Ask) -> str:
    """`segmented` unless schedule or model say otherwise."""
    row = wall_row(ask, line)
    return str(row.get("method") or "" if row else "").strip().lower() or line.method or "segmented"


def scheduled_loads(line: WallLine, ask: Ask) -> tuple[LineLoad, ...]:
    """Storey shears of the wall-demand schedule, in file order."""
    return tuple(
        LineLoad(
            float(row.get("shear")),
            float(row.get("dead_load") or 0.0),
            load_level(row.get("level") or ""),
            Evidence(f"wall-demand schedule, line {row.line}", float(row.get("shear")), "force", Rung.SCHEDULED),
        )
        for row in demand_rows(ask, line)
    )


def stated_load(line: WallLine, ask: Ask) -> LineLoad | None:
    """Storey shear that a property of the wall states."""
    for wall in line.walls:
        stated = ask.house.stated(wall, "shear_demand")
        if stated is not None:
            dead, level = ask.house.stated(wall, "dead_load_credited"), ask.house.stated(wall, "load_level")
            return LineLoad(
                abs(float(stated.value)),
                max(float(dead.value), 0.0) if dead else 0.0,
                load_level(str(level.value)) if level else "",
                Evidence(stated.where, float(stated.value), "force", stated.rung, wall.element.global_id),
            )
    return None


_LOADS: WeakKeyDictionary[Ask, dict[str, tuple[LineLoad, ...]]] = WeakKeyDictionary()


def line_loads(line: WallLine, ask: Ask) -> tuple[LineLoad, ...]:
    """Storey shears on a wall, looked up once: the schedule's, and a property's at a level that is not scheduled."""
    kept = _LOADS.setdefault(ask, {})
    if line.key not in kept:
        kept[line.key] = _line_loads(line, ask)
    return kept[line.key]


def supposed(stated: Reading | None) -> bool:
    """Whether a what-if gives the value: then it goes before every schedule."""
    return stated is not None and stated.where.startswith(WHAT_IF)


def _line_loads(line: WallLine, ask: Ask) -> tuple[LineLoad, ...]:
    found, stated = scheduled_loads(line, ask), stated_load(line, ask)
    if stated is None:
        return found
    told = {load.level: load for load in found}
    if stated.source.what.startswith(WHAT_IF):
        level = stated.level or (found[0].level if len(told) == 1 else "")
        old = told.get(level)
        dead = stated.dead or (old.dead if old is not None else 0.0)
        return (*(load for load in found if load.level != level), replace(stated, level=level, dead=dead))
    return (*found, stated) if not found or stated.level not in {"", *told} else found


def load_in(line: WallLine, case: LoadCase, ask: Ask) -> LineLoad | None:
    """The storey shear on a wall in a load case: the larger one where two rows disagree; None if not given."""
    fitting = [load for load in line_loads(line, ask) if load.level == case.level]
    return max(fitting, key=lambda load: (load.shear, -load.dead), default=None)


def line_cases(line: WallLine, ask: Ask) -> tuple[LoadCase, ...]:
    """Load cases of a wall's storey shears, in file order."""
    return tuple(dict.fromkeys(LoadCase(load.level) for load in line_loads(line, ask)))


@named_set(of="wall_end", gives="load_case")
def load_cases(end: WallEnd, ask: Ask) -> Members:
    """Load cases at a wall end: of its own pulls, its wall's shears and the storeys above, in this order."""
    own = [LoadCase(load_level(row.get("level") or "")) for row in end_rows(ask, end) if row.get("tension") is not None]
    for wall in end.line.walls:
        stated = ask.house.stated(wall, "tension_demand")
        if stated is not None:
            level = ask.house.stated(wall, "load_level")
            said = load_level(str(level.value)) if level is not None else ""
            # a supposed pull without a level stands for every case there is
            if said or not supposed(stated) or not (own or line_loads(end.line, ask)):
                own.append(LoadCase(said))
            break
    uppers = [case for upper in end.above if upper.line.shear is not None for case in end_cases(upper, ask)]
    return Members(tuple(dict.fromkeys((*own, *line_cases(end.line, ask), *uppers))))


def end_cases(end: WallEnd, ask: Ask) -> tuple[LoadCase, ...]:
    """Load cases at a wall end, see `load_cases`."""
    return tuple(case for case in ask.members("load_cases", end).items if isinstance(case, LoadCase))
