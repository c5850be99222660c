"""Taking the one model out of an `.ifczip` archive without trusting anything the archive says."""

from __future__ import annotations

import stat
import zipfile
import zlib
from pathlib import Path, PurePosixPath
from typing import IO

from modellint.errors import ModelUnreadable
from modellint.limits import MEGABYTE, Limits
from modellint.text import clean

_BLOCK = 1 << 20
_ENCRYPTED = 0x1
_SMALL = MEGABYTE  # a bomb this small harms nobody, and short repetitive models compress well
_ARCHIVES = (".zip", ".ifczip", ".gz", ".7z", ".rar", ".tar")


def unzip_model(archive: Path, name: str, target: IO[bytes], limits: Limits) -> tuple[str, int]:
    """Unpack the only IFC member of an archive into an open file.

    Returns:
        The member's name and the number of other members, which are not read.

    Raises:
        ModelUnreadable: damaged, encrypted, larger than the limits allow, or not exactly one IFC file in it.
    """
    try:
        with zipfile.ZipFile(archive) as opened:
            member = _only_model(opened.infolist(), name)
            _check_size(member, name, limits)
            with opened.open(member) as source:
                _copy(source, target, name, limits)
            return member.filename, sum(1 for info in opened.infolist() if not info.is_dir()) - 1
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, NotImplementedError,
            RuntimeError) as error:
        if isinstance(error, OSError) and error.errno is not None:
            raise
        raise ModelUnreadable(f"{name} is a damaged zip archive ({clean(str(error))}); "
                              "zip the model again or export it as .ifc.") from error


def _only_model(members: list[zipfile.ZipInfo], name: str) -> zipfile.ZipInfo:
    files = [member for member in members if not member.is_dir()]
    for member in files:
        _check_member(member, name)
    models = [member for member in files if member.filename.lower().endswith(".ifc")]
    if len(models) == 1:
        return models[0]
    if models:
        raise ModelUnreadable(f"{name} holds {len(models)} IFC files; put one model into one archive, or "
                              "unpack it and check the files with --together.")
    others = {PurePosixPath(member.filename).suffix.lower() for member in files}
    if others & {".ifcxml", ".xml", ".ifcjson", ".json"}:
        raise ModelUnreadable(f"{name} holds a model in XML or JSON, which is not read; export it as .ifc.")
    raise ModelUnreadable(f"{name} is a zip archive without an .ifc file in it.")


def _check_member(member: zipfile.ZipInfo, name: str) -> None:
    inside = clean(member.filename, 80)
    path = member.filename.replace("\\", "/")
    if path.startswith("/") or path[1:2] == ":" or ".." in path.split("/"):
        raise ModelUnreadable(f"{name} holds a file named {inside!r}, which points outside the archive; "
                              "it is not unpacked.")
    if stat.S_ISLNK(member.external_attr >> 16):
        raise ModelUnreadable(f"{name} holds a symbolic link ({inside!r}); it is not unpacked.")
    if member.flag_bits & _ENCRYPTED:
        raise ModelUnreadable(f"{name} is encrypted; unpack it with its password and check the .ifc file.")
    if path.lower().endswith(_ARCHIVES):
        raise ModelUnreadable(f"{name} holds another archive ({inside!r}); unpack it and check the .ifc "
                              "file.")


def _check_size(member: zipfile.ZipInfo, name: str, limits: Limits) -> None:
    if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise ModelUnreadable(f"{name} is compressed in an unusual way; zip the model again (deflate).")
    if member.file_size > limits.unzip_bytes:
        raise ModelUnreadable(_too_large(name, limits))
    if member.file_size > max(_SMALL, limits.unzip_ratio * member.compress_size):
        raise ModelUnreadable(f"{name} would unpack to more than {limits.unzip_ratio:g} times its size, as "
                              "no real model does; it is not unpacked.")


def _copy(source: IO[bytes] | zipfile.ZipExtFile, target: IO[bytes], name: str, limits: Limits) -> None:
    written = 0
    while block := source.read(_BLOCK):
        written += len(block)
        if written > limits.unzip_bytes:
            raise ModelUnreadable(_too_large(name, limits))
        target.write(block)


def _too_large(name: str, limits: Limits) -> str:
    return f"{name} would unpack to more than {limits.unzip_bytes / MEGABYTE:,.0f} MB; it is not unpacked."
