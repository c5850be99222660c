"""Many models on a Dask cluster of two workers on this machine: the same rows, byte for byte, as without it."""

from __future__ import annotations

import importlib
import json
import socket
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from modellint.cache import Cache
from modellint.cli.main import cli
from modellint.cluster import MOST_TRIES, check_on_cluster
from modellint.cluster_task import check_there, order_for, parcel_of, tools
from modellint.errors import UsageProblem
from modellint.limits import Limits
from modellint.many import Checked, check_all, expand
from tests import cluster_targets
from tests.test_many import small

distributed = pytest.importorskip("distributed", reason="the extra modellint[cluster] is not installed")
REQUEST = {"project": None, "today": "2026-11-25", "drawings": False}
# the event loop of the cluster library leaves sockets to the collector when workers are killed
pytestmark = [pytest.mark.filterwarnings("ignore::ResourceWarning"),
              pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
              pytest.mark.filterwarnings("ignore::DeprecationWarning")]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """A scheduler and two worker processes with a guard each, as an office would run them."""
    options: dict[str, Any] = {"distributed.scheduler.allowed-failures": 0, "distributed.worker.daemon": False,
                               "distributed.worker.memory.terminate": False}
    with dask_config(options), distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0", host="127.0.0.1",
            silence_logs=60) as cluster:
        yield cluster.scheduler_address


def dask_config(options: dict[str, Any]) -> Any:
    return importlib.import_module("dask").config.set(options)


@pytest.fixture(scope="module")
def lots(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three houses, one of them cut, one with a project file and a schedule, one with a wrong project file."""
    folder = tmp_path_factory.mktemp("lots")
    for name in ("own", "wrong"):
        (folder / name).mkdir()
    small(folder, "a.ifc")
    small(folder / "own", "b.ifc", "Partition")
    small(folder / "wrong", "c.ifc")
    (folder / "cut.ifc").write_bytes((folder / "a.ifc").read_bytes()[:900])
    (folder / "own" / "marks.csv").write_text("mark,allowable tension (kN)\nTD-1,20\n")
    (folder / "own" / "modellint.yaml").write_text(
        "units: us\nroles:\n  - {role: shear_wall, name: Partition}\nschedules: {hold_downs: marks.csv}\n")
    (folder / "wrong" / "modellint.yaml").write_text("unts: us\n")
    return folder


@pytest.fixture(scope="module")
def at_home(lots: Path) -> list[Checked]:
    """The rows of a run on this machine alone."""
    return check_all([*expand([lots]), lots / "none.ifc"], REQUEST, Limits())


def as_bytes(rows: list[Checked]) -> str:
    return json.dumps([[row.name, str(row.path), row.report, row.problem, row.status] for row in rows])


@pytest.mark.parametrize("task", [check_there, cluster_targets.elsewhere])
def test_the_rows_are_those_of_this_machine(task: Any, address: str, lots: Path, at_home: list[Checked]) -> None:
    """On a shared folder, and where the files must be sent."""
    told: list[int] = []
    rows = check_on_cluster(address, [*expand([lots]), lots / "none.ifc"], REQUEST, Limits(), task=task,
                            tell=lambda done, number, name: told.append(done))
    assert as_bytes(rows) == as_bytes(at_home)
    assert told == [1, 2, 3, 4, 5]
    assert {row.status for row in rows} >= {2, 3}
    assert any("units" in row.problem for row in rows)


def test_a_lost_worker_is_replaced_and_what_failed_is_named(address: str, tmp_path: Path) -> None:
    for name in ("dies-once.ifc", "dies-always.ifc", "healthy.ifc"):
        small(tmp_path, name)
    models = expand([tmp_path])
    plain = check_all([path for path in models if "always" not in path.name], REQUEST, Limits())
    rows = check_on_cluster(address, models, REQUEST, Limits(), task=cluster_targets.dying, wait=60.0)
    named = {row.path.name: row for row in rows}
    assert named["dies-always.ifc"].status == 3
    assert f"{MOST_TRIES} times over" in named["dies-always.ifc"].problem
    assert named["dies-always.ifc"].report is None
    assert (tmp_path / "dies-once.been").exists()
    assert as_bytes([row for row in rows if row.report is not None]) == as_bytes(plain)


def test_the_command_prints_the_same(address: str, lots: Path, tmp_path: Path) -> None:
    kept = str(tmp_path / "kept")
    words = ["check", str(lots), "--format", "json", "--today", "2026-11-25"]
    here = CliRunner().invoke(cli, [*words, "--cache", "off"])
    there = CliRunner().invoke(cli, [*words, "--cache", kept, "--cluster", address])
    assert there.output == here.output
    assert there.exit_code == here.exit_code == 3
    assert len(Cache(Path(kept)).entries()) == 2  # kept on this machine: a second look needs no worker
    again = CliRunner().invoke(cli, [*words, "--cache", kept])
    assert again.output == here.output


def test_another_version_on_the_workers_is_refused(address: str, lots: Path) -> None:
    with pytest.raises(UsageProblem, match=r"The workers at .* have shapely .*, this machine has .*; install the same"):
        check_on_cluster(address, [lots / "a.ifc"], REQUEST, Limits(), task=cluster_targets.older)


def test_nobody_at_the_address() -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with pytest.raises(UsageProblem, match=rf"No scheduler answers at --cluster tcp://127.0.0.1:{port} within 0.5 s"):
        check_on_cluster(f"tcp://127.0.0.1:{port}", [], REQUEST, Limits(), wait=0.5)


@pytest.mark.parametrize("address", ["nowhere://x", "tcp://", "tcp://127.0.0.1:notaport", "::::"])
def test_a_wrong_address(address: str) -> None:
    with pytest.raises(UsageProblem, match="--cluster"):
        check_on_cluster(address, [], REQUEST, Limits(), wait=0.5)


def test_a_scheduler_without_workers(tmp_path: Path) -> None:
    with distributed.LocalCluster(n_workers=0, dashboard_address=":0", host="127.0.0.1", silence_logs=60) as empty, \
            pytest.raises(UsageProblem, match="The scheduler has no worker"):
        check_on_cluster(empty.scheduler_address, [], REQUEST, Limits(), wait=0.5)


def test_without_the_extra(monkeypatch: pytest.MonkeyPatch, lots: Path) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    done = CliRunner().invoke(cli, ["check", str(lots), "--cluster", "tcp://127.0.0.1:1"])
    assert isinstance(done.exception, UsageProblem)
    assert "pip install 'modellint[cluster]'" in str(done.exception)


@pytest.mark.parametrize("words", [["a.ifc"], [".", "--together"], [".", "--jobs", "2"]])
def test_wrong_usage(words: list[str], lots: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(lots)
    assert CliRunner().invoke(cli, ["check", *words, "--cluster", "tcp://127.0.0.1:1"]).exit_code == 2


def test_a_parcel_never_leaves_its_folder(lots: Path, tmp_path: Path) -> None:
    """What is sent is the model, the project file and what that names; the copy is read, not the original."""
    model = lots / "own" / "b.ifc"
    order = order_for(model, REQUEST, Limits())
    assert [Path(path).name for path, _ in order["needed"]] == ["b.ifc", "marks.csv", "modellint.yaml"]
    answer = check_there(order, parcel_of(order), tools())
    assert "modellint-" not in answer["report"]
    assert answer == check_there(order, None, tools())
    changed = {**order, "needed": [[path, "0" * 64] for path, _ in order["needed"]]}
    assert check_there(changed, None, tools()) == {"send": True}
