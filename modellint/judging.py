"""One house judged by all rules, and the reports of several put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from modellint.findings.report import Path, Report
from modellint.findings.waivers import Waiver
from modellint.graph.house import House
from modellint.ifc.model import Note
from modellint.rulebook.rule import Rule, Setting

if TYPE_CHECKING:
    from modellint.measures.ask import Ask


@dataclass
class Books:
    """Everything a check reads besides the model: rules, settings, role and property books, schedules."""

    rules: list[Rule]
    settings: dict[str, Setting]
    roles: Any
    properties: Any
    schedules: dict[str, Any] = field(default_factory=dict)
    changed: list[dict[str, Any]] = field(default_factory=list)
    display: str = "metric"
    waivers: tuple[Waiver, ...] = ()
    mappings: tuple[dict[str, Any], ...] = ()
    project_file: str = ""
    own_levels: frozenset[str] = frozenset()
    dwellings: tuple[dict[str, Any], ...] | None = None


@dataclass
class Judged:
    """What one house was found to be; `report` is None where it was not judged.

    Attributes:
        name: of the house, to say.
        connecting: notes on how the building was divided.
        progress: its marks of what is ordered or built.
    """

    name: str
    report: Report | None = None
    progress: Any = None
    connecting: list[Note] = field(default_factory=list)


def judge_house(house: House, books: Books, request: Mapping[str, Any], before: Before,
            kept: list[tuple[House, Ask]] | None) -> Judged:
    """One house judged by all rules."""
    from modellint.findings.built import mark_built
    from modellint.findings.coverage import coverage
    from modellint.findings.estimates import vent_estimates
    from modellint.findings.paths import wall_paths
    from modellint.findings.places import PlaceFinder
    from modellint.findings.vent_paths import vent_paths
    from modellint.measures.ask import Ask
    from modellint.measures.build_state import progress_of
    from modellint.rulebook.judge import JudgeOptions, judge
    from modellint.rulebook.registry import registry

    known, report = registry(), Report((), (0.0, 0.0, 0.0), [], [], [], [], [])
    ask = Ask(house, known.measures, known.sets, house.settings)
    options = JudgeOptions(books.settings, request.get("display") or books.display, request.get("due") or "",
                           PlaceFinder(house).place, bool(request.get("passes")), before.judged(house))
    judged = judge(_asked_rules(report, books, house, ask), house, ask, options)
    progress = progress_of(house, ask)
    mark_built(judged.findings, progress, house.model.elements)
    report.findings, report.passes, report.rules = judged.findings, judged.passes, list(judged.counts)
    report.coverage = coverage(house)
    report.paths = [*wall_paths(house, ask), *vent_paths(house)]
    report.estimates = vent_estimates(house, house.settings)
    report.buildings.append(_building(house))
    if request.get("drawings"):
        report.drawings.append(_drawings(house, ask, known.measures))
    if request.get("shapes"):
        report.shapes.append(_shapes(house))
    if kept is not None:
        kept.append((house, ask))
    return Judged(house.name or house.key, report, progress)


def merge(report: Report, row: Judged, before: Before) -> None:
    """Add one house to the report of them all."""
    own = row.report
    if own is None:
        report.notes.append(Note("building-is-surroundings", f"The building '{row.name}' shows no "
                                 "shear wall, tie-down or vent; it was read as surroundings and not judged."))
        return
    report.notes += own.notes
    report.findings += own.findings
    report.passes += own.passes
    report.coverage += own.coverage
    report.paths += before.new(own.paths)
    report.estimates += own.estimates
    _add_counts(report, own.rules)
    report.buildings += own.buildings
    report.drawings += own.drawings
    report.shapes += own.shapes


def _add_counts(report: Report, counts: list[Any]) -> None:
    if not report.rules:
        report.rules = list(counts)
        return
    for row, more in zip(report.rules, counts, strict=True):
        row.passed += more.passed
        row.failed += more.failed
        row.open += more.open
        row.not_applicable += more.not_applicable


class Before:
    """What dwelling units judged before this one hold too: it is judged, and its chains are shown, once."""

    def __init__(self) -> None:
        self._keys: dict[str, set[str]] = {}
        self._paths: set[tuple[str, str]] = set()

    def judged(self, house: House) -> frozenset[str]:
        """Keys of subjects that an earlier unit of the same building has; from now on also this one's."""
        if not house.dwelling:
            return frozenset()
        known = self._keys.setdefault(house.within, set())
        earlier = frozenset(known) | house.guests
        known.update(house.parts.keys() - house.guests, (key for rows in house.nodes.values() for node in rows
                                   if (key := getattr(node, "key", ""))))
        return earlier

    def new(self, paths: list[Path]) -> list[Path]:
        """Paths that no earlier house showed."""
        found = [path for path in paths if (path.kind, path.subject_key) not in self._paths]
        self._paths.update((path.kind, path.subject_key) for path in found)
        return found


def _asked_rules(report: Report, books: Books, house: House, ask: Ask) -> list[Rule]:
    """The rules with the levels of the sets that the model's own requirements ask for, which a note names."""
    from modellint.rulebook.rule_sets import rules_asked_for

    rules, names = rules_asked_for(books.rules, books.own_levels, next(iter(house.subjects("building"))), ask)
    whose = house.name or house.key or "the house"
    report.notes += [Note("rule-set-asked-for", f"The level of soil-gas control of '{whose}' asks for the rule "
                          f"set '{name}', so some rules are advice here.") for name in names]
    return rules


def _building(house: House) -> dict[str, Any]:
    from modellint.graph.storeys import storeys_of

    whole = house.model.spaces.get(house.within)
    part_of = {"part_of": (whole.name or whole.key) if whole else "the building"} if house.dwelling else {}
    return {"key": house.key, "name": house.name, **part_of,
            "storeys": [{"name": storey.name, "elevation": round(storey.elevation + float(house.model.origin[2]), 4)}
                        for storey in storeys_of(house.model, house.key)]}


def _drawings(house: House, ask: Any, measures: Mapping[str, Any]) -> dict[str, Any]:
    from modellint.drawings.forces import forces_at
    from modellint.drawings.scene import scene

    return scene(house, lambda end: forces_at(end, ask, measures))


def _shapes(house: House) -> dict[str, Any]:
    from modellint.drawings.scene_shapes import shapes

    return shapes(house)
