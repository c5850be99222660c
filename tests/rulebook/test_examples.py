"""The six rules that the language must be able to say, with made-up measures."""

from __future__ import annotations

from math import inf

import pytest

from modellint.measures.quantity import (
    EITHER,
    Members,
    Missing,
    Quantity,
    between,
    exact,
    truth,
    unknown,
    word,
)
from modellint.roles.part import Rung
from modellint.rulebook.compiled import CompiledRule
from modellint.rulebook.judge import JudgeOptions, judge
from modellint.rulebook.load import read_rule
from modellint.rulebook.schema import rule_schema, schema_problems
from modellint.rulebook.yaml_text import parse_yaml
from modellint.units import parse
from tests.rulebook.fakes import REGISTRY, FakeAsk, FakeHouse, Thing, rule_text

CODE = "{kind: code, source: IRC 2018, clause: AF103.6.1}"
SIX = {
    1: """subject: wall_end
when: {all: [{measure: wall_is_shear, is: true}, {measure: tie_waived_by_schedule, is: false}]}
expect: {count: ties, at_least: 1}
""",
    2: """subject: wall_end
expect: {every: uplift_links, have: {measure: link_state, is: joined}}
""",
    3: """subject: vent_pipe
when: {measure: above_permeable_layer, is: true}
expect: {measure: fall_to_suction, more_than: 0 %}
""",
    4: f"""subject: vent_outlet
each: openings_near_exit
when: {{all: [{{measure: opening_opens, is: true}}, {{measure: same_dwelling, is: true}}]}}
expect: {{any: [{{measure: exit_above_opening_top, at_least: {{setting: relief}}}},
  {{measure: string_distance, at_least: {{setting: clearance}}}}]}}
settings: {{relief: {{value: 2 ft, basis: {CODE}}}, clearance: {{value: 10 ft, basis: {CODE}}}}}
""",
    5: """subject: wall_end
expect: {measure: uplift_demand, at_most: {measure: chain_capacity}}
""",
    6: """subject: building
if_none: open
when: {measure: soil_gas_level, is_one_of: [passive, fan]}
expect: {count: vent_runs, where: {measure: vent_joined, is: true}, at_least: 1}
""",
}


def load(body: str):
    document = parse_yaml(rule_text(body), "some-rule.yaml")
    assert schema_problems(document, rule_schema(REGISTRY)) == []
    rule, problems = read_rule(document, REGISTRY, {}, stem="some-rule")
    assert problems == []
    return rule


def outcome(number: int, ask: FakeAsk, subject: Thing, item: Thing | None = None):
    compiled = CompiledRule(load(SIX[number]), {})
    return compiled.explain(subject, item, ask)


END, TIE = Thing("end"), Thing("tie")


YES, NO = truth(True), truth(False)


def _first(ties: Members, waived: Quantity = NO, shear: Quantity = YES):
    ask = FakeAsk(
        {("wall_is_shear", "end", ""): shear, ("tie_waived_by_schedule", "end", ""): waived},
        {("ties", "end"): ties},
    )
    return outcome(1, ask, END).outcome


def test_wall_end_has_a_tie():
    assert _first(Members((TIE,))) == "pass"
    assert _first(Members(())) == "fail"
    assert _first(Members((), complete=False)) == "open"
    assert _first(Members((Thing("maybe", Rung.GUESSED),))) == "open"
    assert _first(Members(()), waived=truth(True)) == "notApplicable"
    assert _first(Members(()), shear=unknown("truth")) == "open"
    assert _first(Members((TIE,)), shear=unknown("truth")) == "pass"


def test_first_broken_link_is_named():
    links = tuple(Thing(name) for name in ("post-tie", "tie-rod", "rod-footing"))
    states = ("joined", "broken", "broken")
    ask = FakeAsk(
        {("link_state", link.key, ""): word(state) for link, state in zip(links, states, strict=True)},
        {("uplift_links", "end"): Members(links)},
    )
    found = outcome(2, ask, END)
    assert found.outcome == "fail"
    assert [member.key for member in found.members] == ["tie-rod", "rod-footing"]


@pytest.mark.parametrize(
    ("fall", "wanted"),
    [
        (exact(parse("1/8 in/ft", "slope"), "slope"), "pass"),
        (exact(0.0, "slope"), "fail"),
        (exact(4e-6, "slope"), "fail"),
        (between(-0.01, 0.01, "slope"), "open"),
        (unknown("slope"), "open"),
    ],
)
def test_fall(fall, wanted):
    ask = FakeAsk({("above_permeable_layer", "pipe", ""): truth(True), ("fall_to_suction", "pipe", ""): fall})
    assert outcome(3, ask, Thing("pipe")).outcome == wanted


