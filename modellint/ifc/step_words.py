"""Numbers and class names of a STEP text read eight bytes at a time, for all places at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Text = NDArray[np.uint8]
Words = NDArray[np.uint64]

_WORD = 8
_LONGEST_NAME = 6  # words; longer names are read one by one
_BUCKETS = 16
_MIX = np.uint64(0x9E3779B97F4A7C15)
_ONES, _TOPS = np.uint64(0x0101010101010101), np.uint64(0x8080808080808080)


def _each(byte: int) -> np.uint64:
    return np.uint64(byte * 0x0101010101010101)


def _view(text: Text) -> Words:
    """Every eight bytes as one little-endian number, starting at each offset."""
    return np.ndarray((len(text) - _WORD + 1,), "<u8", buffer=text.data, strides=(1,))


def _low_byte(flags: Words) -> Words:
    """Index 0 to 7 of the lowest byte with a flag, 8 if none has one."""
    lowest = flags & (~flags + np.uint64(1))
    return np.bitwise_count(lowest - np.uint64(1)).astype(np.uint64) >> np.uint64(3)


def _digits(words: Words) -> tuple[Words, Words]:
    """Value of the decimal digits at the start of each word, and how many there are (0 to 8)."""
    digits = words ^ _each(0x30)
    count = _low_byte((digits | (digits + _each(6))) & _each(0xF0))
    shift = (np.uint64(_WORD) - count) << np.uint64(3)
    value = np.where(count == 0, np.uint64(0), digits << (shift & np.uint64(63)))
    value = (value * np.uint64(10) + (value >> np.uint64(8))) & np.uint64(0x00FF00FF00FF00FF)
    value = (value * np.uint64(100) + (value >> np.uint64(16))) & np.uint64(0x0000FFFF0000FFFF)
    return (value * np.uint64(10_000) + (value >> np.uint64(32))) & np.uint64(0xFFFFFFFF), count


def _after_blanks(text: Text, places: Ints) -> Ints:
    """The same places moved past blanks; the zeros at the end of `text` stop them."""
    blank = np.flatnonzero((text[places] <= 0x20) & (text[places] > 0))
    if len(blank):
        places = places.copy()
    while len(blank):
        places[blank] += 1
        here = text[places[blank]]
        blank = blank[(here <= 0x20) & (here > 0)]
    return places


def first_numbers(text: Text, hashes: Ints) -> tuple[Ints, Ints, NDArray[np.bool_]]:
    """Numbers that follow `#` signs.

    Args:
        text: bytes, with at least 24 spare ones after the last `#`.
        hashes: offsets of the `#` signs.

    Returns:
        Number; offset where the class name begins if `=` follows, else -1; and which ones could not be read
        this way (blanks after `#`, 16 digits or more, no digit).
    """
    words = _view(text)
    short, count = _digits(words[hashes + 1])
    numbers = short.astype(np.int64)
    loose = count == 0
    ends = hashes + 1 + count.astype(np.int64)
    full = np.flatnonzero(count == _WORD)
    if len(full):
        more, further = _digits(words[hashes[full] + 1 + _WORD])
        numbers[full] = numbers[full] * 10 ** further.astype(np.int64) + more.astype(np.int64)
        ends[full] += further.astype(np.int64)
        loose[full[further == _WORD]] = True
    following = text[ends]
    odd = np.flatnonzero(following <= 0x20)
    if len(odd):
        ends[odd] = _after_blanks(text, ends[odd])
        following[odd] = text[ends[odd]]
        loose[odd[following[odd] == 0]] = True
    names = np.full(len(hashes), -1, np.int64)
    rows = np.flatnonzero(following == 0x3D)
    names[rows] = _after_blanks(text, ends[rows] + 1)
    loose[rows[text[names[rows]] == 0]] = True
    return numbers, names, loose


def odd_so_far(flags: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Whether an odd number of flags is set up to and with each place; the length is a multiple of 8.

    The running exclusive-or, eight places at a time: three shifts within a word, one running sum over words.
    """
    words = flags.view("<u8").copy()
    for shift in (8, 16, 32):
        words ^= words << np.uint64(shift)
    before = np.bitwise_xor.accumulate(words >> np.uint64(56))
    words[1:] ^= before[:-1] * _ONES
    return words.view(np.bool_)


