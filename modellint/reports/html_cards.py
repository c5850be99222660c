"""Finding cards: sentence, numbers, evidence, next step, who decides, sketch, and the way to the drawings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from modellint.drawings.drawing_set import Drawings
from modellint.drawings.sketch import draw_sketch
from modellint.reports.finding_lines import answered, built, lacking, where
from modellint.reports.html_text import bullets, sign, slug, table, terms, words
from modellint.reports.lines import STAGE_WORDS
from modellint.reports.places import by_place, shared

Data = Mapping[str, Any]
MOST_CARDS = 600
MOST_PLACES = 60
MOST_SKETCHES = 120
MOST_IDS = 12
OUTCOMES = {"fail": "fails", "open": "cannot tell", "accepted": "accepted by a person"}


@dataclass(frozen=True)
class Card:
    """One card: a finding, or several that one missing fact causes."""

    number: int
    findings: tuple[Data, ...]

    @property
    def first(self) -> Data:
        """The finding whose words the card uses."""
        return self.findings[0]

    @property
    def ident(self) -> str:
        """XML id."""
        return f"f-{slug(self.first['id'])}"

    @property
    def outcome(self) -> str:
        """`fail`, `open` or `accepted`."""
        return "accepted" if self.first["accepted"] is not None else str(self.first["outcome"])


def cards_of(report: Data) -> tuple[list[Card], int]:
    """Cards in the order of a walk, fails before opens before accepted; and the number of those left out."""
    rows: list[tuple[Data, ...]] = []
    standing = [f for f in report["findings"] if f["accepted"] is None]
    for outcome in ("fail", "open"):
        together, alone = shared([f for f in standing if f["outcome"] == outcome])
        rows += [tuple(group) for group in together]
        rows += [(f,) for _, hosts in by_place(report, alone) for _, members in hosts for f in members]
    rows += [(f,) for f in report["findings"] if f["accepted"] is not None]
    left = sum(len(row) for row in rows[MOST_CARDS:])
    return [Card(number, row) for number, row in enumerate(rows[:MOST_CARDS], 1)], left


def storeys_of(card: Card) -> list[str]:
    """Storeys a card concerns."""
    return list(dict.fromkeys(f["place"]["storey"] or f["subject"]["storey"] or "Whole house" for f in card.findings))


def write_card(card: Card, drawings: Drawings, in_3d: bool = False) -> str:
    """One card as HTML; `in_3d`: the page has a 3-D view to link to."""
    first, outcome = card.first, card.outcome
    storeys = "|".join(name.replace("|", "/") for name in storeys_of(card))
    level = first["level"] if outcome == "fail" else ""
    kind = " · ".join(words(part) for part in (level, first["rule_group"], first["title"]) if part)
    data = (
        f'data-number="{card.number}" data-outcome="{words(outcome)}" data-stage="{words(first["stage"])}" '
        f'data-decides="{words(first["decides"])}" data-storey="{words(storeys)}" '
        f'data-stages="{words(first["stage"])}"'
    )
    several = f" ({len(card.findings)} places, one cause)" if len(card.findings) > 1 else ""
    sentence = first["question"] if outcome == "open" and len(card.findings) > 1 else first["message"] or first["title"]
    sentence = sentence[:1].upper() + sentence[1:]
    sketch = _sketch(card, drawings)
    return (
        f'<article class="card {words(outcome)}" id="{card.ident}" tabindex="-1" {data} '
        f'aria-labelledby="{card.ident}-h"><header>{sign(outcome, str(card.number))}<div>'
        f'<p class="what"><b>{OUTCOMES.get(outcome, words(outcome))}</b>{several} · {kind}'
        f'<span class="when" hidden></span></p>'
        f'<h3 class="say" id="{card.ident}-h"><span class="unseen">Finding {card.number}: </span>'
        f"{words(sentence)}</h3>"
        f'</div></header><div class="body"><div>{_facts(card, drawings.display)}</div>{sketch}</div>'
        f"{_links(card, drawings, in_3d)}{_evidence(card)}</article>"
    )


def _facts(card: Card, display: str) -> str:
    first, several = card.first, len(card.findings) > 1
    rows: list[tuple[str, str]] = [("Where", _places(card) if several else words(where(first, display)))]
    if not several:
        for limit in (row for row in first["limits"] if row["dimension"] not in {"truth", "choice"}):
            name = str(limit["measure"]).replace("_", " ")
            rows += [
                ("Measured", f"{words(limit['measured'])} <small>({words(name)})</small>"),
                ("Limit", words(f"{limit['comparison']} {limit['limit']}")),
                ("Margin", words(limit["margin"])),
            ]
            rows.append(("Basis", words(limit["basis"]["text"] if limit["basis"] else "")))
    if first["outcome"] == "open":
        rows += [("Lacking", words(lacking(first))), ("Question", words(first["question"]))]
    if first["conditional"]:
        rows.append(("Rests on", "a part recognised from two signs, not declared as such in the model"))
    stage = STAGE_WORDS.get(first["stage"], first["stage"])
    rows += [
        ("Why it matters", words(first["effect"])),
        ("Next step", words(first["remedy"])),
        ("Built", words(built(first))),
        ("Who decides", f"<b>{words(first['decides'])}</b>; cheapest {words(stage)}"),
        ("Answered", words(answered(first))),
    ]
    if first["accepted"] is not None:
        waiver = first["accepted"]
        said = [
            waiver.get("reason") or "no reason given",
            *(f"{key} {waiver[key]}" for key in ("by", "until") if waiver.get(key)),
        ]
        rows.append(("Accepted", words("; ".join(str(part) for part in said))))
    return terms(rows)


def _places(card: Card) -> str:
    names = list(dict.fromkeys(f["place"]["text"] or f["subject"]["name"] for f in card.findings))
    more = [f"… and {len(names) - MOST_PLACES} more, all in the JSON report"] if len(names) > MOST_PLACES else []
    body = bullets([words(name) for name in [*names[:MOST_PLACES], *more]], "places")
    if len(names) <= 4:
        return body
    return f"<details><summary>{len(names)} places</summary>{body}</details>"


def _sketch(card: Card, drawings: Drawings) -> str:
    marks = drawings.of_card.get(card.number, ())
    if not marks or card.number > MOST_SKETCHES or len(card.findings) > 1:
        return ""
    sheet = draw_sketch(card.first, drawings.scenes, marks[0], drawings.display)
    return f"<figure>{sheet.render()}</figure>" if sheet is not None else ""


def _links(card: Card, drawings: Drawings, in_3d: bool) -> str:
    first_on = {mark.drawing: mark for mark in reversed(drawings.of_card.get(card.number, []))}
    rows = [
        f'<a href="#{first_on[ident].ident}">Show on {words(name[0].lower() + name[1:])}</a>'
        for ident, name in drawings.names.items()
        if ident in first_on
    ]
    if in_3d:
        rows.append(f'<a href="#model3d" data-to3d="{card.number}">Show in 3-D</a>')
    if not rows:
        return ""
    return (
        f'<ul class="links" aria-label="Drawings of finding {card.number}">'
        + "".join(f"<li>{row}</li>" for row in rows)
        + "</ul>"
    )


def _evidence(card: Card) -> str:
    first = card.first
    rows = [
        (
            fact["what"],
            fact["value"],
            fact["unit"] if fact["unit"] != "1" else "",
            fact["rung"],
            fact["global_id"],
            fact["line"],
        )
        for fact in first["evidence"]
    ]
    facts = table("Evidence", ("What", "Value", "Unit", "How sure", "GlobalId", "Line"), rows, (1, 5)) if rows else ""
    ids = first["elements"]
    more = f" and {len(ids) - MOST_IDS} more" if len(ids) > MOST_IDS else ""
    listed = ", ".join(f"<code>{words(key)}</code>" for key in ids[:MOST_IDS])
    rule = words(first["rule"])
    return (
        f"<details><summary>Evidence and identifiers</summary>{facts}"
        + terms(
            [
                ("GlobalIds", listed + more),
                ("Rule", f"<code>{rule}</code>"),
                ("Finding", f"<code>{words(first['id'])}</code>"),
            ]
        )
        + "</details>"
    )
