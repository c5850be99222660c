"""Snapshots: read back by the system's own inflate (zlib), an implementation independent of ours."""

from __future__ import annotations

import random
import struct
import zipfile
import zlib
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest

from modellint import pipeline
from modellint.drawings import dot_letters
from modellint.drawings.canvas import Canvas
from modellint.drawings.painter import Painter, View, joined
from modellint.drawings.snapshot_scene import Shapes, paint
from modellint.reports import bcf
from modellint.reports.bcf_picture import HEIGHT, WIDTH, picture
from modellint.reports.bcf_snapshot import Snapshots
from modellint.reports.bcf_topics import topics
from modellint.reports.bcf_view import FIELD_OF_VIEW, camera, points_of
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


# Pictures painted from the shapes of the model


def box(low: tuple[float, ...], high: tuple[float, ...]) -> dict:
    (a, b, c), (d, e, f) = (tuple(round(1000 * value) for value in corner) for corner in (low, high))
    return {"outline": [a, b, c, d, b, c, d, e, c, a, e, c], "holes": [], "sweep": [0, 0, f - c]}


def shape(key: str, role: str, *solids: dict) -> dict:
    return {"id": key, "name": key, "role": role, "group": "Hold-down chains", "storey": "", "solids": list(solids)}


def looking_along_y(width: int = 120, height: int = 80) -> Painter:
    view = View(np.array([0.0, -5.0, 0.0]), np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]), 60.0)
    return Painter(width, height, view)


def test_a_square_has_the_size_that_perspective_gives() -> None:
    # a side of 1 m at 4.5 m, field of view 60 degrees over 80 pixels: 40 / tan(30) / 4.5 pixels (similar triangles)
    painter = looking_along_y()
    (part,) = Shapes([{"parts": [shape("a", "post", box((-0.5, -0.5, -0.5), (0.5, 0.5, 0.5)))]}]).parts
    painter.faces(part.faces)
    rows, columns = np.nonzero(painter.pixels)
    wanted = 40 / np.tan(np.radians(30)) / 4.5
    assert rows.max() - rows.min() + 1 == pytest.approx(wanted, abs=1)
    assert columns.max() - columns.min() + 1 == pytest.approx(wanted, abs=1)
    assert (rows.min() + rows.max() + 1) / 2 == pytest.approx(40, abs=0.5)


@pytest.mark.parametrize("turn", [1, -1])
def test_what_is_nearer_hides_what_is_farther(turn: int) -> None:
    parts = [shape("near", "rod", box((-0.3, -1.2, -0.3), (0.3, -1.0, 0.3))),
             shape("far", "footing", box((-0.6, 1.0, -0.6), (0.6, 1.2, 0.6)))][::turn]  # fmt: skip
    painter = looking_along_y()
    made = Shapes([{"parts": parts}]).parts
    painter.faces(joined([part.faces if part.id == "far" else part.picked for part in made]))
    middle = painter.pixels[40, 60]
    assert 16 <= middle <= 18
    assert len({int(value) for value in np.unique(painter.pixels)} - {0}) == 2


def test_holes_are_open_and_bars_are_round() -> None:
    frame = {"outline": [-500, 0, -500, 500, 0, -500, 500, 0, 500, -500, 0, 500], "sweep": [0, 100, 0],
             "holes": [[-250, 0, -250, 250, 0, -250, 250, 0, 250, -250, 0, 250]]}  # fmt: skip
    painter = looking_along_y()
    painter.faces(Shapes([{"parts": [shape("a", "post", frame)]}]).parts[0].faces)
    assert painter.pixels[40, 60] == 0
    assert painter.pixels[40, 60 + 5] != 0 or painter.pixels[40, 60 + 6] != 0
    bar = looking_along_y()
    bar.faces(Shapes([{"parts": [shape("a", "rod", {"axis": [0, 0, -500, 0, 0, 500], "radius": 100})]}]).parts[0].faces)
    width = (bar.pixels[40] > 0).sum()
    assert width == pytest.approx(0.2 * 40 / np.tan(np.radians(30)) / 5, abs=1.5)


