"""The 3-D view of the page: its section, its data, and the scripts that draw it.

The view is there only if the report holds `shapes`. It needs nothing but the page: the drawing library (three.js,
MIT licence, beside this module) is copied into it, and the page's policy lets only these very scripts run.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from importlib.resources import files
from typing import Any

from modellint.reports.html_cards import OUTCOMES, Card
from modellint.reports.html_text import words
from modellint.text import clean

Data = Mapping[str, Any]
MOST_IDS = 400  # of one card
NAME, SAID = 120, 400
_STATES = {"joined": "joined", "broken": "broken", "unknown": "cannot tell"}
_KINDS = frozenset({"uplift", "vent"})  # a compression chain ends in the same foundation beside its uplift chain
_TURNS = (("left", "Turn left"), ("right", "Turn right"), ("up", "Tilt up"), ("down", "Tilt down"), ("in", "Nearer"),
          ("out", "Farther"), ("above", "From above"), ("all", "Whole house"))  # fmt: skip
NO_VIEW = (
    "This browser cannot draw the house in 3-D (WebGL is missing or turned off). The lists here still work, and the "
    "plans and elevations above show the same places."
)


def wanted(report: Data) -> bool:
    """Whether the page gets the view."""
    return bool(report.get("shapes"))


def scripts() -> list[str]:
    """The library, then the view, each as it stands in the page."""
    folder = files("modellint.reports")
    return [folder.joinpath(*path).read_text("utf-8")
            for path in (("assets", "three", "three.bundle.min.js"), ("page", "view3d.js"))]  # fmt: skip


def style() -> str:
    """The style sheet of the view."""
    return files("modellint.reports").joinpath("page", "view3d.css").read_text("utf-8")


def write_view(report: Data, cards: Sequence[Card]) -> str:
    """The section's content: stage, buttons, lists, and the data as a block that no browser runs."""
    said = " ".join(_left_out(shape) for shape in report["shapes"]).strip()
    buttons = "".join(f'<button type="button" data-turn="{key}">{text}</button>' for key, text in _TURNS)
    data = json.dumps(_data(report, cards), ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    data = data.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    return (
        f'<p class="alarm" id="v3-none" hidden>{NO_VIEW}</p>'
        "<noscript><p>The 3-D view needs scripts, which are turned off here.</p></noscript>"
        f'{f"<p>{words(said)}</p>" if said else ""}'
        '<div class="v3" id="v3" hidden><div class="v3-stage" id="v3-stage"><canvas id="v3-canvas" tabindex="0" '
        'role="application" aria-label="3-D view of the house" aria-describedby="v3-keys"></canvas>'
        '<div class="v3-tags" id="v3-tags" aria-hidden="true"></div></div><div class="v3-side">'
        f'<div class="v3-turns" role="group" aria-label="Turn the view">{buttons}</div>'
        '<p class="v3-keys" id="v3-keys">Drag to turn, two fingers or the right button to shift. In the view: arrow '
        "keys turn, with Shift they shift, + and - come nearer and go farther, Home shows the whole house.</p>"
        '<label>Finding <select id="v3-card"><option value="">none chosen</option></select></label>'
        '<label>Chain <select id="v3-chain"><option value="">none chosen</option></select></label>'
        '<div id="v3-told" class="v3-told" role="status" aria-live="polite"></div><ol id="v3-steps"></ol>'
        f"{_key()}"
        '<fieldset class="v3-shown" id="v3-shown"><legend>Shown</legend></fieldset>'
        '<label>Parts of one kind <select id="v3-role"></select></label>'
        '<label>Part <select id="v3-part" size="6"></select></label>'
        '<div id="v3-picked" class="v3-told" role="status" aria-live="polite"><p>No part picked: choose one in the '
        "list or press on it in the view.</p></div></div></div>"
        f'<script type="application/json" id="v3-data">{data}</script>'
    )


def _key() -> str:
    rows = (("joined", "joined: filled"), ("unknown", "cannot tell: see-through, dashed edges"),
            ("broken", "broken: striped"), ("named", "named by the finding: thick edges"))  # fmt: skip
    items = "".join(f'<li><span class="v3-swatch {kind}" aria-hidden="true"></span>{text}</li>' for kind, text in rows)
    return f'<ul class="v3-key" aria-label="Key of the 3-D view">{items}</ul>'


def _left_out(shape: Data) -> str:
    of = f" of {shape['name']}" if shape["name"] else ""
    said = []
    if shape["left_out"]:
        said.append(f"{shape['left_out']:,} parts{of} are left out of the view, which shows {len(shape['parts']):,}.")
    if shape["undrawn"]:
        said.append(f"{shape['undrawn']:,} parts{of} have no shape in the model and cannot be shown.")
    return " ".join(said)


def _data(report: Data, cards: Sequence[Card]) -> dict[str, Any]:
    """All the view shows; every text is cleaned here, and the script sets it as text only."""
    groups = list(dict.fromkeys(part["group"] for shape in report["shapes"] for part in shape["parts"]))
    parts = [
        [part["id"], clean(part["name"], NAME), clean(part["role"].replace("_", " "), NAME),
         groups.index(part["group"]), clean(part["storey"], NAME), [_solid(solid) for solid in part["solids"]]]
        for shape in report["shapes"] for part in shape["parts"]
    ]  # fmt: skip
    chains = [path for path in report["paths"] if path["kind"] in _KINDS]
    of_subject = _chains_by_subject(report, chains)
    origin = [value or 0.0 for value in report["model"]["origin"]]
    return {
        "groups": groups,
        "parts": parts,
        "chains": [_chain(path) for path in chains],
        "cards": [_card(card, of_subject, chains, origin) for card in cards],
    }


def _solid(solid: Data) -> list[Any]:
    if "outline" in solid:
        return [0, solid["outline"], solid["sweep"], solid["holes"]]
    if "axis" in solid:
        return [1, solid["axis"], solid["radius"]]
    return [2, solid["vertices"], solid["triangles"]]


def _chain(path: Data) -> dict[str, Any]:
    steps = []
    for slot in path["slots"]:
        named = ", ".join(dict.fromkeys(part["name"] for part in slot["parts"]))
        told = path["kind"] == "uplift" and (slot["state"] != "joined" or not named)  # a vent's slots tell their place
        text = slot["text"] if told else ""
        said = f"{slot['storey']}: {slot['name']}" + (f", {named}" if named else "") + (f" ({text})" if text else "")
        state = slot["state"] if slot["state"] in _STATES else "unknown"
        steps.append([clean(said, SAID), state, [part["global_id"] for part in slot["parts"]]])
    gaps = [f"{link['first']['name']} to {link['second']['name']}: {_STATES.get(link['state'], 'cannot tell')}"
            + (f", {link['text']}" if link["text"] else "")
            for link in path["links"] if link["state"] != "joined"]  # fmt: skip
    name = f"Hold-down chain of {path['name']}" if path["kind"] == "uplift" else path["name"]
    text = clean(path["text"], SAID) if path["verdict"] != "joined" else ""
    return {"name": clean(name, SAID), "verdict": _STATES[path["verdict"]], "text": text, "steps": steps,
            "gaps": [clean(gap, SAID) for gap in gaps]}  # fmt: skip


def _chains_by_subject(report: Data, chains: Sequence[Data]) -> dict[str, int]:
    """Key of a wall end, of any storey, or of a vent to the number of its chain."""
    found = {path["subject_key"]: number for number, path in enumerate(chains)}
    for scene in report.get("drawings") or ():
        for elevation in scene["elevations"]:
            below = {end["key"]: end["below"] for end in elevation["ends"]}
            for chain in elevation["chains"]:
                number, key = found.get(chain["end"]), below.get(chain["end"])
                while number is not None and key and key not in found:
                    found[key] = number
                    key = below.get(key)
    return found


def _card(card: Card, of_subject: Mapping[str, int], chains: Sequence[Data], origin: Sequence[float]) -> dict[str, Any]:
    ids = list(dict.fromkeys(key for f in card.findings for key in f["elements"]))
    chain = next((of_subject[f["subject"]["key"]] for f in card.findings if f["subject"]["key"] in of_subject), None)
    if chain is None:
        chain = _chain_that_holds(card, chains)
    places = [[round(float(f["place"][axis]) - origin[k], 3) for k, axis in enumerate("xyz")]
              for f in card.findings if all(f["place"][axis] is not None for axis in "xyz")]  # fmt: skip
    return {"number": card.number, "link": card.ident, "outcome": card.outcome, "word": OUTCOMES[card.outcome],
            "title": clean(card.first["title"], SAID), "where": clean(card.first["place"]["text"], SAID),
            "ids": ids[:MOST_IDS], "chain": chain, "places": places[:MOST_IDS]}  # fmt: skip


def _chain_that_holds(card: Card, chains: Sequence[Data]) -> int | None:
    """The only chain, if there is one, that the finding's own part stands in."""
    key = card.first["subject"]["key"]
    found = [number for number, path in enumerate(chains)
             if any(part["global_id"] == key for slot in path["slots"] for part in slot["parts"])]  # fmt: skip
    return found[0] if len(found) == 1 else None
