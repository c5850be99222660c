"""Ways to damage a STEP file: each takes the bytes and a dice and gives other bytes, the same for the same seed."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

Damage = Callable[[bytes, random.Random], bytes]
NUMBERS = (b"NaN", b"1.E308", b"-1.E308", b"0.", b"-0.", b"1.E-300", b"1.E9", b"-1.", b"INF", b"1E", b"*", b"$", b"()")
STRINGS = ("\\X\\1B[2J", "::error::x", "=1+1", "<script>alert(1)</script>", "\\X2\\D800\\X0\\", "''", "", "\\X\\00",
           "x" * 70_000, "../../etc/passwd", "%s%n", "\\S\\", "\\X4\\0011FFFF\\X0\\")
_NUMBER = re.compile(rb"(?<=[(,])-?\d+\.\d*(?:E[+-]?\d+)?(?=[,)])")
_REFERENCE = re.compile(rb"(?<=[(,])#(\d+)(?=[,)])")
_STRING = re.compile(rb"'(?:[^']|'')*'")
_RECORD = re.compile(rb"^#\d+=.*;$", re.MULTILINE)
_CLASS = re.compile(rb"(?<==)IFC[A-Z0-9]+(?=\()")
_ENUM = re.compile(rb"(?<=[(,])\.[A-Z_0-9]+\.(?=[,)])")


def cut_anywhere(data: bytes, dice: random.Random) -> bytes:
    """The file ends early."""
    return data[:dice.randrange(1, len(data) - 30)]


def cut_at_a_record(data: bytes, dice: random.Random) -> bytes:
    """The file ends early, after a whole record."""
    return data[:dice.choice([m.end() + 1 for m in _RECORD.finditer(data)])]


def cut_out_of_the_middle(data: bytes, dice: random.Random) -> bytes:
    """A stretch of the file is lost; often it tears a record."""
    start = dice.randrange(len(data) // 10, len(data) - 200)
    return data[:start] + data[start + dice.randrange(1, 4000):]


def _swap(pattern: re.Pattern[bytes], data: bytes, dice: random.Random, new: Callable[[bytes], bytes]) -> bytes:
    found = list(pattern.finditer(data))
    for match in sorted(dice.sample(found, min(len(found), dice.randint(1, 8))), key=lambda m: -m.start()):
        data = data[:match.start()] + new(match[0]) + data[match.end():]
    return data


def odd_numbers(data: bytes, dice: random.Random) -> bytes:
    """A few numbers are no numbers, or far too large or small."""
    return _swap(_NUMBER, data, dice, lambda _: dice.choice(NUMBERS))


def other_references(data: bytes, dice: random.Random) -> bytes:
    """A few references point to another record, which often makes a ring or a thing of the wrong class."""
    ids = re.findall(rb"^#(\d+)=", data, re.MULTILINE)
    return _swap(_REFERENCE, data, dice, lambda _: b"#" + dice.choice(ids))


def dangling_references(data: bytes, dice: random.Random) -> bytes:
    """A few references point nowhere."""
    return _swap(_REFERENCE, data, dice, lambda _: dice.choice((b"#99999999", b"$", b"*", b"#0", b"()")))


def references_to_self(data: bytes, dice: random.Random) -> bytes:
    """Records of one class refer to themselves."""
    records = list(_RECORD.finditer(data))
    for match in sorted(dice.sample(records, 5), key=lambda m: -m.start()):
        own = match[0].split(b"=")[0]
        data = data[:match.start()] + _REFERENCE.sub(own, match[0], count=2) + data[match.end():]
    return data


def odd_strings(data: bytes, dice: random.Random) -> bytes:
    """A few texts hold what is an escape, a formula, markup or no text at all."""
    return _swap(_STRING, data, dice, lambda _: b"'" + dice.choice(STRINGS).encode() + b"'")


def other_classes(data: bytes, dice: random.Random) -> bytes:
    """A few records change their class, with attributes that do not fit."""
    names = [*sorted(set(_CLASS.findall(data))), b"IFCNOSUCHTHING", b"IFCREPRESENTATIONITEM"]
    return _swap(_CLASS, data, dice, lambda _: dice.choice(names))


def other_words(data: bytes, dice: random.Random) -> bytes:
    """A few enumerations hold another word."""
    return _swap(_ENUM, data, dice, lambda _: dice.choice((b".NOTDEFINED.", b".T.", b".X.", b"$", b".MILLI.", b"..")))


def lost_records(data: bytes, dice: random.Random) -> bytes:
    """A few records are lost."""
    return _swap(_RECORD, data, dice, lambda _: b"")


def records_twice(data: bytes, dice: random.Random) -> bytes:
    """A few records stand twice."""
    return _swap(_RECORD, data, dice, lambda record: record + b"\n" + record)


def scattered_bytes(data: bytes, dice: random.Random) -> bytes:
    """A few bytes anywhere are others."""
    changed = bytearray(data)
    for _ in range(dice.randint(1, 12)):
        changed[dice.randrange(len(changed))] = dice.randrange(256)
    return bytes(changed)


CUTS: tuple[Damage, ...] = (cut_anywhere, cut_at_a_record)
DAMAGES: tuple[Damage, ...] = (
    *CUTS, cut_out_of_the_middle, odd_numbers, other_references, dangling_references, references_to_self,
    odd_strings, other_classes, other_words, lost_records, records_twice, scattered_bytes)