def test_what_lies_behind_the_camera_is_not_drawn() -> None:
    painter = looking_along_y()
    (part,) = Shapes([{"parts": [shape("a", "post", box((-1, -9, -1), (1, -7, 1)))]}]).parts
    painter.faces(part.faces)
    painter.edges(part.edges, 1)
    assert not painter.pixels.any()
    assert painter.place(np.array([0.0, -6.0, 0.0])) is None


def test_degenerate_shapes_are_drawn_or_left_out_but_never_fail() -> None:
    odd = [
        {"axis": [0, 0, 0], "radius": 10}, {"axis": [0, 0, 0, 0, 0, 0], "radius": 10},
        {"outline": [0, 0, 0, 0, 0, 0, 0, 0, 0], "holes": [], "sweep": [0, 0, 0]},
        {"outline": [0, 0, 0, 100, 0, 0, 200, 0, 0], "holes": [[0, 0, 0] * 3], "sweep": [0, 0, 5]},
        {"vertices": [0, 0, 0, 10, 0, 0, 20, 0, 0], "triangles": [0, 1, 2]},
        {"vertices": [0, 0, 0], "triangles": [0, 1, 2]}, {"vertices": [], "triangles": []},
        {"outline": [10**9, 0, 0, -(10**9), 0, 0, 0, 10**9, 0], "holes": [], "sweep": [0, 0, 10**9]},
    ]
    found = Shapes([{"parts": [shape(str(k), "rod", solid) for k, solid in enumerate(odd)]}])
    assert len(found.parts) == 5
    for picked in ([], found.parts):
        paint(looking_along_y(), found.parts, picked, 1, 3)
    assert Shapes([]).near(np.zeros(3), 5.0) == []


@pytest.fixture(scope="module")
def painted() -> dict:
    """Report of a sample house with the shapes of its parts."""
    path = Path(__file__).parents[2] / "sample_models" / "two-storey" / "semantic.ifc"
    return pipeline.check({"models": [str(path)], "shapes": True})


def test_snapshots_are_painted_from_the_shapes_as_the_viewpoint_sees_them(painted: dict) -> None:
    image = pytest.importorskip("PIL.Image")  # an independent reader of PNG files
    data = bcf.render(painted)
    assert data == bcf.render(painted)
    without = bcf.render({key: value for key, value in painted.items() if key != "shapes"})
    with zipfile.ZipFile(BytesIO(data)) as archive, zipfile.ZipFile(BytesIO(without)) as plain_archive:
        names = [name for name in archive.namelist() if name.endswith(".png")]
        assert names
        assert archive.namelist() == plain_archive.namelist()
        colours = []
        for name in names:
            picture_ = image.open(BytesIO(archive.read(name)))
            picture_.verify()
            assert picture_.size == (WIDTH, HEIGHT)
            colours.append(len(image.open(BytesIO(archive.read(name))).convert("RGB").getcolors()))
        assert max(colours) > 6
        view = names[0].replace(".png", ".bcfv")
        assert archive.read(view) == plain_archive.read(view)


def test_the_ring_is_where_the_viewpoint_puts_the_place(painted: dict) -> None:
    """The place of a finding lies in the middle of its picture, as the camera was set to look at it."""
    for topic in topics(painted)[:10]:
        points = points_of(topic.findings)
        seen = camera(points)
        if seen is None or len(points) != 1:
            continue
        origin = np.array(painted["model"]["origin"])
        view = View(np.array(seen.position) - origin, np.array(seen.direction), np.array(seen.up), FIELD_OF_VIEW)
        spot = Painter(WIDTH, HEIGHT, view).place(np.array(points[0]) - origin)
        assert spot == pytest.approx((WIDTH / 2, HEIGHT / 2), abs=0.5)


def test_only_so_many_pictures_are_painted(painted: dict, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("modellint.reports.bcf_snapshot.MOST_PAINTED", 1)
    shots = Snapshots(painted)
    made = [shots.picture(topic, camera(points_of(topic.findings)), points_of(topic.findings))
            for topic in topics(painted) if points_of(topic.findings)]  # fmt: skip
    assert sum(one is not None for one in made) == 1
