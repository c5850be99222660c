"""Writes the hostile files: `python -m tests.hostile.generate FOLDER`. Small, and the same every time."""

from __future__ import annotations

import gzip
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

HEAD = """ISO-10303-21;
HEADER;
FILE_DESCRIPTION(('ViewDefinition [CoordinationView]'),'2;1');
FILE_NAME('house.ifc','2026-01-01T00:00:00',(''),(''),'','','');
FILE_SCHEMA(('IFC4'));
ENDSEC;
DATA;
"""
BODY = """#1=IFCCARTESIANPOINT((0.,0.,0.));
#2=IFCAXIS2PLACEMENT3D(#1,$,$);
#3=IFCLOCALPLACEMENT($,#2);
#4=IFCOWNERHISTORY(#5,#6,$,.ADDED.,$,$,$,0);
#5=IFCPERSONANDORGANIZATION(#7,#8,$);
#6=IFCAPPLICATION(#8,'1','It''s a #99 (test','x');
#7=IFCPERSON($,'a',$,$,$,$,$,$);
#8=IFCORGANIZATION($,'b /* no comment */',$,$,$);
#9=IFCWALL('0000000000000000000001',#4,'S1; shear',$,$,#3,$,$,.SHEAR.);
#10=IFCWALL('0000000000000000000002',#4,'S2',$,$,#3,$,$,.SHEAR.);
"""
TAIL = "ENDSEC;\nEND-ISO-10303-21;\n"
WHOLE = HEAD + BODY + TAIL
CYCLE = BODY.replace("#3=IFCLOCALPLACEMENT($,#2);",
                     "#3=IFCLOCALPLACEMENT(#11,#2);\n#11=IFCLOCALPLACEMENT(#3,#2);")


def _zip(*members: tuple[str, str | bytes]) -> Callable[[Path], None]:
    def write(path: Path) -> None:
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, text in members:
                archive.writestr(zipfile.ZipInfo(name), text, zipfile.ZIP_DEFLATED)
    return write


def _symlink(path: Path) -> None:
    with zipfile.ZipFile(path, "w") as archive:
        link = zipfile.ZipInfo("model.ifc")
        link.external_attr = 0o120777 << 16
        archive.writestr(link, "/etc/passwd")


def _encrypted(path: Path) -> None:
    _zip(("model.ifc", WHOLE))(path)
    data = bytearray(path.read_bytes())
    data[6] |= 1  # general purpose flags of the local header and of the directory
    data[data.index(b"PK\x01\x02") + 8] |= 1
    path.write_bytes(data)


def _lying(path: Path) -> None:
    """The directory declares 100 bytes, the stream holds far more."""
    _zip(("model.ifc", WHOLE))(path)
    data = bytearray(path.read_bytes())
    for start in (22, data.index(b"PK\x01\x02") + 24):
        data[start:start + 4] = (100).to_bytes(4, "little")
    path.write_bytes(data)


