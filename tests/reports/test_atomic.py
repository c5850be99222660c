"""Files are written whole or not at all, and never over somebody else's."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from modellint.errors import ModellintError, UsageProblem
from modellint.reports.atomic import write_atomic

OURS = b'{"tool": {"name": "modellint"}}'


def test_writes_with_usual_permissions_and_replaces_its_own(tmp_path: Path) -> None:
    path = tmp_path / "report.json"
    write_atomic(path, OURS)
    mask = os.umask(0)
    os.umask(mask)
    assert path.stat().st_mode & 0o777 == 0o666 & ~mask
    write_atomic(path, OURS + b"\n")
    assert path.read_bytes() == OURS + b"\n"
    assert list(tmp_path.iterdir()) == [path]


def test_foreign_files_need_force(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_bytes(b"dear")
    with pytest.raises(UsageProblem, match="use --force"):
        write_atomic(path, OURS)
    assert path.read_bytes() == b"dear"
    write_atomic(path, OURS, force=True)
    assert path.read_bytes() == OURS


def test_links_folders_devices_and_missing_folders_are_refused_even_with_force(tmp_path: Path) -> None:
    victim, link = tmp_path / "victim", tmp_path / "link"
    victim.write_bytes(OURS)
    link.symlink_to(victim)
    for target in (link, tmp_path, Path("/dev/null"), tmp_path / "no" / "report.json"):
        with pytest.raises(UsageProblem):
            write_atomic(target, b"new", force=True)
    assert victim.read_bytes() == OURS


def test_a_full_disk_leaves_the_old_file_and_no_other(tmp_path: Path,
                                                      monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "report.json"
    path.write_bytes(OURS)

    def full(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(ModellintError, match="No space left") as caught:
        write_atomic(path, b"new")
    assert caught.value.exit_status == 3
    assert path.read_bytes() == OURS
    assert list(tmp_path.iterdir()) == [path]
