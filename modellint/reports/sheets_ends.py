"""Field sheets of the wall ends: one page per hold-down chain, from its upper post to the foundation."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.drawings.end_column import draw_end_column
from modellint.drawings.plan import short
from modellint.reports.html_text import slug, words
from modellint.reports.sheets_text import TICK, Sheet, grid, said
from modellint.units import show

Data = Mapping[str, Any]
MOST_FAILS = 12  # in full on one sheet
NOT_DRAWN = "not drawn"
NAILS = (
    ("sheathing_thickness", "sheathing"),
    ("nail_diameter", "nail"),
    ("edge_nail_spacing", "edge spacing"),
    ("field_nail_spacing", "field spacing"),
    ("edge_nailing_at_post", "edge spacing at the post"),
)
DOES_NOT_FIT = (
    "If it does not fit: stop there. Tape what is built, write it down under Taped, and ask the engineer of record "
    "before the pour, before framing over it or before it is covered. Do not bend a rod, notch a post, move a device "
    "or drill a new anchor on your own (common practice, no source)."
)


def end_sheets(report: Data) -> list[Sheet]:
    """One page per chain, in the order of the elevations and from the left."""
    found = []
    for number, scene in enumerate(report.get("drawings") or ()):
        for k, elevation in enumerate(scene["elevations"]):
            for c, chain in enumerate(elevation["chains"], 1):
                found.append(_sheet(report, elevation, chain, f"end-{number}-{k}-{c}", c))
    return found


def _stack(elevation: Data, chain: Data) -> list[Data]:
    """The ends of a chain, the uppermost first."""
    by_key = {end["key"]: end for end in elevation["ends"]}
    found, key = [], chain["end"]
    while key in by_key and by_key[key] not in found:
        found.append(by_key[key])
        key = by_key[key]["below"]
    return found


def _sheet(report: Data, elevation: Data, chain: Data, ident: str, number: int) -> Sheet:
    ends = _stack(elevation, chain)
    display = report["display"]
    picture = draw_end_column(elevation, ends, chain, f"{ident}-d", display) if ends else None
    parts = {part["id"]: part for part in elevation["parts"]}
    rows: list[tuple[str, ...]] = []
    for end in ends:
        rows += [
            (words(end["storey"] or "storey"),),
            *_rows(end, ends, elevation, parts, display),
            *_absent(end, chain),
        ]
    table = grid(("Part", "The model shows", "Taped", "Tick at"), rows)
    steps = {step["key"] for step in chain["steps"]}
    keys = {end["key"] for end in ends}
    about = [f for f in report["findings"] if f["subject"]["key"] in keys or (f["item"] and f["item"] in steps)]
    findings = _findings(about)
    verdict = {"unknown": "cannot tell"}.get(chain["verdict"], chain["verdict"])
    broken = next((step["text"] for step in chain["steps"] if step["state"] == chain["verdict"] != "joined"), "")
    note = f"Chain as drawn: <b>{words(verdict)}</b>{': ' + words(broken) if broken else ''}."
    svg = picture.render() if picture is not None else ""
    title = f"{short(elevation['name'])}, chain {number}: {chain['name']}"
    body = (
        f'<div class="two"><div class="pic">{svg}</div><div><p>{note} Distances from the face of the wall end to the '
        f'centre of the part, heights from the bottom of the sole.</p>{table}<p class="warn">{DOES_NOT_FIT}</p>'
        f"{findings}</div></div>"
    )
    return Sheet(slug(ident), title, body)


def _absent(end: Data, chain: Data) -> list[tuple[str, ...]]:
    """Parts of this storey's chain that the model does not draw."""
    return [
        _row(step["slot"], f"NOT DRAWN: {step['text']}", "frame")
        for step in chain["steps"]
        if step["end"] == end["key"] and step["kind"] == "slot" and step["state"] != "joined"
    ]


