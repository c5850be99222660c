"""The reader swallows what the guard reports: each case against the IFC library itself."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path

import ifcopenshell
import pytest

from modellint.errors import ModelUnreadable
from modellint.ifc.guard import inspect, unknown_classes
from modellint.ifc.sniff import prepare
from tests.hostile.generate import BODY, HEAD, TAIL, WHOLE, write


@pytest.mark.parametrize("name", ["cut_at_line.ifc", "cut_middle.ifc", "duplicate_ids.ifc",
                                  "two_models.ifc"])
def test_the_reader_opens_what_the_guard_stops(name: str, tmp_path: Path) -> None:
    """If this fails the library has become stricter, and the guard can quote it."""
    path = write(name, tmp_path)
    assert ifcopenshell.open(str(path)).schema == "IFC4"
    with pytest.raises(ModelUnreadable) if name.startswith("cut_at") else nullcontext():
        _, notes = inspect(prepare(path, tmp_path))
        assert any(note.serious for note in notes)


def test_the_readers_schemas_are_ours() -> None:
    from ifcopenshell import ifcopenshell_wrapper

    from modellint.ifc.sniff import SCHEMAS

    assert set(SCHEMAS) == {name for name in ifcopenshell_wrapper.schema_names() if name.startswith("IFC")}


def test_unknown_classes_are_named_with_line(tmp_path: Path) -> None:
    path = tmp_path / "a.ifc"
    path.write_text(HEAD + BODY + "#11=IFCTIEDOWN();\n#12=IFCTIEDOWN();\n" + TAIL)
    index, notes = inspect(prepare(path, tmp_path))
    known = {name for name in index.classes if name != "IFCTIEDOWN"}
    found = unknown_classes(index, known, "a.ifc")
    assert notes == []
    assert [(note.line, note.serious) for note in found] == [(18, True)]
    assert found[0].text.startswith("2 instances of class IFCTIEDOWN")


def test_what_is_handed_on_about_the_file(tmp_path: Path) -> None:
    path = write("zipped.ifczip", tmp_path)
    prepared = prepare(path, tmp_path)
    assert (prepared.name, prepared.member, prepared.schema) == ("zipped.ifczip", "model.ifc", "IFC4")
    assert prepared.size == path.stat().st_size
    assert prepared.path.read_text() == WHOLE
    assert prepared.end == len(WHOLE.rstrip())
