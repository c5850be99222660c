"""The snapshot of a topic: what is the case, where, and the chain with its break, or the numbers."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import wrap
from typing import Any

from modellint.drawings.canvas import Canvas, columns_for
from modellint.reports.addresses import basis_and_limits, sentence
from modellint.reports.bcf_topics import Topic
from modellint.reports.chains import Chains
from modellint.reports.lines import STAGE_WORDS

WIDTH, HEIGHT = 600, 400  # the camera's ratio of width to height
_PAPER, _INK, _ACCENT, _QUIET = range(4)
ACCENTS = {"fail": (0xB5, 0x4A, 0x00), "open": (0x00, 0x5F, 0x9E)}
_MARGIN, _LINE = 14, 20
_ROW, _GAP = 24, 10
_STATES = ("joined", "unknown", "broken")
_WORDS = {"joined": "", "broken": "BROKEN", "unknown": "cannot tell"}

Path = Mapping[str, Any]


def picture(topic: Topic, chains: Chains) -> bytes:
    """The snapshot as a PNG file, the same bytes on every machine."""
    lead = topic.lead
    canvas = Canvas(
        WIDTH, HEIGHT, ((255, 255, 255), (0x1A, 0x1A, 0x1A), ACCENTS[lead["outcome"]], (0x6B, 0x6B, 0x6B))
    )
    put_heading(canvas, topic)
    y = _text(canvas, 46, topic.title(), _INK, most=3)
    y = _text(canvas, y + 4, sentence(lead["place"]["text"]), _QUIET, most=2)
    bottom = _foot(canvas, lead)
    paths = chains.of(lead)
    broken = [path for path in paths if path["verdict"] != "joined"]
    if paths:
        _chain(canvas, y + 10, bottom, (broken or paths)[0])
    else:
        for fact in basis_and_limits(lead)[:3]:
            y = _text(canvas, y + 8, fact, _INK, most=3)
    return canvas.png()


def put_heading(canvas: Canvas, topic: Topic) -> None:
    """The band at the top: outcome and level, and when it is due; colour 2 on 0."""
    lead = topic.lead
    canvas.box(0, 0, WIDTH, 34, _ACCENT)
    canvas.text(_MARGIN, 10, f"{lead['outcome'].upper()} ({lead['level']})", _PAPER)
    when = STAGE_WORDS.get(lead["stage"], "")
    canvas.text(WIDTH - _MARGIN - 12 * len(when), 10, when, _PAPER)


def _foot(canvas: Canvas, lead: Mapping[str, Any]) -> int:
    """Question or next step and who decides, above the last line; gives the height above them."""
    step = f"Question: {lead['question']}" if lead["outcome"] == "open" else f"Next step: {lead['remedy']}"
    lines = wrapped(sentence(step), 3) if lead["question"] or lead["remedy"] else []
    if lead["decides"]:
        lines += wrapped(f"Decides: {sentence(lead['decides'])}", 1)
    top = HEIGHT - 24 - len(lines) * _LINE
    canvas.box(_MARGIN, top - 8, WIDTH - 2 * _MARGIN, 2, _QUIET)
    for number, line in enumerate(lines):
        canvas.text(_MARGIN, top + number * _LINE, line, _INK)
    canvas.text(
        _MARGIN,
        HEIGHT - 14,
        "Advice, not a design. Drawn from the report, not from the model's shapes.",
        _QUIET,
        size=1,
    )
    return top - 14


def wrapped(text: str, most: int) -> list[str]:
    """Lines of letters that fit between the margins."""
    return wrap(text, columns_for(WIDTH - 2 * _MARGIN), max_lines=most, placeholder=" ...")


def _text(canvas: Canvas, y: int, text: str, colour: int, *, most: int) -> int:
    """Wrapped lines; gives the height below them."""
    lines = wrapped(text, most)
    for number, line in enumerate(lines):
        canvas.text(_MARGIN, y + number * _LINE, line, colour)
    return y + len(lines) * _LINE


def _chain(canvas: Canvas, y: int, bottom: int, path: Path) -> None:
    """Slots from top to bottom; what does not fit is counted, but the break is always among what is shown."""
    room = max(1, (bottom - y + _GAP) // (_ROW + _GAP))
    slots = path["slots"]
    worst = next((k for k, slot in enumerate(slots) if slot["state"] != "joined"), 0)
    first = 0 if len(slots) <= room else max(0, min(worst - 1, len(slots) - room + 1))
    shown = slots[first : first + (room if len(slots) <= room else max(1, room - 1))]
    for number, slot in enumerate(shown):
        top = y + number * (_ROW + _GAP)
        if number:
            # A link to what is missing is as missing as a link from it.
            _link(canvas, top - _GAP, max(slot["state"], shown[number - 1]["state"], key=_STATES.index))
        _slot(canvas, top, slot)
    hidden, below = len(slots) - len(shown), y + len(shown) * (_ROW + _GAP)
    if hidden:
        canvas.text(_MARGIN, below, f"and {hidden} more in this chain", _QUIET)
    elif path["text"] and path["verdict"] != "joined":
        lines = max(0, bottom - below) // _LINE
        if lines:
            _text(canvas, below, f"{path['verdict']}: {sentence(path['text'])}", _ACCENT, most=min(lines, 2))


def _slot(canvas: Canvas, top: int, slot: Mapping[str, Any]) -> None:
    state = slot["state"]
    width = WIDTH - 2 * _MARGIN
    names = ", ".join(part["name"] for part in slot["parts"]) or "not drawn"
    word = _WORDS.get(state, "")
    fits = columns_for(width - 16) - (len(word) + 2 if word else 0)
    text = sentence(f"{slot['name']}: {names}", max(fits, 10))
    if state == "broken":
        canvas.box(_MARGIN, top, width, _ROW, _ACCENT)
    else:
        canvas.frame(
            _MARGIN,
            top,
            width,
            _ROW,
            _INK if state == "joined" else _QUIET,
            dash=0 if state == "joined" else 6,
        )
    colour = _PAPER if state == "broken" else _INK
    canvas.text(_MARGIN + 8, top + 5, text, colour)
    canvas.text(WIDTH - _MARGIN - 8 - 12 * len(word), top + 5, word, colour)


def _link(canvas: Canvas, top: int, state: str) -> None:
    """The short line between two slots: whole, or with a piece missing."""
    x = _MARGIN + 40
    if state == "joined":
        canvas.box(x, top, 4, _GAP, _INK)
        return
    colour = _ACCENT if state == "broken" else _QUIET
    canvas.box(x, top, 4, 2, colour)
    canvas.box(x, top + _GAP - 2, 4, 2, colour)
    if state == "broken":
        canvas.box(x - 12, top + _GAP // 2 - 1, 28, 2, colour)