FILES: dict[str, str | bytes | Callable[[Path], None]] = {
    "whole.ifc": WHOLE,
    "spaced.ifc": WHOLE.replace("#9=IFCWALL", "# 9 = ifcwall ").replace("#10=", "#10\n =\t"),
    "commented.ifc": HEAD + "/* it's #77=IFCWALL( */\n" + BODY.replace("#9=", "#9/* ' */=") + TAIL,
    "carriage_returns.ifc": WHOLE.replace("\n", "\r"),
    "mark_utf8.ifc": "\ufeff" + WHOLE,
    "mark_utf16.ifc": WHOLE.encode("utf-16"),
    "cyclic_placement.ifc": HEAD + CYCLE + TAIL,
    "nan.ifc": WHOLE.replace("(0.,0.,0.)", "(0.,NaN,-inf)"),
    "zipped.ifczip": _zip(("model.ifc", WHOLE)),
    "zipped_as.ifc": _zip(("model.ifc", WHOLE), ("photo.jpg", b"\xff\xd8")),
    "empty.ifc": b"",
    "mark_only.ifc": b"\xef\xbb\xbf",
    "header_only.ifc": HEAD + TAIL,
    "cut_in_header.ifc": HEAD[:100],
    "cut_at_line.ifc": HEAD + BODY[:BODY.index("#6=")],
    "cut_in_record.ifc": HEAD + BODY[:-30],
    "cut_before_end.ifc": HEAD + BODY + "ENDSEC;\n",
    "cut_end_glued.ifc": HEAD + BODY[:-30] + TAIL,
    "cut_middle.ifc": HEAD + BODY[:BODY.index("#4=")] + BODY[BODY.index("#7="):] + TAIL,
    "cut_in_string.ifc": HEAD + BODY[:BODY.index("shear")] + TAIL,
    "end_in_string.ifc": HEAD + "#1=IFCLABEL('ENDSEC;\nEND-ISO-10303-21;\n",
    "open_comment.ifc": HEAD + BODY + "/* " + TAIL,
    "unbalanced.ifc": WHOLE.replace("(0.,0.,0.));", "(0.,0.,0.);"),
    "duplicate_ids.ifc": WHOLE.replace("#10=", "#9="),
    "dangling.ifc": WHOLE.replace("#3=IFCLOCALPLACEMENT($,#2)", "#3=IFCLOCALPLACEMENT($,#222)"),
    "large_id.ifc": WHOLE.replace("#10=", "#9223372036854775808="),
    "windows_nan.ifc": WHOLE.replace("(0.,0.,0.)", "(0.,-1.#IND,0.)"),
    "zero_byte.ifc": WHOLE.replace("'S2'", "'S\0'"),
    "two_models.ifc": WHOLE + WHOLE,
    "deep.ifc": HEAD + "#1=IFCX(" + "(" * 200_000 + ")" * 200_000 + ");\n" + TAIL,
    "lfs.ifc": "version https://git-lfs.github.com/spec/v1\noid sha256:" + "0" * 64 + "\nsize 1234\n",
    "gzipped.ifc": gzip.compress(WHOLE.encode(), mtime=0),
    "xml.ifcxml": '<?xml version="1.0"?><ifcXML/>',
    "json.ifcjson": '{"type": "ifcJSON"}',
    "junk.ifc": bytes(range(256)) * 40,
    "old_schema.ifc": WHOLE.replace("'IFC4'", "'IFC2X2_FINAL'"),
    "two_schemas.ifc": WHOLE.replace("'IFC4'", "'IFC4','IFC2X3'"),
    "no_schema.ifc": WHOLE.replace("FILE_SCHEMA(('IFC4'));\n", ""),
    "schema_in_string.ifc": WHOLE.replace("FILE_SCHEMA(('IFC4'));\n", "").replace(
        "ViewDefinition", "FILE_SCHEMA((''IFC4''))"),
    "bomb.ifczip": _zip(("model.ifc", b" " * 8_000_000)),
    "traversal.ifczip": _zip(("../../escaped.ifc", WHOLE)),
    "absolute.ifczip": _zip(("/tmp/escaped.ifc", WHOLE)),
    "drive.ifczip": _zip(("C:\\escaped.ifc", WHOLE)),
    "two_members.ifczip": _zip(("a.ifc", WHOLE), ("b.ifc", WHOLE)),
    "no_member.ifczip": _zip(("readme.txt", "hello")),
    "nested.ifczip": _zip(("model.ifczip", WHOLE), ("a.ifc", WHOLE)),
    "xml_member.ifczip": _zip(("model.ifcxml", "<ifcXML/>")),
    "symlink.ifczip": _symlink,
    "encrypted.ifczip": _encrypted,
    "lying.ifczip": _lying,
    "broken.ifczip": b"PK\x03\x04" + b"\0" * 100,
    "empty_member.ifczip": _zip(("a.ifc", b"")),
}

