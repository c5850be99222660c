"""A rule ready to run: `when` and `expect` compiled, the outcome table, and the reasons on demand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.measures.quantity import Missing
from modellint.roles.part import Rung
from modellint.rulebook.compare import FAIL, NOT_APPLICABLE, OPEN, OUTCOME_WORDS, PASS
from modellint.rulebook.evaluate import OPEN_CODE, build, rung_reader
from modellint.rulebook.reasons import Outcome, Reasons
from modellint.rulebook.rule import Condition, Count, Join, Not, OverSet, Rule, Setting

NOT_APPLICABLE_CODE = NOT_APPLICABLE << 2


class CompiledRule:
    """One rule with its settings filled in.

    `run` gives `outcome * 4 + rung`; `explain` gives the same with its reasons.
    """

    def __init__(self, rule: Rule, general: Mapping[str, Setting]) -> None:
        self.rule = rule
        self.settings = {**general, **rule.settings}
        self.when = build(rule.when, self.settings) if rule.when else None
        self.expect = build(rule.expect, self.settings)
        self.rung = rung_reader(rule.subject)
        self.item_rung = rung_reader(rule.each_gives) if rule.each else None
        self.when_of_subject = self.when is not None and (not rule.each or _deepest(rule.when, 1) == 0)

    def run(self, subject: Any, item: Any, ask: Any) -> int:
        """Outcome times 4 plus rung, by the table of when and expect."""
        chain = (subject,) if item is None else (subject, item)
        sure = BEST_OF_ALL
        if self.when is not None:
            code = self.when.judge(chain, ask)
            if code >> 2 == FAIL:
                return NOT_APPLICABLE_CODE
            sure = code & 3 if code >> 2 == PASS else 0
        code = self.expect.judge(chain, ask)
        outcome = code >> 2
        if outcome == OPEN:
            return OPEN_CODE
        rung = min(code & 3, self.rung(subject))
        if item is not None and self.item_rung is not None:
            rung = min(rung, self.item_rung(item))
        if outcome == PASS:
            return rung
        rung = min(rung, sure)
        return FAIL << 2 | rung if rung else OPEN_CODE

    def applies(self, subject: Any, ask: Any) -> bool:
        """Whether `when` may hold of the subject as far as it can be said without an item."""
        return not (
            self.when_of_subject and self.when is not None and self.when.judge((subject,), ask) >> 2 == FAIL
        )

    def explain(self, subject: Any, item: Any, ask: Any) -> Outcome:
        """The outcome with its reasons; walks a second time, on remembered values."""
        code = self.run(subject, item, ask)
        chain = (subject,) if item is None else (subject, item)
        reasons, from_when, about = Reasons(), False, False
        when_code = self.when.judge(chain, ask) if self.when is not None else PASS << 2 | BEST_OF_ALL
        expect_code = self.expect.judge(chain, ask) if code != NOT_APPLICABLE_CODE else OPEN_CODE
        if code == NOT_APPLICABLE_CODE and self.when is not None:
            self.when.why(chain, ask, reasons)
        elif code == OPEN_CODE and self.when is not None and when_code >> 2 == OPEN:
            from_when = True
            self.when.why(chain, ask, reasons)
            if expect_code >> 2 == OPEN:
                self.expect.why(chain, ask, reasons)
        else:
            self.expect.why(chain, ask, reasons)
            if self.when is not None and code >> 2 == FAIL:
                kept = Reasons()
                self.when.why(chain, ask, kept)
                reasons.reads |= kept.reads
            about = code == OPEN_CODE and expect_code >> 2 == FAIL
            if about:
                reasons.missing[:0] = self._doubts(subject, item)
        return Outcome(
            self.rule,
            subject,
            item,
            OUTCOME_WORDS[code >> 2],
            Rung(code & 3),
            tuple(reasons.rows),
            tuple(reasons.members),
            tuple(reasons.missing),
            frozenset(reasons.reads),
            from_when,
            about,
        )

    def _doubts(self, subject: Any, item: Any) -> list[Missing]:
        doubtful = [] if self.rung(subject) else [(subject, self.rule.subject)]
        if item is not None and self.item_rung is not None and not self.item_rung(item):
            doubtful.append((item, self.rule.each_gives))
        return [
            Missing(
                kind,
                one.name,
                f"say in the model or the project file whether it is a {kind.replace('_', ' ')}",
            )
            for one, kind in doubtful
        ]


BEST_OF_ALL = int(Rung.DECLARED)


def _deepest(condition: Condition | None, length: int) -> int:
    """Highest place below the rule's own chain (`length` + 1 with an item) that a condition asks of."""
    if condition is None:
        return 0
    if isinstance(condition, Join):
        return max(_deepest(part, length) for part in condition.parts)
    if isinstance(condition, Not):
        return _deepest(condition.part, length)
    if isinstance(condition, OverSet | Count):
        return 1  # the chain inside a set would shift without the item, so it is left to the item
    places = [condition.operand, *(bound.operand for bound in condition.bounds if bound.operand)]
    return max(max(operand.subject, operand.item or 0) for operand in places)
