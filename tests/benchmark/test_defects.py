"""Every seeded defect is found at the right place in every manner, and nothing else fails.

The houses and their defects are invented; what counts as a defect is stated in sample_models/generator/defects.
"""

from __future__ import annotations

import pytest

from sample_models.benchmark import clean_fails, jobs, run
from sample_models.generator import DEFECTS, HOUSES, MANNERS


@pytest.mark.parametrize("house", HOUSES)
@pytest.mark.parametrize("manner", MANNERS)
def test_the_clean_house_has_no_fail(house: str, manner: str) -> None:
    assert clean_fails(house, manner) == []


# the larger house in one manner here; `python -m sample_models.benchmark` runs all of them
ALONE = [row.name for row in DEFECTS if not row.together]  # the others: test_vents_together.py
ALL = [*jobs(["two-storey"], MANNERS, ALONE), *jobs(["three-storey"], ["plain"], ALONE)]


@pytest.mark.parametrize(("name", "house", "manner"), ALL)
def test_defect_is_found_and_nothing_else_fails(name: str, house: str, manner: str) -> None:
    defect = next(row for row in DEFECTS if row.name == name)
    result = run(defect, house, manner)
    assert (result.verdict, result.false) in {("found", ()), ("silent", ())}, result.detail
