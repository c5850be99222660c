"""What a model is ready for: what was recognised how well, which rules can be asked, and what to add first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from modellint.findings.demand_words import ORDINARY, STANDS_FOR, Need, need_of, role_of_subject
from modellint.findings.finding import Finding
from modellint.findings.report import RuleCount
from modellint.graph.house import House
from modellint.graph.storeys import storey_at, storeys_of
from modellint.ifc.model import Element
from modellint.roles.part import Rung
from modellint.roles.properties import PropertyBook

MOST_DEMANDS = 10
MOST_EXAMPLES = 5
NOWHERE = ""  # storey of a part without a shape


@dataclass(frozen=True)
class RoleFound:
    """How a role was recognised in one building: storey to rung word to number of parts ("" for no place)."""

    building: str
    role: str
    storeys: dict[str, dict[str, int]]
    drawn: int = 0
    places: int = 0
    complete: bool = False

    def by_rung(self) -> dict[str, int]:
        """Rung word to number of parts, the best rung first."""
        total = {rung.word: 0 for rung in sorted(Rung, reverse=True)}
        for rungs in self.storeys.values():
            for rung, number in rungs.items():
                total[rung] += number
        return {rung: number for rung, number in total.items() if number}


@dataclass
class RuleReady:
    """Whether one rule can be asked.

    Attributes:
        state: `can run`, `in part`, `waits` (for facts), `nothing to ask` (no subject, or its condition holds
            nowhere).
        answered, waiting: number of checks with and without an answer.
        lacks: missing fact to the number of checks that wait for it, in order of first mention.
        wants: role that has to be recognised before the rule has a subject, "".
    """

    rule: str
    group: str
    title: str
    state: str
    answered: int
    waiting: int
    lacks: dict[str, int] = field(default_factory=dict)
    wants: str = ""


@dataclass
class Demand:
    """One thing to add to the model, and what it unlocks.

    Attributes:
        need: what kind of thing.
        checks: number of checks that wait for it (a rule without any subject counts once).
        rules: ids of the rules, sorted.
        of: things that lack it, the first few.
        subjects: roles of the parts that should carry a property, sorted.
        hint: the first measure's own words for what to add or whom to ask.
        guessed: names of parts that could be it by one sign only, the first few.
        guesses: how many such parts there are.
    """

    need: Need
    checks: int = 0
    rules: list[str] = field(default_factory=list)
    of: list[str] = field(default_factory=list)
    subjects: list[str] = field(default_factory=list)
    hint: str = ""
    guessed: list[str] = field(default_factory=list)
    guesses: int = 0


def roles_found(houses: Iterable[House]) -> list[RoleFound]:
    """One row per building and role, sorted by role; roles of which nothing was found are left out."""
    rows = []
    for house in houses:
        storeys = storeys_of(house.model, house.key)
        found: dict[str, dict[str, dict[str, int]]] = defaultdict(
            lambda: defaultdict(lambda: defaultdict(int))
        )
        for part in house.parts.values():
            storey = storey_at(storeys, float(part.box.low[2])) if part.box is not None else None
            for role, rung in part.roles.items():
                found[role][storey.name if storey is not None else NOWHERE][rung.word] += 1
        for role in sorted(found):
            state = house.completeness.get(role)
            order = [storey.name for storey in storeys]
            names = sorted(
                found[role], key=lambda name: (order.index(name) if name in order else len(order), name)
            )
            rows.append(
                RoleFound(
                    house.name,
                    role,
                    {name: dict(found[role][name]) for name in names},
                    state.drawn if state else 0,
                    state.places if state else 0,
                    bool(state and state.complete),
                )
            )
    return rows


def rules_ready(
    rules: Iterable[Any],
    counts: Sequence[RuleCount],
    findings: Iterable[Finding],
    houses: Sequence[House],
    roles: frozenset[str],
) -> list[RuleReady]:
    """One row per rule, in the order of the counts.

    Args:
        rules: `rulebook.rule.Rule` objects that were asked.
        roles: names of all roles of the role book.
    """
    subject = {rule.id: rule.subject for rule in rules}
    lacks: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for finding in findings:
        if finding.outcome == "open":
            for fact in dict.fromkeys(STANDS_FOR.get(one.quantity, one.quantity) for one in finding.missing):
                lacks[finding.rule][fact] += 1
    rows = []
    for count in counts:
        answered, waiting = count.passed + count.failed, count.open
        kind = subject[count.rule]
        asked = any(True for house in houses for _ in house.subjects(kind))
        state = "waits" if waiting else "nothing to ask"
        if answered:
            state = "in part" if waiting else "can run"
        rows.append(
            RuleReady(
                count.rule,
                count.group,
                count.title,
                state,
                answered,
                waiting,
                dict(lacks[count.rule]),
                "" if asked else role_of_subject(kind, roles),
            )
        )
    return rows


def demands(
    findings: Iterable[Finding],
    rows: Iterable[RuleReady],
    houses: Sequence[House],
    roles: frozenset[str],
    quantities: frozenset[str],
) -> list[Demand]:
    """Everything worth adding, that which unlocks the most checks first."""
    found: dict[Need, Demand] = {}
    for finding in findings:
        if finding.outcome != "open":
            continue
        for need in dict.fromkeys(need_of(m.quantity, roles, quantities) for m in finding.missing):
            demand = found.setdefault(need, Demand(need))
            demand.checks += 1
            _once(demand.rules, finding.rule)
            _once(demand.subjects, role_of_subject(finding.subject_role, roles) or finding.subject_role)
            for missing in finding.missing:
                if need_of(missing.quantity, roles, quantities) == need:
                    demand.hint = demand.hint or missing.hint
                    _once(demand.of, missing.of)
    for row in rows:
        if row.state == "nothing to ask" and row.wants in ORDINARY:
            demand = found.setdefault(Need("part", row.wants), Demand(Need("part", row.wants)))
            demand.checks += 1
            _once(demand.rules, row.rule)
    for demand in found.values():
        demand.rules.sort()
        demand.subjects.sort()
        demand.of[MOST_EXAMPLES:] = []
        _add_guesses(demand, houses)
    return sorted(
        found.values(), key=lambda one: (-one.checks, -len(one.rules), one.need.kind, one.need.name)
    )


def _once(rows: list[str], text: str) -> None:
    if text and text not in rows:
        rows.append(text)


def _add_guesses(demand: Demand, houses: Sequence[House]) -> None:
    """Parts that could be the role asked for, by one sign only."""
    if demand.need.kind != "part":
        return
    for house in houses:
        for part in house.with_role(demand.need.name):
            if part.rung_as(demand.need.name) == Rung.GUESSED:
                demand.guesses += 1
                if len(demand.guessed) < MOST_EXAMPLES:
                    _once(demand.guessed, part.name)


@dataclass
class Unread:
    """A property that was recognised by its name, but whose value could not be read.

    Attributes:
        quantity: what it would give.
        where: set and property.
        value: the first value met, as written.
        reason: why, e.g. `no unit`.
        elements: GlobalIds, the first few; `number` counts all.
    """

    quantity: str
    where: str
    value: str
    reason: str
    number: int = 0
    elements: list[str] = field(default_factory=list)


def unread_properties(houses: Iterable[House]) -> list[Unread]:
    """Properties of recognised parts whose values could not be read, sorted by quantity, place and reason."""
    found: dict[tuple[str, str, str], Unread] = {}
    for house in houses:
        elements = {
            element.key: element
            for part in house.parts.values()
            if part.roles
            for element in part.elements
            if element.properties
        }
        for key in sorted(elements):
            _unread_of(elements[key], house.properties, found)
    return [found[key] for key in sorted(found)]


def _unread_of(element: Element, book: PropertyBook, found: dict[tuple[str, str, str], Unread]) -> None:
    for quantity in book.quantities_of(element):
        for reading in book.read(element, quantity):
            if not reading.unread or reading.unread == "empty":
                continue
            where, _, value = reading.where.partition(" = ")
            reason = "not one of its words" if "is none of" in reading.unread else reading.unread
            row = found.setdefault((quantity, where, reason), Unread(quantity, where, value, reason))
            row.number += 1
            if len(row.elements) < MOST_EXAMPLES:
                row.elements.append(element.global_id)
