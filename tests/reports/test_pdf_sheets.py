"""Field sheets as PDF, read back by an independent library (PDFium): pages, words, drawings, fonts, same bytes."""

from __future__ import annotations

import builtins
import copy
import hashlib
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from modellint.cli.sheets import sheets as command
from modellint.errors import UsageProblem
from modellint.reports.atomic import MARKS
from modellint.reports.sheets import sheets_of
from modellint.reports.sheets_text import Issue
from tests.drawn import seeded
from tests.reports.plain_reports import ATTACKS, attacked, large, plain

pytest.importorskip("reportlab", reason="reportlab (extra pdf) is not installed")
pdfium = pytest.importorskip("pypdfium2", reason="pypdfium2 is not installed")
from modellint.reports.pdf_fonts import lacks, shown  # noqa: E402
from modellint.reports.pdf_sheets import render  # noqa: E402

ROOT = Path(__file__).parents[2]
ISSUE = Issue("B", "2026-03-02")
A4, LETTER = (595.28, 841.89), (612.0, 792.0)


@pytest.fixture(scope="module")
def made() -> bytes:
    return render(seeded(), ISSUE)


@pytest.fixture(scope="module")
def read(made: bytes) -> Iterator[Any]:
    document = pdfium.PdfDocument(made)
    yield document
    document.close()


@pytest.fixture(scope="module")
def words(read: Any) -> list[str]:
    return _words(read)


def _words(document: Any) -> list[str]:
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


def _written(data: bytes) -> list[str]:
    document = pdfium.PdfDocument(data)
    try:
        return _words(document)
    finally:
        document.close()


def test_each_sheet_stays_on_one_page_with_head_and_foot(words: list[str]) -> None:
    sheets = sheets_of(seeded())
    sha = seeded()["model"]["files"][0]["sha256"][:16]
    assert len(words) == len(sheets) == 41
    for number, (sheet, text) in enumerate(zip(sheets, words, strict=True), 1):
        assert " ".join(sheet.title.split()) in text
        assert "Revision B, date 2026-03-02" in text
        assert sha in text
        assert f"{number} of {len(sheets)}" in text
        assert "Advice, not a design" in text


def test_paper_and_page_say_the_same(words: list[str]) -> None:
    """Every word of a sheet's lists and tables stands on its page."""
    for sheet, text in list(zip(sheets_of(seeded()), words, strict=True))[::4]:
        told = re.sub(r"<svg.*?</svg>", " ", sheet.body, flags=re.DOTALL)
        told = re.sub(r"<[^>]+>", " ", told)
        for word in set(re.findall(r"[A-Za-z]{5,}", told)):
            assert word in re.sub(r"[\s\u00ad]", "", text) or word in text, (sheet.ident, word)


def test_the_broken_end_says_so(words: list[str]) -> None:
    assert sum("Chain as drawn: broken" in text for text in words) == 1
    assert sum("Chain as drawn: joined" in text for text in words) == 29
    assert next(text for text in words if "Chain as drawn: broken" in text).count("NOT DRAWN") == 1


def test_pages_are_as_large_as_their_paper_and_nothing_runs_over_the_margin(read: Any) -> None:
    assert read[0].get_size() == pytest.approx(A4, abs=0.1)
    for index in (0, 2, 8, 38):
        image = read[index].render(scale=1, grayscale=True).to_numpy()
        ink = image.reshape(image.shape[0], image.shape[1]) < 200
        rows, columns = ink.any(axis=1).nonzero()[0], ink.any(axis=0).nonzero()[0]
        assert 25 < columns[0] < columns[-1] < A4[0] - 25
        assert 25 < rows[0] < rows[-1] < A4[1] - 25
    us = pdfium.PdfDocument(render({**seeded(), "display": "us"}, ISSUE))
    assert us[0].get_size() == pytest.approx(LETTER, abs=0.1)
    us.close()


def test_drawings_are_drawn(read: Any) -> None:
    """The wall end's column is at the left of its sheet, in wood colours; the contents have none."""
    def coloured(index: int) -> int:
        image = read[index].render(scale=1).to_numpy()[:, :, :3].astype(int)
        return int((abs(image[:, :300].max(axis=2) - image[:, :300].min(axis=2)) > 30).sum())

    assert coloured(0) == 0
    assert coloured(8) > 2000


def test_the_outline_and_the_links_of_the_contents_lead_to_the_sheets(read: Any, made: bytes) -> None:
    titles = [row.get_title() for row in read.get_toc()]
    assert titles == [sheet.title for sheet in sheets_of(seeded())]
    assert made.count(b"/Link") >= 40
    assert _active(made) == []


def test_it_is_marked_as_ours_and_holds_no_day_or_machine(made: bytes) -> None:
    assert any(mark in made[:200] for mark in MARKS)
    assert b"2000-01-01" in made or b"D:20000101" in made  # the fixed day of a file without one
    for word in (str(ROOT), os.uname().nodename, "/tmp"):
        assert word.encode() not in made