def _findings(about: list[Data]) -> str:
    """What fails in full; what cannot be told by the rules' titles."""
    fails = [words(said(f)) for f in about if f["outcome"] == "fail"]
    more = [f"… and {len(fails) - MOST_FAILS} more that fail, in the report"] if len(fails) > MOST_FAILS else []
    lines = [*fails[:MOST_FAILS], *more]
    titles = [f["title"] for f in about if f["outcome"] == "open"]
    lines += [words(f"CANNOT TELL: {name}{_times(titles.count(name))}; the report has the question.")
              for name in dict.fromkeys(titles)]  # fmt: skip
    return f"<h2>Findings here</h2><ul>{''.join(f'<li>{line}</li>' for line in lines)}</ul>" if lines else ""


def _times(number: int) -> str:
    return f" ({number} times)" if number > 1 else ""


def _rows(
    end: Data, ends: list[Data], elevation: Data, parts: Mapping[str, Data], display: str
) -> list[tuple[str, ...]]:
    """Post, device, rod, anchor and nailing of one storey."""
    ground = end is ends[-1]
    places = {tie["id"]: abs(tie["at"] - end["at"]) for tie in end["ties"]}
    rows = []
    for slot, name, when in (
        ("posts", "end post", "frame"),
        ("base_ties", "tie at the sole", "frame"),
        ("top_ties", "tie at the top", "frame"),
        ("straps", "strap", "frame"),
        ("bearing_plates", "bearing plate", "frame"),
    ):
        for key in end["parts"].get(slot, ())[:3]:
            if key in parts:
                rows.append(_row(name, _part_words(parts[key], end, places, display), when))
    for key in end["parts"].get("rods", ())[:2]:
        if key in parts:
            name, when = ("rod into the foundation", "pour") if ground else ("rod through the floor", "frame")
            rows.append(_row(name, _rod_words(parts[key], end, places, display), when))
    if not end["parts"].get("base_ties") and not end["parts"].get("straps") and not end["parts"].get("rods"):
        rows.append(_row("tie", NOT_DRAWN, "frame"))
    rows.append(_row("nailing", _nailing(end, elevation, display), "cover"))
    return rows


def _row(name: str, shown: str, when: str) -> tuple[str, ...]:
    return (words(name), words(shown), '<span class="blank"></span>', f"{TICK}{when}")


def _part_words(part: Data, end: Data, places: Mapping[str, float], display: str) -> str:
    low, floor, high, top = part["box"]
    inset = places.get(part["id"], abs((low + high) / 2 - end["at"]))
    far = show(inset, "length", display)
    if part["role"] == "post":
        tall = show(top - floor, "length", display)
        return f"{part['name']}; {show(high - low, 'length', display)} wide, {tall} tall; centre {far} from the end"
    heights = sorted((floor - end["sole"], top - end["sole"]))
    span = " to ".join(show(value, "length", display) for value in heights)
    return f"{part['name']}; centre {far} from the end; {span} above the sole"


def _rod_words(part: Data, end: Data, places: Mapping[str, float], display: str) -> str:
    low, floor, high, top = part["box"]
    inset = show(places.get(part["id"], abs((low + high) / 2 - end["at"])), "length", display)
    below = show(max(end["sole"] - floor, 0.0), "length", display)
    above = show(max(top - end["sole"], 0.0), "length", display)
    length = show(top - floor, "length", display)
    return (
        f"{part['name']}; centre {inset} from the end; {length} long, {below} below and {above} above the sole's bottom"
    )


def _nailing(end: Data, elevation: Data, display: str) -> str:
    storey = next((row for row in elevation["storeys"] if row["storey"] == end["storey"]), None)
    stated = storey["stated"] if storey is not None else {}
    found = [f"{name} {show(stated[key], 'length', display)}" for key, name in NAILS if key in stated]
    return "; ".join(found) or "not stated in the model: see the shear-wall schedule"
