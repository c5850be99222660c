"""Conditions over named sets: `every`, `some`, `no` and `count`."""

from __future__ import annotations

from math import inf
from typing import Any

from modellint.measures.quantity import Members, Missing, Quantity
from modellint.roles.part import Rung
from modellint.rulebook.compare import FAIL, OPEN, PASS, compare_numbers, one_value, rounded
from modellint.rulebook.evaluate import BEST, OPEN_CODE, Chain, Node, rung_reader, swapped
from modellint.rulebook.reasons import BoundValue, Reasons, Row
from modellint.rulebook.rule import Count, OverSet


def completeness(members: Members) -> int:
    """Rung at which a set is complete; 0 (guessed) if it is not."""
    return int(members.rung) if members.complete else 0


def lack_of_members(members: Members, gives: str) -> tuple[Missing, ...]:
    """What would complete a set."""
    return members.missing or (
        Missing(gives, "the building", "draw every one of them or state how many there are"),
    )


def guessed(member: Any, gives: str) -> Missing:
    """What a guessed member lacks."""
    spoken = gives.replace("_", " ")
    return Missing(gives, member.name, f"say in the model or the project file whether it is a {spoken}")


class OverSetNode:
    """`every`, and `some` = not every not, `no` = every not."""

    def __init__(self, what: OverSet, where: Node | None, have: Node) -> None:
        self.set, self.asked_of, self.gives = what.set, what.asked_of, what.gives
        self.where, self.have = where, have
        self.swap_have, self.swap_all = what.word in {"some", "no"}, what.word == "some"
        self.rung = rung_reader(what.gives)

    def judge(self, chain: Chain, ask: Any) -> int:
        """Outcome times 4 plus rung."""
        code = self._every(chain, ask)
        return swapped(code) if self.swap_all else code

    def _every(self, chain: Chain, ask: Any) -> int:
        members = ask.members(self.set, chain[self.asked_of])
        passed, failed = completeness(members), 0
        for member in members.items:
            inside, outcome, rung = self._member(member, chain, ask)
            if outcome == FAIL:
                failed = max(failed, min(inside, rung))
                passed = 0
            else:
                passed = min(passed, rung if outcome == PASS else 0)
        if failed:
            return FAIL << 2 | failed
        return PASS << 2 | passed if passed else OPEN_CODE

    def _member(self, member: Any, chain: Chain, ask: Any) -> tuple[int, int, int]:
        """Rung of its membership, outcome of `have` (a pass where `where` excludes it), rung of that."""
        inner = (*chain, member)
        inside = self.rung(member)
        if self.where is not None:
            code = self.where.judge(inner, ask)
            if code >> 2 == FAIL:
                return 0, PASS, code & 3
            inside = min(inside, code & 3) if code >> 2 == PASS else 0
        code = self.have.judge(inner, ask)
        code = swapped(code) if self.swap_have else code
        return inside, code >> 2, code & 3

    def why(self, chain: Chain, ask: Any, reasons: Reasons) -> None:
        """Collect from the members that decided, the certain ones first, in the set's order."""
        members = ask.members(self.set, chain[self.asked_of])
        reasons.reads |= ask.reads(self.set, chain[self.asked_of])
        code = self._every(chain, ask)
        rows = [(member, *self._member(member, chain, ask)) for member in members.items]
        if code >> 2 == OPEN:
            self._why_open(rows, members, chain, ask, reasons)
            return
        if code >> 2 == FAIL:
            best = code & 3
            decided = [row for row in rows if row[2] == FAIL and min(row[1], row[3]) == best]
            decided += [row for row in rows if row[2] == FAIL and 0 < min(row[1], row[3]) < best]
        else:
            decided = rows
        for member, *_ in decided:
            reasons.member(member)
            inner = (*chain, member)
            excluded = self.where is not None and self.where.judge(inner, ask) >> 2 == FAIL
            if excluded and self.where is not None:
                self.where.why(inner, ask, reasons)
            else:
                self.have.why(inner, ask, reasons)

    def _why_open(
        self,
        rows: list[tuple[Any, int, int, int]],
        members: Members,
        chain: Chain,
        ask: Any,
        reasons: Reasons,
    ) -> None:
        for member, inside, outcome, _ in rows:
            inner = (*chain, member)
            if outcome == PASS:
                continue
            reasons.member(member)
            if outcome == OPEN:
                self.have.why(inner, ask, reasons)
            if not inside and self.where is not None and self.where.judge(inner, ask) >> 2 == OPEN:
                self.where.why(inner, ask, reasons)
            if not self.rung(member):
                reasons.lack(guessed(member, self.gives))
        if not completeness(members):
            reasons.lack(*lack_of_members(members, self.gives))


