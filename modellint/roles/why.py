"""Why a part has its role, which other roles were considered, and what would change it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from modellint.roles.advice import PredefinedTypes, RoleAdvice, example_of
from modellint.roles.book import RoleBook, RoleEntry
from modellint.roles.part import Ground, Part, Rung
from modellint.roles.recognise import Candidate, rung_of

MOST_CHANGES = 6


@dataclass(frozen=True)
class Considered:
    """One role that something spoke for.

    Attributes:
        verdict: `chosen`, or why it was not.
        slight: nothing but its class or its material speaks for it.
    """

    role: str
    rung: Rung
    grounds: tuple[Ground, ...]
    verdict: str
    slight: bool = False


@dataclass(frozen=True)
class Why:
    """The answer for one part.

    Attributes:
        key: of the part: GlobalId, or one of its layers or items.
        roles: role to rung, as recognised.
        considered: roles that something spoke for, the chosen ones first, then by rung.
        ruled_out: role to what in the name or class rules it out although its name would speak for it.
        changes: sentences, what would give it a role or raise its rung.
    """

    key: str
    name: str
    ifc_class: str
    roles: dict[str, Rung]
    considered: tuple[Considered, ...]
    ruled_out: dict[str, str]
    changes: tuple[str, ...]


def why(
    part: Part,
    candidates: Sequence[Candidate],
    book: RoleBook,
    advice: Mapping[str, RoleAdvice],
    types_of: PredefinedTypes,
) -> Why:
    """Explain one part.

    Args:
        candidates: what `recognise` considered for it.
        advice: how each role can be declared.
        types_of: predefined types of a class in the model's schema.
    """
    rows = [
        Considered(entry.role, rung_of(grounds), tuple(grounds), _verdict(part, entry, grounds))
        for entry, grounds in candidates
    ]
    rows += [
        Considered(role, rung, part.grounds.get(role, ()), "chosen")
        for role, rung in part.roles.items()
        if role not in {row.role for row in rows}
    ]
    rows = [replace(row, slight=not spoken_for(row)) for row in rows]
    rows.sort(key=lambda row: (row.verdict != "chosen", -row.rung, -len(row.grounds), row.role))
    return Why(
        part.key,
        part.name,
        part.element.ifc_class,
        dict(part.roles),
        tuple(rows),
        _ruled_out(part, book),
        _changes(part, rows, book, advice, types_of),
    )


def _verdict(part: Part, entry: RoleEntry, grounds: Sequence[Ground]) -> str:
    if entry.role in part.roles:
        return "chosen"
    kinds, rung = {ground.kind for ground in grounds}, rung_of(grounds)
    if rung == Rung.GUESSED and not (entry.guess and kinds & {"name", "declared"}):
        return "one sign alone, and not its name, is no reason to take it for this"
    if not entry.words_suffice(kinds):
        return "class and shape do not tell it from its neighbours; nothing in its words speaks for it"
    if not part.roles:
        return "dropped: the assembly it belongs to carries this role, or its layers and items do"
    if rung == Rung.GUESSED:
        return "only one sign speaks for it"
    if entry.generic:
        return "a general role; a more exact one comes first"
    return "more, or better, speaks for the chosen role"


def _ruled_out(part: Part, book: RoleBook) -> dict[str, str]:
    element = part.element
    names = [text for text in (element.name, element.type_name, element.object_type) if text]
    found = {}
    for entry in book.entries:
        matched = entry.names is not None and any(entry.names.match(name.lower()) for name in names)
        if not matched or entry.role in part.roles:
            continue
        if entry.only and element.ifc_class not in entry.only:
            found[entry.role] = f"{element.ifc_class} is none of the classes it is possible for"
        elif entry.not_names is not None:
            against = next((name for name in names if entry.not_names.match(name.lower())), "")
            if against:
                found[entry.role] = f"the name '{against}' holds a word that speaks against it"
    return dict(sorted(found.items()))


def _changes(
    part: Part,
    rows: Sequence[Considered],
    book: RoleBook,
    advice: Mapping[str, RoleAdvice],
    types_of: PredefinedTypes,
) -> tuple[str, ...]:
    entries = {entry.role: entry for entry in book.entries}
    wanted = [row for row in rows if row.role in part.roles]
    wanted += [row for row in rows if row.role not in part.roles and spoken_for(row)][: 2 - len(wanted)]
    found = []
    for row in wanted:
        if row.rung == Rung.GUESSED and row.role in entries:
            more = _other_signs(entries[row.role], {ground.kind for ground in row.grounds})
            found += (
                [f"A second sign of another kind makes it {_a(row.role)} (inferred): {more}."] if more else []
            )
        if row.rung < Rung.DECLARED and row.role in advice:
            found += _declaring(part, advice[row.role], types_of)
    name = part.element.name or part.element.type_name
    if name:
        role = wanted[0].role if wanted else "ROLE"
        found.append(
            f"In modellint.yaml under roles: {{role: {role}, name: {_quoted(name)}}} declares everything of "
            f"that name {_a(role) if wanted else 'a part of the role written there'}."
        )
    return tuple(found[:MOST_CHANGES])


def spoken_for(row: Considered) -> bool:
    """Whether more than its class or its material alone speaks for a role."""
    kinds = {ground.kind for ground in row.grounds}
    return len(kinds) > 1 or bool(kinds - {"class", "material"})


def _declaring(part: Part, advice: RoleAdvice, types_of: PredefinedTypes) -> list[str]:
    """How to declare a role, with the part's own class if that will do."""
    own = [way for way in advice.ways if way.declared and part.element.ifc_class in way.classes]
    narrowed = RoleAdvice(advice.role, tuple(replace(way, classes=(part.element.ifc_class,)) for way in own))
    way = narrowed.way_in(types_of) or advice.way_in(types_of)
    return [f"{way.words()} declares it {_a(advice.role)}."] if way is not None and way.declared else []


def _a(role: str) -> str:
    """A role with its article, as a person says it."""
    return f"{'an' if role[0] in 'aeiou' else 'a'} {_words(role)}"


def _quoted(name: str) -> str:
    """A name as a YAML text that matches itself as a glob."""
    return "'" + "".join(f"[{sign}]" if sign in "*?[" else sign for sign in name).replace("'", "''") + "'"


def _other_signs(entry: RoleEntry, held: set[str]) -> str:
    """The kinds of ground that a role could have and the part lacks, as a phrase."""
    signs = []
    if entry.classes and "class" not in held:
        signs.append(f"class {' or '.join(sorted(entry.classes)[:3])}")
    if entry.name_globs and "name" not in held:
        signs.append(f'a name like "{example_of(entry.name_globs[0])}"')
    if entry.materials is not None and "material" not in held:
        signs.append("its material")
    if entry.properties and "property" not in held:
        signs.append(f"a property that gives {_words(entry.properties[0])}")
    if entry.shapes and "shape" not in held:
        signs.append(f"the shape of {_a(entry.shapes[0])}")
    if entry.places and "place" not in held:
        test = entry.places[0]
        signs.append(f"that it {_PLACES[test.relation]} {_a(test.roles[0])}")
    return ", or ".join(signs)


_PLACES = {
    "touches": "touches",
    "end_in": "ends in",
    "inside": "lies inside",
    "over": "lies over",
    "under": "lies under",
}


def _words(role: str) -> str:
    return role.replace("_", " ")
