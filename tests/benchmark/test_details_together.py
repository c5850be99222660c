"""Defects of details and of filing side by side in one house: each is found, and all manners say the same.

`python -m sample_models.benchmark` seeds each of them alone, in every house and manner. The houses are invented.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from typing import Any

import pytest

from sample_models.benchmark import _at, checked, said_of
from sample_models.generator import MANNERS, Defect, House, build
from sample_models.generator.defects import details, filing

# these change the whole vent, names, and words that another of the group changes, so they stand apart
APART = ("vent-filed-as-plumbing", "no-design-wind", "wall-named-twice")
ALL = (*details.DEFECTS, *filing.DEFECTS)
GROUPS = (tuple(row for row in ALL if row.name not in APART), tuple(row for row in ALL if row.name in APART))


@cache
def made(group: int, house: str) -> tuple[House, tuple[Defect, ...]]:
    done, defects = build(house), tuple(row for row in GROUPS[group] if house in row.where)
    for defect in defects:
        done = defect.apply(done)
    return done, defects


@cache
def report(group: int, house: str, manner: str) -> dict[str, Any]:
    return checked(made(group, house)[0], manner, schedules=True)


@pytest.mark.parametrize(("group", "house", "manner"), [
    *((0, "two-storey", manner) for manner in MANNERS), (0, "three-storey", "panelised"), (1, "two-storey", "plain")])
def test_each_is_found_and_nothing_else_fails(group: int, house: str, manner: str) -> None:
    done, defects = made(group, house)
    rows, clean = report(group, house, manner)["findings"], build(house)
    missed = [
        defect.name
        for defect in defects
        if manner not in defect.silent
        and not any(row["rule"] == defect.rule and row["outcome"] == defect.expect
                    and _at(row, defect.where[house], done, clean) for row in rows)
    ]
    assert not missed
    allowed = {rule for defect in defects for rule in (defect.rule, *defect.also)}
    assert {row["rule"] for row in rows if row["outcome"] == "fail"} <= allowed


def test_all_manners_say_the_same() -> None:
    done, defects = made(0, "two-storey")
    skip = {rule for defect in defects if defect.silent for rule in (defect.rule, *defect.also)}
    said = [Counter(row for row in said_of(report(0, "two-storey", manner), done) if row[0] not in skip)
            for manner in MANNERS]
    assert said[0]
    assert said[1] == said[0]
    assert said[2] == said[0]