@pytest.mark.parametrize(
    ("above", "string", "wanted"),
    [
        ("2 ft", "1 ft", "pass"),
        ("23 in", "10 ft", "pass"),
        ("23 in", "9 ft 11 in", "fail"),
        ("23 in", None, "open"),
    ],
)
def test_exit_and_openings(above, string, wanted):
    """IRC 2018 AF103.6.1: 10 ft from openings that are less than 2 ft below the exhaust point."""
    distance = exact(parse(string, "length"), "length") if string else Quantity("length", 1.0, inf)
    ask = FakeAsk(
        {
            ("opening_opens", "window", ""): truth(True),
            ("same_dwelling", "exit", "window"): truth(True),
            ("exit_above_opening_top", "exit", "window"): exact(parse(above, "length"), "length"),
            ("string_distance", "exit", "window"): distance,
        }
    )
    assert outcome(4, ask, Thing("exit"), Thing("window")).outcome == wanted


@pytest.mark.parametrize(
    ("demand", "low", "high", "levels", "wanted"),
    [
        (62, 0, 58, ("ASD wind", "ASD wind"), "fail"),
        (40, 0, 58, ("ASD wind", "ASD wind"), "open"),
        (40, 58, 58, ("ASD wind", "ASD wind"), "pass"),
        (40, 58, 58, ("ASD wind", "LRFD wind"), "open"),
        (40, 58, 58, ("", ""), "open"),
        (62, 0, 58, ("", "ASD wind"), "open"),
    ],
)
def test_demand_and_weakest_link(demand, low, high, levels, wanted):
    ask = FakeAsk(
        {
            ("uplift_demand", "end", ""): exact(demand * 1e3, "force", level=levels[0]),
            ("chain_capacity", "end", ""): between(low * 1e3, high * 1e3, "force", level=levels[1]),
        }
    )
    found = outcome(5, ask, END)
    assert found.outcome == wanted
    assert wanted != "open" or found.missing


@pytest.mark.parametrize(
    ("level", "joined", "complete", "wanted"),
    [
        (word("fan"), truth(True), True, "pass"),
        (word("fan"), truth(False), True, "fail"),
        (word("fan"), unknown("truth"), True, "open"),
        (word("fan"), truth(False), False, "open"),
        (word("none"), truth(False), True, "notApplicable"),
        (unknown("choice", words=frozenset({"none", "fan"})), truth(False), True, "open"),
    ],
)
def test_no_pass_on_missing_evidence(level, joined, complete, wanted):
    run = Thing("run")
    ask = FakeAsk(
        {("soil_gas_level", "house", ""): level, ("vent_joined", "run", ""): joined},
        {("vent_runs", "house"): Members((run,), complete)},
    )
    assert outcome(6, ask, Thing("house")).outcome == wanted


def test_open_each_set_adds_one_open_for_the_subject():
    ask = FakeAsk(
        {}, {("openings_near_exit", "exit"): Members((), False, (Missing("opening", "the house"),))}
    )
    judgement = judge([load(SIX[4])], FakeHouse({"vent_outlet": (Thing("exit"),)}), ask, JudgeOptions())
    assert [finding.outcome for finding in judgement.findings] == ["open"]
    assert judgement.findings[0].share == "house|opening|the house"
    assert judgement.counts[0].open == 1


def test_finding_says_limit_margin_basis_and_condition():
    window = Thing("W2", Rung.INFERRED)
    ask = FakeAsk(
        {
            ("opening_opens", "W2", ""): truth(True),
            ("same_dwelling", "exit", "W2"): truth(True),
            ("exit_above_opening_top", "exit", "W2"): exact(0.3, "length", rung=Rung.INFERRED),
            ("string_distance", "exit", "W2"): exact(3.0, "length"),
        },
        {("openings_near_exit", "exit"): Members((window,))},
    )
    found = judge([load(SIX[4])], FakeHouse({"vent_outlet": (Thing("exit"),)}), ask, JudgeOptions()).findings[
        0
    ]
    assert found.conditional
    assert found.message.startswith("If this is an opening, ")
    assert (found.limits[1].limit, found.limits[1].margin) == ("10 ft (3048 mm)", "48 mm short")
    assert found.limits[1].basis.words() == "IRC 2018 AF103.6.1"


def test_if_none_open_and_margin_zero():
    assert EITHER
    rule = load("""subject: vent_pipe
if_none: fail
expect: {measure: fall_to_suction, at_least: 1/8 in/ft}
""")
    none = judge([rule], FakeHouse({}), FakeAsk(), JudgeOptions())
    assert (none.findings[0].outcome, none.counts[0].failed) == ("fail", 1)
    ask = FakeAsk({("fall_to_suction", "pipe", ""): exact(1 / 96, "slope")})
    compiled = CompiledRule(rule, {})
    assert compiled.explain(Thing("pipe"), None, ask).outcome == "pass"
