"""The three outcomes against their meaning: every way the unknowns could turn out, one after another.

Each unknown value is replaced by every value it may have, each guessed member by its presence and absence,
each open set by none or up to four more members; plain two-valued logic judges each such world. A pass (fail)
must be one in every world; where each unknown is used once, open must mean that worlds differ.
"""

from __future__ import annotations

from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from modellint.measures.quantity import Members, between
from modellint.roles.part import Rung
from modellint.rulebook.compare import FAIL, OPEN, PASS
from modellint.rulebook.conditions import Resolver
from modellint.rulebook.evaluate import build
from modellint.rulebook.yaml_text import parse_yaml
from tests.rulebook.fakes import REGISTRY, FakeAsk, Thing

POST = Thing("post")
STEPS = (0, 1, 2, 3)  # metres
RANGES = st.tuples(st.sampled_from(STEPS), st.sampled_from(STEPS)).map(sorted)
COMPARE = {
    "at_least": lambda a, b: a >= b,
    "at_most": lambda a, b: a <= b,
    "more_than": lambda a, b: a > b,
    "less_than": lambda a, b: a < b,
    "is": lambda a, b: a == b,
}
LIMITED = st.tuples(st.sampled_from(sorted(COMPARE)), st.sampled_from(STEPS))


def node_of(data, kind="post"):
    resolver = Resolver(parse_yaml("x: y", "t"), REGISTRY, {}, {})
    condition = resolver.condition(data, (), (kind,))
    assert resolver.problems == []
    return build(condition, {})


def atoms(names):
    """A condition tree; `names` are handed out in order so that each is used once."""

    def leaf(limited):
        return lambda pool: {"measure": pool.pop(), limited[0]: f"{limited[1]} m"}

    leaves = LIMITED.map(leaf)
    return st.recursive(
        leaves,
        lambda inner: st.one_of(
            st.tuples(st.sampled_from(["all", "any"]), st.lists(inner, min_size=1, max_size=2)).map(
                lambda row: lambda pool: {row[0]: [one(pool) for one in row[1]]}
            ),
            inner.map(lambda one: lambda pool: {"not": one(pool)}),
        ),
        max_leaves=names,
    )


def plainly(data, world):
    """Two-valued truth of a condition in one world."""
    if "all" in data:
        return all(plainly(part, world) for part in data["all"])
    if "any" in data:
        return any(plainly(part, world) for part in data["any"])
    if "not" in data:
        return not plainly(data["not"], world)
    operator = next(key for key in data if key in COMPARE)
    right = data[operator]
    right = world[right["measure"]] if isinstance(right, dict) else int(right.split()[0])
    return COMPARE[operator](world[data["measure"]], right)


def verdict(truths):
    return PASS if all(truths) else FAIL if not any(truths) else OPEN


def span(name_to_range):
    return [
        dict(zip(name_to_range, row, strict=True))
        for row in product(*(range(low, high + 1) for low, high in name_to_range.values()))
    ]


class Pool(list):
    def pop(self):
        return super().pop(0) if self else "c"


@given(atoms(3), RANGES, RANGES, RANGES)
@settings(max_examples=400, deadline=None)
def test_connectives(make, first, second, third):
    pool = Pool(["a", "b", "c"])
    data = make(pool)
    ranges = {"a": first, "b": second, "c": third}
    ask = FakeAsk({(name, "post", ""): between(*map(float, ends), "length") for name, ends in ranges.items()})
    found = node_of(data).judge((POST,), ask) >> 2
    wanted = verdict([plainly(data, world) for world in span(ranges)])
    assert found == wanted


def test_comparison_of_two_measures_exhaustive():
    ends = [(low, high) for low in STEPS for high in STEPS if low <= high]
    for operator in COMPARE:
        data = {"measure": "a", operator: {"measure": "b"}}
        node = node_of(data)
        for first, second in product(ends, ends):
            ranges = {"a": first, "b": second}
            ask = FakeAsk(
                {(name, "post", ""): between(*map(float, pair), "length") for name, pair in ranges.items()}
            )
            assert node.judge((POST,), ask) >> 2 == verdict([plainly(data, world) for world in span(ranges)])


