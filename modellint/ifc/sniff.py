"""Is this an IFC file at all? Checks on the bytes before any reader opens them, without the IFC library.

The reader opens a cut file without complaint, and calls a byte order mark, a Git-LFS pointer, a gzip file and
an empty file all by the same message; here each gets its own sentence.
"""

from __future__ import annotations

import codecs
import hashlib
import mmap
import os
import re
import stat
import tempfile
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path
from typing import IO

from modellint.errors import ModelUnreadable
from modellint.ifc.model import Note
from modellint.ifc.unzip import unzip_model
from modellint.limits import Limits
from modellint.text import clean

SCHEMAS = ("IFC2X3", "IFC4", "IFC4X3_ADD2")  # those the reader ships; it refuses every other spelling
END = b"END-ISO-10303-21"
_BLOCK = 1 << 20
_HEADER_SIZE = 1 << 20
_MARKS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF32_LE, "utf-32"), (codecs.BOM_UTF32_BE, "utf-32"),
          (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_FOREIGN = (
    (b"version https://git-lfs",
     "is a Git-LFS pointer, not the model itself; run `git lfs pull` and check again"),
    (b"\x1f\x8b", "is compressed with gzip; unpack it and check the .ifc file"),
    (b"7z\xbc\xaf\x27\x1c", "is a 7z archive; unpack it and check the .ifc file"),
    (b"Rar!", "is a RAR archive; unpack it and check the .ifc file"),
    (b"BZh", "is compressed with bzip2; unpack it and check the .ifc file"),
    (b"\xfd7zXZ", "is compressed with xz; unpack it and check the .ifc file"),
    (b"\x89HDF", "is an HDF5 file; export the model as .ifc"),
    (b"SQLite format 3", "is an SQLite database; export the model as .ifc"),
)
_STRING_OR_COMMENT = re.compile(rb"'(?:[^']|'')*'|/\*.*?\*/", re.DOTALL)
_SCHEMA = re.compile(rb"\bFILE_SCHEMA\s*\(\s*\(\s*((?:'(?:[^']|'')*'\s*,?\s*)*)\)\s*\)", re.IGNORECASE)
_START = re.compile(rb"\s*ISO-10303-21\s*;", re.IGNORECASE)
_CLOSING = re.compile(rb"ENDSEC\s*;\s*END-ISO-10303-21\s*;", re.IGNORECASE)
_SECOND = re.compile(rb"(?<!END-)ISO-10303-21\s*;\s*HEADER\s*;")


@dataclass(frozen=True)
class Prepared:
    """A file that looks like a whole IFC model.

    Attributes:
        path: plain STEP file for the reader; the original, or a copy in the work folder.
        name: file name to say in sentences and reports, cleaned.
        sha256: of the original file.
        size: bytes of the original file.
        schema: one of SCHEMAS.
        end: bytes of `path` up to and with its end marker; what stands behind is not read.
        member: name within the zip archive, "" for plain files.
    """

    path: Path
    name: str
    sha256: str
    size: int
    schema: str
    end: int
    notes: tuple[Note, ...] = ()
    member: str = ""


def prepare(path: Path, workdir: Path, limits: Limits | None = None) -> Prepared:
    """Check a file's frame and hand on a plain STEP file for the reader.

    Args:
        path: `.ifc` or `.ifczip`; what the file is decides, not how it is called.
        workdir: existing folder for the unpacked or cleaned copy; the caller removes it.
        limits: unpacking limits.

    Raises:
        ModelUnreadable: one sentence that says what the file is instead and what to do.
    """
    name = clean(path.name or str(path))
    try:
        _must_be_file(path, name)
        with path.open("rb") as file:
            return _prepare(path.absolute(), name, file, workdir, limits or Limits())
    except FileNotFoundError as error:
        raise ModelUnreadable(f"{clean(str(path))} does not exist.") from error
    except OSError as error:
        reason = clean(error.strerror or type(error).__name__)
        raise ModelUnreadable(f"{name} could not be read: {reason}.") from error
    except ValueError as error:  # a path with a zero byte
        raise ModelUnreadable(f"{name} is not a file name.") from error


def _prepare(path: Path, name: str, file: BufferedReader, workdir: Path, limits: Limits) -> Prepared:
    sha256 = hashlib.file_digest(file, "sha256").hexdigest()
    size = file.tell()
    file.seek(0)
    head = file.read(64)
    notes: list[Note] = []
    member = ""
    if head.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        path, member = _unpacked(path, name, workdir, limits, notes)
        with path.open("rb") as inner:
            head = inner.read(64)
    _refuse_foreign(head, name)
    path = _without_mark(path, head, name, workdir, notes)
    with path.open("rb") as plain, mmap.mmap(plain.fileno(), 0, access=mmap.ACCESS_READ) as text:
        schema = _schema(bytes(text[:_HEADER_SIZE]), name)
        end = _end(text, name, notes)
    return Prepared(path, name, sha256, size, schema, end, tuple(notes), clean(member) if member else "")


def _must_be_file(path: Path, name: str) -> None:
    mode = path.stat().st_mode
    if stat.S_ISDIR(mode):
        raise ModelUnreadable(f"{name} is a folder; name one .ifc or .ifczip file.")
    if not stat.S_ISREG(mode):
        raise ModelUnreadable(f"{name} is a device, pipe or socket, not a file.")
    if path.stat().st_size == 0:
        raise ModelUnreadable(f"{name} is empty (0 bytes).")


def _unpacked(path: Path, name: str, workdir: Path, limits: Limits, notes: list[Note]) -> tuple[Path, str]:
    target, copy = _new_copy(workdir)
    with target:
        member, others = unzip_model(path, name, target, limits)
        if target.tell() == 0:
            raise ModelUnreadable(f"{name} holds an empty IFC file.")
    if others:
        notes.append(Note("archive-members", f"{name} holds {others} further file{'s' * (others > 1)} "
                          "beside the model, not read.", name))
    return copy, member


def _refuse_foreign(head: bytes, name: str) -> None:
    for mark, words in _FOREIGN:
        if head.startswith(mark):
            raise ModelUnreadable(f"{name} {words}.")
    if any(head.startswith(mark) for mark, _ in _MARKS[1:]):
        return
    start = head.removeprefix(codecs.BOM_UTF8).lstrip()
    if start.startswith(b"<"):
        raise ModelUnreadable(f"{name} is an XML file (ifcXML), which is not read; "
                              "export the model as .ifc.")
    if start.startswith((b"{", b"[")):
        raise ModelUnreadable(f"{name} is a JSON file (ifcJSON), which is not read; "
                              "export the model as .ifc.")
    if not start.startswith((b"ISO-10303-21", b"iso-10303-21", b"/*")) and start:
        raise ModelUnreadable(f"{name} is not an IFC file: it does not begin with ISO-10303-21;.")


def _without_mark(path: Path, head: bytes, name: str, workdir: Path, notes: list[Note]) -> Path:
    mark, encoding = next(((mark, word) for mark, word in _MARKS if head.startswith(mark)), (b"", ""))
    if not mark:
        return path
    target, copy = _new_copy(workdir)
    with target, path.open("rb") as source:
        if encoding == "utf-8":
            source.seek(len(mark))
            while block := source.read(_BLOCK):
                target.write(block)
        else:
            _transcode(source, target, encoding, name)
        if target.tell() == 0:
            raise ModelUnreadable(f"{name} holds a byte order mark and nothing else.")
    notes.append(Note("byte-order-mark", f"{name} begins with a {encoding.upper()} byte order mark, which "
                      "the STEP format does not allow; it was read without it.", name))
    return copy


def _transcode(source: IO[bytes], target: IO[bytes], encoding: str, name: str) -> None:
    decoder = codecs.getincrementaldecoder(encoding)()
    try:
        while block := source.read(_BLOCK):
            target.write(decoder.decode(block).encode())
        target.write(decoder.decode(b"", final=True).encode())
    except UnicodeError as error:
        raise ModelUnreadable(f"{name} is damaged: its {encoding.upper()} text cannot be decoded.") from error


def _new_copy(workdir: Path) -> tuple[IO[bytes], Path]:
    handle, copy = tempfile.mkstemp(suffix=".ifc", prefix="model-", dir=workdir)
    return os.fdopen(handle, "wb"), Path(copy)


def _blanked(match: re.Match[bytes]) -> bytes:
    return match[0] if match[0].startswith(b"'") else b" "


def _schema(text: bytes, name: str) -> str:
    header = _STRING_OR_COMMENT.sub(_blanked, text)
    if not _START.match(header):
        raise ModelUnreadable(f"{name} is not an IFC file: it does not begin with ISO-10303-21;.")
    found = _SCHEMA.search(header)
    if not found:
        raise ModelUnreadable(f"{name} does not say its schema (FILE_SCHEMA is missing in its header); "
                              "export the model again.")
    words = [word.decode("latin-1").strip() for word in re.findall(rb"'((?:[^']|'')*)'", found[1])]
    if len(words) == 1 and words[0].upper() in SCHEMAS:
        return str(words[0].upper())
    given = clean(", ".join(words), 60) or "nothing"
    raise ModelUnreadable(f"{name} is written in schema {given}; modellint reads IFC2X3, IFC4 and "
                          "IFC4X3_ADD2. Export the model in one of these.")


def _end(text: mmap.mmap, name: str, notes: list[Note]) -> int:
    """Bytes up to and with the first exchange structure's end marker."""
    last = text.rfind(END)
    if last < 0:
        raise ModelUnreadable(f"{name} is cut off: its end marker END-ISO-10303-21; is missing. "
                              "Export or copy it again.")
    second = _SECOND.search(text, text.find(END))
    place = text.rfind(END, 0, second.start()) if second else last
    before = _STRING_OR_COMMENT.sub(_blanked, bytes(text[max(0, place - 2048):place + len(END) + 64]))
    if not _CLOSING.search(before):
        raise ModelUnreadable(f"{name} is damaged at its end: ENDSEC; does not stand before "
                              "END-ISO-10303-21;. Export or copy it again.")
    end = text.find(b";", place) + 1
    rest = bytes(text[end:end + 4096]).strip(b" \t\r\n\0\x1a")
    if second:
        notes.append(Note("second-model", f"{name} holds a second model behind the first one's end marker; "
                          "only the first is read.", name, serious=True))
    elif rest:
        notes.append(Note("text-after-end", f"{name} goes on behind its end marker; that text is not read.",
                          name))
    return end
