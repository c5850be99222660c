"""The checking process dies in every way we know; the parent says so and goes on."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import pytest

from modellint.errors import FileProblems, UsageProblem
from modellint.limits import Limits
from modellint.worker import run

ROOT = Path(__file__).resolve().parent.parent
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals and limits of POSIX")


@pytest.fixture(autouse=True)
def nothing_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Every test must leave its temporary folder empty and no child, running or dead."""
    monkeypatch.syspath_prepend(str(Path(__file__).parent))
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    before = children()
    yield
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith("modellint-")] == []
    assert children() <= before


def children() -> set[int]:
    """Processes this one started, running or dead; a browser of another test may be among them."""
    found = set()
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            parent = path.read_text().rpartition(")")[2].split()[1]
        except OSError:
            continue
        if int(parent) == os.getpid():
            found.add(int(path.parent.name))
    return found


def check(limits: Limits | None = None, **request: Any) -> dict[str, Any]:
    return run(request, limits, target="worker_targets:check")


def test_report_comes_back_past_native_chatter() -> None:
    heard: list[str] = []
    report = run({}, target="worker_targets:check", progress=heard.append)
    assert report["done"] == [f"part{number}" for number in range(10)]
    assert heard == ["reading"]


def test_child_stands_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SECRET_TOKEN", "x")
    report = check()
    assert "SECRET_TOKEN" not in report["names"]
    assert not Path(report["here"]).exists()
    assert report["pid"] != os.getpid()


@pytest.mark.parametrize("deed", ["crash", "leave", "hog", "garbage"])
def test_one_deadly_part_is_named_and_left_out(deed: str) -> None:
    report = check(Limits(memory=1 << 30), deadly=["part3"], deed=deed)
    assert "part3" not in report["done"]
    assert len(report["done"]) == 9
    note = report["input_notes"][0]
    assert (note["global_id"], note["serious"]) == ("part3", False)
    assert "part3 could not be read" in note["text"]
    assert report["incomplete"] == []


def test_a_part_that_hangs_is_left_out() -> None:
    report = check(Limits(part_seconds=0.5), deadly=["part3"], deed="sleep")
    assert len(report["done"]) == 9
    assert "stopped after 0.5 s" in report["input_notes"][0]["text"]


def test_five_deadly_parts_are_left_out_six_switch_native_geometry_off() -> None:
    five = check(deadly=[f"part{number}" for number in range(5)], deed="crash")
    assert (five["native"], len(five["input_notes"]), five["incomplete"]) == (True, 5, [])
    six = check(deadly=[f"part{number}" for number in range(6)], deed="crash")
    assert (six["native"], len(six["input_notes"]), six["exit"]["status"]) == (False, 6, 3)
    assert "More than 5 parts" in six["exit"]["reasons"][0]


@pytest.mark.parametrize(("after", "limits", "words"), [
    ("crash", Limits(), "was killed by SIGSEGV"),
    ("leave", Limits(), "ended without an answer"),
    ("hog", Limits(memory=1 << 30), "ran out of memory"),
    ("sleep", Limits(seconds=1), "was stopped after 1 s, so the check is incomplete; allow more"),
    ("spin", Limits(cpu_seconds=1), "used up its processor time"),
    ("unreadable", Limits(), "It is cut."),
    ("bug", Limits(), "KeyError: 'oops'"),
])
def test_death_without_a_part_is_an_incomplete_report(after: str, limits: Limits, words: str) -> None:
    report = check(limits, after=after)
    assert report["exit"]["status"] == 3
    assert words in report["exit"]["reasons"][0]
    assert report["findings"] == []


def test_a_report_beyond_the_limit_is_not_accepted() -> None:
    assert check(Limits(report_bytes=100))["exit"]["status"] == 3


def test_missing_target_is_an_incomplete_report() -> None:
    report = run({}, target="no_such_module:check")
    assert "no_such_module" in report["exit"]["reasons"][0]


def test_errors_of_usage_are_raised() -> None:
    with pytest.raises(UsageProblem, match="No such stage"):
        check(after="usage")
    with pytest.raises(FileProblems) as caught:
        check(after="problems")
    assert caught.value.problems == [("a.yaml", 1, 5, "first"), ("b.yaml", 2, 1, "second")]


PARENT = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # a run in the background is started without
sys.path[:0] = [{root!r}, {tests!r}]
from modellint.worker import run
try:
    run({{"after": {after!r}, "pid_file": {pid_file!r}}}, target="worker_targets:check")
except KeyboardInterrupt:
    sys.exit(130)
peak = [line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")]
print("ifcopenshell" in sys.modules, int(peak[0]) // 1024)
"""


def start(tmp_path: Path, after: str) -> subprocess.Popen[bytes]:
    code = PARENT.format(root=str(ROOT), tests=str(ROOT / "tests"), after=after,
                         pid_file=str(tmp_path / "pid"))
    return subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, cwd=tmp_path,
                            env={**os.environ, "TMPDIR": str(tmp_path)})


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="asks Linux for the peak memory")
def test_parent_stays_small_and_never_opens_a_model(tmp_path: Path) -> None:
    with start(tmp_path, "nothing") as parent:
        opened, megabytes = parent.communicate()[0].split()
    assert opened == b"False"
    assert int(megabytes) < 150


@pytest.mark.parametrize(("sign", "status"), [(signal.SIGINT, 130), (signal.SIGKILL, -9)])
def test_child_does_not_outlive_its_parent(sign: signal.Signals, status: int, tmp_path: Path) -> None:
    with start(tmp_path, "sleep") as parent:
        pid_file = tmp_path / "pid"
        wait(lambda: pid_file.exists() and b" " in pid_file.read_bytes())
        pid, folder = pid_file.read_text().split()
        parent.send_signal(sign)
        assert parent.wait(10) == status
    wait(lambda: not alive(int(pid)))
    if sign == signal.SIGKILL:
        Path(folder).rmdir()  # nobody was left to remove it
    assert not Path(folder).exists()


def alive(pid: int) -> bool:
    try:
        return ") Z " not in Path(f"/proc/{pid}/stat").read_text()
    except OSError:
        return False


def wait(condition: Any) -> None:
    until = time.monotonic() + 10
    while not condition():
        assert time.monotonic() < until
        time.sleep(0.02)
