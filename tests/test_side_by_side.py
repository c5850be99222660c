"""Pieces of a job over forked copies of the process: order, results, and copies that die."""

import json
import os
import signal
import sys
from pathlib import Path

import pytest

from modellint import pipeline
from modellint.side_by_side import ahead, cores, each
from sample_models.street import street

LINUX = pytest.mark.skipif(sys.platform != "linux", reason="elsewhere nothing is forked")


@pytest.mark.parametrize("workers", [1, 2, 3, 9])
def test_results_come_in_order_however_many_work(workers: int) -> None:
    assert list(each(lambda k: k * k, 7, workers)) == [0, 1, 4, 9, 16, 25, 36]


def test_no_pieces_give_no_results() -> None:
    assert list(each(lambda k: k, 0, 4)) == []


@LINUX
def test_copies_do_the_work() -> None:
    assert os.getpid() not in set(each(lambda _: os.getpid(), 4, 2))
    assert os.getpid() not in {ahead(os.getpid)()}
    assert cores() >= 1


@LINUX
def test_what_a_dead_copy_owed_is_done_here() -> None:
    here = os.getpid()

    def work(index: int) -> int:
        if index == 2 and os.getpid() != here:
            os.kill(os.getpid(), signal.SIGKILL)
        return index

    assert list(each(work, 6, 2)) == [0, 1, 2, 3, 4, 5]


@LINUX
def test_an_error_is_the_one_of_a_single_process() -> None:
    def work(index: int) -> int:
        return 1 // (3 - index)

    with pytest.raises(ZeroDivisionError):
        list(each(work, 5, 2))
    with pytest.raises(ZeroDivisionError):
        ahead(lambda: 1 // 0)()


@LINUX
def test_what_cannot_be_sent_is_made_here() -> None:
    assert [result() for result in each(lambda k: lambda: k, 3, 2)] == [0, 1, 2]
    assert ahead(lambda: lambda: 5)()() == 5


def test_a_street_gives_the_same_report_with_one_process_and_with_several(tmp_path: Path) -> None:
    path = tmp_path / "street.ifc"
    street(2, path)
    one, two = (json.dumps(pipeline.check({"models": [str(path)], "cores": number})) for number in (1, 2))
    assert one == two
    assert len(json.loads(one)["paths"]) > 0
