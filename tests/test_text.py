"""Strings from a model before they meet a terminal, HTML, XML, CSV, Markdown or a build server."""

import csv
import html
import io
import unicodedata
from html.parser import HTMLParser
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from modellint import text

HOSTILE = (
    "\x1b[2J\x1b]0;owned\x07",
    "a\nb\r\nc\td",
    "\u202eevil\u202c",
    "zero\u200bwidth\ufeff",
    "half \ud83d pair",
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    '=HYPERLINK("x")',
    "+1",
    "-2+3",
    "@SUM(A1)",
    "%0A::set-output name=x::y",
    "::stop-commands::x",
    "[link](javascript:alert(1))",
    "| cell |",
    "`code`",
    "\x9b31m",
    "\u2028line",
    "x" * 5000,
    "e\u0301" * 300,
    "\ufffe\uffff",
    "\U000e0041tag",
    "",
    "   ",
)
ANY = st.text(alphabet=st.characters(), max_size=400)  # all of Unicode, surrogates included
# Unicode Standard Annex 9 (bidirectional algorithm), table 3 and 2.1-2.6: explicit formatting characters.
BIDI = set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def fit(shown: str) -> bool:
    return not any(unicodedata.category(c) in {"Cc", "Cf", "Cs", "Zl", "Zp"} or c in BIDI for c in shown)


@pytest.mark.parametrize("bad", HOSTILE)
def test_hostile_strings_become_one_visible_line(bad: str) -> None:
    shown = text.clean(bad)
    shown.encode("utf-8")
    assert fit(shown)
    assert len(shown) <= text.LIMIT


@pytest.mark.parametrize(
    ("bad", "shown"),
    [
        ("a\x1b[2Jb", "a\\x1b[2Jb"),
        ("a\nb", "a\\nb"),
        ("\u202eb", "\\u202eb"),
        ("\ud800", "\\ud800"),
        ("e\u0301", "é"),
        ("wall S1 – 2×6", "wall S1 – 2×6"),
        ("木造", "木造"),
        ("a\u00a0b", "a b"),
        ("\U000e0041", "\\U000e0041"),
        ("\U0001fffe", "\\U0001fffe"),
    ],
)
def test_escapes_can_be_read(bad: str, shown: str) -> None:
    assert text.clean(bad) == shown


@given(ANY)
@settings(max_examples=400)
def test_cleaning_is_safe_normal_short_and_done_once(anything: str) -> None:
    shown = text.clean(anything, 80)
    shown.encode("utf-8")
    assert len(shown) <= 80
    assert not any(ord(c) < 0x20 or 0x7F <= ord(c) < 0xA0 or c in BIDI for c in shown)
    assert not any(unicodedata.category(c) in {"Cs", "Zl", "Zp"} for c in shown)
    assert unicodedata.is_normalized("NFC", shown)
    assert text.clean(shown, 80) == shown


def test_a_cut_string_says_so_and_a_limit_below_one_is_refused() -> None:
    assert text.clean("abcdef", 4) == "abc…"
    assert text.clean("abcd", 4) == "abcd"
    with pytest.raises(ValueError, match="at least 1"):
        text.clean("a", 0)


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.data = ""
        self.value = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.value = dict(attrs).get("title") or ""

    def handle_data(self, data: str) -> None:
        self.data += data


@given(ANY | st.sampled_from(HOSTILE))
def test_html_parses_back_to_the_cleaned_text(anything: str) -> None:
    shown = text.for_html(anything)
    parser = _Tags()
    parser.feed(f'<p title="{shown}">{shown}</p>')
    parser.close()
    assert parser.tags == ["p"]
    assert parser.data == parser.value == text.clean(anything)
    assert html.unescape(shown) == text.clean(anything)


@given(ANY | st.sampled_from(HOSTILE))
def test_xml_parses_back_to_the_cleaned_text(anything: str) -> None:
    shown = text.for_xml(anything)
    element = ET.fromstring(f"<p title='{shown}'>{shown}</p>")
    assert (element.text or "") == element.get("title") == text.clean(anything)
    library = ET.Element("p")
    library.text = text.clean(anything)
    assert (ET.fromstring(ET.tostring(library)).text or "") == text.clean(anything)


@given(ANY | st.sampled_from(HOSTILE))
def test_csv_cells_are_never_formulas(anything: str) -> None:
    out = io.StringIO()
    csv.writer(out).writerow([text.for_csv(anything), "next"])
    cell, following = next(csv.reader(io.StringIO(out.getvalue())))
    assert following == "next"
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert cell in (text.clean(anything), "'" + text.clean(anything))


# CommonMark 0.31.2, section 2.4: these ASCII characters may be backslash-escaped and then lose their meaning.
@given(ANY | st.sampled_from(HOSTILE))
def test_markdown_signs_are_all_escaped(anything: str) -> None:
    shown = text.for_markdown(anything).replace("@<!-- -->", "")
    bare = shown.replace("\\\\", "")
    for sign in "`*_[]<>|#~":
        assert bare.count(sign) == bare.count("\\" + sign)
    assert "://" not in shown


def test_markdown_reads_back_where_nothing_is_special() -> None:
    assert text.for_markdown("wall S1, east end") == "wall S1, east end"
    assert text.for_markdown("a|b*c") == "a\\|b\\*c"
    assert text.for_markdown("@team") == "@<!-- -->team"


@given(ANY | st.sampled_from(HOSTILE))
def test_ci_data_has_no_line_break_and_no_bare_percent(anything: str) -> None:
    shown = text.for_ci(anything)
    assert "\n" not in shown
    assert "\r" not in shown
    assert shown.replace("%25", "%") == text.clean(anything)
    prop = text.for_ci(anything, in_property=True)
    assert ":" not in prop
    assert "," not in prop


@given(ANY)
def test_storable_text_can_be_written_and_keeps_the_rest(anything: str) -> None:
    kept = text.storable(anything)
    kept.encode("utf-8")
    if not any("\ud800" <= c <= "\udfff" for c in anything):
        assert kept == anything
