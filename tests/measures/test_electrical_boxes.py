"""Electrical boxes beside and in posts and panels; lengths follow from the coordinates (arithmetic)."""

from __future__ import annotations

import pytest

from tests.builders_lateral import block
from tests.lateral_job.houses import ask_of, small
from tests.measures.test_details import said, value


@pytest.mark.parametrize("role", ["electrical_box", "power_outlet"])
@pytest.mark.parametrize(
    ("west", "outcome"), [(2.50, {}), (2.499, {"case prop": "fail"}), (2.46, {"case prop": "fail"})]
)
def test_a_box_on_a_face_cuts_nothing_one_let_in_does(role: str, west: float, outcome: dict[str, str]) -> None:
    """The post ends at x 2.50 m; a box that starts there touches it, one that starts before is cut into it."""
    build = small()
    build.add("prop", "post", block((2.40, 2.93, 0.0), (2.50, 3.07, 2.4)))
    build.add("case", role, block((west, 2.95, 1.1), (west + 0.08, 3.05, 1.2)))
    ask = ask_of(build)
    assert said(ask, "electrical-box-in-hardware") == outcome
    if outcome:
        assert value(ask, "box_cut_depth", "any_electrical_box", "case", "prop") == pytest.approx(2.50 - west)


def test_a_box_without_a_shape_is_a_question() -> None:
    build = small()
    build.add("case", "electrical_box")
    assert said(ask_of(build), "electrical-box-in-hardware") == {"case": "open"}
