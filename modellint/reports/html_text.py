"""Pieces of HTML as text: every word from a report is cleaned and escaped here."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from modellint.text import for_html

SENTENCE = 1200


def words(value: object, limit: int = SENTENCE) -> str:
    """Any value from a report as HTML text; None is empty."""
    return for_html("" if value is None else str(value), limit)


def slug(text: str) -> str:
    """An id made of letters, digits and hyphens."""
    return re.sub(r"[^A-Za-z0-9-]+", "-", text)[:64]


def terms(rows: Iterable[tuple[str, str]]) -> str:
    """A description list of (label, ready HTML); rows without content are left out."""
    return "<dl>" + "".join(f"<dt>{words(name)}</dt><dd>{body}</dd>" for name, body in rows if body) + "</dl>"


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[Any]], numbers: Sequence[int] = ()) -> str:
    """A table of plain values; `numbers` are the columns set to the right."""

    def cell(tag: str, k: int, value: object) -> str:
        more = (' class="n"' if k in numbers else "") + (' scope="col"' if tag == "th" else "")
        return f"<{tag}{more}>{words(value)}</{tag}>"

    head = "".join(cell("th", k, name) for k, name in enumerate(heads))
    body = "".join("<tr>" + "".join(cell("td", k, value) for k, value in enumerate(row)) + "</tr>" for row in rows)
    return (
        f'<div class="scroll" tabindex="0" role="region" aria-label="{words(caption)}"><table>'
        f"<caption>{words(caption)}</caption><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def bullets(items: Iterable[str], kind: str = "") -> str:
    """A list of ready HTML; "" if there are none."""
    rows = "".join(f"<li>{item}</li>" for item in items)
    return f'<ul class="{kind}">{rows}</ul>' if rows else ""


def sign(outcome: str, number: str = "") -> str:
    """The shape of an outcome, as in the drawings; read as nothing, since the word stands beside it."""
    shapes = {
        "fail": '<path class="s" d="M15 2 28 15 15 28 2 15Z"/>',
        "open": '<circle class="s" cx="15" cy="15" r="12"/>',
        "pass": '<path class="s" d="M5 16l7 7L25 7"/>',
        "none": '<path class="s" d="M6 15h18"/>',
    }
    shape = shapes.get(outcome, '<rect class="s" x="4" y="4" width="22" height="22"/>')
    text = f'<text x="15" y="19" text-anchor="middle">{words(number)}</text>' if number else ""
    about = 'viewBox="0 0 30 30" aria-hidden="true" focusable="false"'
    return f'<svg class="sign {outcome}" {about}>{shape}{text}</svg>'
