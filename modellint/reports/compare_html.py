"""The comparison as one HTML page that needs no network and no script: before and now side by side."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Mapping
from hashlib import sha256
from importlib.resources import files
from typing import Any

from modellint.drawings.svg import look
from modellint.reports.compare_html_pairs import write_pairs
from modellint.reports.finding_lines import built, decides, measured, where
from modellint.reports.html_sections import CAUTION
from modellint.reports.html_text import bullets, sign, slug, table, terms, words

Data = Mapping[str, Any]
MOST_CARDS, MOST_LINES, MOST_ENDS = 120, 200, 60
_TITLES = {"new": "New findings", "returned": "Returned findings, seen in an earlier report",
           "cleared": "Cleared findings", "unchanged": "Unchanged findings"}
_OUTCOMES = {"fail": "fails", "open": "cannot tell"}


def render(made: Data) -> str:
    """The whole page.

    Args:
        made: the plain form made by `compare_json.to_dict`; with `drawings` the page has drawings.
    """
    style = _part("page.css") + look() + _part("compare.css")
    digest = b64encode(sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    rows = [(ident, title, body) for ident, title, body in _sections(made) if body]
    names = " and ".join(_named(made[side]) for side in ("before", "after"))
    links = "".join(f'<a href="#{ident}">{words(title)}</a>' for ident, title, _ in rows)
    buildings = ", ".join(row.get("name") or "building not named" for row in made["report"]["model"]["buildings"])
    return (
        '<!doctype html>\n<html lang="en">\n<!-- written by modellint -->\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="referrer" content="no-referrer">\n<title>modellint: {words(names)}</title>\n'
        f'<style>{style}</style>\n</head>\n<body class="compare">\n<a class="skip" href="#changes">To the changes</a>'
        f"<header><h1>{words(buildings) or 'House'}: what changed</h1><p>{words(names)}, compared by modellint "
        f"{words(made['tool']['version'])}{', ' + words(made['today']) if made['today'] else ''}</p>"
        f'<nav aria-label="Page">{links}</nav></header>\n<main>\n'
        + "\n".join(_section(*row) for row in rows)
        + f"\n</main>\n{_foot(made)}\n</body>\n</html>\n"
    )


def _part(name: str) -> str:
    return files("modellint.reports").joinpath("page", name).read_text("utf-8")


def _named(side: Data) -> str:
    named = ", ".join(file["name"] for file in side["files"])
    return f"{named} ({side['name']})" if side["name"] else named


def _section(ident: str, title: str, body: str) -> str:
    return (f'<section id="{ident}" aria-labelledby="{ident}-h"><h2 id="{ident}-h">{words(title)}</h2>{body}</section>')


def _sections(made: Data) -> Iterable[tuple[str, str, str]]:
    """Id, title and content of each section; those without content are left out."""
    by_status: dict[str, list[Data]] = {status: [] for status in _TITLES}
    for row in made["findings"]:
        by_status[row["status"]].append(row)
    by_status["new"].sort(key=lambda row: row["finding"]["outcome"] != "fail")
    yield "summary", "In short", _summary(made)
    yield "changes", "What changed", _changes(made)
    yield "drawings", "Before and now", write_pairs(made)
    for status in ("new", "returned"):
        yield status, _TITLES[status], _cards(by_status[status], made)
    yield "numbers", "Wall ends that are touched: demand and capacity", _numbers(made)
    yield "reasons", "A reason that may be gone", bullets(words(row["text"]) for row in made["reasons_gone"])
    yield "hangs", "Hangs on a change: same stack or same network", bullets(
        words(row["text"]) for row in made["downstream"])
    yield "tell", "Who must be told", _tell(made)
    for status in ("cleared", "unchanged"):
        yield status, _TITLES[status], _short(by_status[status])
    yield "notes", "Notes on the later model", bullets(
        words(f"{note['text']} {note['file']}") for note in made["report"]["input_notes"][:MOST_LINES])


def _summary(made: Data) -> str:
    counts, alarm = made["counts"], ""
    rows = [("fail", counts["new"], "new"), ("fail", counts["returned"], "returned"),
            ("pass", counts["cleared"], "cleared"), ("none", counts["unchanged"], "unchanged")]
    if made["exit"]["reasons"]:
        title = "This comparison is incomplete" if made["exit"]["status"] == 3 else "What counts"
        alarm = f'<div class="alarm"><h3>{title}</h3>{bullets(words(text) for text in made["exit"]["reasons"])}</div>'
    tally = "".join(f"<li>{sign(kind)}<span><b>{number}</b> {word}</span></li>" for kind, number, word in rows
                    if number or word != "returned")
    matching = made["matching"]
    frame = matching["frame"]
    ids = "GlobalIds say which part is which" if matching["ids_kept"] else "GlobalIds were renewed"
    grounds = "; ".join(f"{ground} {number}" for ground, number in matching["grounds"].items())
    facts = terms([
        *((word.capitalize(), words(f"{_named(made[word])}: {made[word]['summary']['fail']} fail, "
                                    f"{made[word]['summary']['open']} open, "
                                    f"{made[word]['summary']['accepted']} accepted")) for word in ("before", "after")),
        ("Place", words(frame["text"] if frame else "The two models cannot be laid on one another.")),
        ("Parts", words(f"{matching['before']} before, {matching['after']} after, {matching['matched']} the same; "
                        f"{ids}: {grounds}")),
    ])
    return f'{alarm}{_built(made)}<ul class="tally">{tally}</ul>{facts}<p>{CAUTION}</p>'


def _built(made: Data) -> str:
    rows = made["built"]
    if not rows:
        return ""
    listed = "".join(f"<li><b>{words(row['state'])}</b> · {words(row['level'])} · {words(row['text'])}</li>"
                     for row in rows[:MOST_LINES])
    return f'<div class="built"><h3>Ordered, framed, poured or covered already</h3><ul>{listed}</ul></div>'


def _changes(made: Data) -> str:
    lines = made["change_lines"]
    if not lines:
        return "<p>No part is another one.</p>"
    listed = "".join(f'<li id="c-{number}"><span class="no">{number}</span><span>{words(line["text"])}</span></li>'
                     for number, line in enumerate(lines[:MOST_LINES], 1))
    left = len(lines) - MOST_LINES
    more = f"<p>… and {left} more lines, all in the JSON form.</p>" if left > 0 else ""
    return f'<ol class="changes">{listed}</ol>{more}'


def _cards(rows: list[Data], made: Data) -> str:
    numbers = {key: number for number, line in enumerate(made["change_lines"], 1) for key in line["changes"]}
    cards = "".join(_card(row, made, numbers) for row in rows[:MOST_CARDS])
    left = len(rows) - MOST_CARDS
    return cards + (f"<p><b>{left} more findings</b> are left out here; the JSON form has all.</p>" if left > 0 else "")


def _card(row: Data, made: Data, numbers: Mapping[str, int]) -> str:
    finding = row["finding"]
    outcome = "accepted" if finding["accepted"] is not None else finding["outcome"]
    ident = f"f-{slug(finding['id'])}"
    limits = [measured(limit) for limit in finding["limits"] if limit["dimension"] not in {"truth", "choice"}]
    bases = dict.fromkeys(limit["basis"]["text"] for limit in finding["limits"] if limit["basis"])
    causes = _causes(row, made, numbers)
    by = finding["accepted"]["by"] if finding["accepted"] is not None else ""
    facts = terms([
        ("Caused by", causes or "no changed part stands in its evidence or near it"),
        ("Where", words(where(finding, made["display"]))),
        ("Before", words(row["was"])),
        ("Measured", "<br>".join(words(text) for text in limits)),
        ("Basis", words("; ".join(bases))),
        ("Question", words(finding["question"] if outcome == "open" else "")),
        ("If left", words(finding["effect"])), ("Next step", words(finding["remedy"])),
        ("Built", words(built(finding))), ("Accepted", words(f"by {by}" if by else "")),
        ("Who decides", f"<b>{words(decides(finding))}</b>"),
        ("Rule", f"<code>{words(finding['rule'])}</code>, finding <code>{words(finding['id'])}</code>"),
    ])
    said = finding["message"] or finding["title"]
    return (f'<article class="card {words(outcome)}" id="{ident}" aria-labelledby="{ident}-h"><header>{sign(outcome)}'
            f'<div><p class="what"><b>{words(_OUTCOMES.get(outcome, outcome))}</b> · {words(finding["level"])} · '
            f'{words(finding["title"])}</p><h3 class="say" id="{ident}-h">{words(said)}</h3></div></header>{facts}'
            "</article>")


def _causes(row: Data, made: Data, numbers: Mapping[str, int]) -> str:
    """Links to the changes behind a finding, each line once."""
    lines = made["change_lines"]
    found: dict[int, bool] = {}
    for cause in row["causes"]:
        found.setdefault(numbers[cause["change"]], cause["near"])
    return "<br>".join(f'<a href="#c-{number}">{number}</a>{" (nearby)" if near else ""} '
                       f'{words(lines[number - 1]["text"])}' if number <= MOST_LINES else
                       words(lines[number - 1]["text"]) for number, near in found.items())


def _numbers(made: Data) -> str:
    ends: dict[str, list[Data]] = {}
    for row in made["numbers"]:
        ends.setdefault(row["name"], []).append(row)
    tables = []
    for name, rows in list(ends.items())[:MOST_ENDS]:
        cells = [(row["measure"], row["before_text"], row["after_text"], "yes" if row["changed"] else "no",
                  row["level"]) for row in rows]
        tables.append(table(name, ("Number", "Before", "Now", "Changed", "Load level"), cells, (1, 2)))
    left = len(ends) - MOST_ENDS
    return "".join(tables) + (f"<p>… and {left} more wall ends, all in the JSON form.</p>" if left > 0 else "")


def _tell(made: Data) -> str:
    return '<div class="tell">' + "".join(
        f"<h3>{words(row['who'].capitalize())}</h3><blockquote>{words(row['text'], 4000)}</blockquote>"
        for row in made["tell"]) + "</div>" if made["tell"] else ""


def _short(rows: list[Data]) -> str:
    if not rows:
        return ""
    fails = [row["finding"] for row in rows if row["finding"]["outcome"] == "fail"]
    opens: dict[str, int] = {}
    for row in rows:
        if row["finding"]["outcome"] != "fail":
            opens[row["finding"]["title"]] = opens.get(row["finding"]["title"], 0) + 1
    listed = [words(finding["message"]) + (f" (accepted by {words(finding['accepted']['by'])})"
                                           if finding["accepted"] is not None else "") for finding in fails]
    listed = listed[:MOST_LINES] + ([f"… and {len(listed) - MOST_LINES} more"] if len(listed) > MOST_LINES else [])
    asked = [words(f"cannot tell: {title} ({count})") for title, count in opens.items()]
    return f"<details><summary>{len(rows)} findings</summary>{bullets([*listed, *asked])}</details>"


def _foot(made: Data) -> str:
    prints = "; ".join(f"{row['name']} sha256 {row['sha256']}" for side in ("before", "after")
                       for row in made[side]["files"])
    return f"<footer><p>{CAUTION}</p><p>{words(prints)}</p></footer>"
