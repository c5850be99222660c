"""What all writers keep: files whole or not at all, the same bytes each time, lists cut with the number said."""

from __future__ import annotations

import ast
import hashlib
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from modellint.reports import html, sheets, sheets_text, svg_folder
from modellint.reports.html import render
from tests.drawn import seeded, seeded_in_3d

ROOT = Path(__file__).parents[2]
# Modules that open files for writing themselves, and what: everything else goes through reports/atomic.py.
OWN_WAY = {
    "reports/atomic.py": "the one writer of files that a user names",
    "cache.py": "entries of its own folder, written aside and renamed",
    "ifc/sniff.py": "an unpacked copy in a temporary folder",
    "cluster_task.py": "models on a worker, in a temporary folder",
    "cli/compare.py": "a commit's model, in a temporary folder",
    "rulebook/docs.py": "the developer's docs pages",
}


def _writes(tree: ast.AST) -> bool:
    """Whether a module calls anything that opens a file for writing."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        if name in {"write_bytes", "write_text", "mkstemp", "NamedTemporaryFile"}:
            return True
        path = name == "open" and isinstance(node.func, ast.Name)  # the file comes before the mode
        modes = [*node.args[path:], *(word.value for word in node.keywords if word.arg == "mode")]
        tag = name == "open" and isinstance(node.func, ast.Attribute) and len(node.args) > 1  # an element of a drawing
        if name in {"open", "fdopen"} and not tag and any(isinstance(mode, ast.Constant) and isinstance(mode.value, str)
                                  and re.fullmatch(r"[wax][bt+]*", mode.value) for mode in modes):  # fmt: skip
            return True
    return False


def test_only_the_atomic_writer_opens_a_users_file_for_writing() -> None:
    folder = ROOT / "modellint"
    found = {path.relative_to(folder).as_posix() for path in sorted(folder.rglob("*.py"))
             if _writes(ast.parse(path.read_text("utf-8")))}  # fmt: skip
    assert found <= set(OWN_WAY), found - set(OWN_WAY)
    assert _writes(ast.parse("open('a', 'wb')"))
    assert _writes(ast.parse("path.open(mode='x')"))
    assert not _writes(ast.parse("open('a', 'rb').read()"))


def test_only_the_pdf_modules_need_reportlab() -> None:
    """It is an extra: all else must work without it."""
    folder = ROOT / "modellint"
    found = {path.relative_to(folder).as_posix() for path in folder.rglob("*.py")
             if re.search(r"^\s*(from|import) reportlab", path.read_text("utf-8"), re.MULTILINE)}  # fmt: skip
    assert found == {f"reports/pdf_{name}.py" for name in ("drawing", "flow", "fonts", "sheets")}


def digests(report: dict[str, Any]) -> dict[str, str]:
    """SHA-256 of what is made of a report by writers that draw."""
    flat = {key: value for key, value in report.items() if key != "shapes"}
    made = {"html in 3-D": render(report).encode(), "html": render(flat).encode()}
    made["sheets"] = sheets.render(flat).encode()
    try:
        from modellint.reports import pdf_sheets
    except ModuleNotFoundError:
        pass
    else:
        made["pdf"] = pdf_sheets.render(flat)
    made |= {f"svg {name}": data for name, data in svg_folder.drawings_as_files(flat).items()}
    return {name: hashlib.sha256(data).hexdigest() for name, data in made.items()}


AGAIN = """
import json, sys
from tests.reports.test_writers import digests
print(json.dumps(digests(json.load(open(sys.argv[1], encoding="utf-8")))))
"""


def test_same_bytes_in_another_process_with_another_hash_seed(tmp_path: Path) -> None:
    path = tmp_path / "report.json"
    path.write_text(json.dumps(seeded_in_3d()), "utf-8")
    env = {**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": str(ROOT), "TZ": "Asia/Tokyo", "LC_ALL": "C"}
    done = subprocess.run([sys.executable, "-c", AGAIN, str(path)], cwd=tmp_path, env=env, capture_output=True,
                          text=True, check=True)  # fmt: skip
    expected = digests(seeded_in_3d())
    assert len(expected) == 3 + 11 + ("pdf" in expected)
    assert json.loads(done.stdout) == expected


def _with_many_elevations(number: int) -> dict[str, Any]:
    scene = seeded()["drawings"][0]
    rows = [scene["elevations"][-1]] * number
    return {**seeded(), "drawings": [{**scene, "plans": [], "risers": [], "elevations": rows}]}


def test_elevations_beyond_the_most_are_counted(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(html, "MOST_ELEVATIONS", 3)
    monkeypatch.setattr(svg_folder, "MOST_ELEVATIONS", 4)
    page = render(_with_many_elevations(8))
    assert "<b>5 more elevations</b> are left out here" in page
    assert page.count('id="elevation-0-2"') == 1
    assert 'id="elevation-0-3"' not in page
    for target in set(re.findall(r'href="#([\w-]+)"', page)):
        assert f'id="{target}"' in page
    assert svg_folder.write_folder(_with_many_elevations(8), tmp_path / "drawings") == (4, 4)
    assert len(list((tmp_path / "drawings").iterdir())) == 4


def _accepted(number: int) -> list[dict[str, Any]]:
    row = {**seeded()["findings"][0], "accepted": {"reason": "seen on site"}, "stage": "permit"}
    return [{**row, "id": f"{k:016x}", "message": f"Finding {k}."} for k in range(number)]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda: {"findings": _accepted(55)}, "… and 15 more in the report"),
        (lambda: {"findings": [{**row, "stage": "close", "accepted": None, "group": ""} for row in _accepted(47)]},
         "… and 7 more in the report"),
    ],
)  # fmt: skip
def test_lists_of_the_sheets_say_how_many_they_leave_out(change: Callable[[], dict[str, Any]], says: str) -> None:
    pages = sheets.render({**seeded(), **change()})
    hand_over = pages[pages.index('id="hand-over"') :]
    assert says in hand_over


def test_sheets_beyond_the_most_are_counted_on_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheets, "MOST_SHEETS", 5)
    made = sheets.sheets_of(seeded())
    assert "<b>26 more sheets of anchors, wall ends and vents are left out</b>" in made[0].body  # 6 - 5 and 30 - 5
    assert len(made) == 4 + 5 + 5 + 1
    assert sheets_text.MOST_SHEETS >= 100
