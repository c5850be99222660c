"""One check: read, touch, recognise, connect, measure, judge, report. Runs inside the child process."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from modellint.errors import ModelUnreadable, UsageProblem
from modellint.findings.report import Report
from modellint.findings.waivers import Waiver, apply_waivers
from modellint.graph.house import House
from modellint.ifc.model import Model, Note
from modellint.roles.part import Part
from modellint.rulebook.rule import Rule, Setting

if TYPE_CHECKING:
    from modellint.measures.ask import Ask

Say = Callable[[str], None]


def _silent(_: str) -> None:
    """Say nothing."""


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


def check(request: Mapping[str, Any], announce: Say = _silent, progress: Say = _silent) -> dict[str, Any]:
    """Check the models of a request and return the JSON report as a dict.

    Args:
        request: `models` (paths; several are the files of one house), and optionally `project`, `display`,
            `due`, `fail_on`, `open_is_fail`, `passes`, `today`, `skip`, `native`, `only` (rule ids),
            `drawings` (add what drawings need).
        announce: is told the GlobalId of a part before native code gets it.
        progress: is told what is being done.
    """
    from modellint.reports.json_report import to_dict

    paths = [Path(path) for path in request["models"]]
    books = load_books(paths[0], request.get("project"), request.get("only"))
    progress("reading")
    model = read_model(paths, frozenset(request.get("skip", ())), announce, bool(request.get("native", True)))
    progress("judging")
    report = judge_model(model, books, request)
    return to_dict(report, display=request.get("display") or books.display, due=request.get("due"),
                   fail_on=request.get("fail_on", "error"), open_is_fail=bool(request.get("open_is_fail")))


def load_books(model: Path, project_file: str | Path | None = None, only: Sequence[str] | None = None) -> Books:
    """Rules and books for a model, with its project file's changes.

    Raises:
        UsageProblem: a project, rule or schedule file is wrong, or an asked-for rule does not exist.
    """
    from modellint.roles.book import load_book
    from modellint.roles.properties import load_properties
    from modellint.rulebook.load import load_rules, shipped_settings
    from modellint.rulebook.project import for_model
    from modellint.rulebook.registry import registry
    from modellint.rulebook.settings import apply_overrides
    from modellint.rulebook.shipped import rules_folder

    folder, general = rules_folder(), shipped_settings()
    project = for_model(model, project_file)
    rules = load_rules([folder, *project.folders], registry(), general)
    rules, settings = apply_overrides(project.apply_levels(rules), general, list(project.overrides))
    if only:
        unknown = sorted(set(only) - {rule.id for rule in rules})
        if unknown:
            raise UsageProblem(f"There is no rule '{unknown[0]}'.")
        rules = [rule for rule in rules if rule.id in only]
    return Books(rules, settings, load_book(folder / "roles", project.roles),
                 load_properties(folder / "properties", project.properties), project.schedules,
                 project.changed, project.display, project.waivers, project.properties,
                 project.path.name if project.path else "", project.own_levels)


def read_model(paths: Sequence[Path], skip: frozenset[str], announce: Say, native: bool = True) -> Model:
    """Read one model, or the files of one house laid on one another.

    Raises:
        ModelUnreadable: a file is missing, cut, damaged or not an IFC file.
    """
    from modellint.ifc.guard import inspect
    from modellint.ifc.read import read_late
    from modellint.ifc.sniff import prepare
    from modellint.ifc.together import merge

    models = []
    with tempfile.TemporaryDirectory(prefix="modellint-") as folder:
        for k, path in enumerate(paths):
            work = Path(folder) / str(k)
            work.mkdir()
            prepared = prepare(path, work)
            index, notes = inspect(prepared)
            try:
                model, late = read_late(prepared.path, name=prepared.name, sha256=prepared.sha256, size=prepared.size,
                                        lines=dict(zip(index.ids.tolist(), index.lines.tolist(), strict=True)),
                                        skip=skip, announce=announce)
            except ModelUnreadable as error:
                raise _better_said(error, notes, prepared.name) from None
            if native:
                _offer_late_shapes(model, late)
            model.notes = [*notes, *model.notes]
            models.append(model)
    return models[0] if len(models) == 1 else merge(models)


def _better_said(error: ModelUnreadable, notes: Sequence[Note], name: str) -> ModelUnreadable:
    """What our own look at the text found wrong says more than the reader's refusal does."""
    serious = [note.text for note in notes if note.serious]
    if not serious:
        return error
    said = " ".join(serious[:3])
    return ModelUnreadable(said if name in serious[0] else f"{name}: {said}")


