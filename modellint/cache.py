"""Results of earlier checks, kept so that a second look at an unchanged model is quick.

An entry is named by everything its result depends on: the bytes of the models, the rules, the options, the
project file and this program's own files. What the project file names (schedules, rules, waivers) is listed in
the entry with its hash and looked at again. A damaged entry counts as none and is written anew. Only whole checks
are kept: one that hit a limit, or that lost a part to a crash, is made again each time.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import sys
import tempfile
import zlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

import modellint
from modellint.project_file import find_project

SUFFIX = ".check"
MOST_BYTES = 512 * 1024 * 1024  # of the whole folder; the entries not used longest go first (judgement, no source)
MOST_OF_ONE = 64 * 1024 * 1024
MOST_UNPACKED = 512 * 1024 * 1024
OFF = "off"
_LOST = frozenset({"part-not-drawn"})
# they change neither what is found nor how it is written
_NO_MATTER = frozenset({"models", "project", "today", "debug", "cores"})


def default_folder() -> Path:
    """The user's own cache folder for modellint, by the custom of the system."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local") / "modellint" / "cache"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "modellint"
    given = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(given) if given and Path(given).is_absolute() else Path.home() / ".cache") / "modellint"


class Cache:
    """A folder of entries; no error of it ever reaches a check."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def key(self, request: Mapping[str, Any]) -> str:
        """Name of the entry for a check; "" if a file cannot be read (the check will say so)."""
        try:
            return key_of(request)
        except (OSError, ValueError):
            return ""

    def get(self, key: str, request: Mapping[str, Any]) -> dict[str, Any] | None:
        """The report of an equal check, or None."""
        if not key:
            return None
        try:
            path = self.folder / f"{key}{SUFFIX}"
            head, _, body = path.read_bytes().partition(b"\n")
            if hashlib.sha256(body).hexdigest().encode() != head:
                return None
            entry = json.loads(_unpacked(body))
            if any(digest(Path(name)) != wanted for name, wanted in entry["depends"]):
                return None
            report: dict[str, Any] = entry["report"]
            if report["today"] is not None and report["today"] != request.get("today"):
                return None
            with suppress(OSError):
                os.utime(path)
            return report
        except (OSError, ValueError, KeyError, TypeError, RecursionError, zlib.error):
            return None

    def put(self, key: str, request: Mapping[str, Any], report: Mapping[str, Any]) -> None:
        """Keep a report, if it is of a whole check and the folder can be written.

        Args:
            key: from before the check, so that a model that changes meanwhile is checked again.
            request: what was checked.
            report: its JSON form, as the check gave it.
        """
        if not key or not report["model"]["files"] or any(note["code"] in _LOST for note in report["input_notes"]):
            return
        try:
            entry = {"depends": named_by_project(request), "report": report}
            # a report shrinks to a ninth at the quickest level (measured), and is read back sooner than unpacked
            body = zlib.compress(json.dumps(entry, ensure_ascii=False, separators=(",", ":")).encode(), 1)
            if len(body) > MOST_OF_ONE:
                return
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            self._make_room(len(body))
            handle, temporary = tempfile.mkstemp(prefix=".new-", dir=self.folder)
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(hashlib.sha256(body).hexdigest().encode() + b"\n" + body)
                Path(temporary).replace(self.folder / f"{key}{SUFFIX}")
            except BaseException:
                Path(temporary).unlink(missing_ok=True)
                raise
        except (OSError, ValueError, RecursionError):
            return

    def entries(self) -> list[tuple[float, int, Path]]:
        """Last use, size and path of all entries, those not used longest first."""
        rows = []
        with suppress(OSError):
            for path in self.folder.glob(f"*{SUFFIX}"):
                with suppress(OSError):
                    found = path.lstat()
                    rows.append((found.st_mtime, found.st_size, path))
        return sorted(rows)

    def clear(self) -> int:
        """Remove all entries and nothing else; gives their number."""
        number = 0
        for _, _, path in self.entries():
            with suppress(OSError):
                path.unlink()
                number += 1
        return number

    def _make_room(self, wanted: int) -> None:
        rows = self.entries()
        total = sum(size for _, size, _ in rows) + wanted
        for _, size, path in rows:
            if total <= MOST_BYTES:
                return
            with suppress(OSError):
                path.unlink()
                total -= size


def _unpacked(body: bytes) -> bytes:
    """The text of an entry.

    Raises:
        ValueError: it is larger than any report, or cut.
    """
    unpacking = zlib.decompressobj()
    text = unpacking.decompress(body, MOST_UNPACKED)
    if not unpacking.eof:
        raise ValueError("no whole entry")
    return text


def key_of(request: Mapping[str, Any]) -> str:
    """Name of the entry for a check; see the module.

    Raises:
        OSError: a model or the project file cannot be read.
    """
    models = [Path(path) for path in request["models"]]
    project = project_of(request)
    parts = {
        "version": modellint.__version__, "program": _program(), "rules": rules_digest(),
        "models": [[path.name, digest(path)] for path in models],
        "project": [project.name, digest(project)] if project is not None else None,
        "options": {key: request[key] for key in sorted(request) if key not in _NO_MATTER},
    }
    return hashlib.sha256(json.dumps(parts, sort_keys=True, default=str).encode()).hexdigest()


def project_of(request: Mapping[str, Any]) -> Path | None:
    """The project file of a check: the one it names, else the one found upward from its first model."""
    given = request.get("project")
    return Path(given) if given else find_project(Path(request["models"][0]).resolve().parent)


def named_by_project(request: Mapping[str, Any]) -> list[list[str]]:
    """Files and folders that the project file names, each with its hash."""
    project = project_of(request)
    if project is None:
        return []
    from modellint.rulebook.yaml_text import read_yaml

    folder = project.resolve().parent
    found = {}
    for text in _texts(read_yaml(project).data):
        with suppress(OSError, ValueError):
            path = folder / text
            if text and path.resolve().is_relative_to(folder) and path.exists():  # no other file is ever read
                found[str(path)] = digest(path)
    return [[name, found[name]] for name in sorted(found)]


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from _texts(item)
    elif isinstance(value, list):
        for item in value:
            yield from _texts(item)


def digest(path: Path) -> str:
    """Hash of a file, or of all files in a folder with their names.

    Raises:
        OSError: it cannot be read, or is a device or a pipe, which might never end.
    """
    if path.is_dir():
        whole = hashlib.sha256()
        for one in sorted(one for one in path.rglob("*") if one.is_file()):
            whole.update(f"{one.relative_to(path).as_posix()}\0{digest(one)}\n".encode())
        return whole.hexdigest()
    if not path.is_file():
        raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(path))
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@cache
def _program() -> str:
    """Names, sizes and times of this program's own files: a changed program never answers from old results."""
    package = Path(__file__).resolve().parent
    return _stamp(package, list(package.rglob("*.py")))


@cache
def rules_digest() -> str:
    """Hash of the shipped rules and books."""
    package = Path(__file__).resolve().parent
    folder = next((one for one in (package / "_rules", package.parent / "rules") if one.is_dir()), None)
    return digest(folder) if folder is not None else ""


def _stamp(folder: Path, files: Sequence[Path]) -> str:
    whole = hashlib.sha256()
    for path in sorted(files):
        found = path.stat()
        whole.update(f"{path.relative_to(folder).as_posix()}\0{found.st_size}\0{found.st_mtime_ns}\n".encode())
    return whole.hexdigest()
