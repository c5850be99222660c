"""A small writer of SVG 1.1: deterministic, every text escaped, looks given by classes alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from importlib.resources import files

from modellint.text import for_xml

Point = Sequence[float]


def number(value: float) -> str:
    """A coordinate with at most one decimal."""
    text = f"{value:.1f}"
    text = text.removesuffix(".0")
    return "0" if text == "-0" else text


def look() -> str:
    """The style sheet of all drawings."""
    return files("modellint.drawings").joinpath("drawing.css").read_text("utf-8")


class Sheet:
    """One drawing under construction, in pixels, y downward.

    Args:
        ident: XML id of the drawing, of letters, digits and hyphens.
        title, text: what a screen reader says: the drawing's name and what it shows.
    """

    def __init__(self, ident: str, width: float, height: float, title: str, text: str) -> None:
        self.ident, self.title, self.text = ident, title, text
        self.width, self.height = width, height
        self._body: list[str] = []

    def put(self, tag: str, kind: str, **attributes: float | str) -> None:
        """An element without content; numbers are rounded, texts escaped; `x_y` is written `x-y`."""
        self._body.append(f"<{tag}{_class(kind)}{_attributes(attributes)}/>")

    def line(self, kind: str, start: Point, end: Point) -> None:
        """A straight line."""
        self.put("line", kind, x1=start[0], y1=start[1], x2=end[0], y2=end[1])

    def box(self, kind: str, low: Point, high: Point, round_: float = 0.0) -> None:
        """A rectangle between two corners, at least a pixel wide and high."""
        x, y = min(low[0], high[0]), min(low[1], high[1])
        more = {"rx": round_} if round_ else {}
        self.put(
            "rect",
            kind,
            x=x,
            y=y,
            width=max(abs(high[0] - low[0]), 1.0),
            height=max(abs(high[1] - low[1]), 1.0),
            **more,
        )

    def way(self, kind: str, points: Iterable[Point], closed: bool = False) -> None:
        """A polyline or polygon."""
        text = " ".join(f"{number(point[0])},{number(point[1])}" for point in points)
        self._body.append(f'<{"polygon" if closed else "polyline"}{_class(kind)} points="{text}"/>')

    def circle(self, kind: str, centre: Point, radius: float) -> None:
        """A circle."""
        self.put("circle", kind, cx=centre[0], cy=centre[1], r=radius)

    def words(self, kind: str, at: Point, text: str, anchor: str = "start", limit: int = 80) -> None:
        """One line of text."""
        where = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self._body.append(
            f'<text{_class(kind)} x="{number(at[0])}" y="{number(at[1])}"{where}>{for_xml(text, limit)}</text>'
        )

    def open(self, tag: str, kind: str, **attributes: float | str) -> None:
        """Begin a group or link; close it with `close`."""
        self._body.append(f"<{tag}{_class(kind)}{_attributes(attributes)}>")

    def close(self, tag: str) -> None:
        """End a group or link."""
        self._body.append(f"</{tag}>")

    def tip(self, text: str) -> None:
        """Title of the group that was begun last."""
        self._body.append(f"<title>{for_xml(text, 400)}</title>")

    def dimension(self, start: Point, end: Point, text: str, off: float = 0.0) -> None:
        """A level or upright dimension line with ticks and its text; `off` moves it aside from its points."""
        level = abs(end[0] - start[0]) >= abs(end[1] - start[1])
        if level:
            a, b = (start[0], start[1] + off), (end[0], start[1] + off)
            middle, anchor = ((a[0] + b[0]) / 2, a[1] - 4), "middle"
        else:
            a, b = (start[0] + off, start[1]), (start[0] + off, end[1])
            middle, anchor = (a[0] + 6, (a[1] + b[1]) / 2 + 4), "start"
        for point, foot in ((a, start), (b, end)):
            self.line("dim-foot", foot, point)
            self.line("dim", (point[0] - 3, point[1] + 3), (point[0] + 3, point[1] - 3))
        self.line("dim", a, b)
        self.words("dim-text", middle, text, anchor)

    def render(self, alone: bool = False) -> str:
        """The drawing as text: as a file of its own, or as part of a page that brings the style sheet."""
        size = (
            f'viewBox="0 0 {number(self.width)} {number(self.height)}" width="{number(self.width)}" '
            f'height="{number(self.height)}"'
        )
        ident = for_xml(self.ident)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" id="{ident}" {size} '
            f'role="{"img" if alone else "group"}" aria-labelledby="{ident}-t" aria-describedby="{ident}-d">'
            f'<title id="{ident}-t">{for_xml(self.title)}</title>'
            f'<desc id="{ident}-d">{for_xml(self.text, 1000)}</desc>'
        )
        body = "".join(self._body)
        if not alone:
            return f"{head}{body}</svg>"
        return (
            '<?xml version="1.0" encoding="UTF-8"?>\n<!-- written by modellint -->\n'
            f"{head}<style>{look()}</style>{body}</svg>\n"
        )


def _class(kind: str) -> str:
    return f' class="{for_xml(kind)}"' if kind else ""


def _attributes(attributes: dict[str, float | str]) -> str:
    return "".join(
        f' {name.rstrip("_").replace("_", "-")}="{for_xml(value, 400) if isinstance(value, str) else number(value)}"'
        for name, value in attributes.items()
    )
