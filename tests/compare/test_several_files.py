"""Revisions of several files, folders of models, and a hook before each commit, on a real git repository."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from sample_models.generator import House, build
from sample_models.generator.changes import ties_moved_in_below
from tests.compare.pairs import written
from tests.compare.test_command import ROOT, git, run

PIPES = ("soil-gas/", "plumbing/")


def split(house: House, folder: Path, number: str) -> tuple[Path, Path]:
    """The house as two files: what carries, and the pipes; both lie in a folder."""
    folder.mkdir(exist_ok=True)
    carries, pipes = house.copy(), house.copy()
    carries.remove(*[key for key in house.pieces if key.startswith(PIPES)])
    pipes.remove(*[key for key in house.pieces if not key.startswith(PIPES)])
    return (written(carries, "semantic", folder / f"frame{number}.ifc"),
            written(pipes, "semantic", folder / f"pipes{number}.ifc"))


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("several")
    split(build("two-storey"), top / "monday", "")
    split(ties_moved_in_below(), top / "friday", "")
    return top


def moved(made: dict[str, Any]) -> list[str]:
    return sorted(row["name"] for row in made["changes"] if "moved" in row["kinds"])


def test_folders_and_files_are_one_house(folders: Path) -> None:
    """The same answer either way: six parts moved, and the pipes of the other file are known, not gone."""
    done = run(folders, "compare", "monday", "friday", "--format", "json")
    made = json.loads(done.stdout)
    assert done.returncode == 1, done.stderr
    assert [file["name"] for file in made["before"]["files"]] == ["frame.ifc", "pipes.ifc"]
    assert len(moved(made)) == len(made["changes"]) == 6
    assert "rod-meets-hold-down" in {row["finding"]["rule"] for row in made["findings"] if row["status"] == "new"}
    vents = [row for row in made["report"]["coverage"] if row["role"] == "vent_pipe"]
    assert sum(vents[0]["found"].values()) > 0
    named = run(folders, "compare", "monday/frame.ifc", "friday/frame.ifc", "--with-before", "monday/pipes.ifc",
                "--with-after", "friday/pipes.ifc", "--format", "json")
    assert json.loads(named.stdout) == made


def test_wrong_usage(folders: Path) -> None:
    (folders / "empty").mkdir()
    none = run(folders, "compare", "monday", "empty")
    assert none.returncode == 2
    assert "holds no model" in none.stderr
    both = run(folders, "compare", "--git", "HEAD", "friday/frame.ifc", "--with-before", "monday/pipes.ifc")
    assert both.returncode == 2
    assert "--with-before" in both.stderr


def hook(folder: Path, bin_: Path) -> None:
    """The shipped hook as the pre-commit framework runs it: its entry, and behind it the changed models."""
    rows = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    entry = next(row["entry"] for row in rows if row["id"] == "modellint-compare")
    bin_.mkdir()
    (bin_ / "modellint").write_text(f'#!/bin/sh\nexec {shlex.quote(sys.executable)} -m modellint.cli.main "$@"\n')
    (bin_ / "modellint").chmod(0o755)
    path = folder / ".git" / "hooks" / "pre-commit"
    path.parent.mkdir(exist_ok=True)
    path.write_text(f"#!/bin/sh\nexport PATH={shlex.quote(str(bin_))}:$PATH PYTHONPATH={shlex.quote(str(ROOT))}\n"
                    f"git diff --cached --name-only -z --diff-filter=d -- '*.ifc' | xargs -0 -r {entry}\n")
    path.chmod(0o755)


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
def test_the_hook_stops_a_commit_that_breaks_something(tmp_path: Path) -> None:
    """A new model passes (it has no last commit), a moved tie does not, and an export without a change does again."""
    repository = tmp_path / "lot 4"
    (repository / "models").mkdir(parents=True)
    git(repository, "init", "-q")
    hook(repository, tmp_path / "bin")
    house = repository / "models" / "house.ifc"
    written(build("two-storey"), "semantic", house)
    git(repository, "add", ".")
    git(repository, "commit", "-q", "-m", "House as permitted")
    written(ties_moved_in_below(), "semantic", house)
    git(repository, "add", ".")
    done = subprocess.run(["git", "-c", "user.name=A. Rivera", "-c", "user.email=a@example.org", "commit", "-m", "Tie"],
                          cwd=repository, capture_output=True, text=True, check=False, env=dict(os.environ))
    assert done.returncode != 0
    assert "Exit status 1: something new counts." in done.stdout + done.stderr
    assert git(repository, "log", "--oneline").count("\n") == 0
    written(build("two-storey"), "semantic", house, shuffled=True)
    git(repository, "add", ".")
    git(repository, "commit", "-q", "-m", "Exported again")
    assert git(repository, "log", "--oneline").count("\n") == 1
