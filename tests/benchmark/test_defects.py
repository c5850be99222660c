"""Every seeded defect is found at the right place in every manner, and nothing else fails.

The houses and their defects are invented; what counts as a defect is stated in sample_models/generator/defects.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import pytest

from sample_models.benchmark import clean_fails, jobs, run
from sample_models.generator import DEFECTS, HOUSES, MANNERS

SEEN: dict[tuple[str, str], dict[str, Any]] = defaultdict(dict)


@pytest.mark.parametrize("house", HOUSES)
@pytest.mark.parametrize("manner", MANNERS)
def test_the_clean_house_has_no_fail(house: str, manner: str) -> None:
    assert clean_fails(house, manner) == []


@pytest.mark.parametrize(("name", "house", "manner"), list(jobs(HOUSES, MANNERS)))
def test_defect_is_found_and_nothing_else_fails(name: str, house: str, manner: str) -> None:
    defect = next(row for row in DEFECTS if row.name == name)
    result = run(defect, house, manner)
    assert (result.verdict, result.false) in {("found", ()), ("silent", ())}, result.detail