def odd_numbers(text: Text, inside: NDArray[np.bool_]) -> list[int]:
    """Offsets of NaN and infinities outside strings; `text` is two bytes or more longer than `inside`."""
    size = len(inside)
    lower = text | 0x20
    middle = lower[1:size + 1]
    hits = ((lower[:size] == 0x6E) & (middle == 0x61) & (lower[2:size + 2] == 0x6E))
    hits |= (lower[:size] == 0x69) & (middle == 0x6E) & (lower[2:size + 2] == 0x66)
    np.greater(hits, inside, out=hits)
    return [place for place in np.flatnonzero(hits).tolist() if place and text[place - 1] in b"(,+- "]


class ClassTable:
    """Class names met so far; each spelling is decoded once."""

    def __init__(self) -> None:
        self._code_of: dict[str, int] = {}
        self._by_hash: dict[int, int] = {}
        self._hash_in = np.zeros(1 << _BUCKETS, np.uint64)
        self._code_in = np.full(1 << _BUCKETS, -1, np.int32)

    def codes(self, text: Text, starts: Ints) -> NDArray[np.int32]:
        """Code of the class name that begins at each offset."""
        hashes = self._hashes(text, starts)
        buckets = (hashes * _MIX) >> np.uint64(64 - _BUCKETS)
        codes: NDArray[np.int32] = self._code_in[buckets]
        missed = np.flatnonzero((codes < 0) | (self._hash_in[buckets] != hashes))
        if len(missed):
            values, first, back = np.unique(hashes[missed], return_index=True, return_inverse=True)
            found = [self._learn(int(value), text, int(starts[missed[at]]))
                     for value, at in zip(values, first, strict=True)]
            codes[missed] = np.array(found, np.int32)[back]
            self._hash_in[buckets[missed]] = hashes[missed]
            self._code_in[buckets[missed]] = codes[missed]
        return codes

    def sorted_codes(self, codes: NDArray[np.int32]) -> tuple[NDArray[np.int32], tuple[str, ...]]:
        """Codes renumbered so that they index the sorted names, and those names."""
        names = sorted(self._code_of)
        place = np.empty(len(names), np.int32)
        for at, name in enumerate(names):
            place[self._code_of[name]] = at
        return place[codes], tuple(names)

    def _learn(self, value: int, text: Text, start: int) -> int:
        known = self._by_hash.get(value)
        if known is None:
            raw = text[start:start + _LONGEST_NAME * _WORD].tobytes()
            name = raw.partition(b"(")[0].partition(b"\0")[0].strip().decode("ascii", "replace").upper()
            known = self._by_hash[value] = self._code_of.setdefault(name, len(self._code_of))
        return known

    @staticmethod
    def _hashes(text: Text, starts: Ints) -> Words:
        words = _view(text)
        last = len(words) - 1
        result = np.zeros(len(starts), np.uint64)
        active = np.arange(len(starts))
        for step in range(_LONGEST_NAME):
            part = words[np.minimum(starts[active] + step * _WORD, last)]
            same = part ^ _each(0x28)
            end = _low_byte((same - _ONES) & ~same & _TOPS)
            shift = ((np.uint64(_WORD) - end) << np.uint64(3)) & np.uint64(63)
            kept = np.where(end == 0, np.uint64(0), (part << shift) >> shift)
            mixed = (result[active] ^ kept) * _MIX
            result[active] = mixed ^ (mixed >> np.uint64(29))
            active = active[end == _WORD]
            if not len(active):
                break
        return result
