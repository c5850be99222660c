"""The project file `modellint.yaml`: found upward to the repository root, read and checked."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from modellint.errors import FileProblems, UsageProblem
from modellint.findings.waivers import Waiver
from modellint.project_file import FILE_NAME as FILE_NAME
from modellint.project_file import find_project as find_project
from modellint.rulebook.book_entries import read_dwellings, read_properties, read_roles
from modellint.rulebook.rule import Rule
from modellint.rulebook.rule_sets import levels_of, read_rule_set, set_files, settings_of
from modellint.rulebook.schedules import TABLES, Schedule, read_schedule
from modellint.rulebook.settings import Override
from modellint.rulebook.vocabulary import nearest
from modellint.rulebook.waiver_entries import read_waiver_file, read_waivers
from modellint.rulebook.yaml_text import Document, Path_, Problem, read_yaml

KEYS = {
    "units": str,
    "sets": list,
    "rules": list,
    "settings": dict,
    "levels": dict,
    "roles": list,
    "properties": list,
    "models": list,
    "schedules": dict,
    "waivers": list,
    "dwellings": list,
}


@dataclass(frozen=True)
class Project:
    """What the project file says; everything empty without one.

    Attributes:
        path: the file, None without one; relative names in it count from its folder.
        system: display units, `metric` or `us`.
        folders: folders or files of the project's own rules.
        overrides: settings of the rule sets, then of the project, in that order; later ones win.
        levels: rule id to the level the project or a rule set gives it, `off` to leave the rule out.
        roles, properties: role overrides and property mappings as plain data for the recognition.
        levels_from: rule id to the rule set that gave its level; those of the project file are not in it.
        dwellings: dwelling units of the building, () to leave it whole, None where the file does not say.
    """

    path: Path | None = None
    system: str = "metric"
    sets: tuple[str, ...] = ()
    folders: tuple[Path, ...] = ()
    overrides: tuple[Override, ...] = ()
    levels: dict[str, str] = field(default_factory=dict)
    roles: tuple[dict[str, Any], ...] = ()
    properties: tuple[dict[str, Any], ...] = ()
    models: tuple[Path, ...] = ()
    schedules: dict[str, Schedule] = field(default_factory=dict)
    waivers: tuple[Waiver, ...] = ()
    levels_from: dict[str, str] = field(default_factory=dict)
    dwellings: tuple[dict[str, Any], ...] | None = None

    @property
    def display(self) -> str:
        """Units to show: `metric` or `us`."""
        return self.system

    @property
    def changed(self) -> list[dict[str, Any]]:
        """Every changed setting and level, for the report: name, value, basis, file and line."""
        rows: list[dict[str, Any]] = []
        for one in self.overrides:
            line = one.document.positions.get(one.path, (0, 0))[0]
            rows.append(
                {
                    "name": one.name,
                    "value": str(one.value),
                    "basis": one.basis.words(),
                    "origin": one.basis.origin,
                    "file": Path(one.document.file).name,
                    "line": line,
                }
            )
        return rows + [
            {
                "name": f"{rule}.level",
                "value": level,
                "basis": f"rule set {self.levels_from[rule]}"
                if rule in self.levels_from
                else "project setting",
                "origin": "rule set" if rule in self.levels_from else "project file",
                "file": "",
                "line": 0,
            }
            for rule, level in self.levels.items()
        ]

    @property
    def own_levels(self) -> frozenset[str]:
        """Ids of rules whose level the project file itself gives; no rule set changes them."""
        return frozenset(self.levels) - frozenset(self.levels_from)

    def apply_levels(self, rules: list[Rule]) -> list[Rule]:
        """Rules with the changed levels; those that are `off` left out.

        Raises:
            UsageProblem: a level is given for a rule that does not exist.
        """
        ids = {name: rule.id for rule in rules for name in (*rule.was, rule.id)}
        for name in self.levels:
            if name not in ids:
                raise UsageProblem(f"levels: there is no rule '{name}'{nearest(name, ids)}.")
        levels = {ids[name]: level for name, level in self.levels.items()}
        changed = [replace(rule, level=levels.get(rule.id, rule.level)) for rule in rules]
        return [rule for rule in changed if rule.level != "off"]


def for_model(model: Path, project_file: str | Path | None = None) -> Project:
    """The project of a model: the named file, else the one found upward from the model's folder.

    Raises:
        FileProblems, UsageProblem: see `load_project`.
    """
    return load_project(Path(project_file) if project_file else find_project(Path(model).resolve().parent))


def load_project(path: Path | None) -> Project:
    """Read the project file and the schedules it names.

    Raises:
        FileProblems: everything wrong in the project file, its rule sets and schedules.
        UsageProblem: a file cannot be read.
    """
    if path is None:
        return Project()
    return _Reader(read_yaml(path), path).project()


class _Reader:
    def __init__(self, document: Document, path: Path) -> None:
        self.document, self.path = document, path
        self.problems: list[Problem] = []
        self.data: dict[str, Any] = document.data if isinstance(document.data, dict) else {}
        if not isinstance(document.data, dict):
            self.report((), "A project file is a mapping.")

    def report(self, path: Path_, text: str, key: bool = False) -> None:
        self.problems.append(self.document.problem(path, text, key=key))

    def get(self, key: str) -> Any:
        """Value of a top key, empty if absent or of the wrong kind."""
        value, kind = self.data.get(key, KEYS[key]()), KEYS[key]
        if isinstance(value, kind):
            return value
        words = {str: "text", list: "list", dict: "mapping"}
        self.report((key,), f"'{key}' is a {words[kind]}.")
        return kind()

    def project(self) -> Project:
        for key in self.data:
            if key not in KEYS:
                self.report((key,), f"The key '{key}' is not known here{nearest(key, KEYS)}.", key=True)
        system = self.get("units") or "metric"
        if system not in {"metric", "us"}:
            self.report(("units",), f"'{system}' is neither metric nor us.")
        sets = self.texts("sets")
        overrides, levels, given = self.rule_sets(sets)
        overrides += settings_of(
            self.get("settings"), self.document, ("settings",), "project file", self.problems
        )
        own = levels_of(self.get("levels"), self.document, ("levels",), self.problems)
        levels.update(own)
        given = {rule: name for rule, name in given.items() if rule not in own}
        project = Project(
            self.path,
            system,
            sets,
            self.files("rules"),
            tuple(overrides),
            levels,
            self.roles(),
            self.properties(),
            self.files("models"),
            self.schedules(),
            self.waivers(),
            given,
            read_dwellings(self.get("dwellings"), self.document, self.problems) if "dwellings" in self.data else None,
        )
        if self.problems:
            raise FileProblems(self.problems)
        return project

    def texts(self, key: str) -> tuple[str, ...]:
        found = []
        for index, value in enumerate(self.get(key)):
            if isinstance(value, str) and value:
                found.append(value)
            else:
                self.report((key, index), "A name is needed here.")
        return tuple(found)

    def files(self, key: str) -> tuple[Path, ...]:
        found = []
        for index, name in enumerate(self.texts(key)):
            file = self.inside(name, (key, index))
            if file is not None:
                found.append(file)
        return tuple(found)

    def inside(self, name: str, path: Path_) -> Path | None:
        """A file below the project's folder that exists."""
        folder = self.path.resolve().parent
        file = (folder / name).resolve()
        if not file.is_relative_to(folder):
            self.report(path, f"'{name}' lies outside the project's folder.")
            return None
        if not file.exists():
            self.report(path, f"'{name}' does not exist.")
            return None
        return file

    def rule_sets(self, names: tuple[str, ...]) -> tuple[list[Override], dict[str, str], dict[str, str]]:
        """Overrides and levels of the sets in their order, and which set gave each level."""
        overrides: list[Override] = []
        levels: dict[str, str] = {}
        given: dict[str, str] = {}
        known = set_files()
        for index, name in enumerate(names):
            if name not in known:
                self.report(("sets", index), f"There is no rule set '{name}'{nearest(name, known)}.")
                continue
            found = read_rule_set(known[name], self.problems)
            overrides += found.overrides
            levels.update(found.levels)
            given.update(dict.fromkeys(found.levels, name))
        return overrides, levels, given

    def roles(self) -> tuple[dict[str, Any], ...]:
        return read_roles(self.get("roles"), self.document, self.problems)

    def properties(self) -> tuple[dict[str, Any], ...]:
        return read_properties(self.get("properties"), self.document, self.problems)

    def schedules(self) -> dict[str, Schedule]:
        found: dict[str, Schedule] = {}
        for name, value in self.get("schedules").items():
            if name not in TABLES:
                self.report(
                    ("schedules", name), f"There is no schedule '{name}'{nearest(name, TABLES)}.", True
                )
                continue
            file = self.inside(str(value), ("schedules", name))
            if file is None:
                continue
            try:
                found[name] = read_schedule(name, file, str(value))
            except FileProblems as error:
                self.problems += error.problems
            except UsageProblem as error:
                self.report(("schedules", name), str(error))
        return found

    def waivers(self) -> tuple[Waiver, ...]:
        rows = self.get("waivers")
        found = read_waivers(self.document, rows, self.problems)
        for index, row in enumerate(rows):
            file = self.inside(row, ("waivers", index)) if isinstance(row, str) else None
            if file is not None:
                found += read_waiver_file(file, self.problems)
        return tuple(found)
