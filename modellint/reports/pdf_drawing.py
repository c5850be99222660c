"""Our own drawings on a PDF page: the shapes, classes and style sheet of `drawings`, nothing else of SVG."""

from __future__ import annotations

import re
from functools import cache
from typing import Any
from xml.etree import ElementTree

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from modellint.drawings.svg import look
from modellint.reports.pdf_fonts import BOLD, PLAIN, shown

Style = dict[str, str]
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


class Picture(Flowable):  # type: ignore[misc]
    """A drawing scaled down into a box; never scaled up beyond `most` points a pixel.

    Args:
        svg: root element of a drawing made by `drawings.svg.Sheet`.
        width, height: the most it may take, points.
    """

    def __init__(self, svg: ElementTree.Element, width: float, height: float, most: float = 0.9) -> None:
        super().__init__()
        self._svg = svg
        self._wide, self._tall = (float(svg.get(key, "1")) for key in ("width", "height"))
        self._scale = min(width / self._wide, height / self._tall, most)
        self.width, self.height = self._wide * self._scale, self._tall * self._scale

    def wrap(self, *_: float) -> tuple[float, float]:
        """Its size, points."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw at the canvas' origin."""
        canvas: Canvas = self.canv
        canvas.saveState()
        canvas.translate(0, self.height)
        canvas.scale(self._scale, -self._scale)  # pixels, y downward
        _draw(canvas, self._svg, (), {})
        canvas.restoreState()


def _draw(canvas: Canvas, element: ElementTree.Element, above: tuple[ElementTree.Element, ...], given: Style) -> None:
    tag = element.tag.rpartition("}")[2]
    if tag in {"title", "desc", "style"}:
        return
    style = {**given, **_own(element), **_of_classes((*above, element))}
    if tag in {"svg", "g", "a"}:
        kept = {key: value for key, value in style.items() if key in {"stroke-width", "font-size", "font-weight"}}
        for child in element:
            _draw(canvas, child, (*above, element), kept)
        return
    if tag == "text":
        _text(canvas, element, style)
        return
    canvas.saveState()
    fill, stroke = _paint(canvas, style)
    _shape(canvas, tag, element, fill, stroke)
    canvas.restoreState()


def _shape(canvas: Canvas, tag: str, element: ElementTree.Element, fill: bool, stroke: bool) -> None:
    def at(name: str) -> float:
        return float(element.get(name, "0"))

    path = canvas.beginPath()
    if tag == "line":
        path.moveTo(at("x1"), at("y1"))
        path.lineTo(at("x2"), at("y2"))
        fill = False
    elif tag == "rect":
        path.rect(at("x"), at("y"), at("width"), at("height"))
    elif tag == "circle":
        path.circle(at("cx"), at("cy"), at("r"))
    elif tag in {"polyline", "polygon"}:
        numbers = [float(text) for text in _NUMBER.findall(element.get("points", ""))]
        for k, point in enumerate(zip(numbers[::2], numbers[1::2], strict=False)):
            (path.lineTo if k else path.moveTo)(*point)
        if tag == "polygon":
            path.close()
    else:
        raise ValueError(f"drawings have no {tag}")
    canvas.drawPath(path, stroke=int(stroke), fill=int(fill))


def _paint(canvas: Canvas, style: Style) -> tuple[bool, bool]:
    """Set colours, width and dashes; gives whether to fill and to stroke."""
    fill, stroke = style.get("fill", "#000"), style.get("stroke", "none")
    if fill != "none":
        canvas.setFillColor(_colour(fill))
    if stroke != "none":
        canvas.setStrokeColor(_colour(stroke))
        canvas.setLineWidth(_size(style.get("stroke-width", "1")))
        dashes = style.get("stroke-dasharray", "none")
        if dashes != "none":
            canvas.setDash([float(text) for text in _NUMBER.findall(dashes)])
        canvas.setLineJoin(1 if style.get("stroke-linejoin") == "round" else 0)
    return fill != "none", stroke != "none"


def _text(canvas: Canvas, element: ElementTree.Element, style: Style) -> None:
    text = shown("".join(element.itertext()))
    font = BOLD if style.get("font-weight", "400") in {"600", "700", "bold"} else PLAIN
    size = _size(style.get("font-size", "11px"))
    x, y, anchor = float(element.get("x", "0")), float(element.get("y", "0")), element.get("text-anchor", "start")
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(1, -1)
    left = -canvas.stringWidth(text, font, size) * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
    if style.get("paint-order") == "stroke":  # a halo, so that lines below do not cross the letters
        canvas.setStrokeColor(_colour(style.get("stroke", "#fff")))
        canvas.setLineWidth(_size(style.get("stroke-width", "3")))
        canvas.setLineJoin(1)
        _write(canvas, text, left, font, size, mode=1)
    canvas.setFillColor(_colour(style.get("fill", "#17222d")))
    _write(canvas, text, left, font, size, mode=0)
    canvas.restoreState()


def _write(canvas: Canvas, text: str, left: float, font: str, size: float, mode: int) -> None:
    line = canvas.beginText(left, 0)
    line.setFont(font, size)
    line.setTextRenderMode(mode)
    line.textOut(text)
    canvas.drawText(line)


def _colour(text: str) -> Any:
    if len(text) == 4:  # #rgb
        text = "#" + "".join(2 * digit for digit in text[1:])
    return HexColor(text)


def _size(text: str) -> float:
    return float(text.removesuffix("px"))


def _own(element: ElementTree.Element) -> Style:
    width = element.get("stroke-width")
    return {"stroke-width": width} if width else {}


def _of_classes(chain: tuple[ElementTree.Element, ...]) -> Style:
    """What the style sheet says of the last element of a chain from the root."""
    return dict(_sheet_says(tuple((row.tag.rpartition("}")[2], row.get("class", "")) for row in chain)))


@cache
def _sheet_says(chain: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    found: dict[str, tuple[tuple[int, int], str]] = {}
    for number, (selector, style) in enumerate(_rules()):
        if _fits(selector, chain):
            weight = (sum(part.count(".") for part in selector), number)
            for key, value in style.items():
                if key not in found or found[key][0] <= weight:
                    found[key] = (weight, value)
    return tuple((key, value) for key, (_, value) in sorted(found.items()))


def _fits(selector: tuple[str, ...], chain: tuple[tuple[str, str], ...]) -> bool:
    def one(part: str, element: tuple[str, str]) -> bool:
        tag, *classes = part.split(".")
        return tag in ("", element[0]) and set(classes) <= set(element[1].split())

    if not one(selector[-1], chain[-1]):
        return False
    wanted = list(selector[:-1])
    for element in reversed(chain[:-1]):
        if wanted and one(wanted[-1], element):
            wanted.pop()
    return not wanted


@cache
def _rules() -> tuple[tuple[tuple[str, ...], Style], ...]:
    """Selectors and declarations of the drawings' style sheet; those for print count, since this is print."""
    text = look().replace("@media print{", "").replace("}}", "}")
    rows = []
    for heads, body in re.findall(r"([^{}]+)\{([^{}]*)\}", text):
        style = dict(part.split(":", 1) for part in body.split(";") if ":" in part)
        rows += [(tuple(head.split()), style) for head in heads.strip().split(",") if ":" not in head]
    return tuple(rows)
