"""One finding, or a group that one missing fact causes, as lines for a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from modellint.reports.bcf_comments import ENDED
from modellint.reports.lines import STAGE_WORDS, Lines
from modellint.reports.places import by_place

Finding = Mapping[str, Any]
# the sentence says these already; a line of numbers would only repeat it
WORDS = frozenset({"choice", "truth"})
_INDENT = 6
_LABEL = 11
_MOST_IDS = 4
_MOST_DOUBTS = 2
_MOST_PLACES = 30


def write_finding(page: Lines, finding: Finding, display: str) -> None:
    """Sentence, place, numbers, why it matters, next step, who decides by when, and how to find it again."""
    outcome = finding["outcome"]
    weight = f" ({finding['level']})" if outcome == "fail" else ""
    page.signed(outcome, outcome, f"{finding['message'] or finding['title']}{weight}")

    def line(label: str, text: str) -> None:
        page.item(label, text, _INDENT, _LABEL)

    line("Where", where(finding, display))
    for limit in finding["limits"]:
        if limit["dimension"] in WORDS:
            continue
        line("Measured", measured(limit))
        if limit["basis"]:
            line("Basis", limit["basis"]["text"])
    if outcome == "open":
        line("Lacking", lacking(finding))
        line("Question", finding["question"])
    if finding["conditional"]:
        line("Not sure", doubts(finding))
    if outcome == "fail":
        line("If left", finding["effect"])
        line("Next step", finding["remedy"])
    line("Built", built(finding))
    line("Decides", decides(finding))
    line("Answered", answered(finding))
    line("GlobalId", identifiers(finding))
    line("Rule", f"{finding['rule']} ({finding['title']}), finding {finding['id']}")


def write_group(page: Lines, report: Mapping[str, Any], group: list[Finding]) -> None:
    """Findings that one missing fact causes: the question once, then rules and places."""
    first, outcome = group[0], group[0]["outcome"]
    titles = list(dict.fromkeys(f["title"] for f in group))
    page.blank()
    page.signed(outcome, outcome, f"{len(group)} findings, one cause ({_worst(group)})")

    def line(label: str, text: str) -> None:
        page.item(label, text, _INDENT, _LABEL)

    if outcome == "open":
        line("Question", first["question"] or first["message"])
        line("Lacking", lacking(first))
    else:
        page.text(first["message"], _INDENT)
    line("Waiting" if outcome == "open" else "Rules", "; ".join(
        f"{title} ({sum(f['title'] == title for f in group)})" for title in titles))
    for limit in () if len(titles) > 1 else first["limits"]:
        if limit["basis"]:
            line("Limit", f"{limit['comparison']} {limit['limit']}, {limit['basis']['text']}")
    if outcome == "fail":
        line("If left", first["effect"])
        line("Next step", first["remedy"])
    for decided in dict.fromkeys(decides(f) for f in group):
        line("Decides", decided)
    for answer in dict.fromkeys(answered(f) for f in group):
        line("Answered", answer)
    for storey, hosts in by_place(report, group):
        names = list(dict.fromkeys((f["subject"]["name"] or f["place"]["text"]).replace(f", {storey}", "")
                                   for _, members in hosts for f in members))
        if len(names) > _MOST_PLACES:
            names[_MOST_PLACES:] = [f"… and {len(names) - _MOST_PLACES} more, all in the JSON report"]
        line("Places", f"{storey}: {'; '.join(names)}")


def write_by_code(page: Lines, rows: Iterable[Mapping[str, Any]],
                  text: Callable[[Mapping[str, Any]], str]) -> None:
    """Rows of one code together: the first few in full, the rest counted."""
    by_code: dict[str, list[Mapping[str, Any]]] = {}
    for row in rows:
        by_code.setdefault(row["code"], []).append(row)
    for code, members in by_code.items():
        for row in members[:_MOST_IDS]:
            page.item("*", text(row), label_width=2)
        if len(members) > _MOST_IDS:
            page.text(f"… and {len(members) - _MOST_IDS} more of this kind ({code}), in the JSON report", 4)


def where(finding: Finding, display: str) -> str:
    """The place in words and the model's coordinates in metres."""
    place = finding["place"]
    parts = [place["text"]] if place["text"] else []
    if place["x"] is not None:
        parts.append(f"at x {place['x']:.2f}, y {place['y']:.2f}, z {place['z']:.2f} m in the model")
    return "; ".join(parts)


def measured(limit: Mapping[str, Any]) -> str:
    """Measured, limit and margin in one phrase, with the name of the measure."""
    name = str(limit["measure"]).replace("_", " ")
    margin = f"; {limit['margin']}" if limit["margin"] else ""
    return f"{limit['measured']} ({name}); limit {limit['comparison']} {limit['limit']}{margin}"


def doubts(finding: Finding) -> str:
    """What a conditional finding rests on that is inferred only; the first few facts."""
    facts = [row["what"] for row in finding["evidence"] if row["rung"] == "inferred"]
    rest = "; ".join(dict.fromkeys(facts[:_MOST_DOUBTS]))
    return (f"inferred, not declared in the model: {rest}" if rest else
            "a part is known by two signs only, or counts as missing because other places like it have one")


def lacking(finding: Finding) -> str:
    """What the model lacks, each fact with what to add or whom to ask."""
    facts = []
    for fact in finding["missing"]:
        of = f" of {fact['of']}" if fact["of"] else ""
        hint = f": {fact['hint']}" if fact["hint"] else ""
        facts.append(f"{fact['quantity']}{of}{hint}".replace("_", " "))
    return "; ".join(dict.fromkeys(facts))


def decides(finding: Finding) -> str:
    """Who decides, and the last stage at which it is cheap."""
    stage = STAGE_WORDS.get(finding["stage"], finding["stage"])
    return ", ".join(part for part in (finding["decides"], stage) if part)


def built(finding: Finding) -> str:
    """What of it is ordered, framed, poured or covered already, "" if nothing is marked."""
    row = finding["extra"].get("built")
    if not row:
        return ""
    when = f" on {row['date']}" if row["date"] else ""
    past = "; the cheap moment has passed, so it is due" if row["overdue"] else ""
    return f"{row['part']} is marked {row['state']}{when} ({row['source']}){past}"


def answered(finding: Finding) -> str:
    """Status and comments that came back in a BCF file, "" if nobody touched the topic."""
    answer = finding["extra"].get("answer")
    if not answer or (answer["status"] == "Open" and not answer["comments"]):
        return ""
    said = [f"{row['author']}: {row['text']}" for row in answer["comments"]]
    status = answer["status"]
    stands = (
        " (ended there, but the finding stands)" if status.strip().lower() in ENDED and finding["accepted"] is None
        else ""
    )
    return "; ".join([f"{status}{stands}", *said])


def identifiers(finding: Finding) -> str:
    """GlobalIds, the host first; the first few and a count."""
    ids = finding["elements"]
    more = f" and {len(ids) - _MOST_IDS} more" if len(ids) > _MOST_IDS else ""
    return ", ".join(ids[:_MOST_IDS]) + more


def _worst(group: list[Finding]) -> str:
    levels = {f["level"] for f in group}
    return next((level for level in ("error", "warning", "note") if level in levels), "note")
