"""The one place that makes strings from a model fit to print.

A name in a building model is anybody's text: it may hold terminal escapes, markup, spreadsheet formulas,
characters that turn the reading direction, or half a character. Every writer passes what it prints through
one of these functions, once, at the moment of printing; the data itself stays as it was read.
"""

from __future__ import annotations

import html
import re
import unicodedata

LIMIT = 200

# C0 and C1 controls, soft hyphen, bidi controls and marks, zero-width characters, line and paragraph
# separators, fillers that show nothing, interlinear and byte order marks, surrogates, non-characters, tags.
_UNFIT = re.compile(
    "[\x00-\x1f\x7f-\x9f\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u2028-\u202e"
    "\u2060-\u206f\u3164\ufdd0-\ufdef\ufe00-\ufe0f\ufeff\uffa0\ufff0-\ufffb\ufffe\uffff\ud800-\udfff"
    "\U000e0000-\U000e0fff]")
_OBEYED = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]")
_NONCHARACTERS = frozenset(plane << 16 | low for plane in range(1, 17) for low in (0xFFFE, 0xFFFF))
_SHORT = {"\t": "\\t", "\n": "\\n", "\r": "\\r"}
_SURROGATE = re.compile("[\ud800-\udfff]")
_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>()#+\-.!|~$=^])")
_MARKDOWN_INLINE = re.compile(r"([\\`*_\[\]<>|~$^])")
_FORMULA = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20", "'")


def _visible(character: str) -> str:
    """An escape that can be read: `\\x1b`, `\\u202e`, `\\U000e0041`."""
    if character in _SHORT:
        return _SHORT[character]
    code = ord(character)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def escaped_json(text: str) -> str:
    """JSON text with characters that a terminal obeys, or that turn the reading direction, as `\\u` escapes.

    They can only stand in strings there, so that the data stays the same.
    """
    if text.isascii() and "\x7f" not in text:
        return text
    return _OBEYED.sub(lambda match: f"\\u{ord(match[0]):04x}", text)


def storable(text: str) -> str:
    """The text with unpaired surrogates as visible escapes, so that it can be written as UTF-8."""
    return text if text.isascii() else _SURROGATE.sub(lambda match: _visible(match[0]), text)


def clean(text: str, limit: int = LIMIT) -> str:
    """One line of characters that show: controls, turns of direction and the like become visible escapes.

    The result is in Unicode normal form C, has at most `limit` characters (a cut one ends in "…") and
    cleaning it again changes nothing. Spaces at both ends go.

    Raises:
        ValueError: `limit` is less than 1.
    """
    if limit < 1:
        raise ValueError("limit must be at least 1")
    if len(text) > 8 * limit:  # a name of a hundred megabytes is not worth normalising
        text = text[:8 * limit]
    if text.isascii() and text.isprintable():
        shown = text.strip(" ")
        return shown if len(shown) <= limit else shown[:limit - 1].rstrip(" ") + "…"
    shown = _UNFIT.sub(lambda match: _visible(match[0]), text)
    if not shown.isascii():
        shown = "".join(_visible(c) if ord(c) in _NONCHARACTERS else c for c in shown)
        shown = unicodedata.normalize("NFC", shown)
        shown = "".join(" " if c != " " and unicodedata.category(c) == "Zs" else c for c in shown)
    shown = shown.strip(" ")
    return shown if len(shown) <= limit else shown[:limit - 1].rstrip(" ") + "…"


def for_terminal(text: str, limit: int = LIMIT) -> str:
    """Fit for a terminal: no byte below 0x20, no escape sequence, no turn of direction."""
    return clean(text, limit)


def for_html(text: str, limit: int = LIMIT) -> str:
    """Fit for HTML text and quoted attribute values."""
    return html.escape(clean(text, limit), quote=True)


def for_xml(text: str, limit: int = LIMIT) -> str:
    """Fit for XML 1.0 text and quoted attribute values written by hand.

    An XML library escapes markup itself: hand it `clean` text, which holds only characters XML 1.0 allows.
    """
    return html.escape(clean(text, limit), quote=True).replace("&#x27;", "&apos;")


def for_csv(text: str, limit: int = LIMIT) -> str:
    """Fit for a CSV cell that a spreadsheet opens: text that looks like a formula gets a leading apostrophe.

    For text only; a negative number is written as a number. Quoting is left to the csv module.
    """
    shown = clean(text, limit)
    return "'" + shown if shown.startswith(_FORMULA) else shown


def for_markdown(text: str, limit: int = LIMIT) -> str:
    """Fit for a CommonMark paragraph or table cell: every sign of markup is escaped, mentions are broken."""
    shown = clean(text, limit).replace("&", "&amp;")
    return _MARKDOWN.sub(r"\\\1", shown).replace("@", "@<!-- -->").replace("://", ":&#47;&#47;")


def for_markdown_inline(text: str, limit: int = LIMIT) -> str:
    """Fit for CommonMark text that people go on editing: only signs that mean something within a line are escaped.

    Never begin a line with it: a list sign or a heading sign would count there.
    """
    shown = clean(text, limit).replace("&", "&amp;")
    return _MARKDOWN_INLINE.sub(r"\\\1", shown).replace("@", "@<!-- -->").replace("://", ":&#47;&#47;")


def for_ci(text: str, limit: int = LIMIT, *, in_property: bool = False) -> str:
    """Fit for the data of a build server's annotation; `in_property` also escapes `:` and `,`.

    The writer must still never begin a line with it.
    """
    shown = clean(text, limit).replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")
    return shown.replace(":", "%3A").replace(",", "%2C") if in_property else shown
