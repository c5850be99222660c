"""Field sheets of anchors, the riser, the checklists before the pour and before covering, and the hand-over page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.drawings.anchor_strip import anchors_of, draw_anchor_strip
from modellint.drawings.plan import short
from modellint.drawings.riser import draw_riser, fall_words, invert, size_of
from modellint.reports.html_text import words
from modellint.reports.sheets_text import MOST_LINES, TICK, Sheet, capped_ticks, grid, of_stage, ticks
from modellint.units import show

Data = Mapping[str, Any]
BLANK = '<span class="blank"></span>'


def anchor_sheets(report: Data) -> list[Sheet]:
    """Anchor layout of each wall line on the foundation, with running distances from its end."""
    display, found = report["display"], []
    for number, scene in enumerate(report.get("drawings") or ()):
        for k, elevation in enumerate(scene["elevations"]):
            anchors = anchors_of(elevation)
            if not anchors:
                continue
            ident = f"anchors-{number}-{k}"
            strip = draw_anchor_strip(elevation, anchors, f"{ident}-d", display)
            last = 0.0
            rows = []
            for n, row in enumerate(anchors, 1):
                step, last = row["at"] - last, row["at"]
                rows.append((str(n), words(row["kind"]), words(row["name"]), words(show(row["at"], "length", display)),
                             words(show(step, "length", display)), BLANK, TICK))  # fmt: skip
            side = f"the {elevation['compass'][0]} end" if elevation["compass"][0] else "the start"
            body = (
                f'<div class="wide">{strip.render()}</div><p>Running distances from {words(side)} of the line; round: '
                "sill bolt, square: hold-down rod. Tape from one point, do not add up steps.</p>"
                + grid(("No.", "Kind", "Part", "From the end", "From the one before", "Taped", "Set"), rows)
            )
            found.append(Sheet(ident, f"Anchor layout of {short(elevation['name'])}", body, len(rows) > 24))
    return found


def riser_sheets(report: Data) -> list[Sheet]:
    """Each soil-gas vent: its diagram, its pipes and what to look at before it is covered."""
    display, found = report["display"], []
    for number, scene in enumerate(report.get("drawings") or ()):
        for k, riser in enumerate(scene["risers"]):
            ident = f"riser-{number}-{k}"
            rows = [
                (words(row["name"]), words(size_of(row, display)), words(fall_words(row, display)),
                 f"{invert(row, 0):.3f} m", f"{invert(row, -1):.3f} m", BLANK, TICK)
                for row in riser["pieces"] if row["kind"] == "pipe" and len(row["line"]) > 1
            ]  # fmt: skip
            pools = [
                f"Water stands {show(pool['depth'], 'length', display)} deep here as drawn: raise or re-hang the pipe"
                for pool in riser["pools"]
            ]
            breaks = [f"Joint drawn apart ({_gap(row, display)}): close it" for row in riser["breaks"]]
            body = (
                f'<div class="wide">{draw_riser(riser, f"{ident}-d", (), display).render()}</div>'
                + grid(("Pipe", "Size", "Fall", "Invert below", "Invert above", "Level read", "Seen"), rows)
                + ticks([*breaks, *pools, *VENT_LOOKS])
            )
            found.append(Sheet(ident, riser["name"], body, True))
    return found


VENT_LOOKS = (
    "Every joint closed, from the suction point to the exit",
    "Every length falls back to the suction point; no low point holds water",
    "Label on each storey where the vent can be seen",
    "Exit clear of windows and doors as the report asks",
)


def _gap(row: Data, display: str) -> str:
    return "gap not known" if row["gap"] is None else f"gap {show(row['gap'], 'length', display)}"


def checklists(report: Data) -> list[Sheet]:
    """What to look at before the pour and before covering, with the findings that are cheap until then."""
    scenes = report.get("drawings") or ()
    pour, cover = [], []
    for scene in scenes:
        for elevation in scene["elevations"]:
            anchors = anchors_of(elevation)
            bolts = sum(row["kind"] == "sill bolt" for row in anchors)
            name = short(elevation["name"])
            if anchors:
                pour.append(f"{name}: {bolts} sill bolts and {len(anchors) - bolts} hold-down rods set as on its "
                            "anchor sheet, plumb and tied")  # fmt: skip
            cover.append(f"{name}: {len(elevation['chains'])} hold-down chains whole as on their sheets, nuts tight, "
                         "nailing as scheduled")  # fmt: skip
        for riser in scene["risers"]:
            pour.append(f"{riser['name']}: collector in the gravel, suction point upright and capped, sleeve sealed to "
                        "the membrane")  # fmt: skip
            cover.append(f"{riser['name']}: joints closed, falls read, labels on, pipe clear of posts and ties")
    return [
        _checklist(report, "pre-pour", "Before the concrete is poured", pour, ("permit", "issue", "pour")),
        _checklist(report, "pre-cover", "Before it is covered", cover, ("cover",)),
    ]


def _checklist(report: Data, ident: str, title: str, looks: list[str], stages: tuple[str, ...]) -> Sheet:
    findings = of_stage(report, *stages)
    body = (
        "<p>The list names what the model shows; what is not in the model is not in the list.</p>"
        f"<h2>Look at</h2>{capped_ticks(looks, 'Nothing drawn.')}"
        f"<h2>Findings that are cheap until here</h2>{capped_ticks(findings, 'None.')}"
        '<div class="sign"><span>Looked at by</span><span>Date</span><span>Decided by</span></div>'
    )
    return Sheet(ident, title, body, len(looks) + len(findings) > 30)


def hand_over(report: Data) -> Sheet:
    """What to hand over: counts, what stayed open, what a person accepted, papers and signatures."""
    count = report["summary"]
    accepted = [f for f in report["findings"] if f["accepted"] is not None]
    kept = "".join(
        f"<li>{words(f['message'])} Accepted: {words(f['accepted'].get('reason') or 'no reason given')}"
        f"{', by ' + words(f['accepted']['by']) if f['accepted'].get('by') else ''}</li>" for f in accepted[:MOST_LINES]
    )  # fmt: skip
    if len(accepted) > MOST_LINES:
        kept += f"<li>… and {len(accepted) - MOST_LINES} more in the report</li>"
    papers = (
        "This set, with taped distances filled in",
        "The report it was made from, and the model with the fingerprint below",
        "Answers of the engineer of record to every question that stayed open",
        "Test record of the soil-gas vent, if one was asked for",
        "Where the vent runs and what its labels say, told to the owner",
    )
    body = (
        f"<p>At this issue {count['fail']} findings fail and {count['open']} rules cannot be told; what cannot be "
        "told has not passed.</p><h2>Cheap until the job is closed</h2>"
        f"{capped_ticks(of_stage(report, 'close'), 'None.')}"
        f"<h2>Accepted by a person</h2>{f'<ul>{kept}</ul>' if kept else '<p>Nothing.</p>'}"
        f"<h2>Papers</h2>{ticks(papers)}"
        '<div class="sign"><span>Superintendent</span><span>Engineer of record</span><span>Building official</span>'
        "<span>Soil-gas professional</span><span>Owner</span><span>Date</span></div>"
    )
    return Sheet("hand-over", "Hand-over", body, True)
