"""Kept results: the same answer for the same question, none for another, and nothing breaks when they are damaged."""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from modellint import cache as module
from modellint.cache import Cache, key_of
from modellint.cli.main import cli
from tests.ifc.small_models import Writer

ROOT = Path(__file__).resolve().parents[1]
SAMPLE = ROOT / "sample_models" / "two-storey"


@pytest.fixture
def model(tmp_path: Path) -> Path:
    w = Writer()
    w.element("IfcWall", w.body(w.extruded(w.rectangle(3000, 140), 2400)), None, "Shear wall SW-1",
              guid="0000000000000000000001")
    return w.save(tmp_path, "house.ifc")


def request_for(model: Path, **more: Any) -> dict[str, Any]:
    return {"models": [model], "project": None, "due": None, "today": "2026-11-25", **more}


REPORT: dict[str, Any] = {"model": {"files": [{"name": "house.ifc"}]}, "input_notes": [], "today": None,
                          "exit": {"status": 0}}


def test_answers_the_same_question_only(model: Path, tmp_path: Path) -> None:
    kept, request = Cache(tmp_path / "kept"), request_for(model)
    key = kept.key(request)
    assert kept.get(key, request) is None
    kept.put(key, request, REPORT)
    assert kept.get(kept.key(request), request) == REPORT
    for other in (request_for(model, due="pour"), request_for(model, passes=True)):
        assert kept.get(kept.key(other), other) is None
    model.write_bytes(model.read_bytes() + b"\n")
    assert kept.get(kept.key(request), request) is None


def test_the_day_counts_only_where_it_was_read(model: Path, tmp_path: Path) -> None:
    kept, request, tomorrow = Cache(tmp_path / "kept"), request_for(model), request_for(model, today="2026-11-26")
    kept.put(kept.key(request), request, REPORT)
    assert kept.get(kept.key(tomorrow), tomorrow) == REPORT
    kept.put(kept.key(request), request, {**REPORT, "today": "2026-11-25"})
    assert kept.get(kept.key(request), request) is not None
    assert kept.get(kept.key(tomorrow), tomorrow) is None


def test_project_file_and_what_it_names_count(model: Path, tmp_path: Path) -> None:
    kept, request = Cache(tmp_path / "kept"), request_for(model)
    (tmp_path / "rules").mkdir()
    (tmp_path / "ties.csv").write_text("mark\nTD-1\n")
    before = kept.key(request)
    (tmp_path / "modellint.yaml").write_text("schedules: {hold_downs: ties.csv}\nrules: [rules]\n")
    assert kept.key(request) != before
    key = kept.key(request)
    kept.put(key, request, REPORT)
    assert kept.get(kept.key(request), request) == REPORT
    (tmp_path / "ties.csv").write_text("mark\nTD-2\n")
    assert kept.get(kept.key(request), request) is None
    kept.put(key, request, REPORT)
    (tmp_path / "rules" / "own.yaml").write_text("id: own\n")
    assert kept.get(kept.key(request), request) is None


