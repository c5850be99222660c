"""How a designer can say in IFC what a part is and what a property is worth, from the role and property books."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from modellint.roles.book import read_page

# PredefinedType values of a class in the model's schema; () without the attribute, None without the class
PredefinedTypes = Callable[[str], tuple[str, ...] | None]
_ANY_CLASS = ("IfcBuildingElementProxy",)


@dataclass(frozen=True)
class Way:
    """One way to say a role.

    Attributes:
        classes: IFC classes that will do, the usual one first.
        predefined: PredefinedType, "" where it says nothing.
        object_type, name, type_name, system, classification: texts that will do as they stand, "" if not needed.
        patterns: clause key to the globs that will do.
        declared: the role book takes it as a declaration, not as one ground among others.
    """

    classes: tuple[str, ...]
    predefined: str = ""
    object_type: str = ""
    name: str = ""
    type_name: str = ""
    system: str = ""
    classification: str = ""
    patterns: tuple[tuple[str, tuple[str, ...]], ...] = ()
    declared: bool = True

    def words(self) -> str:
        """As a phrase, e.g. `IfcMember with PredefinedType STUD`."""
        said = [f"PredefinedType {self.predefined}"] if self.predefined else []
        for label, text in (
            ("ObjectType", self.object_type),
            ("Name", self.name),
            ("type name", self.type_name),
            ("classification", self.classification),
        ):
            said += [f'{label} "{text}"'] if text else []
        system = f' in a system named "{self.system}"' if self.system else ""
        return f"{self.classes[0]}{' with ' if said else ''}{' and '.join(said)}{system}"


@dataclass(frozen=True)
class RoleAdvice:
    """Every way to say one role that the book has; declarations come before a name beside a class."""

    role: str
    ways: tuple[Way, ...]

    def way_in(self, types_of: PredefinedTypes) -> Way | None:
        """The first way that the model's schema can express."""
        for way in self.ways:
            fitting = tuple(one for one in way.classes if _can(types_of(one), way.predefined))
            if fitting:
                return Way(fitting, *(getattr(way, key) for key in _REST))
        return None


_REST = ("predefined", "object_type", "name", "type_name", "system", "classification", "patterns", "declared")


@dataclass(frozen=True)
class PropertyAdvice:
    """Where a quantity can be written: `pairs` of (set, property), standard ones first; globs where marked `*`."""

    quantity: str
    dimension: str
    description: str
    standard: tuple[tuple[str, str], ...]
    names: tuple[tuple[str, str], ...]
    values: tuple[str, ...]

    def words(self) -> str:
        """As a phrase, e.g. `Pset_PipeSegmentTypeCommon.OuterDiameter`."""
        if self.standard and "*" not in self.standard[0][0]:
            return ".".join(self.standard[0])
        pairs = [*self.standard, *self.names]
        name = example_of(pairs[0][1]) if pairs else self.quantity.replace("_", " ")
        values = f" ({', '.join(self.values)})" if self.values else ""
        unit = (
            ", with its unit" if self.dimension not in {"text", "choice", "truth", "count", "ratio"} else ""
        )
        return f'a property "{name}"{values}{unit}'


def _can(types: tuple[str, ...] | None, predefined: str) -> bool:
    return types is not None and (not predefined or predefined in types)


def example_of(glob: str) -> str:
    """A text that a glob matches and a person would write: `*hold*down*` gives `hold down`."""
    plain = glob.replace("[[]", "[").strip("*").replace("*", " ").replace("?", " ").strip()
    return plain or glob


def role_advice(folder: Path) -> dict[str, RoleAdvice]:
    """Advice for each role, from `rules/roles/*.yaml`."""
    found = {}
    for path in sorted(folder.glob("*.yaml")):
        page = read_page(path)
        grounds = page.get("grounds", {})
        usual = _texts(grounds.get("class")) or _texts(page.get("only")) or _ANY_CLASS
        ways = [_way(row, usual) for row in page.get("declared", ())]
        names = _texts(grounds.get("name"))
        if names:
            ways.append(Way(usual, name=example_of(names[0]), patterns=(("name", names),), declared=False))
        found[page["role"]] = RoleAdvice(page["role"], tuple(ways))
    return found


def property_advice(folder: Path) -> dict[str, PropertyAdvice]:
    """Advice for each quantity, from `rules/properties/*.yaml`."""
    found = {}
    for path in sorted(folder.glob("*.yaml")):
        page = read_page(path)
        found[page["quantity"]] = PropertyAdvice(
            page["quantity"],
            page["dimension"],
            page.get("description", ""),
            _pairs(page.get("standard")),
            _pairs(page.get("names")),
            tuple(str(word) for word in page.get("words", ())),
        )
    return found


def _way(row: Mapping[str, Any], usual: tuple[str, ...]) -> Way:
    rest = {key: _texts(row[key]) for key in row if key != "class"}
    first = {key: texts[0] if key == "predefined" else example_of(texts[0]) for key, texts in rest.items()}
    known: dict[str, Any] = {key: text for key, text in first.items() if key in _REST}
    return Way(_texts(row.get("class")) or usual, **known, patterns=tuple(sorted(rest.items())))


def _texts(value: Any) -> tuple[str, ...]:
    if not value:
        return ()
    return (str(value),) if isinstance(value, str) else tuple(str(one) for one in value)


def _pairs(rows: Any) -> tuple[tuple[str, str], ...]:
    return tuple((str(first), str(second)) for first, second in rows or ())
