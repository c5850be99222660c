"""The shipped soil-gas rules judged over a house built in code."""

from modellint.measures.ask import Ask
from modellint.measures.registry import all_measures, all_sets
from modellint.rulebook.judge import JudgeOptions, judge
from modellint.rulebook.load import load_rules
from modellint.rulebook.vocabulary import Registry
from tests.builders_soilgas import RULES

MEASURES, SETS = all_measures(), all_sets()
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
