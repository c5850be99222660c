"""Lines of text for a terminal: wrapping by the width that shows, signs, colour that only repeats them."""

from __future__ import annotations

import unicodedata

from modellint.text import for_terminal

SENTENCE = 1200
NARROWEST = 40
# A length of chain: whole, broken, not seen, accepted as it is, due later.
SIGNS = {"pass": "---", "joined": "---", "fail": "-/-", "broken": "-/-", "open": "-?-", "unknown": "-?-",
         "accepted": "-~-", "later": "-.-", "notApplicable": "   "}
_CODES = {"heading": "1", "fail": "1;35", "broken": "1;35", "open": "1;36", "unknown": "1;36", "quiet": "2"}
STAGE_WORDS = {"permit": "before the permit", "issue": "before the drawings are issued",
               "pour": "before the concrete is poured", "cover": "before it is covered",
               "close": "before the job is closed out"}


def columns(text: str) -> int:
    """Columns that a text takes on a terminal: two for wide East Asian characters, none for combining marks.

    Widths as in Unicode Standard Annex 11.
    """
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(c) else 1 + (unicodedata.east_asian_width(c) in "WF") for c in text)


def paint(text: str, style: str, colour: bool) -> str:
    """The text in a style's colour, or as it is."""
    return f"\x1b[{_CODES[style]}m{text}\x1b[0m" if colour and text and style in _CODES else text


def pad(text: str, width: int) -> str:
    """The text with spaces up to a number of columns."""
    return text + " " * (width - columns(text))


def shown(text: object, limit: int = SENTENCE) -> str:
    """Any value from a report, fit for a terminal."""
    return for_terminal("" if text is None else str(text), limit)


def wrap(text: str, width: int) -> list[str]:
    """Cut a cleaned text into lines of at most `width` columns, between words; a longer word is cut."""
    lines: list[str] = []
    current = ""
    for word in _pieces(text, width):
        longer = f"{current} {word}" if current else word
        if current and columns(longer) > width:
            lines.append(current)
            current = word
        else:
            current = longer
    return [*lines, current] if current else lines or [""]


def _pieces(text: str, width: int) -> list[str]:
    """Words, those wider than a line cut."""
    pieces: list[str] = []
    for word in text.split():
        piece = ""
        for character in word if columns(word) > width else ():
            if columns(piece + character) > width:
                pieces.append(piece)
                piece = ""
            piece += character
        pieces.append(piece or word)
    return pieces


class Lines:
    """A page under construction. Every text given to it is cleaned here, once."""

    def __init__(self, width: int, colour: bool) -> None:
        self.width = max(width, NARROWEST)
        self.colour = colour
        self._lines: list[str] = []

    def blank(self) -> None:
        """One empty line, never two."""
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def heading(self, text: str) -> None:
        """A section's heading, in capitals so that it shows without colour."""
        self.blank()
        for line in wrap(shown(text).upper(), self.width):
            self._lines.append(paint(line, "heading", self.colour))

    def text(self, text: object, indent: int = 2, style: str = "") -> None:
        """A wrapped paragraph."""
        for line in wrap(shown(text), self.width - indent):
            self._lines.append(" " * indent + paint(line, style, self.colour))

    def item(self, label: str, text: object, indent: int = 2, label_width: int = 11, style: str = "") -> None:
        """A label and a paragraph beside it; nothing if the paragraph is empty."""
        body = shown(text)
        if not body:
            return
        head = shown(label)
        label_width = max(label_width, columns(head) + 1)
        if label_width > self.width // 2:  # no room beside it
            self.text(head, indent, style)
            head, label_width = "", 4
        first = True
        for line in wrap(body, self.width - indent - label_width):
            lead = pad(head if first else "", label_width)
            self._lines.append(" " * indent + (paint(lead, style, self.colour) if first else lead) + line)
            first = False

    def signed(self, outcome: str, word: str, text: object, indent: int = 2) -> None:
        """A line that begins with the sign and the word of an outcome."""
        self.item(f"{SIGNS[outcome]} {word}", text, indent, 10, outcome)

    def end(self) -> str:
        """The page, with a newline at its end and no trailing spaces."""
        return "\n".join(line.rstrip(" ") for line in self._lines) + "\n"
