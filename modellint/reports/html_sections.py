"""Sections of the page around the cards: tally, drawings with their chains, what was looked at, what not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from modellint.drawings.drawing_set import Drawings
from modellint.drawings.elevation import title
from modellint.reports.html_text import bullets, sign, table, terms, words
from modellint.reports.lines import STAGE_WORDS
from modellint.reports.places import storey_names
from modellint.units import show

Data = Mapping[str, Any]
CAUTION = (
    "Advice, not a design. It tells what the model shows; the engineer of record, the local code and "
    "licensed trades decide."
)
SCOPE = "Only what the rules ask was looked at, nothing else about the house."
MOST_NOTES = 100
_STATES = {"joined": "joined", "broken": "broken", "unknown": "cannot tell"}
_RUNGS = ("declared", "scheduled", "inferred", "guessed")


def write_tally(report: Data) -> str:
    """Counts by outcome with word and shape, and why the check is incomplete if it is."""
    count = report["summary"]
    alarm = ""
    if report["exit"]["status"] == 3:
        alarm = (
            '<div class="alarm" role="alert"><h3>This check is incomplete</h3>'
            + bullets(words(reason) for reason in report["exit"]["reasons"])
            + "</div>"
        )
    rows = [
        ("fail", count["fail"], "fail"),
        ("open", count["open"], "cannot tell: not passed"),
        ("pass", count["pass"], "rule answers pass"),
        ("none", count["notApplicable"], "not applicable"),
    ]
    rows += [
        ("accepted", count[key], word)
        for key, word in (("accepted", "accepted by a person"), ("later", "later, not due yet"))
        if count[key]
    ]
    tally = "".join(f"<li>{sign(kind)}<span><b>{number}</b> {word}</span></li>" for kind, number, word in rows)
    return f'{alarm}<ul class="tally">{tally}</ul>{_chains(report["paths"])}<p>{CAUTION}</p>'


def _chains(paths: Iterable[Data]) -> str:
    rows = []
    for kind, name in (
        ("uplift", "hold-down chains"),
        ("compression", "compression chains"),
        ("vent", "soil-gas vents"),
    ):
        verdicts = [path["verdict"] for path in paths if path["kind"] == kind]
        if verdicts:
            states = ", ".join(
                f"{verdicts.count(state)} {word}" for state, word in _STATES.items() if state in verdicts
            )
            one = name if len(verdicts) > 1 else name[:-1]
            rows.append(f"<b>{len(verdicts)} {one}</b>: {states}")
    return bullets(rows)


def write_drawings(report: Data, drawings: Drawings) -> str:
    """All drawings, each with its table of chains."""
    if not drawings.names:
        return "<p>This report was made without drawings.</p>"
    made = [_key()]
    if drawings.left_out:
        made.append(
            f"<p><b>{drawings.left_out} more elevations</b> are left out here; --write svg=FOLDER has them.</p>"
        )
    for ident, name in drawings.names.items():
        data = drawings.data[ident][0]
        more = _chain_table(data, report) if ident.startswith("elevation") else ""
        more = _pipe_table(data, drawings.display) if ident.startswith("riser") else more
        made.append(
            f'<figure><figcaption class="unseen">{words(name)}</figcaption>'
            f'<div class="scroll" tabindex="0" role="region" aria-label="{words(name)}">'
            f"{drawings.sheet(ident).render()}</div>{more}</figure>"
        )
    return "".join(made)


def _key() -> str:
    """What the lines and shapes mean."""

    def drawn(body: str) -> str:
        return f'<svg class="drawing" viewBox="0 0 34 26" aria-hidden="true">{body}</svg>'

    def line(kind: str) -> str:
        return drawn(f'<line class="{kind}" x1="2" y1="13" x2="32" y2="13"/>')

    torn = drawn(
        '<polyline class="broken" points="5,9 11,4 17,9 23,4 29,9"/>'
        '<polyline class="broken" points="5,20 11,15 17,20 23,15 29,20"/>'
    )
    rows = [
        (line("joined"), "chain joined"),
        (line("unknown"), "cannot tell"),
        (torn, "chain broken here"),
        (sign("fail", "1"), "finding that fails"),
        (sign("open", "2"), "finding that cannot be told"),
        (sign("accepted", "3"), "accepted by a person"),
    ]
    return '<ul class="key" aria-label="Key">' + "".join(f"<li>{shape} {text}</li>" for shape, text in rows) + "</ul>"


def _chain_table(elevation: Data, report: Data) -> str:
    """Chains of an elevation: verdict, first break, worst gap, and the forces that are known."""
    ends = {end["key"]: end for end in elevation["ends"]}
    rows = []
    for number, chain in enumerate(elevation["chains"], 1):
        trouble = next((s for state in ("broken", "unknown") for s in chain["steps"] if s["state"] == state), None)
        gaps = [s["gap"] for s in chain["steps"] if s["gap"] is not None]
        widest = show(max(gaps), "length", report["display"]) if gaps else "not known"
        rows.append(
            (
                number,
                chain["name"],
                _STATES[chain["verdict"]],
                trouble["text"] if trouble else "",
                f"{sum(s['state'] == 'joined' for s in chain['steps'])} of {len(chain['steps'])}",
                widest,
                _forces(ends.get(chain["end"], {}), report),
            )
        )
    heads = (
        "Chain",
        "From",
        "Verdict",
        "Where it breaks or is not known",
        "Steps joined",
        "Widest gap",
        "Forces and margins",
    )
    caption = f"Hold-down chains, from the left: {title(elevation)}"
    if not any(row[-1] for row in rows):  # said once
        return table(
            f"{caption}; no force was given or measured at these ends",
            heads[:-1],
            [row[:-1] for row in rows],
            (0,),
        )
    return table(caption, heads, rows, (0,))


def _forces(end: Data, report: Data) -> str:
    """Known forces of an end and the margins of findings about it."""
    display = report["display"]
    said = []
    for name, value in (end.get("forces") or {}).items():
        low, high = (None if value[key] is None else show(value[key], "force", display) for key in ("low", "high"))
        span = low if low == high else f"{low or 'at least 0'} to {high or 'not known'}"
        said.append(f"{name.replace('_', ' ')} {span}{' ' + value['level'] if value['level'] else ''}")
    said += [
        f"{limit['measure'].replace('_', ' ')} {limit['measured']}, {limit['margin']}"
        for f in report["findings"]
        if f["subject"]["key"] == end.get("key")
        for limit in f["limits"]
        if limit["margin"]
    ]
    return "; ".join(said)


def _pipe_table(riser: Data, display: str) -> str:
    from modellint.drawings.riser import fall_words, invert, size_of

    rows = []
    for row in riser["pieces"]:
        if row["kind"] == "pipe" and len(row["line"]) > 1:
            rows.append(
                (
                    row["name"],
                    size_of(row, display),
                    fall_words(row, display),
                    f"{invert(row, 0):.3f} m",
                    f"{invert(row, -1):.3f} m",
                    "on the way to the exit" if row["main"] else "beside it",
                )
            )
    return table(
        f"Pipes of {riser['name']} from the suction point up",
        ("Pipe", "Size", "Fall", "Invert at start", "Invert at end", "Lies"),
        rows,
        (3, 4),
    )


def write_looked_at(report: Data) -> str:
    """Files, storeys, parts by role with how sure each is, and outcomes by rule."""
    files = [
        words(
            f"{row['name']}: {row['schema']}, lengths in {row['length_unit']}, {row['entities']:,} records, "
            f"sha256 {row['sha256'][:16]}…"
        )
        for row in report["model"]["files"]
    ]
    buildings = ", ".join(building.get("name") or "not named" for building in report["model"]["buildings"])
    facts = terms(
        [
            ("Files", bullets(files)),
            ("Building", words(buildings)),
            ("Storeys", words(", ".join(storey_names(report)))),
            ("Day", words(report["today"])),
        ]
    )
    roles = [_role_row(row) for row in report["coverage"]]
    rules = [
        (
            row["group"],
            row["title"],
            STAGE_WORDS.get(row["stage"], row["stage"]),
            row["pass"],
            row["fail"],
            row["open"],
            row["notApplicable"],
        )
        for row in report["rules"]
    ]
    return (
        facts
        + "<details><summary>Parts found, and how sure the model makes us</summary>"
        + table("Parts by role", ("Role", "Found", "By storey", "Drawn at", "What is not drawn"), roles)
        + "</details>"
        + "<details><summary>Rules asked and their answers</summary>"
        + table(
            "Rules",
            ("Group", "Rule", "Cheap", "Pass", "Fail", "Cannot tell", "Not applicable"),
            rules,
            (3, 4, 5, 6),
        )
        + "</details>"
    )


def _role_row(row: Data) -> tuple[str, ...]:
    found = ", ".join(
        f"{row['found'][rung]} {rung}"
        for rung in (*_RUNGS, *(r for r in row["found"] if r not in _RUNGS))
        if row["found"].get(rung)
    )
    storeys = ", ".join(f"{name} {number}" for name, number in row["storeys"].items())
    places = f"{row['drawn']} of {row['places']} places" if row["places"] else ""
    rest = ("counts as absent" if row["complete"] else "cannot be told") if row["places"] else ""
    return row["role"].replace("_", " "), found or "none", storeys, places, rest


def write_not_checked(report: Data) -> str:
    """Rules that met nothing, questions, limits the project changed, notes on the input, estimates."""
    idle = [row for row in report["rules"] if not (row["pass"] or row["fail"] or row["open"])]
    made = [f"<p>{SCOPE}</p>"]
    if idle:
        made.append(
            "<h3>Rules that met nothing to apply to in this model</h3>"
            + bullets(words(f"{row['group']}: {row['title']}") for row in idle)
        )
    absent = [row["role"].replace("_", " ") for row in report["coverage"] if not any(row["found"].values())]
    if absent:
        made.append(f"<h3>Parts of which none was found</h3><p>{words(', '.join(absent))}</p>")
    if report["settings"]:
        made.append(
            "<h3>Limits this project changed</h3>"
            + bullets(
                words(
                    ", ".join(
                        f"{key.replace('_', ' ')} {value}" for key, value in row.items() if value not in (None, "")
                    )
                )
                for row in report["settings"]
            )
        )
    notes = report["input_notes"]
    if notes:
        more = [f"… and {len(notes) - MOST_NOTES} more in the JSON report"] if len(notes) > MOST_NOTES else []
        made.append(
            "<h3>Notes on the input</h3>"
            + bullets(
                [
                    *(words(f"{row['text']} {row['file']} {row['global_id']}") for row in notes[:MOST_NOTES]),
                    *more,
                ]
            )
        )
    if report["estimates"]:
        made.append(
            "<h3>Estimates, not outcomes</h3>"
            + bullets(
                words(
                    f"{row.get('name')}: {row.get('low')} to {row.get('high')} {row.get('unit') or ''}; "
                    f"assumes {', '.join(row.get('assumptions') or ()) or 'nothing'}"
                )
                for row in report["estimates"]
            )
        )
    return "".join(made)
