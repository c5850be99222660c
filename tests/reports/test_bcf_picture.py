"""Snapshots: read back by the system's own inflate (zlib), an implementation independent of ours."""

from __future__ import annotations

import random
import struct
import zipfile
import zlib
from io import BytesIO

import numpy as np
import pytest

from modellint.drawings import dot_letters
from modellint.drawings.canvas import Canvas
from modellint.reports import bcf
from modellint.reports.bcf_picture import HEIGHT, WIDTH, picture
from modellint.reports.bcf_topics import topics
from modellint.reports.chains import Chains
from tests.reports.plain_reports import ATTACKS, attacked, plain

COLOURS = ((255, 255, 255), (0, 0, 0), (200, 80, 0), (90, 90, 90))


def read(data: bytes) -> tuple[np.ndarray, list[tuple[int, int, int]]]:
    """Pixels and palette of a two-bit PNG whose rows use filter type 2 (PNG, W3C 2025, clauses 5, 9, 11)."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    chunks, at = {}, 8
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        name, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        assert struct.unpack_from(">I", data, at + 8 + length)[0] == zlib.crc32(name + body)
        chunks[name] = body
        at += 12 + length
    assert list(chunks) == [b"IHDR", b"PLTE", b"IDAT", b"IEND"]
    width, height, depth, kind = struct.unpack_from(">IIBB", chunks[b"IHDR"])
    assert (depth, kind) == (2, 3)
    rows = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), np.uint8).reshape(height, 1 + width // 4)
    assert set(rows[:, 0].tolist()) == {2}
    packed = np.cumsum(rows[:, 1:], axis=0, dtype=np.uint8)
    pixels = np.stack([packed >> shift & 3 for shift in (6, 4, 2, 0)], axis=2).reshape(height, width)
    flat = chunks[b"PLTE"]
    return pixels, [tuple(flat[k : k + 3]) for k in range(0, len(flat), 3)]


@pytest.mark.parametrize("seed", range(5))
def test_png_holds_the_pixels_that_were_drawn(seed: int) -> None:
    chance = random.Random(seed)
    canvas, expected = Canvas(64, 40, COLOURS), np.zeros((40, 64), np.uint8)
    for _ in range(60):
        x, y, w, h, colour = (chance.randrange(n) for n in (70, 45, 30, 20, 4))
        canvas.box(x, y, w, h, colour)
        expected[y : y + h, x : x + w] = colour
    pixels, palette = read(canvas.png())
    assert np.array_equal(pixels, expected)
    assert palette == list(COLOURS)


def test_letters_stand_apart_and_unknown_ones_are_questions() -> None:
    shapes = {bytes(dot_letters.columns(chr(code))) for code in range(32, 127)}
    assert len(shapes) == 95
    assert dot_letters.spelled("Zürich 5° – “½” 墙…") == 'Zurich 5° - "1?2" ?...'
    canvas = Canvas(16, 8, COLOURS)
    canvas.text(0, 0, "L", 1, size=1)
    pixels, _ = read(canvas.png())
    assert ["".join(".#"[dot] for dot in row[:5]) for row in pixels[:8]] == [
        "#....",
        "#....",
        "#....",
        "#....",
        "#....",
        "#....",
        "#####",
        ".....",
    ]


def test_every_viewpoint_has_its_snapshot_and_two_runs_agree() -> None:
    for version in ("3.0", "2.1"):
        data = bcf.render(plain(), version=version)
        with zipfile.ZipFile(BytesIO(data)) as archive:
            names = archive.namelist()
            views = [name for name in names if name.endswith(".bcfv")]
            assert views
            for name in views:
                pixels, _ = read(archive.read(name.replace(".bcfv", ".png")))
                assert pixels.shape == (HEIGHT, WIDTH)
                assert len(np.unique(pixels)) == 4
                markup = archive.read(name.rpartition("/")[0] + "/markup.bcf").decode()
                assert f"<Snapshot>{name.rpartition('/')[2].replace('.bcfv', '.png')}</Snapshot>" in markup
        assert data == bcf.render(plain(), version=version)


def test_the_break_is_drawn_even_in_a_long_chain() -> None:
    report = plain()
    slots = report["paths"][0]["slots"]
    whole = [{**slots[0], "state": "joined"}] * 30
    report["paths"][0]["slots"] = [*whole, {**slots[0], "state": "broken"}, *whole]
    lead = topics(report)[0]
    pixels, _ = read(picture(lead, Chains(report)))
    header = 34  # the filled band at the top; below it only a broken slot is filled with the accent
    assert (pixels[header:] == 2).sum() > 5_000
    report["paths"][0]["slots"] = whole
    pixels, _ = read(picture(lead, Chains(report)))
    assert (pixels[header:] == 2).sum() < 5_000


@pytest.mark.parametrize("text", ATTACKS)
def test_any_text_can_be_drawn(text: str) -> None:
    report = attacked(text)
    for topic in topics(report):
        read(picture(topic, Chains(report)))
