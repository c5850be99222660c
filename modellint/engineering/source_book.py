"""Words and look-up shared by the SOURCES tables of the formula modules.

Each formula module has `SOURCES: dict[str, Source]`, keyed by the name of a public function or constant, or
by `name@edition` where editions differ.
"""

from __future__ import annotations

from collections.abc import Mapping

from modellint.engineering.source import Source

RESTATED = "restatement, printed page not seen"
SECONDARY = "secondary sources only, printed page not seen"

ARITHMETIC = Source("arithmetic")
PRACTICE = Source("practice")


def source_of(sources: Mapping[str, Source], name: str, edition: str = "") -> Source:
    """The source of `name` in a module's SOURCES table, of one edition where editions differ.

    Args:
        sources: the SOURCES table of a module.
        name: function or constant.
        edition: edition word, "" where the module has only one.

    Raises:
        ValueError: no such entry.
    """
    for key in (f"{name}@{edition}", name):
        if key in sources:
            return sources[key]
    raise ValueError(f"No source is recorded for {name} {edition}".rstrip() + ".")
