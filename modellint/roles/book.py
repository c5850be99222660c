"""The role book: one YAML file per role with the clauses that declare it and its grounds by kind."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from fnmatch import translate
from pathlib import Path
from typing import Any

from modellint.errors import UsageProblem

CLAUSE_KEYS = ("class", "predefined", "object_type", "system", "classification", "layer", "name", "type_name",
               "property")

# kinds of ground that are words or as good as words
WORDS = frozenset({"name", "declared", "schedule", "property"})


@dataclass(frozen=True)
class Clause:
    """All its parts must hold; each part is a set of globs of which one must match.

    `line` is where an override stands in the project file, 0 for the clauses of the book.
    """

    tests: tuple[tuple[str, re.Pattern[str]], ...]
    text: str
    line: int = 0


@dataclass(frozen=True)
class PlaceTest:
    """`relation` (touches, end_in, inside, over, under) to a part with one of `roles`."""

    relation: str
    roles: tuple[str, ...]


@dataclass(frozen=True)
class RoleEntry:
    """One role's page of the book.

    Attributes:
        order: among equal candidates the lower one wins; position in the book unless stated.
        only: classes the role is possible for; () for any.
        generic: a stand-in such as `pipe`; any other role at rung inferred or better comes before it.
        needs_words: class and shape alone do not tell it from its neighbours; a name must speak for it.
        needs_words_or_place: the same, but its place may speak instead of a name.
        name_globs: the globs of `names`, as written.
        slices: `layer` if a material layer can have it, `item` if the solids of a group are counted apart.
    """

    role: str
    order: int = 50
    declared: tuple[Clause, ...] = ()
    classes: frozenset[str] = frozenset()
    only: frozenset[str] = frozenset()
    names: re.Pattern[str] | None = None
    not_names: re.Pattern[str] | None = None
    materials: re.Pattern[str] | None = None
    properties: tuple[str, ...] = ()
    shapes: tuple[str, ...] = ()
    places: tuple[PlaceTest, ...] = ()
    slices: str = ""
    guess: bool = True
    generic: bool = False
    needs_words: bool = False
    needs_words_or_place: bool = False
    name_globs: tuple[str, ...] = ()

    def words_suffice(self, kinds: Collection[str]) -> bool:
        """Whether grounds of these kinds say more than class and shape do, where the role asks for that."""
        enough = WORDS | {"place"} if self.needs_words_or_place else WORDS
        return not (self.needs_words or self.needs_words_or_place) or bool(enough & set(kinds))


@dataclass(frozen=True)
class RoleBook:
    """All entries, in `order`, then by name; `overrides` of the project come before any of them."""

    entries: tuple[RoleEntry, ...]
    overrides: tuple[tuple[str, Clause], ...] = field(default=())

    @property
    def roles(self) -> tuple[str, ...]:
        """Names of all roles, sorted."""
        return tuple(sorted({entry.role for entry in self.entries}))


def globs(patterns: Iterable[str] | str | None) -> re.Pattern[str] | None:
    """One compiled pattern for several globs, matched against the whole lower-case text."""
    if not patterns:
        return None
    rows = [patterns] if isinstance(patterns, str) else list(patterns)
    return re.compile("|".join(f"(?:{translate(str(row).lower())})" for row in rows))


def read_page(path: Path) -> Any:
    """One shipped YAML page, by the safe loader (its C form where there is one)."""
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return yaml.load(path.read_text(encoding="utf-8"), Loader=loader)  # noqa: S506


def load_book(folder: Path, overrides: Iterable[Mapping[str, Any]] = ()) -> RoleBook:
    """Read `rules/roles/*.yaml`.

    Args:
        folder: the folder of role files.
        overrides: rows of the project file, each with `role` and clause keys.

    Raises:
        UsageProblem: a file is not a role entry.
    """
    entries = []
    for path in sorted(folder.glob("*.yaml")):
        data = read_page(path)
        if not isinstance(data, dict) or "role" not in data:
            raise UsageProblem(f"{path}: a role file needs a mapping with the key 'role'.")
        entries.append(_entry(data))
    rows = tuple((str(row["role"]), _clause(row)) for row in overrides)
    return RoleBook(tuple(sorted(entries, key=lambda entry: (entry.order, entry.role))), rows)


def _entry(data: Mapping[str, Any]) -> RoleEntry:
    grounds = data.get("grounds", {})
    return RoleEntry(
        role=data["role"],
        order=data.get("order", 50),
        declared=tuple(_clause(row) for row in data.get("declared", ())),
        classes=frozenset(grounds.get("class", ())),
        only=frozenset(data.get("only", ())),
        names=globs(grounds.get("name")),
        not_names=globs(data.get("not_name")),
        materials=globs(grounds.get("material")),
        properties=tuple(grounds.get("property", ())),
        shapes=tuple(grounds.get("shape", ())),
        places=tuple(PlaceTest(relation, tuple(roles)) for row in grounds.get("place", ())
                     for relation, roles in row.items()),
        slices=data.get("slices", ""),
        guess=data.get("guess", True),
        generic=data.get("generic", False),
        needs_words=data.get("needs_words") is True,
        needs_words_or_place=data.get("needs_words") == "or place",
        name_globs=_listed(grounds.get("name")),
    )


def _listed(value: Any) -> tuple[str, ...]:
    return () if not value else (value,) if isinstance(value, str) else tuple(str(one) for one in value)


def _clause(row: Mapping[str, Any]) -> Clause:
    tests, words = [], []
    for key in CLAUSE_KEYS:
        if key in row:
            pattern = globs(row[key])
            if pattern is not None:
                tests.append((key, pattern))
                shown = row[key] if isinstance(row[key], str) else "/".join(map(str, row[key]))
                words.append(f"{key} {shown}")
    return Clause(tuple(tests), ", ".join(words), int(row.get("line", 0)))
