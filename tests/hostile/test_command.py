"""Hostile files through the command itself: its sentence, its exit status, and nothing that escapes a report."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.hostile.generate import EXPECTED, WHOLE, write

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_models" / "two-storey" / "semantic.ifc"
# through the command alone, one process each; all of them below in one run
ALONE = ("empty.ifc", "cut_in_record.ifc", "deep.ifc", "lfs.ifc", "bomb.ifczip", "symlink.ifczip", "junk.ifc",
         "duplicate_ids.ifc", "zero_byte.ifc", "nan.ifc")


def command(*arguments: str, folder: Path = ROOT) -> subprocess.CompletedProcess[bytes]:
    env = {**os.environ, "PYTHONPATH": str(ROOT), "NO_COLOR": "1"}
    return subprocess.run([sys.executable, "-m", "modellint.cli.main", *arguments], cwd=folder, env=env, check=False,
                          capture_output=True, timeout=120)


@pytest.mark.parametrize("name", ALONE)
def test_one_file_gives_its_sentence_and_status(name: str, tmp_path: Path) -> None:
    path = write(name, tmp_path)
    done = command("check", str(path))
    assert done.returncode == 3  # also for files that are whole: two walls without a body are nothing to check
    said = " ".join((done.stdout + done.stderr).decode().split())
    assert EXPECTED[name][0] in said
    assert "Traceback" not in said
    assert "error in modellint itself" not in said
    assert sorted(tmp_path.iterdir()) == [path]


def test_all_files_in_one_run(tmp_path: Path) -> None:
    for name in EXPECTED:
        write(name, tmp_path)
    done = command("check", ".", "--format", "json", folder=tmp_path)
    assert done.returncode == 3
    assert done.stderr == b""
    rows = {row["model"]: row for row in json.loads(done.stdout)["models"]}
    assert set(rows) == {name for name in EXPECTED if name.endswith((".ifc", ".ifczip"))}
    for name, row in rows.items():
        text = " ".join(row["reasons"])
        fragment, alone = EXPECTED[name]
        assert row["status"] == 3, (name, text)
        assert "error in modellint itself" not in text
        if alone == 3:  # what the file alone makes serious is among the reasons
            assert fragment in text, (name, text)


def test_twenty_cuts_at_a_record_are_noticed(tmp_path: Path) -> None:
    body = WHOLE[:-1]
    ends = [at for at, sign in enumerate(body[:-1]) if sign in ";\n"]
    chosen = ends[::max(1, len(ends) // 20)][:20]
    for number, end in enumerate(chosen):
        (tmp_path / f"{number:02}.ifc").write_text(body[:end + 1])
    done = command("check", ".", "--format", "json", folder=tmp_path)
    rows = json.loads(done.stdout)["models"]
    assert [row["status"] for row in rows] == [3] * 20
    assert all("nothing to check" not in row["reasons"][0] for row in rows)


def edited(folder: Path, change: Any) -> Path:
    """The sample house with its STEP text changed."""
    path = folder / "house.ifc"
    path.write_text(change(SAMPLE.read_text(encoding="utf-8")), encoding="utf-8")
    return path


def in_every_name(text: str) -> str:
    """A terminal escape, markup, a formula, a build-log command and a line break before every name."""
    nasty = r"=HYPERLINK(1)\X\1B[2J<script>alert(1)</script>\X\0A::error file=x::owned\X\0D\X\07 "
    return re.sub(r"(=IFC[A-Z]+\('[0-9A-Za-z_$]{22}',(?:\$|#\d+),')", lambda m: m[0] + nasty, text)


@pytest.mark.parametrize("kind", ["text", "json", "sarif", "junit", "gitlab", "annotations", "markdown", "html"])
def test_no_string_of_a_model_escapes_a_report(kind: str, tmp_path: Path) -> None:
    path = edited(tmp_path, in_every_name)
    done = command("check", str(path), "--format", kind)
    assert done.returncode in {0, 1, 3}
    said = done.stdout.decode()
    assert "\x1b" not in said
    assert "\x07" not in said
    assert "\r" not in said
    if kind in {"html", "markdown", "junit"}:
        assert "<script>alert" not in said
    if kind == "annotations":
        commands = [line for line in said.splitlines() if line.startswith("::")]
        assert commands
        assert not any(line.startswith("::error file=x::owned") for line in commands)
        assert all(re.match(r"::(error|warning|notice) (file|title)=[^:]", line) for line in commands)


def test_huge_coordinates_and_missing_units_are_said(tmp_path: Path) -> None:
    """Measures without a unit assignment have no meaning (ISO 10303-21 files carry bare numbers)."""
    path = edited(tmp_path, lambda text: re.sub(r"=IFCUNITASSIGNMENT\(\([^)]*\)\)", "=IFCUNITASSIGNMENT(())", text))
    done = command("check", str(path))
    said = " ".join(done.stdout.decode().split())
    assert done.returncode == 3
    assert "unit" in said
    here, there = "IFCCARTESIANPOINT((0.,0.,0.))", "IFCCARTESIANPOINT((1.E12,0.,0.))"
    far = edited(tmp_path, lambda text: text.replace(here, there))
    done = command("check", str(far))
    assert done.returncode in {0, 1, 3}
    assert b"Traceback" not in done.stdout + done.stderr


def test_a_ring_of_aggregates_ends(tmp_path: Path) -> None:
    def ring(text: str) -> str:
        rows = re.findall(r"^#\d+=IFCRELAGGREGATES\('[^']+',([^,]+),\$,\$,#(\d+),\((#\d+)", text, re.MULTILINE)
        owner, whole, part = rows[-1]
        more = f"#{10**7}=IFCRELAGGREGATES('0000000000000000000ring',{owner},$,$,{part},(#{whole}));\n"
        return text.replace("ENDSEC;\nEND-ISO", more + "ENDSEC;\nEND-ISO")

    done = command("check", str(edited(tmp_path, ring)))
    assert done.returncode in {0, 1, 3}
    assert b"error in modellint itself" not in done.stdout


def test_a_folder_a_device_and_a_link_are_no_models(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "link.ifc").symlink_to("/dev/null")
    assert command("check", str(tmp_path / "empty")).returncode == 2
    assert command("check", str(tmp_path / "link.ifc")).returncode == 3
    assert command("check", "/dev/null").returncode == 3
    done = command("check", str(tmp_path / "\x1b[2Jnone.ifc"))
    assert done.returncode == 3
    assert b"\x1b" not in done.stdout + done.stderr