def _offer_late_shapes(model: Model, late: Any) -> None:
    """Leave with each element what the native kernel could still make of it."""
    for key in late.keys:
        if key in model.elements:
            model.elements[key].late = partial(late.solids, key)


def _parts(model: Model, books: Books) -> dict[str, Part]:
    """Recognised parts; the native kernel draws only what has a role and no other shape."""
    from modellint.roles.recognise import recognise

    marks = _marks(books.schedules)
    parts = recognise(model, books.roles, books.properties.has, marks)
    undrawn = [element for part in parts.values() if part.roles for element in part.elements if element.late]
    if not undrawn:
        return parts
    for element in undrawn:
        solids = element.late() if element.late is not None else ()
        element.late = None
        if solids:
            element.solids, element.undrawn = solids, ""
    return recognise(model, books.roles, books.properties.has, marks)


def judge_model(model: Model, books: Books, request: Mapping[str, Any],
                kept: list[tuple[House, Ask]] | None = None) -> Report:
    """Recognise, connect and judge each building of a model; `kept` takes each house with its measures."""
    from modellint.findings.coverage import coverage
    from modellint.findings.estimates import vent_estimates
    from modellint.findings.paths import wall_paths
    from modellint.findings.places import PlaceFinder
    from modellint.findings.vent_paths import vent_paths
    from modellint.measures.ask import Ask
    from modellint.roles.unused import unused_entries
    from modellint.rulebook.judge import JudgeOptions, judge
    from modellint.rulebook.registry import registry
    from modellint.rulebook.settings import in_si

    known = registry()
    report = Report(model.files, _triple(model.origin), list(model.notes), [], [], [], [],
                    settings=books.changed)
    report.notes += unused_entries(model, books.roles, books.mappings, books.project_file)
    settings = in_si(books.settings)
    found = houses(model, books, settings)
    for house in found:
        if not house.in_sight() and any(other.in_sight() for other in found):
            report.notes.append(Note("building-is-surroundings", f"The building '{house.name or house.key}' shows no "
                                     "shear wall, tie-down or vent; it was read as surroundings and not judged."))
            continue
        ask = Ask(house, known.measures, known.sets, settings)
        options = JudgeOptions(books.settings, request.get("display") or books.display, request.get("due") or "",
                               PlaceFinder(house).place, bool(request.get("passes")))
        judged = judge(_asked_rules(report, books, house, ask), house, ask, options)
        report.findings += judged.findings
        report.passes += judged.passes
        report.coverage += coverage(house)
        report.paths += [*wall_paths(house, ask), *vent_paths(house)]
        report.estimates += vent_estimates(house, settings)
        _add_counts(report, judged.counts)
        report.buildings.append(_building(house))
        if request.get("drawings"):
            report.drawings.append(_drawings(house, ask, known.measures))
        if kept is not None:
            kept.append((house, ask))
    _accept(report, books, request)
    _lines_into(report, model)
    report.incomplete = _what_is_missing(report, model)
    return report


def _asked_rules(report: Report, books: Books, house: House, ask: Ask) -> list[Rule]:
    """The rules with the levels of the sets that the model's own requirements ask for, which a note names."""
    from modellint.rulebook.rule_sets import rules_asked_for

    rules, names = rules_asked_for(books.rules, books.own_levels, next(iter(house.subjects("building"))), ask)
    whose = house.name or house.key or "the house"
    report.notes += [Note("rule-set-asked-for", f"The level of soil-gas control of '{whose}' asks for the rule "
                          f"set '{name}', so some rules are advice here.") for name in names]
    return rules


