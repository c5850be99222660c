"""The list of rules and one rule explained, on rules built in code."""

from __future__ import annotations

import subprocess
import sys

import pytest

from modellint.cli.rules import find
from modellint.errors import UsageProblem
from modellint.findings.finding import Basis
from modellint.reports.rules_text import render_list, render_rule
from modellint.rulebook.rule import Bound, Compare, Operand, Rule, Setting


def rod_leans() -> Rule:
    limit = Setting(
        "limit", "5 deg", 0.0872665, "angle", Basis("practice"), "Lean that a nut still bears flat."
    )
    expect = Compare(Operand("rod_lean", "angle", 0), "at_most", (Bound(setting="limit"),))
    return Rule(
        "rod-leans",
        "Rods stand plumb",
        "lateral",
        "rod",
        expect,
        "warning",
        "cover",
        "superintendent",
        "{subject} leans {rod_lean}.",
        "How far does it lean?",
        "Move the tie.",
        was=("rod-lean",),
        traps=("A rod drawn as a box.",),
        settings={"limit": limit},
    )


def test_the_list_shows_group_id_title_level_and_stage() -> None:
    text = render_list([rod_leans()])
    assert "LATERAL" in text
    assert "rod-leans" in text
    assert "Rods stand plumb (warning; settle it before it is covered)" in text


def test_one_rule_shows_limit_basis_reads_and_traps() -> None:
    text = render_rule(rod_leans(), {})
    for part in (
        "every rod",
        "limit: 5 deg; common practice, no source",
        "Reads",
        "rod lean",
        "A rod drawn as a box.",
        "superintendent",
        "Lean that a nut",
    ):
        assert part in text


def test_a_rule_is_found_by_its_id_or_an_earlier_one() -> None:
    assert find([rod_leans()], "rod-leans").id == find([rod_leans()], "rod-lean").id == "rod-leans"
    with pytest.raises(UsageProblem, match="Near it: rod-leans"):
        find([rod_leans()], "rods-lean")


def test_the_commands_load_no_heavy_library() -> None:
    code = (
        "import sys, modellint.cli.rules, modellint.cli.trace, modellint.reports.rules_text; "
        "print([n for n in ('ifcopenshell', 'networkx', 'shapely', 'jsonschema') if n in sys.modules])"
    )
    assert (
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
        == "[]\n"
    )
