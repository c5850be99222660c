"""One check: read, touch, recognise, connect, measure, judge, report. Runs inside the child process."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from modellint.errors import ModelUnreadable, UsageProblem
from modellint.findings.report import Report
from modellint.findings.waivers import apply_waivers
from modellint.graph.house import House
from modellint.ifc.model import Model, Note
from modellint.judging import Books
from modellint.roles.part import Part

if TYPE_CHECKING:
    from modellint.measures.ask import Ask

__all__ = ["Books", "Say", "check", "houses", "judge_model", "load_books", "read_model", "recognised_parts",
           "schedule_marks", "silent"]

Say = Callable[[str], None]
SMALL = 4_000_000  # bytes: about eight houses


def silent(_: str) -> None:
    """Say nothing."""


def check(request: Mapping[str, Any], announce: Say = silent, progress: Say = silent) -> dict[str, Any]:
    """Check the models of a request and return the JSON report as a dict.

    Args:
        request: `models` (paths; several are the files of one house), and optionally `project`, `display`,
            `due`, `fail_on`, `open_is_fail`, `passes`, `today`, `skip`, `native`, `only` (rule ids),
            `drawings` (add what drawings need), `shapes` (add what a 3-D view needs), `cores` (processes to use).
        announce: is told the GlobalId of a part before native code gets it.
        progress: is told what is being done.
    """
    from modellint.reports.json_report import to_dict

    paths = [Path(path) for path in request["models"]]
    read: Callable[[], Model] = partial(read_model, paths, frozenset(request.get("skip", ())), announce,
                                        bool(request.get("native", True)))
    if int(request.get("cores", 1)) > 1 and _all_small(paths):
        read = _read_ahead(read)
    books = load_books(paths[0], request.get("project"), request.get("only"))
    progress("reading")
    model = read()
    progress("judging")
    report = judge_model(model, books, request)
    del model  # a large one is the most of what this process holds; the report needs none of it
    return to_dict(report, display=request.get("display") or books.display, due=request.get("due"),
                   fail_on=request.get("fail_on", "error"), open_is_fail=bool(request.get("open_is_fail")))


def _all_small(paths: Sequence[Path]) -> bool:
    """Whether the models cost less to hand over from process to process than the wait for the program's own start."""
    return all(path.is_file() for path in paths) and sum(path.stat().st_size for path in paths) <= SMALL


def _read_ahead(read: Callable[[], Model]) -> Callable[[], Model]:
    """Begin to read in a second process, as this one has its libraries and rules to load."""
    from modellint.graph.lateral import load_libraries
    from modellint.side_by_side import ahead

    result = ahead(read)
    load_libraries()
    return result


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
                 project.path.name if project.path else "", project.own_levels, project.dwellings)


def read_model(paths: Sequence[Path], skip: frozenset[str], announce: Say, native: bool = True) -> Model:
    """Read one model, or the files of one house laid on one another.

    Raises:
        ModelUnreadable: a file is missing, cut, damaged or not an IFC file.
    """
    from modellint.ifc.guard import inspect
    from modellint.ifc.line_numbers import LineNumbers
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
            lines = LineNumbers(index)
            del index  # the columns of a large text take more than its text
            try:
                model, late = read_late(prepared.path, name=prepared.name, sha256=prepared.sha256, size=prepared.size,
                                        lines=lines,
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


def recognised_parts(model: Model, books: Books) -> dict[str, Part]:
    """Recognised parts; the native kernel draws only what has a role and no other shape."""
    from modellint.roles.recognise import recognise

    marks = schedule_marks(books.schedules)
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
    """Recognise, connect and judge each building of a model; `kept` takes each house with its measures.

    Buildings are judged side by side where the request has more than one of `cores`.
    """
    from modellint.findings.built import progress_notes
    from modellint.judging import Before, Judged, judge_house, merge
    from modellint.roles.unused import unused_entries
    from modellint.rulebook.settings import in_si
    from modellint.side_by_side import each

    report = Report(model.files, _triple(model.origin), list(model.notes), [], [], [], [],
                    settings=books.changed)
    report.notes += unused_entries(model, books.roles, books.mappings, books.project_file)
    buildings = _Buildings(model, books, in_si(books.settings))

    def judged(index: int, whatever_it_shows: bool = False) -> list[Judged]:
        found, notes = buildings.connected(index)
        before = Before()
        rows = [judge_house(house, books, request, before, kept) if whatever_it_shows or house.in_sight()
                else Judged(house.name or house.key) for house in found]
        rows[0].connecting = notes
        return rows

    cores = 1 if kept is not None else int(request.get("cores", 1))
    rows = [row for building in each(judged, len(buildings), cores) for row in building]
    if all(row.report is None for row in rows):
        rows = [row for index in range(len(buildings)) for row in judged(index, True)]
    report.notes += [note for row in rows for note in row.connecting]
    before = Before()
    for row in rows:
        merge(report, row, before)
    report.notes += progress_notes([row.progress for row in rows if row.progress is not None])
    _accept(report, books, request)
    _lines_into(report, model)
    report.incomplete = _what_is_missing(report, model)
    return report


def _triple(point: Any) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in point)
    return x, y, z


def _accept(report: Report, books: Books, request: Mapping[str, Any]) -> None:
    """Apply the waivers; the day is printed only if a waiver has a last one."""
    today = str(request.get("today") or "")
    notes, dated = apply_waivers(report.findings, books.waivers, today)
    report.notes += notes
    report.today = today if dated else report.today


def houses(model: Model, books: Books, settings: Mapping[str, Any], notes: list[Note] | None = None) -> list[House]:
    """The model's buildings, recognised and connected, by key; one unnamed house if it has no building.

    A building whose dwelling units the model or the project states is one house for each; `notes` is told.
    """
    buildings = _Buildings(model, books, settings)
    found = []
    for index in range(len(buildings)):
        own, more = buildings.connected(index)
        found += own
        if notes is not None:
            notes += more
    return found


class _Buildings:
    """The buildings of a model, recognised; each is connected when it is asked for."""

    def __init__(self, model: Model, books: Books, settings: Mapping[str, Any]) -> None:
        from modellint.graph.dwellings import wholes
        from modellint.graph.shares import by_building

        self.model, self.books, self.settings = model, books, settings
        found = wholes(model)
        self.shares = by_building(model, recognised_parts(model, books), {key: within for key, _, within in found})
        self.names = [(key, name) for key, name, _ in found] or [("", "")]

    def __len__(self) -> int:
        return len(self.names)

    def connected(self, index: int) -> tuple[list[House], list[Note]]:
        """One building, or its dwelling units, with the notes of their division."""
        from modellint.graph import dwellings, lateral, soil_gas
        from modellint.graph.crossings import Crossings

        key, name = self.names[index]
        own, relations = self.shares[key]
        house = House(key, name, self.model, own, schedules=self.books.schedules, properties=self.books.properties,
                      settings=dict(self.settings), relations=relations)
        division = dwellings.divide(house, self.books.dwellings)
        lateral.connect(house)
        soil_gas.connect(house)
        house.roles_changed()
        house.crossings = Crossings(house)
        return dwellings.split(house, division), division.notes


def schedule_marks(schedules: Mapping[str, Any]) -> dict[str, str]:
    """Mark in lower case to the role of what the schedules list under it."""
    roles = {"shear_walls": "shear_wall", "hold_downs": "hold_down"}
    return {str(row.get("mark")).lower(): role for table, role in roles.items() if table in schedules
            for row in schedules[table].rows if row.get("mark")}


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

