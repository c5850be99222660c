"""Three hundred damaged models; thousands with `python -m tests.fuzz.mutate --count N`."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.fuzz.damage import CUTS, DAMAGES
from tests.fuzz.mutate import Mutant, Tally, bases, check_batch, fuzz


def test_three_hundred_mutants_keep_all_promises(tmp_path: Path) -> None:
    tally = fuzz(300, 3, tmp_path)
    assert tally.broken == []
    assert sum(tally.outcomes.values()) == 300
    assert tally.commands == 12
    assert {kind for kind, _ in tally.outcomes} == {damage.__name__ for damage in DAMAGES}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return bases(tmp_path_factory.mktemp("bases"))


def test_damage_is_the_same_for_the_same_seed_and_always_does_something(whole: dict[str, bytes]) -> None:
    for damage in DAMAGES:
        made = [damage(whole["semantic"], random.Random(f"{seed}")) for seed in (1, 1, 2)]
        assert made[0] == made[1]
        assert made[0] != whole["semantic"]
        assert made[0] != made[2]


def test_an_undamaged_base_is_answered(whole: dict[str, bytes], tmp_path: Path) -> None:
    """The fuzzer can fail: a whole file filed under a kind of cut breaks the promise about cuts."""
    path = tmp_path / "whole.ifc"
    path.write_bytes(whole["semantic"])
    tally = Tally()
    check_batch([Mutant(0, CUTS[0].__name__, "semantic", path)], tally)
    assert list(tally.outcomes) in ([("cut_anywhere", 0)], [("cut_anywhere", 1)])
    assert len(tally.broken) == 1
