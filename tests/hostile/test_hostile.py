"""Each hostile file gives its sentence and status, and leaves nothing behind outside the work folder."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from modellint.errors import ModelUnreadable
from modellint.ifc.guard import inspect
from modellint.ifc.sniff import prepare
from modellint.limits import Limits
from tests.hostile.generate import BODY, EXPECTED, FILES, HEAD, TAIL, WHOLE, write


def look(path: Path, work: Path) -> tuple[str, int]:
    """All sentences about a file, and the exit status it gives by itself."""
    try:
        _, notes = inspect(prepare(path, work))
    except ModelUnreadable as error:
        return str(error), error.exit_status
    return "\n".join(note.text for note in notes), 3 if any(note.serious for note in notes) else 0


@pytest.fixture
def work(tmp_path: Path) -> Path:
    folder = tmp_path / "work"
    folder.mkdir()
    return folder


def test_every_file_has_an_expectation() -> None:
    assert FILES.keys() == EXPECTED.keys()


@pytest.mark.parametrize("name", sorted(FILES))
def test_says_what_is_wrong(name: str, tmp_path: Path, work: Path) -> None:
    path = write(name, tmp_path)
    before = path.read_bytes()
    text, status = look(path, work)
    fragment, expected = EXPECTED[name]
    assert status == expected
    assert fragment in text
    assert bool(text) == bool(fragment)
    assert path.read_bytes() == before
    assert sorted(tmp_path.iterdir()) == sorted([path, work])
    assert not Path("/tmp/escaped.ifc").exists()


@pytest.mark.parametrize("name", sorted(name for name, (_, status) in EXPECTED.items() if status == 0))
def test_finds_the_same_instances_however_it_is_dressed(name: str, tmp_path: Path, work: Path) -> None:
    index, _ = inspect(prepare(write(name, tmp_path), work))
    assert sorted(index.ids.tolist())[:10] == list(range(1, 11))
    assert len(index.rows_of_class("IfcWall")) == 2


def test_every_cut_at_a_record_is_noticed(tmp_path: Path, work: Path) -> None:
    path = tmp_path / "cut.ifc"
    body = WHOLE[:-1]
    for end in [at for at, sign in enumerate(body[:-1]) if sign in ";\n"]:
        path.write_text(body[:end + 1])
        assert look(path, work)[1] == 3, body[:end + 1][-40:]


def test_every_record_taken_out_or_doubled_is_noticed(tmp_path: Path, work: Path) -> None:
    path = tmp_path / "lost.ifc"
    records = BODY.splitlines(keepends=True)
    for at in range(8):  # nothing refers to the two walls: without them the file is whole
        path.write_text(HEAD + "".join(records[:at] + records[at + 1:]) + TAIL)
        assert look(path, work)[1] == 3, records[at]
        path.write_text(HEAD + "".join(records) + records[at] + TAIL)
        assert look(path, work)[1] == 3, records[at]


def test_random_damage_never_raises_anything_else(tmp_path: Path, work: Path) -> None:
    path = tmp_path / "damaged.ifc"
    dice = random.Random(7)
    whole = WHOLE.encode()
    for _ in range(400):
        data = bytearray(whole)
        for _ in range(dice.randint(1, 6)):
            at = dice.randrange(len(data))
            data[at:at + dice.randint(0, 20)] = dice.randbytes(dice.randint(0, 8))
        path.write_bytes(data)
        look(path, work)


def test_unzipping_stops_at_the_size_limit(tmp_path: Path, work: Path) -> None:
    path = write("zipped.ifczip", tmp_path)
    with pytest.raises(ModelUnreadable, match="would unpack to more than"):
        prepare(path, work, Limits(unzip_bytes=100))


@pytest.mark.parametrize(("path", "words"), [
    ("missing.ifc", "does not exist"), (".", "is a folder"), ("/dev/null", "is a device"),
    ("a\0b", "not a file"),
    ("link.ifc", "is a device"),
    ("\x1b[2Jmissing.ifc", r"^\\x1b\[2Jmissing.ifc does not exist"),
])
def test_what_is_no_file(path: str, words: str, tmp_path: Path, work: Path,
                         monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "link.ifc").symlink_to("/dev/null")
    with pytest.raises(ModelUnreadable, match=words):
        prepare(Path(path), work)
