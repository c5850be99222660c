"""Writing a file whole or not at all, and never over what somebody else wrote."""

from __future__ import annotations

import os
import stat
import tempfile
from pathlib import Path

from modellint.errors import ModellintError, UsageProblem
from modellint.text import clean

# One of these stands in the first 4 KB of every file modellint writes: the `tool` of a JSON or SARIF report,
# the first line of the text report, the header of a take-off, or the generator line of the others (in a zip archive:
# in a first member that is stored, not compressed). A JSON array of nothing has no room for a mark and nothing to lose.
MARKS = (b"written by modellint", b'"name": "modellint"', b'"name":"modellint"', b": what the model shows",
         b"table,list,item,length (m),area (m2),")
_LOOKED_AT = 4096


def write_atomic(path: Path, data: bytes, force: bool = False) -> None:
    """Write a file beside its target and rename it, so that a half-written one is never seen.

    An existing file is overwritten only if it is an ordinary file and carries one of MARKS in its first 4 KB,
    or `force` is given. Folders, devices and symbolic links are refused even then.

    Raises:
        UsageProblem: the target may not be overwritten, or its folder does not exist.
        ModellintError: the system refused (disk full, no permission); the old file, if any, is untouched.
    """
    name = clean(str(path))
    try:
        mode = _check_target(path, name, force)
        handle, temporary = tempfile.mkstemp(prefix=".modellint-", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(temporary).chmod(mode)
            Path(temporary).replace(path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
    except (OSError, ValueError) as error:
        reason = clean(getattr(error, "strerror", None) or str(error))
        raise ModellintError(f"{name} could not be written: {reason}.") from error


def _check_target(path: Path, name: str, force: bool) -> int:
    """Permission bits for the new file; raises if the target must not be written."""
    if not path.parent.is_dir():
        raise UsageProblem(f"{name} cannot be written: the folder {clean(str(path.parent))} does not exist.")
    try:
        found = path.lstat().st_mode
    except FileNotFoundError:
        return 0o666 & ~_umask()
    if stat.S_ISDIR(found):
        raise UsageProblem(f"{name} is a folder; name a file to write.")
    if not stat.S_ISREG(found):
        raise UsageProblem(f"{name} is a symbolic link or device; name an ordinary file to write.")
    if not force and not _is_ours(path):
        raise UsageProblem(f"{name} exists and was not written by modellint; remove it or use --force.")
    return stat.S_IMODE(found)


def _is_ours(path: Path) -> bool:
    with path.open("rb") as file:
        start = file.read(_LOOKED_AT)
    return start.strip() in (b"", b"[]") or any(mark in start for mark in MARKS)


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
