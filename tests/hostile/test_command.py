"""Hostile files through the command itself: its sentence, its exit status, and nothing that escapes a report."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from modellint import pipeline
from tests.hostile.attack import in_every_name, in_every_string
from tests.hostile.generate import BODY, EXPECTED, HEAD, TAIL, WHOLE, write

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


FILE_NAME = "=1+1 ::error::x \x1b[2J<b>.ifc"
WRITTEN = ("text", "json", "sarif", "junit", "gitlab", "annotations", "markdown", "html", "bcf", "bcf2.1")


@pytest.fixture(scope="module", params=[in_every_name, in_every_string], ids=["names", "strings"])
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All reports about a model whose strings are attacks, in one folder, and what was printed."""
    folder = tmp_path_factory.mktemp("attacked")
    model = folder / FILE_NAME
    model.write_text(request.param(SAMPLE.read_text(encoding="utf-8")), encoding="utf-8")
    writes = [word for kind in WRITTEN for word in ("--write", f"{kind}={folder / f'report.{kind}'}")]
    done = command("check", str(model), "--cache", "off", *writes, folder=folder)
    assert done.returncode in {0, 1, 3}
    assert b"error in modellint itself" not in done.stdout
    (folder / "printed").write_bytes(done.stdout + done.stderr)
    ready = command("ready", str(model), "--ids", str(folder / "report.ids"), folder=folder)
    (folder / "ready").write_bytes(ready.stdout + ready.stderr)
    made = command("sheets", str(model), "-o", str(folder / "sheets.html"), folder=folder)
    (folder / "sheets").write_bytes(made.stdout + made.stderr)
    return folder


def texts_in(folder: Path) -> dict[str, str]:
    """Every text that was written or printed, by its name; those in archives too."""
    found = {}
    for path in folder.iterdir():
        if path.name == FILE_NAME:
            continue
        if zipfile.is_zipfile(path):
            with zipfile.ZipFile(path) as archive:
                found |= {f"{path.name}/{name}": archive.read(name).decode() for name in archive.namelist()
                          if not name.endswith(".png")}
        else:
            found[path.name] = path.read_text(encoding="utf-8")
    return found


def test_no_string_of_a_model_escapes_a_report(written: Path) -> None:
    texts = texts_in(written)
    assert {f"report.{kind}" for kind in WRITTEN if not kind.startswith("bcf")} <= set(texts)
    assert any(name.startswith("report.bcf2.1/") for name in texts)
    for name, said in texts.items():
        for sign in ("\x1b", "\x07", "\r", "\x9b", "\u202e"):
            assert sign not in said, (name, sign)
        kind = name.removeprefix("report.").partition("/")[0]
        if kind in {"html", "markdown", "junit", "bcf", "bcf2.1", "ids"} or name == "sheets.html":
            assert "<script>alert" not in said, name
        if kind in {"junit", "bcf", "bcf2.1", "ids"} and said.startswith("<?xml"):
            ElementTree.fromstring(said)
        if kind in {"json", "sarif", "gitlab"}:
            json.loads(said)


def test_no_string_of_a_model_is_a_command_of_a_build_log(written: Path) -> None:
    texts = texts_in(written)
    lines = [line for name in ("report.annotations", "printed", "ready") for line in texts[name].splitlines()]
    assert not any(re.match(r"\s*(::error file=x::owned|##vso)", line) for line in lines)
    commands = [line for line in texts["report.annotations"].splitlines() if line.startswith("::")]
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


@pytest.mark.parametrize(("unit", "status"), [
    ("IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.SECOND.)", 3), ("IFCSIUNIT(*,.LENGTHUNIT.,.EXA.,.METRE.)", 3),
    ("IFCSIUNIT(*,.LENGTHUNIT.,.KILO.,$)", 3), ("IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.)", 1),
])
def test_a_wrong_unit_never_reads_clean(unit: str, status: int, tmp_path: Path) -> None:
    """Seconds, exametres, no name, and metres written for millimetres; the last fails the storey heights."""
    right = "IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.)"
    text = SAMPLE.read_text(encoding="utf-8")
    assert right in text
    path = tmp_path / "house.ifc"
    path.write_text(text.replace(right, unit), encoding="utf-8")
    only = ["storey-heights-believable", "extent-believable", "vent-joined"]
    report = pipeline.check({"models": [str(path)], "only": only})
    assert report["exit"]["status"] == status
    assert status == 1 or any("unit" in note["text"] for note in report["input_notes"] if note["serious"])


def test_parts_within_parts_without_end_are_cut_and_said(tmp_path: Path) -> None:
    """Deeper than Python recurses; the chain of placements is as long, and each wall stays where it is."""
    rows = ["#50=IFCLOCALPLACEMENT(#3,#2);\n"]
    for k in range(1500):
        rows.append(f"#{1000 + 3 * k}=IFCLOCALPLACEMENT(#{997 + 3 * k if k else 50},#2);\n"
                    f"#{1001 + 3 * k}=IFCELEMENTASSEMBLY('{k:022d}',#4,'a{k}',$,$,#{1000 + 3 * k},$,$,$,$);\n")
        if k:
            rows.append(f"#{1002 + 3 * k}=IFCRELAGGREGATES('{k + 10**8:022d}',#4,$,$,#{998 + 3 * k},"
                        f"(#{1001 + 3 * k}));\n")
    path = tmp_path / "deep.ifc"
    path.write_text(HEAD + BODY + "".join(rows) + TAIL)
    start = time.process_time()
    report = pipeline.check({"models": [str(path)]})
    assert time.process_time() - start < 30
    assert report["exit"]["status"] == 3
    assert any("1,499 levels deep" in note["text"] for note in report["input_notes"])


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