def _triple(point: Any) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in point)
    return x, y, z


def _accept(report: Report, books: Books, request: Mapping[str, Any]) -> None:
    """Apply the waivers; the day is printed only if a waiver has a last one."""
    today = str(request.get("today") or "")
    notes, dated = apply_waivers(report.findings, books.waivers, today)
    report.notes += notes
    report.today = today if dated else report.today


def houses(model: Model, books: Books, settings: Mapping[str, Any]) -> list[House]:
    """The model's buildings, recognised and connected, by key; one unnamed house if it has no building."""
    from modellint.graph import lateral, soil_gas
    from modellint.graph.crossings import Crossings

    parts = _parts(model, books)
    buildings = [node for node in model.spaces.values() if node.kind == "building"]
    found = []
    for key, name in [(node.key, node.name or node.long_name) for node in buildings] or [("", "")]:
        own = parts if len(buildings) < 2 else {k: part for k, part in parts.items()
                                                if part.element.building == key}
        house = House(key, name, model, own, schedules=books.schedules, properties=books.properties,
                      settings=dict(settings))
        lateral.connect(house)
        soil_gas.connect(house)
        house.roles_changed()
        house.crossings = Crossings(house)
        found.append(house)
    return found


def _marks(schedules: Mapping[str, Any]) -> dict[str, str]:
    roles = {"shear_walls": "shear_wall", "hold_downs": "hold_down"}
    return {str(row.get("mark")).lower(): role for table, role in roles.items() if table in schedules
            for row in schedules[table].rows if row.get("mark")}


def _building(house: House) -> dict[str, Any]:
    from modellint.graph.storeys import storeys_of

    return {"key": house.key, "name": house.name,
            "storeys": [{"name": storey.name, "elevation": round(storey.elevation + float(house.model.origin[2]), 4)}
                        for storey in storeys_of(house.model, house.key)]}


def _drawings(house: House, ask: Any, measures: Mapping[str, Any]) -> dict[str, Any]:
    from modellint.drawings.forces import forces_at
    from modellint.drawings.scene import scene

    return scene(house, lambda end: forces_at(end, ask, measures))


def _add_counts(report: Report, counts: list[Any]) -> None:
    if not report.rules:
        report.rules = list(counts)
        return
    for row, more in zip(report.rules, counts, strict=True):
        row.passed += more.passed
        row.failed += more.failed
        row.open += more.open
        row.not_applicable += more.not_applicable


def _lines_into(report: Report, model: Model) -> None:
    """STEP lines of the elements that findings name, and of the parts of their subject's chains."""
    chains: dict[str, list[str]] = {}
    for path in report.paths:
        chains.setdefault(path.subject_key, []).extend(part[1] for slot in path.slots for part in slot.parts)
    for finding in report.findings:
        lines = {}
        for key in (*finding.elements, *(row.global_id for row in finding.evidence),
                    *chains.get(finding.subject_key, ())):
            element = model.elements.get(key)
            if element is not None and element.line is not None:
                lines[element.global_id] = element.line
        finding.extra["lines"] = lines
        host = model.elements.get(finding.elements[0]) if finding.elements else None
        if host is not None and len(model.files) > 1:
            finding.extra["file"] = model.files[host.source].name


def _what_is_missing(report: Report, model: Model) -> list[str]:
    """Reasons why the check as a whole is incomplete (exit status 3)."""
    reasons = [note.text for note in model.notes if note.serious]
    sight = {"shear_wall", "hold_down", "vent_pipe", "collector", "strap", "rod"}
    seen = [row for row in report.coverage if row.role in sight
            and any(rung != "guessed" and count for rung, count in row.found.items())]
    if not seen:
        reasons.append("No shear wall, tie-down or soil-gas vent was recognised in this model, so there was nothing "
                       "to check. Name them, or map them in the project file.")
    elif not report.paths:
        reasons.append("None of the shear walls, tie-downs and vents recognised has a usable shape, so no chain could "
                       "be followed. Export them with their bodies.")
    return reasons

