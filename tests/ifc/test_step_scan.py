"""The numpy scan against a plain tokenizer and against the IFC library."""

from __future__ import annotations

import os
import re
from pathlib import Path

import ifcopenshell
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from modellint.ifc import step_scan
from modellint.ifc.step_scan import scan

# real exporters' models beside the checkout, or where the variable says; the tests skip without them
MODELS = Path(os.environ.get("MODELLINT_REAL_MODELS", Path(__file__).resolve().parents[3] / "shared" / "models"))
TOKEN = re.compile(rb"/\*.*?\*/|'(?:\\S\\.|[^'])*'|#\s*(\d+)(\s*=\s*([A-Za-z0-9_]*))?", re.DOTALL)


def slowly(text: bytes) -> tuple[list[tuple[int, int, str, int]], list[tuple[int, int]]]:
    """`(id, offset, class, line)` of instances and `(owner, reference)`, comments replaced first."""
    blank = re.compile(rb"'(?:\\S\\.|[^'])*'|/\*.*?\*/", re.DOTALL).sub(
        lambda m: m[0] if m[0][:1] == b"'" else re.sub(rb"[^\n\r]", b" ", m[0]), text)
    instances: list[tuple[int, int, str, int]] = []
    uses = []
    line, counted = 1, 0
    for found in TOKEN.finditer(blank):
        if found[2]:
            line += text.count(b"\n", counted, found.start())
            counted = found.start()
            instances.append((int(found[1]), found.start(), found[3].decode().upper(), line))
        elif found[1] and instances:
            uses.append((instances[-1][0], int(found[1])))
    return instances, uses


def agree(text: bytes) -> None:
    index = scan(text)
    instances, uses = slowly(text)
    got = [(int(number), int(offset), index.classes[code], int(line)) for number, offset, code, line in
           zip(index.ids, index.offsets, index.codes, index.lines, strict=True)]
    assert got == instances
    rows = range(index.count)
    assert [(int(index.ids[row]), int(ref)) for row in rows for ref in index.refs_of(row)] == uses
    assert index.problems == ()


BLANK = st.sampled_from(["", "", "", " ", "\n", " \t ", "/* c */", "/* it's #5=IFCX(; */"])
VALUE = st.one_of(
    st.integers(0, 2**31 - 1).map(lambda number: f"#{number}"),
    st.sampled_from(["'a'", "''", "'it''s #3 ;('", "'/* no */'", "'\\S\\'x'", "$", "*", ".T.", "(1.,2.)",
                     "'*/'"]))
RECORD = st.builds(
    lambda number, a, b, c, d, name, values: f"#{a}{number}{b}={c}{name}{d}({','.join(values)});",
    st.integers(0, 2**31 - 1), st.sampled_from(["", " ", "000"]), BLANK, BLANK, st.sampled_from(["", " "]),
    st.sampled_from(["IFCWALL", "ifcWall", "IFCPROPERTYSET", "A", "IFCRELCONNECTSWITHREALIZINGELEMENTS",
                     "IFCSLAB12", "IFCMECHANICALFASTENERTYPE"]),
    st.lists(VALUE, min_size=1, max_size=5))


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(RECORD, BLANK), max_size=30), st.sampled_from([8, 16, 64, 1 << 20]))
def test_agrees_with_the_tokenizer(records: list[tuple[str, str]], chunk: int) -> None:
    text = ("DATA;\n" + "\n".join(record + blank for record, blank in records) + "\nENDSEC;").encode()
    usual = step_scan.CHUNK
    step_scan.CHUNK = chunk  # records, strings and comments cross the borders
    try:
        agree(text)
    finally:
        step_scan.CHUNK = usual


@settings(max_examples=200, deadline=None)
@given(st.text("#0123456789=();'/*\\S NaIF\n", max_size=200))
def test_never_raises(text: str) -> None:
    index = scan(text.encode())
    assert index.count == len(index.lines)
    assert len(index.dangling) >= 0
    assert len(index.duplicates) >= 0


@pytest.mark.skipif(not MODELS.exists(), reason="the shared models are not here")
@pytest.mark.parametrize("file", sorted(MODELS.rglob("*.ifc")))
def test_agrees_on_exported_models(file: Path) -> None:
    text = file.read_bytes().removeprefix(b"\xef\xbb\xbf")
    agree(text)
    index = scan(text)
    model = ifcopenshell.file.from_string(text.decode("utf-8", "replace"))
    assert index.count == len(list(model))
    assert len(index.rows_of_class("IfcPropertySet")) == len(model.by_type("IfcPropertySet"))
    assert (index.duplicates, index.dangling) == ((), ())


def test_names_doubles_and_lost_references_with_lines() -> None:
    index = scan(b"DATA;\n#1=A(#2);\n\n#1=B(#7,#1);\n#2=C();\nENDSEC;")
    assert index.duplicates == ((1, (2, 4)),)
    assert index.dangling == ((7, 1, 4),)
    assert (index.line_of(2), index.line_of(99)) == (5, None)


def test_far_apart_ids_and_numbers_beyond_int64() -> None:
    index = scan(b"#1=A(#2147483647);\n#2147483647=A();\n#99999999999999999999999=A();\n#=A();\n")
    assert index.dangling == ()
    assert [problem.code for problem in index.problems] == ["id-too-large", "stray-hash"]


def test_a_long_text_is_scanned_whole() -> None:
    """14 MB; what it costs in time is measured by `python -m sample_models.speed`, not here."""
    record = b"#%d=IFCCARTESIANPOINT((0.123456789,1.5,%d.));\n#%d=IFCWALL('it''s',#%d,$);\n"
    text = b"".join(record % (2 * i + 1, i, 2 * i + 2, 2 * i + 1) for i in range(185_000))
    index = scan(text)
    assert (index.count, len(index.refs), index.dangling) == (370_000, 185_000, ())