class CountNode:
    """`count`: certain members, plus what guessed members and an incomplete set may add."""

    def __init__(self, what: Count, where: Node | None, rights: tuple[Any, ...]) -> None:
        self.set, self.asked_of, self.gives, self.operator = (
            what.set,
            what.asked_of,
            what.gives,
            what.operator,
        )
        self.where, self.rights = where, rights
        self.rung = rung_reader(what.gives)

    def _rows(self, members: Members, chain: Chain, ask: Any) -> list[tuple[int, int]]:
        """For each member the rung at which it is inside, and at which it is outside."""
        if self.where is None:
            return [(self.rung(member), 0) for member in members.items]
        rows = []
        for member in members.items:
            code = self.where.judge((*chain, member), ask)
            outcome, rung = code >> 2, code & 3
            rows.append(
                (min(self.rung(member), rung) if outcome == PASS else 0, rung if outcome == FAIL else 0)
            )
        return rows

    @staticmethod
    def _range(rows: list[tuple[int, int]], complete: int, rung: int) -> tuple[float, float]:
        certain = sum(inside >= rung for inside, _ in rows)
        possible = sum(outside < rung for _, outside in rows)
        return certain, possible if complete >= rung else inf

    def _bounds(self, chain: Chain, ask: Any) -> list[tuple[tuple[float, float], int]]:
        bounds = []
        for right in self.rights:
            if right.operand is None:
                bounds.append((right.fixed, BEST))
                continue
            place = right.operand.item
            value = ask.measure(
                right.operand.measure,
                chain[right.operand.subject],
                chain[place] if place is not None else None,
            )
            bounds.append((rounded(value, "count"), int(value.rung)))
        return bounds

    def judge(self, chain: Chain, ask: Any) -> int:
        """Outcome times 4 plus rung."""
        members = ask.members(self.set, chain[self.asked_of])
        rows, complete = self._rows(members, chain, ask), completeness(members)
        bounds = self._bounds(chain, ask)
        for rung in (3, 2, 1):
            low, high = self._range(rows, complete, rung)
            if self.operator == "known":
                if low == high:
                    return PASS << 2 | rung
                continue
            limits = [interval if sure >= rung else (0.0, inf) for interval, sure in bounds]
            outcome = compare_numbers(self.operator, low, high, limits)
            if outcome != OPEN:
                return outcome << 2 | rung
        return OPEN_CODE

    def why(self, chain: Chain, ask: Any, reasons: Reasons) -> None:
        """Collect the count, its members and what is missing."""
        code = self.judge(chain, ask)
        members = ask.members(self.set, chain[self.asked_of])
        reasons.reads |= ask.reads(self.set, chain[self.asked_of])
        rows, complete = self._rows(members, chain, ask), completeness(members)
        low, high = self._range(rows, complete, max(code & 3, 1))
        value = Quantity("count", low, high, rung=Rung(code & 3))
        bounds = []
        for right in self.rights:
            if right.operand is None:
                bounds.append(right.shown)
                continue
            place = right.operand.item
            item = chain[place] if place is not None else None
            other = ask.measure(right.operand.measure, chain[right.operand.subject], item)
            reasons.reads |= ask.reads(right.operand.measure, chain[right.operand.subject], item)
            bounds.append(
                BoundValue(other.low, other.high, frozenset(), "", None, right.operand.measure, other)
            )
            if code == OPEN_CODE and not one_value(other):
                reasons.lack(*other.missing)
        reasons.rows.append(Row(self.set, self.operator, value, tuple(bounds), chain, code >> 2))
        self._collect(members, rows, code, chain, ask, reasons)

    def _collect(
        self,
        members: Members,
        rows: list[tuple[int, int]],
        code: int,
        chain: Chain,
        ask: Any,
        reasons: Reasons,
    ) -> None:
        for member, (inside, outside) in zip(members.items, rows, strict=True):
            if inside:
                reasons.member(member)
            if self.where is not None and (outside or (code == OPEN_CODE and not inside)):
                part = (
                    Reasons() if outside else reasons
                )  # what excluded it counts as read, not as a reason to show
                self.where.why((*chain, member), ask, part)
                reasons.reads |= part.reads
            if code == OPEN_CODE and not inside and not outside and not self.rung(member):
                reasons.lack(guessed(member, self.gives))
        if code == OPEN_CODE and not completeness(members):
            reasons.lack(*lack_of_members(members, self.gives))
