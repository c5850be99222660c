"""The table of formats: every row works, through the command too, and the docs name only what exists."""

from __future__ import annotations

import hashlib
import os
import re
import shlex
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from modellint.cli.check import check
from modellint.reports import bcf
from modellint.reports.atomic import MARKS
from modellint.reports.formats import FORMATS, printable, render
from modellint.text import storable
from tests.reports.plain_reports import attacked, plain
from tests.reports.sample_report import HOSTILE

ROOT = Path(__file__).parents[2]


@pytest.fixture
def checked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A folder in which every check gives the sample report."""
    monkeypatch.setattr("modellint.worker.run", lambda *_, **__: plain())
    monkeypatch.chdir(tmp_path)
    (tmp_path / "models").mkdir()
    return tmp_path


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("make", [plain, lambda: attacked(storable(HOSTILE))])
def test_every_format_gives_bytes_with_its_mark(name: str, make) -> None:
    data = render(name, make(), uris={"heron-lane-12.ifc": "models/heron-lane-12.ifc"})
    assert any(mark in data[:4096] for mark in MARKS)
    if not FORMATS[name].binary:
        data.decode("utf-8")
    assert FORMATS[name].description


@pytest.mark.parametrize("name", FORMATS)
def test_the_command_writes_every_format_twice(name: str, checked: Path) -> None:
    done = [
        CliRunner().invoke(check, ["models/heron-lane-12.ifc", "--write", f"{name}=out"]) for _ in range(2)
    ]
    assert [run.exit_code for run in done] == [1, 1]
    assert all(isinstance(run.exception, SystemExit) for run in done)  # no refusal to overwrite its own file
    assert (checked / "out").read_bytes()


@pytest.mark.parametrize("name", printable())
def test_the_command_prints_it(name: str, checked: Path) -> None:
    done = CliRunner().invoke(check, ["models/heron-lane-12.ifc", "--format", name])
    assert done.exit_code == 1
    assert "150 mm" in done.stdout


def test_paths_start_at_the_working_folder(checked: Path) -> None:
    for path in ("models/heron-lane-12.ifc", str(checked / "models" / "heron-lane-12.ifc")):
        assert (
            "file=models/heron-lane-12.ifc,"
            in CliRunner().invoke(check, [path, "--format", "annotations"]).stdout
        )
    outside = CliRunner().invoke(check, ["/elsewhere/heron-lane-12.ifc", "--format", "annotations"]).stdout
    assert "file=heron-lane-12.ifc," in outside
    assert "elsewhere" not in outside


def test_answers_of_a_bcf_file_are_printed(checked: Path) -> None:
    data = bcf.render(plain())
    (checked / "plain.bcf").write_bytes(data)
    with zipfile.ZipFile(checked / "plain.bcf") as old, zipfile.ZipFile(checked / "back.bcf", "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(b'TopicStatus="Open"', b'TopicStatus="In progress"'))
    done = CliRunner().invoke(check, ["house.ifc", "--bcf-in", "back.bcf"])
    assert "Answered   In progress" in done.stdout
    assert "9 of 9 findings have an answer in back.bcf." in done.stderr


SEEDS = """
import hashlib, sys
from modellint.reports.formats import FORMATS, render
from tests.reports.plain_reports import attacked
print(hashlib.sha256(b"".join(render(name, attacked("x")) for name in FORMATS)).hexdigest())
"""


def test_same_bytes_under_other_hash_seeds_and_working_folders(tmp_path: Path) -> None:
    expected = hashlib.sha256(b"".join(render(name, attacked("x")) for name in FORMATS)).hexdigest()
    for seed in ("0", "7"):
        surroundings = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT), "TZ": "Asia/Tokyo"}
        done = subprocess.run(
            [sys.executable, "-c", SEEDS],
            cwd=tmp_path,
            env=surroundings,
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.strip() == expected


def test_docs_name_only_formats_that_exist() -> None:
    page = "".join((ROOT / "docs" / f"{name}.md").read_text("utf-8") for name in ("ci", "build-servers"))
    assert set(re.findall(r"--write ([\w.]+)=", page)) <= set(FORMATS)
    assert set(re.findall(r"--format (\w+)", page)) <= set(printable())
    for name in FORMATS:
        assert f"`{name}`" in page


def test_every_command_of_the_page_on_build_servers_runs(checked: Path) -> None:
    page = (ROOT / "docs" / "build-servers.md").read_text("utf-8").replace("\n          --write", " --write")
    lines = re.findall(r"(?m)(?:^|[ '/])modellint check ([^\n'`]+)", page)
    lines = [line for line in lines if "--together" not in line and "--bcf-in" not in line]
    assert len(lines) >= 7
    (checked / "results" / "model").mkdir(parents=True)
    (checked / "test-results").mkdir()
    for line in lines:
        done = CliRunner().invoke(check, shlex.split(line))
        assert done.exit_code == 1, (line, done.output)  # the sample report fails
        for kind, file in re.findall(r"--write ([\w.]+)=(\S+)", line):
            assert (checked / file).stat().st_size, (line, kind)


def test_the_hook_checks_model_files_one_at_a_time(tmp_path: Path) -> None:
    hooks = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text("utf-8"))
    hook = next(row for row in hooks if row["id"] == "modellint")
    assert re.search(hook["files"], "models/house.ifc")
    assert re.search(hook["files"], "house.ifczip")
    assert not re.search(hook["files"], "house.ifc.txt")
    # The entry runs one check per file and ends in the worst status: here with a stand-in for the command.
    (tmp_path / "modellint").write_text(
        '#!/bin/sh\necho "$@"\ncase "$2" in *3*) exit 3;; *1*) exit 1;; esac\n'
    )
    (tmp_path / "modellint").chmod(0o755)
    done = subprocess.run(
        [*shlex.split(hook["entry"]), "a 3.ifc", "b1.ifc", "c.ifc"],
        capture_output=True,
        text=True,
        env={**os.environ, "PATH": f"{tmp_path}:{os.environ['PATH']}"},
        check=False,
    )
    assert done.stdout.splitlines() == ["check a 3.ifc", "check b1.ifc", "check c.ifc"]
    assert done.returncode == 3