MEMBER = st.tuples(st.booleans(), RANGES, RANGES)  # guessed, p, q


def set_worlds(members, complete):
    """All the (p, q) lists that the set may really hold."""
    choices = []
    for guessed, p, q in members:
        there = [[pair] for pair in product(range(p[0], p[1] + 1), range(q[0], q[1] + 1))]
        choices.append(there + ([[]] if guessed else []))
    more = (
        [[]]
        if complete
        else [
            [],
            *([pair] for pair in product((0, 3), (0, 3))),
            [(0, 0), (3, 3), (3, 0), (0, 3)],
            [(3, 3)] * 3,
            [(3, 3)] * 4,
        ]
    )
    for row in product(*choices, more):
        yield [pair for some in row for pair in some]


def ask_for(members, complete):
    things = tuple(
        Thing(f"s{index}", Rung.GUESSED if row[0] else Rung.DECLARED) for index, row in enumerate(members)
    )
    values = {}
    for thing, (_, p, q) in zip(things, members, strict=True):
        values["p", thing.key, ""] = between(*map(float, p), "length")
        values["q", thing.key, ""] = between(*map(float, q), "length")
    return FakeAsk(values, {("studs_near", "post"): Members(things, complete)})


@given(st.lists(MEMBER, max_size=2), st.booleans(), st.sampled_from(["every", "some", "no"]), st.booleans())
@settings(max_examples=400, deadline=None)
def test_sets(members, complete, word, filtered):
    data = {word: "studs_near", "have": {"measure": "q", "at_least": "2 m"}}
    data.update({"where": {"measure": "p", "at_least": "1 m"}} if filtered else {})
    found = node_of(data).judge((POST,), ask_for(members, complete)) >> 2
    truths = []
    for world in set_worlds(members, complete):
        having = [q >= 2 for p, q in world if not filtered or p >= 1]
        truths.append({"every": all(having), "some": any(having), "no": not any(having)}[word])
    assert found == verdict(truths)


@given(st.lists(MEMBER, max_size=3), st.booleans(), st.sampled_from(sorted(COMPARE)), st.sampled_from(STEPS))
@settings(max_examples=400, deadline=None)
def test_counts(members, complete, operator, number):
    data = {"count": "studs_near", "where": {"measure": "p", "at_least": "1 m"}, operator: number}
    found = node_of(data).judge((POST,), ask_for(members, complete)) >> 2
    truths = [
        COMPARE[operator](sum(p >= 1 for p, _ in world), number) for world in set_worlds(members, complete)
    ]
    wanted = verdict(truths)
    assert found == wanted


@given(
    st.lists(st.tuples(st.sampled_from(Rung), st.sampled_from(Rung), st.integers(0, 3)), max_size=4),
    st.sampled_from(Rung),
    st.sampled_from(["every", "some", "no", "count"]),
)
@settings(max_examples=400, deadline=None)
def test_rung_is_the_best_at_which_the_rest_may_be_forgotten(rows, sure, word):
    """At rung r everything below r is made unknown. The rung given must be the highest that decides."""

    def outcome(threshold):
        things, values = [], {}
        for index, (member, value, q) in enumerate(rows):
            thing = Thing(f"s{index}", member if member >= threshold else Rung.GUESSED)
            known = value >= threshold
            values["q", thing.key, ""] = (
                between(float(q), float(q), "length", rung=value) if known else (between(0.0, 3.0, "length"))
            )
            things.append(thing)
        complete = sure >= threshold
        ask = FakeAsk(values, {("studs_near", "post"): Members(tuple(things), complete, rung=sure)})
        data = (
            {"count": "studs_near", "where": {"measure": "q", "at_least": "2 m"}, "at_least": 2}
            if (word == "count")
            else {word: "studs_near", "have": {"measure": "q", "at_least": "2 m"}}
        )
        return node_of(data).judge((POST,), ask)

    found = outcome(Rung.GUESSED)
    decided = [rung for rung in (Rung.DECLARED, Rung.SCHEDULED, Rung.INFERRED) if outcome(rung) >> 2 != OPEN]
    assert found >> 2 == (outcome(decided[0]) >> 2 if decided else OPEN)
    if decided:
        assert found & 3 == decided[0]
