"""The two fonts of the PDF sheets: DejaVu Sans Condensed, shipped beside this module with its licence.

They are embedded, so that a sheet looks the same everywhere. They hold Latin, Greek and Cyrillic letters and the
signs of the trade; what they lack is printed as a box, and the first sheet says so.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import as_file, files

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN, BOLD = "DejaVuSansCondensed", "DejaVuSansCondensed-Bold"
LACKING = "\u25a1"


@cache
def letters() -> frozenset[int]:
    """Register both fonts; gives the code points that both can show."""
    held = []
    for name in (PLAIN, BOLD):
        with as_file(files("modellint.reports").joinpath("assets", "dejavu", f"{name}.ttf")) as path:
            font = TTFont(name, str(path))
        pdfmetrics.registerFont(font)
        held.append(frozenset(font.face.charToGlyph))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)
    return held[0] & held[1]


def shown(text: str) -> str:
    """The text with a box for each letter that the fonts lack, and for those that need joining or turning.

    Letters of scripts that run from right to left (Hebrew, Arabic and their kin) would come out in wrong order.
    """
    if text.isascii():
        return text
    held = letters()
    return "".join(c if ord(c) in held and not 0x590 <= ord(c) <= 0x8FF and not 0xFB1D <= ord(c) <= 0xFEFC
                   else LACKING for c in text)  # fmt: skip


def lacks(text: str) -> bool:
    """Whether any letter comes out as a box."""
    return not text.isascii() and shown(text) != text