SEEDS = """
import hashlib
from modellint.reports.pdf_sheets import render
from tests.reports.plain_reports import attacked
print(hashlib.sha256(render(attacked("x"))).hexdigest())
"""


def test_same_bytes_under_another_hash_seed_day_and_folder(tmp_path: Path) -> None:
    env = {**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": str(ROOT), "TZ": "Asia/Tokyo",
           "SOURCE_DATE_EPOCH": "no number"}
    done = subprocess.run([sys.executable, "-c", SEEDS], cwd=tmp_path, env=env, capture_output=True, text=True,
                          check=True)  # fmt: skip
    assert done.stdout.strip() == hashlib.sha256(render(attacked("x"))).hexdigest()


def _active(data: bytes) -> list[bytes]:
    """Names of what could act or load, outside the compressed streams."""
    return re.findall(rb"/(?:URI|JavaScript|JS|Launch|EmbeddedFile|Image|AA|OpenAction)\b",
                      re.sub(rb"stream\r?\n.*?endstream", b"", data, flags=re.DOTALL))  # fmt: skip


@pytest.mark.parametrize(
    "attack",
    [*ATTACKS[::2], ATTACKS[-1], '<img src="/etc/passwd"/>', "<font color=__import__('os')>", "&#0;", "x" * 9000],
)
def test_hostile_strings_stay_text(attack: str) -> None:
    scene = copy.copy(seeded()["drawings"][0])
    scene["plans"], scene["risers"] = [], []
    scene["elevations"] = json.loads(
        json.dumps(scene["elevations"][-1:]).replace("SW-6 shear wall", json.dumps(attack)[1:-1])
    )
    made = render({**attacked(attack), "drawings": [scene]}, Issue(attack, attack))
    assert _active(made) == []
    assert len(_written(made)) >= 7


def test_letters_the_font_lacks_are_boxes_and_the_first_sheet_says_so(words: list[str]) -> None:
    """Ideographs have no shape in DejaVu; Arabic would come out in the wrong order."""
    assert shown("Größe ≥ ⅝ Дом") == "Größe ≥ ⅝ Дом"
    assert shown("木\u0627") == "□□"
    assert not lacks("Größe")
    report = copy.copy(seeded())
    report["model"] = json.loads(json.dumps(report["model"]).replace("Gull Point", "木屋"))
    report["drawings"] = json.loads(json.dumps(report["drawings"][:1]).replace("SW-1 shear wall", "\u6728"))
    assert "stand as □" in _written(render(report))[0]
    assert "stand as □" not in words[0]


def test_without_drawings_and_with_very_many_findings_it_stays_small() -> None:
    texts = _written(render(plain(), ISSUE))
    assert any("Hand-over" in text for text in texts)
    report = large(5000)
    reasons = [f"Reason {k}: {'long words ' * 60}" for k in range(90)]
    report["exit"] = {**report["exit"], "status": 3, "reasons": reasons}
    texts = _written(render(report))
    assert len(texts) < 60
    assert "more in the report" in " ".join(texts)
    assert any(", page 2" in text for text in texts)


def test_the_command_writes_a_pdf_again_over_its_own_but_not_over_a_foreign_one(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("modellint.worker.run", lambda *_, **__: plain())
    out = tmp_path / "sheets.PDF"
    for _ in range(2):
        done = CliRunner().invoke(command, ["house.ifc", "-o", str(out), "--paper", "letter"])
        assert done.exit_code == 0, done.output
    assert out.read_bytes() == render(plain(), paper="letter")
    assert list(tmp_path.iterdir()) == [out]
    out.write_bytes(b"%PDF-1.7 somebody else's")
    assert isinstance(CliRunner().invoke(command, ["house.ifc", "-o", str(out)]).exception, UsageProblem)
    assert out.read_bytes() == b"%PDF-1.7 somebody else's"
    done = CliRunner().invoke(command, ["house.ifc", "-o", str(tmp_path / "a.html"), "--paper", "a4"])
    assert done.exit_code == 2
    assert "--paper goes with a PDF" in done.output


def test_without_reportlab_one_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "modellint.reports.pdf_sheets":
            raise ModuleNotFoundError("No module named 'reportlab'", name="reportlab")
        return real(name, *rest, **more)

    real = builtins.__import__
    ran: list[int] = []
    monkeypatch.setattr("modellint.worker.run", lambda *_, **__: ran.append(1))
    monkeypatch.setattr(builtins, "__import__", without)
    done = CliRunner().invoke(command, ["house.ifc", "-o", str(tmp_path / "sheets.pdf")])
    assert isinstance(done.exception, UsageProblem)
    assert "install modellint[pdf]" in str(done.exception)
    assert ran == []  # said before the check, not after it
