"""The table of all formats that a check can be printed or written in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from modellint.reports.addresses import Uris


@dataclass(frozen=True)
class Format:
    """One format.

    Attributes:
        module: module below modellint.reports, imported only when the format is asked for.
        function: takes the JSON form of a report; gives text, or bytes.
        binary: not fit for a terminal; only written into a file.
        points: the function takes `uris`, since the format points into the model files.
        description: a few words for `--help` and the docs.
        draws: it shows drawings, so the check must give the report's `drawings`.
        paints: it paints pictures of the parts, so the check must give the report's `shapes`.
    """

    module: str
    function: str
    binary: bool
    points: bool
    description: str
    draws: bool = False
    paints: bool = False


FORMATS: dict[str, Format] = {
    "text": Format("terminal", "render", False, False, "report to read"),
    "json": Format(
        "json_report", "to_json", False, False, "everything, for programs (docs/report.schema.json)"
    ),
    "sarif": Format("sarif", "render", False, True, "SARIF 2.1.0, for code scanning"),
    "junit": Format("junit", "render", False, True, "JUnit XML, one test case per rule"),
    "gitlab": Format("gitlab", "render", False, True, "Code Quality JSON"),
    "annotations": Format("annotations", "render", False, True, "workflow commands for a build log"),
    "markdown": Format("summary_md", "render", False, True, "summary under 40 lines"),
    "html": Format("html", "render", False, False, "one page with drawings, to look at", draws=True),
    "bcf": Format("bcf", "render", True, False, "BCF 3.0, topics for a model viewer", paints=True),
    "bcf2.1": Format("bcf", "render_2_1", True, False, "BCF 2.1, for older viewers", paints=True),
}


def printable() -> tuple[str, ...]:
    """Names of the formats that can be printed."""
    return tuple(name for name, row in FORMATS.items() if not row.binary)


def render(
    name: str,
    report: dict[str, Any],
    *,
    uris: Uris | None = None,
    options: Mapping[str, Any] | None = None,
    three_d: bool = True,
) -> bytes:
    """A report in one format.

    Args:
        name: a key of FORMATS.
        report: the JSON form of a report.
        uris: model file name to path from the repository's root, for formats that point into it.
        options: further arguments of the format's function, e.g. colour and width of the text report.
        three_d: the report's `shapes` are also for formats that do not paint pictures.
    """
    row = FORMATS[name]
    if not three_d and not row.paints and "shapes" in report:
        report = {key: value for key, value in report.items() if key != "shapes"}
    function = getattr(import_module(f"modellint.reports.{row.module}"), row.function)
    given: dict[str, Any] = dict(options or {})
    if row.points:
        given["uris"] = uris
    made = function(report, **given)
    return made if isinstance(made, bytes) else made.encode()
