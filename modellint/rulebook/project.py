"""The project file `modellint.yaml`: found upward to the repository root, read and checked."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from modellint.errors import FileProblems, UsageProblem
from modellint.findings.finding import LEVELS, Basis
from modellint.rulebook.rule import Rule
from modellint.rulebook.schedules import TABLES, Schedule, read_schedule
from modellint.rulebook.settings import Override, read_basis
from modellint.rulebook.shipped import rules_folder
from modellint.rulebook.vocabulary import ROLES, nearest
from modellint.rulebook.yaml_text import Document, Path_, Problem, read_yaml

FILE_NAME = "modellint.yaml"
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
}
_CLAUSES = ("class", "predefined", "object_type", "system", "classification", "layer", "name", "type_name")
_WAIVER_KEYS = ("id", "state", "rule", "by", "on", "until", "reason")


@dataclass(frozen=True)
class Waiver:
    """A fail or open that a person accepts; it dies when `state` no longer fits or `until` has passed."""

    id: str
    state: str
    by: str
    reason: str
    on: str = ""
    until: str = ""
    rule: str = ""
    line: int = 0


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
                "basis": "project setting",
                "origin": "project file",
                "file": "",
                "line": 0,
            }
            for rule, level in self.levels.items()
        ]

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


def find_project(start: Path) -> Path | None:
    """The nearest `modellint.yaml` from a folder upward, up to the repository root (a folder with `.git`)."""
    folder = start.resolve()
    for here in (folder, *folder.parents):
        if (here / FILE_NAME).is_file():
            return here / FILE_NAME
        if (here / ".git").exists():
            return None
    return None


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
        overrides, levels = self.rule_sets(sets)
        overrides += settings_of(
            self.get("settings"), self.document, ("settings",), "project file", self.problems
        )
        levels.update(levels_of(self.get("levels"), self.document, ("levels",), self.problems))
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

    def rule_sets(self, names: tuple[str, ...]) -> tuple[list[Override], dict[str, str]]:
        overrides: list[Override] = []
        levels: dict[str, str] = {}
        known = {file.stem: file for file in sorted((rules_folder() / "sets").glob("*.yaml"))}
        for index, name in enumerate(names):
            if name not in known:
                self.report(("sets", index), f"There is no rule set '{name}'{nearest(name, known)}.")
                continue
            more, changed = read_rule_set(known[name], self.problems)
            overrides += more
            levels.update(changed)
        return overrides, levels

    def roles(self) -> tuple[dict[str, Any], ...]:
        rows = []
        for index, row in enumerate(self.get("roles")):
            if not isinstance(row, dict) or row.get("role") not in ROLES:
                named = str(row.get("role", "")) if isinstance(row, dict) else ""
                self.report(("roles", index), f"'{named}' is not a role{nearest(named, ROLES)}.")
                continue
            wrong = [key for key in row if key not in {"role", *_CLAUSES}]
            for key in wrong:
                self.report(
                    ("roles", index, key), f"The key '{key}' is not known here{nearest(key, _CLAUSES)}.", True
                )
            if len(row) < 2:
                self.report(("roles", index), f"A role override names at least one of {', '.join(_CLAUSES)}.")
            rows.append(row)
        return tuple(rows)

    def properties(self) -> tuple[dict[str, Any], ...]:
        rows = []
        for index, row in enumerate(self.get("properties")):
            if not isinstance(row, dict) or not {"quantity", "property"} <= set(row):
                self.report(("properties", index), "A property mapping names quantity, set and property.")
                continue
            rows.append(row)
        return tuple(rows)

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
        found = []
        for index, row in enumerate(self.get("waivers")):
            where: Path_ = ("waivers", index)
            if not isinstance(row, dict):
                self.report(where, "A waiver is a mapping with id, state, by and reason.")
                continue
            for key in row:
                if key not in _WAIVER_KEYS:
                    self.report(
                        (*where, key), f"The key '{key}' is not known here{nearest(key, _WAIVER_KEYS)}.", True
                    )
            for key in ("id", "state", "by", "reason"):
                if not row.get(key):
                    self.report(where, f"A waiver needs '{key}'.")
            for key in ("on", "until"):
                self.day(row.get(key, ""), (*where, key))
            line = self.document.positions.get(where, (0, 0))[0]
            found.append(Waiver(line=line, **{key: str(row.get(key, "")) for key in _WAIVER_KEYS}))
        return tuple(found)

    def day(self, value: Any, path: Path_) -> None:
        try:
            if value != "":
                date.fromisoformat(str(value))
        except ValueError:
            self.report(path, f"'{value}' is not a day like 2026-11-25.")


def settings_of(
    data: dict[str, Any], document: Document, path: Path_, origin: str, problems: list[Problem]
) -> list[Override]:
    """Changed settings: `name: value`, or `name: {value: …, basis: …}`."""
    overrides = []
    for name, entry in data.items():
        value, basis = entry, Basis("project", origin=origin)
        if isinstance(entry, dict):
            if "value" not in entry or set(entry) - {"value", "basis"}:
                problems.append(document.problem((*path, name), "A changed setting has a value and a basis."))
                continue
            value = entry["value"]
            if "basis" in entry:
                basis = read_basis(entry["basis"], document, (*path, name, "basis"), problems, origin)
        overrides.append(Override(name, value, basis, document, (*path, name)))
    return overrides


def levels_of(
    data: dict[str, Any], document: Document, path: Path_, problems: list[Problem]
) -> dict[str, str]:
    """Changed levels: rule id to error, warning, note or off."""
    for name, level in data.items():
        if level not in {*LEVELS, "off"}:
            problems.append(
                document.problem((*path, name), f"'{level}' is none of {', '.join(LEVELS)}, off.")
            )
    return {name: str(level) for name, level in data.items()}


def read_rule_set(file: Path, problems: list[Problem]) -> tuple[list[Override], dict[str, str]]:
    """A shipped rule set (`title`, `description`, `settings`, `levels`): what a jurisdiction changes."""
    document = read_yaml(file)
    data = document.data if isinstance(document.data, dict) else {}
    problems += [
        document.problem((key,), f"The key '{key}' is not known here.", key=True)
        for key in data
        if key not in {"title", "description", "settings", "levels"}
    ]
    return (
        settings_of(data.get("settings", {}), document, ("settings",), "rule set", problems),
        levels_of(data.get("levels", {}), document, ("levels",), problems),
    )
