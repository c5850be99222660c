"""A request for information about one finding, as a Markdown draft for a person to complete and send."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from modellint.drawings.drawing_set import drawings_of
from modellint.drawings.sketch import draw_sketch
from modellint.errors import UsageProblem
from modellint.reports.finding_lines import where
from modellint.reports.lines import STAGE_WORDS
from modellint.text import for_markdown_inline
from modellint.units import show

Data = Mapping[str, Any]
_SENTENCE = 1200
_MOST_IDS, _MOST_OTHERS, _MOST_FACTS, _SHORTEST = 20, 8, 30, 6
_WORDS = {"truth", "choice"}  # the sentence says these already


@dataclass(frozen=True)
class Tried:
    """What a changed copy of the model gave.

    Attributes:
        text: the change in words.
        outcome: what the finding came to: `gone`, `changed` or `stays`.
        after: the finding as it is then, None if it is gone.
        numbers: `(what, before, after)` of the wall ends that differ.
        new: sentences of findings that come with the change.
    """

    text: str
    outcome: str
    after: Data | None
    numbers: tuple[tuple[str, str, str], ...]
    new: tuple[str, ...]


def find(findings: Sequence[Data], wanted: str) -> Data:
    """The finding with an id, or the only one whose id begins so.

    Raises:
        UsageProblem: there is none or more than one; ids near it are named.
    """
    from difflib import get_close_matches

    ids = sorted({str(row["id"]) for row in findings})
    starts = [key for key in ids if key == wanted or (len(wanted) >= _SHORTEST and key.startswith(wanted))]
    if len(starts) == 1:
        return next(row for row in findings if row["id"] == starts[0])
    if len(starts) > 1:
        raise UsageProblem(f"More than one finding has an id that begins with '{wanted}': {', '.join(starts[:5])}.")
    near = get_close_matches(wanted, ids, n=3, cutoff=0.5) or ids[:3]
    those = f"; ids near it are {', '.join(near)}" if near else "; there are no findings"
    raise UsageProblem(f"There is no finding '{wanted}' in this model{those}. `modellint check` prints them all.")


def sketch_of(report: Data, finding: Data) -> str:
    """The place of a finding as an SVG file: its sketch, else the drawing that shows it; "" if none does."""
    drawings = drawings_of(report, [(1, "", [finding])])
    marks = drawings.of_card.get(1, [])
    for mark in marks:
        sheet = draw_sketch(finding, drawings.scenes, mark, drawings.display)
        if sheet is not None:
            return sheet.render(alone=True)
    return drawings.sheet(marks[0].drawing).render(alone=True) if marks else ""


def render(
    report: Data,
    finding: Data,
    *,
    sketch: str = "",
    changed: Sequence[Data] = (),
    status: str = "",
    tried: Tried | None = None,
) -> str:
    """The draft.

    Args:
        report: the JSON form of a report.
        finding: the one it is about.
        sketch: name of the file that holds the sketch, "" for none.
        changed: rows of a comparison's `numbers` about this place.
        status: of a comparison: `new`, `returned` or `unchanged`.
        tried: a change that was tried on a copy.
    """
    lines = [f"# Request for information (draft): {_words(_place(finding))}", "<!-- written by modellint -->", ""]
    for block in (
        _head(report, finding, status),
        _question(finding),
        _shows(report, finding),
        _numbers(report, finding, changed, tried),
        _sketch(finding, sketch),
        _options(finding, changed, tried),
        _due(report, finding),
        _evidence(finding),
        _answer(finding),
    ):
        lines += [*block, ""]
    lines.append(
        "*Drafted from the model by modellint. It is advice, not a design; the engineer of record, the local "
        "code and licensed trades decide. Read it before you send it.*"
    )
    return "\n".join(lines) + "\n"


def _words(text: object) -> str:
    return for_markdown_inline("" if text is None else str(text), _SENTENCE)


def _place(finding: Data) -> str:
    return str(finding["place"]["text"] or finding["subject"]["name"] or "the house")


def _stage(finding: Data) -> str:
    return STAGE_WORDS.get(finding["stage"], str(finding["stage"]))


def _head(report: Data, finding: Data, status: str) -> Iterator[str]:
    files = "; ".join(
        f"{_words(file['name'])} (SHA-256 begins {file['sha256'][:12]})" for file in report["model"]["files"]
    )
    yield "| | |"
    yield "| --- | --- |"
    yield f"| To | {_words(finding['decides'] or 'engineer of record')} |"
    yield "| From, date | ________________ |"
    yield f"| Answer needed | {_words(_stage(finding))}; by (date): ________ |"
    state = f", {status} since the earlier model" if status else ""
    told = {"fail": "fails", "open": "cannot tell"}.get(finding["outcome"], finding["outcome"])
    yield f"| Finding | `{finding['id']}`: {told} ({_words(finding['level'])}), rule {_words(finding['rule'])}{state} |"
    yield f"| Model | {files} |"
    for reason in report["exit"]["reasons"] if report["exit"]["status"] == 3 else ():
        yield f"| The check is incomplete | {_words(reason)} |"


def _question(finding: Data) -> Iterator[str]:
    yield "## Question"
    yield ""
    if finding["outcome"] == "open" and finding["question"]:
        yield f"**{_words(_capital(finding['question']))}**"
        return
    message = _capital(finding["message"] or finding["title"]).rstrip(".")
    yield f"**{_words(message)}. May it be built as drawn, and if not, what is to be done?**"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _shows(report: Data, finding: Data) -> Iterator[str]:
    yield "## What the model shows"
    yield ""
    yield f"- Where: {_words(where(finding, report['display']))}"
    if finding["outcome"] == "open":
        yield f"- Not told: {_words(finding['message'] or finding['title'])}"
    if finding["conditional"]:
        yield "- It rests on a part that was recognised by two signs; the model does not declare it. Look at it first."
    for fact in finding["missing"]:
        yield f"- Not in the model: {_words(str(fact['quantity']).replace('_', ' '))} of {_words(fact['of'])}"
    if finding["effect"]:
        yield f"- If it stays so: {_words(finding['effect'])}"
    built = finding["extra"].get("built")
    if isinstance(built, Mapping) and built.get("text"):
        yield f"- Progress: {_words(built['text'])}"


def _numbers(report: Data, finding: Data, changed: Sequence[Data], tried: Tried | None) -> Iterator[str]:
    limits = [row for row in finding["limits"] if row["dimension"] not in _WORDS]
    loads, own = _of_end(report, finding)
    if not (limits or loads or own or changed or tried):
        return
    yield "## Numbers"
    yield ""
    if limits:
        yield from _table(
            ("What", "As drawn", "Limit", "Margin", "Basis"),
            [
                (
                    str(row["measure"]).replace("_", " "),
                    row["measured"],
                    f"{row['comparison']} {row['limit']}",
                    row["margin"],
                    row["basis"]["text"] if row["basis"] else "",
                )
                for row in limits
            ],
        )
    display = report["display"]
    if own:
        yield ""
        yield from _table(
            ("At this wall end", "As drawn"),
            [
                (
                    f"{row['name']}, {row['storey']}",
                    f"{_span(row['low'], row['high'], row['dimension'], display)} {row['level']}",
                )
                for row in own
            ],
        )
    if loads:
        yield ""
        yield from _table(
            ("Link of the chain", "Storey", "Pull", "Takes"),
            [
                (row["link"], row["storey"], _force(row["demand"], display), _force(row["capacity"], display))
                for row in loads
            ],
        )
    if changed:
        yield ""
        yield from _table(
            ("Since the earlier model", "Before", "Now"),
            [(row["measure"], row["before_text"], row["after_text"]) for row in changed],
        )
    if tried is not None:
        yield ""
        rows = [row for row in tried.numbers if row[1] != row[2]]
        if tried.after is not None and tried.after["measured"] != finding["measured"]:
            rows.insert(0, ("this finding", finding["measured"], tried.after["measured"]))
        yield from (
            _table(("If changed as tried below", "As drawn", "Then"), rows)
            if rows
            else ("No number of this place differs with the change that was tried.",)
        )


def _of_end(report: Data, finding: Data) -> tuple[list[Data], list[Data]]:
    """Loads and numbers of the wall end that a finding is about, out of the chain that starts there or above."""
    subject = finding["subject"]
    for path in report["paths"]:
        own = path["subject_key"] == subject["key"] or (
            subject["role"] == "wall_end" and _column(path) == _column(subject)
        )
        if path["kind"] == "uplift" and own:
            loads, numbers = (
                [row for row in path.get(key, ()) if row["storey"] == subject["storey"]] for key in ("loads", "numbers")
            )
            return loads, numbers
    return [], []


def _column(named: Data) -> str:
    """The name of a wall end without its storey: equal for ends of one wall that stand on one another."""
    return str(named["name"]).replace(f", {named['storey']}", "", 1)


def _force(bounds: Sequence[float | None], display: str) -> str:
    low, high = bounds
    return _span(low, high, "force", display)


def _span(low: float | None, high: float | None, dimension: str, display: str) -> str:
    if low is None and high is None:
        return "not known"
    if low is not None and low == high:
        return show(low, dimension, display)
    if high is None:
        return f"at least {show(low or 0.0, dimension, display)}"
    return (
        f"at most {show(high, dimension, display)}"
        if not low
        else (f"{show(low, dimension, display)} to {show(high, dimension, display)}")
    )


def _table(header: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[str]:
    yield "| " + " | ".join(header) + " |"
    yield "|" + " --- |" * len(header)
    for row in rows:
        yield "| " + " | ".join(_words(cell) or " " for cell in row) + " |"


def _sketch(finding: Data, sketch: str) -> Iterator[str]:
    yield "## Sketch"
    yield ""
    if sketch:
        yield f"![Sketch of {_words(finding['subject']['name'])}](<{sketch}>)"
    else:
        yield "None: write the draft into a file (`-o`), or this place is in no drawing. Add a photo or a marked sheet."


def _options(finding: Data, changed: Sequence[Data], tried: Tried | None) -> Iterator[str]:
    yield "## Options"
    yield ""
    letters = iter("ABCDEFG")
    yield (
        f"- [ ] **{next(letters)}. Leave as is.** The {_words(finding['decides'] or 'engineer of record')} gives the "
        f"reason; it is noted with `modellint accept` and ends when a part changes."
    )
    if finding["remedy"]:
        yield f"- [ ] **{next(letters)}.** {_words(finding['remedy'])}"
    if finding["outcome"] == "open":
        for fact in finding["missing"][:3]:
            yield f"- [ ] **{next(letters)}. Say what is missing:** {_words(fact['hint'])}"
    if changed:
        yield f"- [ ] **{next(letters)}. Put it back** as it was in the earlier model."
    if tried is not None:
        said = {"gone": "this finding goes", "changed": "this finding changes", "stays": "this finding stays as it is"}
        came = f"; new then: {'; '.join(_words(text.rstrip('.')) for text in tried.new[:3])}" if tried.new else ""
        more = f" and {len(tried.new) - 3} more" if len(tried.new) > 3 else ""
        yield f"- [ ] **{next(letters)}. {_words(tried.text)}:** on a copy, {said[tried.outcome]}{came}{more}."
    yield f"- [ ] **{next(letters)}. Other:** ________________"


def _due(report: Data, finding: Data) -> Iterator[str]:
    yield "## What is due when"
    yield ""
    yield f"- This question: {_words(_stage(finding))}; later, the work has to be opened again."
    same = [
        row
        for row in report["findings"]
        if row["id"] != finding["id"] and row["accepted"] is None and row["subject"]["key"] == finding["subject"]["key"]
    ]
    for row in same[:_MOST_OTHERS]:
        told = "fails" if row["outcome"] == "fail" else "cannot tell"
        yield f"- Also at this place, {_words(_stage(row))}: {_words(row['title'])} ({told}, `{row['id']}`)"
    if len(same) > _MOST_OTHERS:
        yield f"- and {len(same) - _MOST_OTHERS} more findings at this place"


def _evidence(finding: Data) -> Iterator[str]:
    yield "## Evidence"
    yield ""
    for fact in finding["evidence"][:_MOST_FACTS]:
        unit = f" {fact['unit']}" if fact["unit"] not in {"", "1", None} else ""
        value = "" if fact["value"] is None else f": {fact['value']}{unit}"
        at = f", `{fact['global_id']}`" if fact["global_id"] else ""
        line = f", line {fact['line']}" if fact["line"] else ""
        yield f"- {_words(str(fact['what']) + value)} ({_words(fact['rung'])}){at.replace('|', '')}{line}"
    ids = [key.replace("`", "") for key in finding["elements"]]
    more = f" and {len(ids) - _MOST_IDS} more" if len(ids) > _MOST_IDS else ""
    yield f"- Elements (GlobalId): {', '.join(f'`{key}`' for key in ids[:_MOST_IDS]) or 'none'}{more}"


def _answer(finding: Data) -> Iterator[str]:
    yield "## Answer"
    yield ""
    yield "- [ ] Yes, as option ____    - [ ] No, because ________________"
    yield f"- Name ({_words(finding['decides'] or 'engineer of record')}): ________________ Date: ________"
