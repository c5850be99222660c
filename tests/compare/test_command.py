"""`modellint compare` as a user meets it: text, JSON by its schema, CI forms, exit status, and a git repository."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from modellint import pipeline
from modellint.cli.compare import file_of_commit
from modellint.errors import UsageProblem
from sample_models.generator import DEFECTS, build
from sample_models.generator.changes import renewed, ties_moved_in_below
from tests.compare.pairs import written

ROOT = Path(__file__).parents[2]
SCHEMA = json.loads((ROOT / "docs" / "compare.schema.json").read_text(encoding="utf-8"))


def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "modellint.cli.main", *arguments], cwd=folder, capture_output=True,
                          text=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "100"})


def git(folder: Path, *arguments: str) -> str:
    done = subprocess.run(["git", "-c", "user.name=A. Rivera", "-c", "user.email=a@example.org", *arguments],
                          cwd=folder, capture_output=True, text=True, check=True)
    return done.stdout.strip()


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pair")
    written(build("two-storey"), "semantic", folder / "monday.ifc")
    written(ties_moved_in_below(), "semantic", folder / "friday.ifc")
    return folder


def test_text(pair: Path) -> None:
    done = run(pair, "compare", "monday.ifc", "friday.ifc")
    assert done.returncode == 1, done.stderr
    for words in ("WHAT CHANGED: 6 PARTS", "NEW FINDINGS", "Cause", "WHO MUST BE TOLD", "moved 300 mm to the east",
                  "lever arm 3975 mm, now 3675 mm", "Exit status 1: something new counts."):
        assert words in done.stdout
    assert "Traceback" not in done.stderr


def test_json_by_its_schema_and_the_same_bytes(pair: Path) -> None:
    one = run(pair, "compare", "monday.ifc", "friday.ifc", "--format", "json")
    made = json.loads(one.stdout)
    jsonschema.Draft7Validator.check_schema(SCHEMA)
    jsonschema.validate(made, SCHEMA)
    assert made["exit"]["status"] == one.returncode == 1
    known = {row["key"] for row in made["changes"]}
    assert all(cause["change"] in known for row in made["findings"] for cause in row["causes"])
    assert all(row["causes"] for row in made["findings"] if row["status"] == "new")
    assert run(pair, "compare", "monday.ifc", "friday.ifc", "--format", "json").stdout == one.stdout


def test_the_other_way_round_clears_and_ends_in_0(pair: Path) -> None:
    done = run(pair, "compare", "friday.ifc", "monday.ifc", "--format", "json")
    made = json.loads(done.stdout)
    assert done.returncode == 0
    assert made["counts"]["new"] == 0
    assert made["counts"]["cleared"] >= 3


def test_a_finding_of_an_earlier_report_has_returned(pair: Path) -> None:
    report = pipeline.check({"models": [str(pair / "friday.ifc")]})
    (pair / "earlier.json").write_text(json.dumps(report), encoding="utf-8")
    done = run(pair, "compare", "monday.ifc", "friday.ifc", "--format", "json", "--earlier", "earlier.json")
    made = json.loads(done.stdout)
    assert made["counts"]["new"] == 0
    assert made["counts"]["returned"] >= 3
    assert done.returncode == 1


@pytest.mark.parametrize("kind", ["sarif", "junit", "gitlab", "annotations", "markdown"])
def test_the_forms_for_ci_hold_what_is_new(kind: str, pair: Path) -> None:
    done = run(pair, "compare", "monday.ifc", "friday.ifc", "--write", f"{kind}=out.{kind}", "--force")
    text = (pair / f"out.{kind}").read_text(encoding="utf-8")
    assert done.returncode == 1
    made = json.loads(run(pair, "compare", "monday.ifc", "friday.ifc", "--format", "json").stdout)
    unchanged = [row["finding"]["message"] for row in made["findings"] if row["status"] == "unchanged"]
    assert "stands 262 mm off" in text
    assert unchanged
    assert not [message for message in unchanged if message in text]


def test_what_was_not_broken_before_and_after(pair: Path) -> None:
    """A finding that was there before does not make the status 1."""
    old = next(row for row in DEFECTS if row.name == "rod-missing").apply(build("two-storey"))
    written(old, "plain", pair / "old.ifc")
    written(renewed(old), "plain", pair / "new.ifc")
    done = run(pair, "compare", "old.ifc", "new.ifc", "--format", "json")
    made = json.loads(done.stdout)
    assert any(row["finding"]["outcome"] == "fail" for row in made["findings"])
    assert made["counts"]["new"] == 0
    assert done.returncode == 0


def test_wrong_usage(pair: Path) -> None:
    assert run(pair, "compare", "monday.ifc").returncode == 2
    assert run(pair, "compare", "monday.ifc", "friday.ifc", "--git", "HEAD").returncode == 2
    (pair / "cut.ifc").write_text("ISO-10303-21;\n", encoding="utf-8")
    cut = run(pair, "compare", "cut.ifc", "friday.ifc")
    assert cut.returncode == 3
    assert "Traceback" not in cut.stderr


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
def test_an_earlier_commit(tmp_path: Path) -> None:
    """A repository of models: the commit before is clean, the working file has a tie moved on one storey."""
    models = tmp_path / "models"
    models.mkdir()
    git(tmp_path, "init", "-q")
    written(build("two-storey"), "semantic", models / "house.ifc")
    git(tmp_path, "add", ".")
    git(tmp_path, "commit", "-q", "-m", "House as permitted")
    same = run(tmp_path, "compare", "--git", "HEAD", "models/house.ifc", "--format", "json")
    assert same.returncode == 0, same.stderr
    assert json.loads(same.stdout)["counts"]["new"] == 0
    written(ties_moved_in_below(), "semantic", models / "house.ifc")
    done = run(tmp_path, "compare", "--git", "HEAD", "models/house.ifc")
    assert done.returncode == 1
    assert "git HEAD" in done.stdout
    assert "WHAT CHANGED: 6 PARTS" in done.stdout
    git(tmp_path, "commit", "-q", "-a", "-m", "Tie moved")
    again = run(models, "compare", "--git", "HEAD~1", "house.ifc")
    assert again.returncode == 1
    for revision, words in (("nothing", "git has no house.ifc"), ("--all", "not a commit")):
        with pytest.raises(UsageProblem, match=words):
            file_of_commit(models / "house.ifc", revision, tmp_path)
