"""A small picture in a few colours and its PNG file (third edition, W3C 2025), the same on every machine.

Compression libraries differ in the bytes they make of the same data, so the stream is made here: each row as
its difference from the one above, and runs of equal bytes (RFC 1950 and 1951, fixed codes).
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Sequence
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from modellint.drawings import dot_letters

Colour = tuple[int, int, int]
_LENGTHS = [
    *range(3, 11),
    *range(11, 19, 2),
    *range(19, 35, 4),
    *range(35, 67, 8),
    *range(67, 131, 16),
    *range(131, 258, 32),
    258,
]
_EXTRA = [0] * 8 + [1] * 4 + [2] * 4 + [3] * 4 + [4] * 4 + [5] * 4 + [0]


class Canvas:
    """Pixels of `width` by `height`, each the number of one of the colours; 0 fills it at first."""

    def __init__(self, width: int, height: int, colours: Sequence[Colour]) -> None:
        if width % 4 or not 4 <= len(colours) <= 256:
            raise ValueError("the width must be a multiple of 4, and there must be 4 to 256 colours")
        self._pixels = np.zeros((height, width), dtype=np.uint8)
        self._colours = tuple(colours)

    def lay(self, pixels: NDArray[np.uint8]) -> None:
        """Put a whole picture of this size in place of what is there."""
        self._pixels[:] = pixels

    def box(self, x: int, y: int, width: int, height: int, colour: int) -> None:
        """A filled rectangle; what lies outside is cut off."""
        self._pixels[max(y, 0) : max(y + height, 0), max(x, 0) : max(x + width, 0)] = colour

    def frame(
        self, x: int, y: int, width: int, height: int, colour: int, *, thick: int = 2, dash: int = 0
    ) -> None:
        """An outline; with `dash`, in strokes of that length."""
        for start, across in ((x, True), (y, False)):
            length = width if across else height
            steps = range(0, length, 2 * dash) if dash else range(1)
            for step in steps:
                stroke = min(dash or length, length - step)
                for side in (0, (height if across else width) - thick):
                    if across:
                        self.box(start + step, y + side, stroke, thick, colour)
                    else:
                        self.box(x + side, start + step, thick, stroke, colour)

    def text(self, x: int, y: int, text: str, colour: int, *, size: int = 2) -> None:
        """One line of letters from its upper left corner; a dot is `size` pixels wide."""
        height, width = self._pixels.shape
        for number, character in enumerate(dot_letters.spelled(text)):
            left = x + number * (dot_letters.WIDTH + 1) * size
            dots = _letter(character, size)
            tall, wide = max(0, min(dots.shape[0], height - y)), max(0, min(dots.shape[1], width - left))
            if left >= 0 and y >= 0:
                self._pixels[y : y + tall, left : left + wide][dots[:tall, :wide]] = colour

    def png(self) -> bytes:
        """The picture as a PNG file with a palette, two bits a pixel for four colours, else eight."""
        height, width = self._pixels.shape
        few = len(self._colours) == 4
        four = self._pixels.reshape(height, width // 4, 4)
        packed = four[:, :, 0] << 6 | four[:, :, 1] << 4 | four[:, :, 2] << 2 | four[:, :, 3]
        rows = packed if few else self._pixels
        above = np.vstack([np.zeros((1, rows.shape[1]), np.uint8), rows[:-1]])
        up = np.full((height, 1), 2, np.uint8)  # filter type 2: difference from the row above
        data = np.hstack([up, rows - above]).astype(np.uint8).tobytes()
        stream = b"\x78\x01" + _deflated(data) + struct.pack(">I", zlib.adler32(data))
        header = struct.pack(">IIBBBBB", width, height, 2 if few else 8, 3, 0, 0, 0)
        palette = bytes(value for colour in self._colours for value in colour)
        chunks = ((b"IHDR", header), (b"PLTE", palette), (b"IDAT", stream), (b"IEND", b""))
        return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(name, body) for name, body in chunks)


@lru_cache(maxsize=512)
def _letter(character: str, size: int) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Where a letter has ink, in pixels."""
    columns = np.frombuffer(dot_letters.columns(character), np.uint8)
    dots = columns[None, :] >> np.arange(dot_letters.HEIGHT, dtype=np.uint8)[:, None] & 1
    return np.repeat(np.repeat(dots, size, axis=0), size, axis=1).astype(bool)


def columns_for(width: int, size: int = 2) -> int:
    """Letters that fit beside each other into so many pixels."""
    return width // ((dot_letters.WIDTH + 1) * size)


def _chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def _deflated(data: bytes) -> bytes:
    """One final block of fixed codes (RFC 1951, 3.2.6); bits are packed from the lowest up."""
    codes, bits = _codes(np.frombuffer(data, np.uint8))
    ends = np.cumsum(bits)
    within = np.arange(ends[-1]) - np.repeat(ends - bits, bits)
    return np.packbits((np.repeat(codes, bits) >> within & 1).astype(np.uint8), bitorder="little").tobytes()


def _codes(row: NDArray[np.uint8]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Codes and their numbers of bits: each run of equal bytes as one of them and a match one byte back."""
    starts = np.flatnonzero(np.concatenate([[True], row[1:] != row[:-1]]))
    runs = np.diff(np.append(starts, len(row)))
    pieces = (runs + 258) // 259  # a byte, and at most 258 more by one match
    value = np.repeat(row[starts], pieces).astype(np.int64)
    place = np.arange(len(value)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    rest = np.minimum(np.repeat(runs, pieces) - 259 * place, 259) - 1
    symbol, bits = _symbols()
    lengths, extra = np.array(_LENGTHS), np.array(_EXTRA)
    index = np.maximum(np.searchsorted(lengths, rest, side="right") - 1, 0)
    match, second, third = rest >= 3, (rest >= 1) & (rest < 3), rest == 2
    none = np.zeros_like(rest)
    own, width, after = symbol[value], bits[value], 257 + index
    # distance 1, the byte before, is code 0 of five bits
    codes = np.column_stack([own, symbol[after], rest - lengths[index], none, own, own])
    wide = np.column_stack([width, match * bits[after], match * extra[index], match * 5, second * width, third * width])
    head, tail = (0b011, 3), (int(symbol[256]), int(bits[256]))  # the last block, fixed codes; the end of the block
    return (np.concatenate([[head[0]], codes.ravel(), [tail[0]]]).astype(np.int64),
            np.concatenate([[head[1]], wide.ravel(), [tail[1]]]).astype(np.int64))  # fmt: skip


@cache
def _symbols() -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Codes and numbers of bits of all literal and length symbols."""
    codes, bits = np.array([_symbol(value) for value in range(286)], np.int64).T
    return codes, bits


def _symbol(value: int) -> tuple[int, int]:
    """A literal or length symbol; its code is written from the highest bit down."""
    if value < 144:
        code, bits = 0x30 + value, 8
    elif value < 256:
        code, bits = 0x190 + value - 144, 9
    elif value < 280:
        code, bits = value - 256, 7
    else:
        code, bits = 0xC0 + value - 280, 8
    return int(f"{code:0{bits}b}"[::-1], 2), bits
