"""A model in which every string is an attack on a reader: terminal, browser, spreadsheet, build log."""

from __future__ import annotations

import re

# a formula, a terminal escape, markup, a build-log command on a line of its own, a bell, a link
NASTY = (r"=HYPERLINK(1)\X\1B[2J<script>alert(1)</script>\X\0A::error file=x::owned\X\0D\X\07"
         r"##vso[task.complete]\X\9B31m![x](http://x.example)\X2\202E\X0\ ")
_STRING = re.compile(r"'((?:[^']|'')*)'")
_GUID = re.compile(r"[0-3][0-9A-Za-z_$]{21}")
# words that decide how the file is read; with others it is refused
_KEPT = ("IFCSIUNIT", "IFCCONVERSIONBASEDUNIT", "IFCGEOMETRICREPRESENTATION", "IFCSHAPEREPRESENTATION",
         "IFCPROPERTYSINGLEVALUE")


def in_every_name(text: str) -> str:
    """The attack before every name, so that parts are still recognised by the words behind it."""
    return re.sub(r"(=IFC[A-Z]+\('[0-9A-Za-z_$]{22}',(?:\$|#\d+),')", lambda m: m[0] + NASTY, text)


def in_every_string(text: str) -> str:
    """The attack behind every string of the data section but ids and words of the schema, and in the header."""
    head, data, rest = re.split(r"(\nDATA;\n)", text, maxsplit=1)
    head = re.sub(r"(FILE_NAME\(')", lambda m: m[0] + NASTY, head)

    def attacked(line: str) -> str:
        if line.partition("=")[2].startswith(_KEPT):
            return line
        return _STRING.sub(lambda m: m[0] if _GUID.fullmatch(m[1]) else f"'{m[1]}{NASTY}'", line)

    return head + data + "\n".join(attacked(line) for line in rest.split("\n"))
