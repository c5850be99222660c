"""The shipped soil-gas rules judged over a house built in code."""

import importlib

from modellint.measures.ask import Ask, MeasureSpec, SetSpec
from modellint.rulebook.judge import JudgeOptions, judge
from modellint.rulebook.load import load_rules
from modellint.rulebook.vocabulary import Registry
from tests.builders_soilgas import RULES

MODULES = (
    "vent_pipe",
    "vent_run",
    "vent_outlet",
    "collector",
    "gravel_pocket",
    "slab",
    "building_soil_gas",
    "collection",
    "penetrations",
    "vent_stretch",
    "vent_route",
    "vent_mouth",
    "fan_ready",
    "vent_test",
)
_specs = [
    getattr(value, "spec", None)
    for name in MODULES
    for value in vars(importlib.import_module(f"modellint.measures.{name}")).values()
]
MEASURES = {spec.name: spec for spec in _specs if isinstance(spec, MeasureSpec)}
SETS = {spec.name: spec for spec in _specs if isinstance(spec, SetSpec)}
RULES_READ = load_rules([RULES / "soil-gas"], Registry(MEASURES, SETS), validate=True)


def ask(house) -> Ask:
    return Ask(house, MEASURES, SETS, {})


def findings(house):
    return judge(RULES_READ, house, ask(house), JudgeOptions()).findings


def outcomes(house, rule=None, outcome=None):
    """`(rule, subject key, outcome)` of all findings, or of one rule or outcome."""
    return sorted(
        (f.rule, f.subject_key, f.outcome)
        for f in findings(house)
        if (rule is None or f.rule == rule) and (outcome is None or f.outcome == outcome)
    )


def failed(house) -> set[str]:
    return {f.rule for f in findings(house) if f.outcome == "fail"}