# What is said (a fragment) and the exit status that the file alone gives: 0 no note is serious, 3 otherwise.
EXPECTED: dict[str, tuple[str, int]] = {
    "whole.ifc": ("", 0),
    "spaced.ifc": ("", 0),
    "commented.ifc": ("", 0),
    "carriage_returns.ifc": ("", 0),
    "mark_utf8.ifc": ("begins with a UTF-8 byte order mark", 0),
    "mark_utf16.ifc": ("begins with a UTF-16 byte order mark", 0),
    "cyclic_placement.ifc": ("", 0),
    "nan.ifc": ("line 8: a number is written as NaN", 0),
    "zipped.ifczip": ("", 0),
    "zipped_as.ifc": ("1 further file beside the model", 0),
    "empty.ifc": ("is empty (0 bytes)", 3),
    "mark_only.ifc": ("byte order mark and nothing else", 3),
    "header_only.ifc": ("holds no instances", 3),
    "cut_in_header.ifc": ("does not say its schema", 3),
    "cut_at_line.ifc": ("end marker END-ISO-10303-21; is missing", 3),
    "cut_in_record.ifc": ("end marker END-ISO-10303-21; is missing", 3),
    "cut_before_end.ifc": ("end marker END-ISO-10303-21; is missing", 3),
    "cut_end_glued.ifc": ("line 17: parentheses do not match", 3),
    "cut_middle.ifc": ("to records that are not in it: #4 (in line 13)", 3),
    "cut_in_string.ifc": ("a string that begins in or after line 16 never ends", 3),
    "end_in_string.ifc": ("a string that begins in or after line 8 never ends", 3),
    "open_comment.ifc": ("a comment that begins in or after line 18 never ends", 3),
    "unbalanced.ifc": ("line 8: parentheses do not match", 3),
    "duplicate_ids.ifc": ("1 instance number to more than one record: #9 (lines 16, 17)", 3),
    "dangling.ifc": ("#222 (in line 10)", 3),
    "large_id.ifc": ("line 17: an instance number is larger", 3),
    "windows_nan.ifc": ("line 8: a # without an instance number", 3),
    "zero_byte.ifc": ("line 17: the text holds a zero byte", 3),
    "two_models.ifc": ("holds a second model", 3),
    "deep.ifc": ("nests parentheses 200,001 deep", 3),
    "lfs.ifc": ("git lfs pull", 3),
    "gzipped.ifc": ("compressed with gzip", 3),
    "xml.ifcxml": ("is an XML file", 3),
    "json.ifcjson": ("is a JSON file", 3),
    "junk.ifc": ("is not an IFC file", 3),
    "old_schema.ifc": ("is written in schema IFC2X2_FINAL", 3),
    "two_schemas.ifc": ("is written in schema IFC4, IFC2X3", 3),
    "no_schema.ifc": ("does not say its schema", 3),
    "schema_in_string.ifc": ("does not say its schema", 3),
    "bomb.ifczip": ("more than 200 times its size", 3),
    "traversal.ifczip": ("points outside the archive", 3),
    "absolute.ifczip": ("points outside the archive", 3),
    "drive.ifczip": ("points outside the archive", 3),
    "two_members.ifczip": ("holds 2 IFC files", 3),
    "no_member.ifczip": ("without an .ifc file", 3),
    "nested.ifczip": ("holds another archive", 3),
    "xml_member.ifczip": ("in XML or JSON", 3),
    "symlink.ifczip": ("holds a symbolic link", 3),
    "encrypted.ifczip": ("is encrypted", 3),
    "lying.ifczip": ("damaged zip archive", 3),
    "broken.ifczip": ("damaged zip archive", 3),
    "empty_member.ifczip": ("holds an empty IFC file", 3),
}


def write(name: str, folder: Path) -> Path:
    """Write one of FILES and return its path."""
    path, content = folder / name, FILES[name]
    if callable(content):
        content(path)
    else:
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.mkdir(parents=True, exist_ok=True)
    for file in sorted(FILES):
        print(write(file, target))
