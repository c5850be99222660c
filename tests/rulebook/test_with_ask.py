"""Judging through the recording `Ask`: reads reach the finding's state, waived facts do not."""

from __future__ import annotations

from modellint.ifc.model import Element
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.quantity import Members, exact
from modellint.roles.part import Part, Rung
from modellint.rulebook.compiled import CompiledRule
from modellint.rulebook.judge import judge
from modellint.rulebook.load import read_rule
from modellint.rulebook.vocabulary import Registry
from modellint.rulebook.yaml_text import parse_yaml
from tests.rulebook.fakes import FakeHouse, rule_text


def _part(key, role, rung=Rung.DECLARED):
    return Part(key, Element(key, key, 1, "IfcMember", name=key), roles={role: rung})


POST, STUD, FAR = _part("post", "post"), _part("stud", "stud", Rung.INFERRED), _part("far", "stud")


@named_set("post", "stud")
def studs(post, ask):
    return Members((ask.part(STUD),))


@measure("length", "post", "stud")
def gap(post, stud, ask):
    ask.part(FAR)
    return exact(0.0051, "length")


def test_reads_conditional_and_elements():
    registry = Registry({"gap": gap.spec}, {"studs": studs.spec})
    body = "subject: post\nexpect: {every: studs, have: {measure: gap, at_most: 5 mm}}\n"
    text = rule_text(body).replace('"{subject} is not right"', '"{subject} stands {gap} from {item}"')
    rule, problems = read_rule(parse_yaml(text, "f"), registry, {})
    assert problems == []
    ask = Ask(None, registry.measures, registry.sets, {})
    assert CompiledRule(rule, {}).explain(POST, None, ask).reads == {"post", "stud", "far"}
    finding = judge([rule], FakeHouse({"post": (POST,)}), ask).findings[0]
    assert finding.message == "If the parts are what they seem, post stands 5.1 mm from stud"
    assert finding.elements == ("post", "stud")
    assert (finding.conditional, finding.limits[0].margin) == (True, "0.1 mm too much")
    before = finding.state
    FAR.roles["stud"] = Rung.SCHEDULED
    assert judge([rule], FakeHouse({"post": (POST,)}), ask).findings[0].state != before
