"""The snapshot of a topic painted from the model's shapes, by the camera of its viewpoint."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from modellint.drawings.canvas import Canvas
from modellint.drawings.painter import Painter, View
from modellint.drawings.snapshot_scene import Shapes, paint
from modellint.reports.addresses import sentence
from modellint.reports.bcf_picture import ACCENTS, HEIGHT, WIDTH, put_heading, wrapped
from modellint.reports.bcf_topics import Topic
from modellint.reports.bcf_view import FIELD_OF_VIEW, Camera, Vector

MOST_PAINTED = 200
"""Topics that get a painted picture, the most urgent; the others have one of words and chains."""
_PAPER, _INK, _ACCENT, _QUIET = range(4)
_FIXED = ((255, 255, 255), (0x1A, 0x1A, 0x1A))
_GREY = (0x8A, 0x8A, 0x8A)
# three shades each: what looks up or down, and upright faces both ways
_SHADES = (
    ((0xF1, 0xE2, 0xC4), (0xE6, 0xD2, 0xAB), (0xD8, 0xC1, 0x95)),  # wood
    ((0xE6, 0xE6, 0xE3), (0xD5, 0xD5, 0xD1), (0xC4, 0xC4, 0xBF)),  # concrete
    ((0x9A, 0xA6, 0xB2), (0x7E, 0x8B, 0x99), (0x66, 0x73, 0x82)),  # steel
    ((0xD3, 0xE3, 0xEE), (0xBA, 0xD0, 0xDF), (0xA1, 0xBC, 0xCE)),  # pipes
)
_REACH = 1.6  # metres round the places of a topic
_MOST_RINGS = 24
_LINE, _MARGIN = 20, 14


class Snapshots:
    """Paints the topics of one report; gives None for what cannot be painted."""

    def __init__(self, report: Mapping[str, Any]) -> None:
        shapes = report.get("shapes") or ()
        self._shapes = Shapes(shapes) if shapes else None
        self._origin = np.array([value or 0.0 for value in report["model"]["origin"]], float)
        self._left = MOST_PAINTED

    def picture(self, topic: Topic, camera: Camera, points: Sequence[Vector]) -> bytes | None:
        """A PNG file, or None without shapes, beyond MOST_PAINTED, or where nothing is drawn near the place."""
        if self._shapes is None or not self._shapes.parts or not topic.findings or self._left <= 0:
            return None
        places = np.array(points, float).reshape(-1, 3) - self._origin
        picked = self._shapes.of(topic.components())
        if not len(places) and not picked:
            return None
        middle, reach = (
            _round(places) if len(places) else _round(np.array([part.box for part in picked]).reshape(-1, 3))
        )
        near = self._shapes.near(middle, reach + _REACH)
        if not near and not picked:
            return None
        self._left -= 1
        view = View(
            np.array(camera.position) - self._origin, np.array(camera.direction), np.array(camera.up), FIELD_OF_VIEW
        )
        painter = Painter(WIDTH, HEIGHT, view)
        paint(painter, near, picked, _INK, _QUIET)
        for place in places[:_MOST_RINGS]:
            spot = painter.place(place)
            if spot is not None:
                painter.ring(spot, 16.0, _ACCENT)
        return _finished(topic, painter)


def _round(points: np.ndarray[Any, np.dtype[np.float64]]) -> tuple[np.ndarray[Any, np.dtype[np.float64]], float]:
    """Middle of some points and the radius round it that holds them."""
    low, high = points.min(axis=0), points.max(axis=0)
    return (low + high) / 2, float(np.linalg.norm(high - low)) / 2


def _finished(topic: Topic, painter: Painter) -> bytes:
    """The painting with its heading and what is the case, as a PNG file."""
    lead = topic.lead
    accent = ACCENTS[lead["outcome"]]
    picked = tuple(tuple(round(255 - (255 - value) * share) for value in accent) for share in (0.55, 0.75, 1.0))
    colours = [*_FIXED, accent, _GREY, *(shade for row in _SHADES for shade in row), *picked]
    canvas = Canvas(WIDTH, HEIGHT, colours)  # type: ignore[arg-type]
    canvas.lay(painter.pixels)
    put_heading(canvas, topic)
    lines = [*wrapped(topic.title(), 2), *wrapped(sentence(lead["place"]["text"]), 1)]
    top = HEIGHT - 18 - len(lines) * _LINE
    canvas.box(0, top - 8, WIDTH, HEIGHT - top + 8, _PAPER)
    canvas.box(0, top - 8, WIDTH, 2, _QUIET)
    for number, line in enumerate(lines):
        canvas.text(_MARGIN, top + number * _LINE, line, _INK)
    canvas.text(
        _MARGIN,
        HEIGHT - 12,
        "Painted from the model's shapes; walls and floors as outlines. Advice, not a design.",
        _INK,
        size=1,
    )
    return canvas.png()