def test_rules_and_program_count(model: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    request = request_for(model)
    keys = [key_of(request)]
    for name in ("rules_digest", "_program"):
        with monkeypatch.context() as patch:
            patch.setattr(module, name, lambda: "other")
            keys.append(key_of(request))
    assert len(set(keys)) == 3


@pytest.mark.parametrize("damage", [b"", b"x" * 100, b"\n", None, b"0" * 64 + b"\n{}"])
def test_a_damaged_entry_counts_as_none_and_is_written_anew(model: Path, tmp_path: Path, damage: bytes | None) -> None:
    kept, request = Cache(tmp_path / "kept"), request_for(model)
    key = kept.key(request)
    kept.put(key, request, REPORT)
    path = next((tmp_path / "kept").glob("*.check"))
    path.write_bytes(path.read_bytes()[:-3] if damage is None else damage)
    assert kept.get(key, request) is None
    kept.put(key, request, REPORT)
    assert kept.get(key, request) == REPORT


def test_what_is_not_whole_is_not_kept(model: Path, tmp_path: Path) -> None:
    kept, request = Cache(tmp_path / "kept"), request_for(model)
    kept.put(kept.key(request), request, {**REPORT, "model": {"files": []}})
    kept.put(kept.key(request), request, {**REPORT, "input_notes": [{"code": "part-not-drawn"}]})
    assert kept.entries() == []
    assert Cache(tmp_path / "kept").key(request_for(tmp_path / "none.ifc")) == ""


def test_a_folder_that_cannot_be_written_never_stops_a_check(model: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    kept, request = Cache(tmp_path / "file" / "kept"), request_for(model)
    kept.put(kept.key(request), request, REPORT)
    assert kept.get(kept.key(request), request) is None
    assert kept.clear() == 0


def test_room_is_made_by_what_was_not_used_longest(model: Path, tmp_path: Path,
                                                   monkeypatch: pytest.MonkeyPatch) -> None:
    kept = Cache(tmp_path / "kept")
    requests = [request_for(model, n=k) for k in range(3)]
    for k, request in enumerate(requests):
        key = kept.key(request)
        kept.put(key, request, REPORT)
        os.utime(tmp_path / "kept" / f"{key}.check", (1000 + k, 1000 + k))
    size = kept.entries()[0][1]
    monkeypatch.setattr(module, "MOST_BYTES", 3 * size)
    last = request_for(model, n=9)
    kept.put(kept.key(last), last, REPORT)
    assert [kept.get(kept.key(one), one) is not None for one in (*requests, last)] == [False, True, True, True]


def test_command_gives_the_same_bytes_from_the_cache_and_quickly(tmp_path: Path) -> None:
    """A second look takes no more processor time than `--help` and 0.1 s (0.15 s here, on a shared machine)."""
    def run(*arguments: str) -> tuple[float, subprocess.CompletedProcess[bytes]]:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run([sys.executable, "-m", "modellint.cli.main", *arguments], cwd=ROOT, check=False,
                              capture_output=True, env={**os.environ, "MODELLINT_CACHE": str(tmp_path)})
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, done

    check = ("check", str(SAMPLE / "semantic.ifc"), "--format", "json")
    slow, first = run(*check)
    assert len(list(tmp_path.glob("*.check"))) == 1
    quick = [run(*check) for _ in range(3)]
    assert {done.stdout for _, done in quick} == {first.stdout}
    assert {done.returncode for _, done in quick} == {first.returncode}
    bare = min(run("--help")[0] for _ in range(3))
    assert min(took for took, _ in quick) < bare + 0.15
    assert min(took for took, _ in quick) < slow / 2
    entry = next(tmp_path.glob("*.check"))
    entry.write_bytes(entry.read_bytes()[:-20])  # cut: ignored, and written anew
    assert run(*check)[1].stdout == first.stdout
    assert min(run(*check)[0] for _ in range(2)) < slow / 2


def test_a_device_or_a_pipe_is_never_read_to_its_end(tmp_path: Path) -> None:
    """Its hash would never be done."""
    os.mkfifo(tmp_path / "pipe.ifc")
    for path in (Path("/dev/zero"), tmp_path / "pipe.ifc"):
        assert Cache(tmp_path / "kept").key(request_for(path)) == ""


def test_an_entry_that_unpacks_to_too_much_counts_as_none(model: Path, tmp_path: Path,
                                                          monkeypatch: pytest.MonkeyPatch) -> None:
    kept, request = Cache(tmp_path / "kept"), request_for(model)
    key = kept.key(request)
    kept.put(key, request, REPORT)
    monkeypatch.setattr(module, "MOST_UNPACKED", 10)
    assert kept.get(key, request) is None


def test_command_shows_and_clears(model: Path, tmp_path: Path) -> None:
    folder = str(tmp_path / "kept")
    runner = CliRunner()
    assert runner.invoke(cli, ["cache", "--where", "--cache", folder]).output.strip() == folder
    runner.invoke(cli, ["check", str(model), "--cache", folder])
    (tmp_path / "kept" / "mine.txt").write_text("not ours")
    assert runner.invoke(cli, ["cache", "--cache", folder]).output.startswith("1 kept result, ")
    assert runner.invoke(cli, ["cache", "--clear", "--cache", folder]).output.startswith("1 kept result removed")
    assert [path.name for path in (tmp_path / "kept").iterdir()] == ["mine.txt"]


def test_cache_off_keeps_nothing(model: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "user"))
    CliRunner().invoke(cli, ["check", str(model), "--cache", "off"])
    assert not (tmp_path / "user").exists()


def test_a_kept_report_is_what_the_check_gave(model: Path, tmp_path: Path) -> None:
    folder = str(tmp_path / "kept")
    said = [CliRunner().invoke(cli, ["check", str(model), "--cache", where, "--format", "json"]).output
            for where in (folder, folder, "off")]
    assert said[0] == said[1] == said[2]
    assert json.loads(said[0])["model"]["files"][0]["name"] == "house.ifc"
