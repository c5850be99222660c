"""Drawings as SVG: well-formed, escaped, no style attributes, nothing that loads, the same each time."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from modellint.drawings.drawing_set import drawings_of
from modellint.drawings.svg import Sheet, number
from modellint.errors import UsageProblem
from modellint.reports.svg_folder import drawings_as_files, write_folder
from tests.drawn import seeded
from tests.reports.sample_report import HOSTILE

SVG = "{http://www.w3.org/2000/svg}"
ALLOWED = {"svg", "title", "desc", "style", "g", "a", "line", "rect", "circle", "polyline", "polygon", "text"}


def test_numbers_have_one_decimal_and_no_minus_zero() -> None:
    assert [number(value) for value in (-0.01, 12.0, 3.14159, -2.25)] == ["0", "12", "3.1", "-2.2"]


def test_every_drawing_is_well_formed_and_only_draws() -> None:
    files = drawings_as_files(seeded())
    assert len(files) == 11  # four plans, six wall lines, one riser
    for data in files.values():
        root = ET.fromstring(data)
        assert {element.tag.removeprefix(SVG) for element in root.iter()} <= ALLOWED
        names = {name for element in root.iter() for name in element.attrib}
        assert not {name for name in names if name.startswith("on") or name in {"style", "src"}}
        ids = [element.get("id") for element in root.iter() if element.get("id")]
        assert len(ids) == len(set(ids))
        title = root.find(f"{SVG}title")
        assert title is not None
        assert title.text
        assert not re.search(rb"nan|inf\b|None", data)


def test_hostile_text_stays_text() -> None:
    sheet = Sheet("x", 10, 10, HOSTILE, HOSTILE)
    sheet.words("head", (1, 1), HOSTILE)
    sheet.open("g", "")
    sheet.tip(HOSTILE)
    sheet.close("g")
    root = ET.fromstring(sheet.render(alone=True))
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= ALLOWED
    assert any("<script>" in (element.text or "") for element in root.iter(f"{SVG}text"))


def test_marks_carry_the_number_of_their_card_and_stand_in_plan_and_elevation() -> None:
    fails = [f for f in seeded()["findings"] if f["outcome"] == "fail"]
    drawings = drawings_of(seeded(), [(k, f"f-{k}", [f]) for k, f in enumerate(fails, 1)])
    for k, finding in enumerate(fails, 1):
        kinds = [mark.drawing.split("-")[0] for mark in drawings.of_card[k]]
        expected = {"vent-joined": ["riser"]}.get(finding["rule"], ["elevation", "plan"])
        assert kinds == expected, finding["rule"]


def test_the_folder_is_made_kept_and_never_taken_from_others(tmp_path: Path) -> None:
    folder = tmp_path / "drawings"
    assert write_folder(seeded(), folder) == (11, 0)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert write_folder(seeded(), folder) == (11, 0)
    assert before == {path.name: path.read_bytes() for path in folder.iterdir()}
    foreign = folder / min(before)
    foreign.write_text("mine")
    with pytest.raises(UsageProblem, match="not written by modellint"):
        write_folder(seeded(), folder)
    assert foreign.read_text() == "mine"
    with pytest.raises(UsageProblem, match="does not exist"):
        write_folder(seeded(), tmp_path / "a" / "b")
    with pytest.raises(UsageProblem, match="is a file"):
        write_folder(seeded(), foreign)
