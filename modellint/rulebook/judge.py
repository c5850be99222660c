"""Judging a house by rules: outcomes counted, findings built for what failed or is open."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from modellint.findings.finding import STAGES, Finding
from modellint.findings.identity import finding_id, state
from modellint.findings.report import RuleCount
from modellint.measures.quantity import Evidence, Missing, Place
from modellint.roles.part import Part, Rung
from modellint.rulebook.compare import FAIL, NOT_APPLICABLE, OPEN, OUTCOME_WORDS, PASS
from modellint.rulebook.compiled import CompiledRule
from modellint.rulebook.over_sets import completeness, lack_of_members
from modellint.rulebook.reasons import Outcome
from modellint.rulebook.rule import Rule, Setting
from modellint.rulebook.texts import fill, limit_of, question_for

PlaceOf = Callable[[Any, Any, Any], Place]


def place_by_name(subject: Any, item: Any, house: Any) -> Place:
    """Place of last resort: the names."""
    return Place(subject.name if item is None else f"{subject.name}, {item.name}")


@dataclass(frozen=True)
class JudgeOptions:
    """How to judge.

    Attributes:
        settings: general settings by name (overrides applied).
        system: `metric` or `us`, for all texts.
        due: last stage that is due, "" for all.
        place_of: `place_of(subject, item, house) -> Place`; item None if the finding has none.
        passes: also list what passed.
        judged: keys of subjects that another dwelling unit of the building shares and was judged with.
    """

    settings: Mapping[str, Setting] = field(default_factory=dict)
    system: str = "metric"
    due: str = ""
    place_of: PlaceOf = place_by_name
    passes: bool = False
    judged: frozenset[str] = frozenset()


@dataclass
class Judgement:
    """Findings in order of rule and subject, outcome counts of every rule, and the passes if asked for."""

    findings: list[Finding] = field(default_factory=list)
    counts: list[RuleCount] = field(default_factory=list)
    passes: list[dict[str, Any]] = field(default_factory=list)


def judge(rules: Iterable[Rule], house: Any, ask: Any, options: JudgeOptions | None = None) -> Judgement:
    """Judge one building by all the rules."""
    options = options or JudgeOptions()
    judgement = Judgement()
    for rule in rules:
        judged = _RuleRun(CompiledRule(rule, options.settings), house, ask, options, judgement)
        judged.run()
        judgement.counts.append(judged.count)
    return judgement


class _RuleRun:
    """One rule over all its subjects."""

    def __init__(
        self, compiled: CompiledRule, house: Any, ask: Any, options: JudgeOptions, into: Judgement
    ) -> None:
        self.compiled, self.rule = compiled, compiled.rule
        self.house, self.ask, self.options, self.into = house, ask, options, into
        self.count = RuleCount(self.rule.id, self.rule.group, self.rule.title, self.rule.stage)
        self.due = not options.due or STAGES.index(self.rule.stage) <= STAGES.index(options.due)

    def run(self) -> None:
        """Judge every subject (and item)."""
        subjects = tuple(self.house.subjects(self.rule.subject))
        if not subjects:
            self._none()
            return
        if self.options.judged:
            subjects = tuple(subject for subject in subjects if subject.key not in self.options.judged)
        if self.rule.each:
            for subject in subjects:
                self._each(subject)
        else:
            self._plain(subjects)

    def _plain(self, subjects: tuple[Any, ...]) -> None:
        run, ask, tally, keep = self.compiled.run, self.ask, [0, 0, 0, 0], self.options.passes
        for subject in subjects:
            code = run(subject, None, ask)
            outcome = code >> 2
            tally[outcome] += 1
            if outcome in {FAIL, OPEN} or keep:
                self._tell(code, subject, None)
        self._add(tally)

    def _add(self, tally: list[int]) -> None:
        self.count.passed += tally[PASS]
        self.count.failed += tally[FAIL]
        self.count.open += tally[OPEN]
        self.count.not_applicable += tally[NOT_APPLICABLE]

    def _tell(self, code: int, subject: Any, item: Any) -> None:
        outcome = code >> 2
        if outcome in {FAIL, OPEN}:
            self._find(self.compiled.explain(subject, item, self.ask))
        elif outcome == PASS and self.options.passes:
            self.into.passes.append(
                {
                    "rule": self.rule.id,
                    "subject": subject.key,
                    "name": subject.name,
                    "item": item.key if item is not None else "",
                    "rung": Rung(code & 3).word,
                }
            )

    def _each(self, subject: Any) -> None:
        if not self.compiled.applies(subject, self.ask):
            self.count.not_applicable += 1
            return
        members = self.ask.members(self.rule.each, subject)
        tally = [0, 0, 0, 0]
        for item in members.items:
            code = self.compiled.run(subject, item, self.ask)
            tally[code >> 2] += 1
            self._tell(code, subject, item)
        if not completeness(members):
            tally[OPEN] += 1
            reads = frozenset(self.ask.reads(self.rule.each, subject))
            self._find(
                Outcome(
                    self.rule,
                    subject,
                    None,
                    OUTCOME_WORDS[OPEN],
                    Rung.GUESSED,
                    missing=lack_of_members(members, self.rule.each_gives),
                    reads=reads,
                    from_when=True,
                )
            )
        elif not members.items:
            tally[NOT_APPLICABLE] += 1
        self._add(tally)

    def _none(self) -> None:
        outcome = OUTCOME_WORDS.index(self.rule.if_none)
        tally = [0, 0, 0, 0]
        tally[outcome] = 1
        self._add(tally)
        if outcome == NOT_APPLICABLE:
            return
        building = next(iter(self.house.subjects("building")))
        missing = (
            (Missing(self.rule.subject, building.name, "add it to the model"),) if outcome == OPEN else ()
        )
        self._find(
            Outcome(
                self.rule,
                building,
                None,
                OUTCOME_WORDS[outcome],
                Rung.DECLARED,
                missing=missing,
                no_subject=self.rule.subject != "building",
            )
        )

    def _find(self, outcome: Outcome) -> None:
        self.into.findings.append(
            _finding(outcome, self.compiled, self.house, self.ask, self.options, self.due)
        )


def _finding(
    outcome: Outcome, compiled: CompiledRule, house: Any, ask: Any, options: JudgeOptions, due: bool
) -> Finding:
    rule, subject, item = outcome.rule, outcome.subject, outcome.item
    failed = outcome.outcome == "fail"

    def text(template: str) -> str:
        return fill(template, outcome, compiled.settings, ask, options.system)

    conditional = failed and outcome.rung < Rung.SCHEDULED
    message = text(rule.message) if failed else _open_message(outcome)
    reads = [ask.parts_read[key] for key in sorted(outcome.reads) if key in ask.parts_read]
    evidence = _evidence(outcome)
    item_key = item.key if item is not None else ""
    return Finding(
        id=finding_id(rule.id, subject.key, item_key),
        state=state(subject.parts, [*subject.parts, *(item.parts if item is not None else ()), *reads], evidence),
        rule=rule.id,
        title=rule.title,
        group=rule.group,
        outcome=outcome.outcome,
        level=rule.level,
        stage=rule.stage,
        decides=rule.decides,
        subject_role=rule.subject,
        subject_key=subject.key,
        subject_name=subject.name,
        item_key=item_key,
        place=options.place_of(subject, item if item is not None else next(iter(outcome.members), None), house),
        elements=_elements(outcome),
        message=_conditional(message, outcome) if conditional else message,
        effect=text(rule.effect),
        remedy=text(rule.remedy),
        question="" if failed else _question(outcome, text),
        missing=() if failed else outcome.missing,
        limits=tuple(limit_of(row, options.system) for row in outcome.rows),
        evidence=evidence,
        conditional=conditional,
        due=due,
        share="" if failed else _share(outcome, house),
        reads=tuple(sorted({*(part.key for part in reads), *(part.key for part in subject.parts)})),
        items=tuple(member.name for member in ([item] if item is not None else outcome.members)),
    )


def _open_message(outcome: Outcome) -> str:
    first = outcome.missing[0] if outcome.missing else None
    about = f": {outcome.item.name}" if outcome.item is not None else ""
    if first is None:
        return f"{outcome.subject.name}{about}: cannot tell whether {_lower(outcome.rule.title)}."
    of = f" of {first.of}" if first.of and first.of != outcome.subject.name else ""
    return (
        f"{outcome.subject.name}{about}: cannot tell whether {_lower(outcome.rule.title)}; "
        f"{first.quantity.replace('_', ' ')}{of} is not known."
    )


def _lower(title: str) -> str:
    title = title.rstrip(".")
    return title[:1].lower() + title[1:] if title[1:2].islower() or title[1:2] == " " else title


def _question(outcome: Outcome, text: Callable[[str], str]) -> str:
    if (outcome.from_when or outcome.about_subject) and outcome.missing:
        return question_for(outcome.missing[0], outcome.subject)
    return text(outcome.rule.ask)


def _conditional(message: str, outcome: Outcome) -> str:
    """ "If this is a …," before the sentence of a finding that rests on an inferred part."""
    kind = outcome.rule.subject
    doubtful = [(outcome.subject, kind)] if outcome.subject.rung_as(kind) < Rung.SCHEDULED else []
    if outcome.item is not None and outcome.item.rung_as(outcome.rule.each_gives) < Rung.SCHEDULED:
        doubtful.append((outcome.item, outcome.rule.each_gives))
    if not doubtful:
        return f"If the parts are what they seem, {message}"
    words = doubtful[0][1].replace("_", " ").removeprefix("any ")
    return f"If this is {'an' if words[0] in 'aeiou' else 'a'} {words}, {message}"


def _evidence(outcome: Outcome) -> tuple[Evidence, ...]:
    found = [fact for row in outcome.rows for fact in row.value.evidence]
    found += [
        fact
        for row in outcome.rows
        for bound in row.bounds
        if bound.quantity is not None
        for fact in bound.quantity.evidence
    ]
    return tuple(dict.fromkeys(found))


def _elements(outcome: Outcome) -> tuple[str, ...]:
    """GlobalIds: the host first, then the item's or the deciding members' parts in their order."""
    named: Iterable[Any] = [outcome.item] if outcome.item is not None else outcome.members
    parts: list[Part] = [*outcome.subject.parts, *(part for member in named for part in member.parts)]
    return tuple(dict.fromkeys(part.element.global_id for part in parts))


def _share(outcome: Outcome, house: Any) -> str:
    """Key of the missing fact: open findings that lack the same one share it."""
    if not outcome.missing:
        return ""
    first = outcome.missing[0]
    return "|".join((house.key, first.quantity, first.of))
