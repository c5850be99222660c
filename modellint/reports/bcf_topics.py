"""Findings as topics of a BCF file: which findings share one, and the ids and words of each."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import NAMESPACE_URL, UUID, uuid5

from modellint.reports.addresses import basis_and_limits, left_out, sentence, urgency
from modellint.reports.lines import STAGE_WORDS
from modellint.text import storable

# Ids are version 5 UUIDs (RFC 9562, 5.5) of a finding's id below this name space: they stay.
SPACE = uuid5(NAMESPACE_URL, "urn:modellint:bcf:1")
MOST_TOPICS = 1_000
MOST_SINGLE = 200
"""More findings than this that share no cause: those of one rule and outcome become one topic."""
MOST_COMPONENTS = 500
_MOST_PLACES = 60
_GLOBAL_ID = re.compile(r"([0-3][0-9A-Za-z_$]{21})(?:~\d+)?")
STATUSES = ("Open", "Accepted", "Closed")
TYPES = {"fail": "Fail", "open": "Open question"}
PRIORITIES = ("error", "warning", "note")

Finding = Mapping[str, Any]


@dataclass(frozen=True)
class Topic:
    """One topic: its findings (the most urgent first), or only a text when findings were left out.

    Attributes:
        guid: id of the topic, the same in every run for the same finding or group.
        text: used as title and description when there are no findings.
    """

    guid: UUID
    findings: tuple[Finding, ...]
    text: str = ""

    @property
    def lead(self) -> Finding:
        """The most urgent finding."""
        return self.findings[0]

    def components(self) -> list[str]:
        """GlobalIds of all findings in order, once each; only those that are proper IFC GlobalIds."""
        ids: dict[str, None] = {}
        for finding in self.findings:
            for key in finding["elements"]:
                found = _GLOBAL_ID.fullmatch(key)
                if found:
                    ids[found[1]] = None
        return list(ids)[:MOST_COMPONENTS]

    def title(self) -> str:
        """One line: the sentence of a single finding, the rule or question and a count of several."""
        if not self.findings:
            return self.text
        lead = self.lead
        if len(self.findings) == 1:
            return sentence(lead["message"] or lead["title"], 250)
        one_rule = len({finding["rule"] for finding in self.findings}) == 1
        head = lead["title"] if one_rule else lead["question"] or lead["message"] or lead["title"]
        return sentence(f"{sentence(head, 220)} ({len(self.findings)} places)", 250)

    def labels(self) -> list[str]:
        """Rule groups, stages and levels, sorted within each kind."""
        words: dict[str, None] = {}
        for key in ("rule_group", "stage", "level"):
            for word in sorted({sentence(finding[key], 80) for finding in self.findings}):
                if word:
                    words[word] = None
        return list(words)

    def description(self) -> str:
        """Everything to know, one clean line per fact; the last line names the findings' ids."""
        return "\n".join(_description(self)) if self.findings else self.text


def topics(report: Mapping[str, Any]) -> list[Topic]:
    """All topics of a report, most urgent first.

    Findings that one missing fact causes share a topic; so do those of one rule and outcome when there are
    more than MOST_SINGLE others. Accepted findings never share one with standing ones.
    """
    groups: dict[str, list[Finding]] = {}
    ordered = sorted(report["findings"], key=urgency)
    single = [finding for finding in ordered if not finding["group"]]
    by_rule = len(single) > MOST_SINGLE
    for finding in ordered:
        groups.setdefault(_key(finding, by_rule), []).append(finding)
    made = [Topic(uuid5(SPACE, storable(key)), tuple(findings)) for key, findings in groups.items()]
    left = sum(len(topic.findings) for topic in made[MOST_TOPICS:])
    more = [Topic(uuid5(SPACE, "left-out"), (), left_out(left))] if left else []
    return made[:MOST_TOPICS] + more


def _key(finding: Finding, by_rule: bool) -> str:
    state = "accepted" if finding["accepted"] is not None else "standing"
    if finding["group"]:
        return f"group:{finding['outcome']}:{state}:{finding['group']}"
    if by_rule:
        return f"rule:{finding['outcome']}:{state}:{finding['rule']}"
    return f"finding:{finding['id']}"


def _description(topic: Topic) -> Iterator[str]:
    lead, several = topic.lead, len(topic.findings) > 1
    for finding in topic.findings[:_MOST_PLACES]:
        place = sentence(finding["place"]["text"] or finding["subject"]["name"])
        mark = "- " if several else ""
        yield f"{mark}{sentence(finding['message'] or finding['title'])}"
        if place:
            yield f"{'  ' if several else ''}Where: {place}"
        yield from (f"{'  ' if several else ''}Measured: {fact}" for fact in basis_and_limits(finding))
    if len(topic.findings) > _MOST_PLACES:
        yield f"- and {len(topic.findings) - _MOST_PLACES:,} more places, all in the JSON report"
    step = ("Question", "question") if lead["outcome"] == "open" else ("Next step", "remedy")
    for label, key in (("Why it matters", "effect"), step):
        for text in _once(finding[key] for finding in topic.findings)[:3]:
            yield f"{label}: {text}"
    for text in _once(_decides(finding) for finding in topic.findings)[:4]:
        yield f"Decides: {text}"
    if lead["accepted"] is not None:
        yield f"Accepted: {sentence(lead['accepted'].get('reason'))} ({sentence(lead['accepted'].get('by'))})"
    if any(finding["conditional"] for finding in topic.findings):
        yield "Rests on a part recognised from two signs, not declared as such in the model."
    yield f"Findings: {' '.join(sentence(finding['id']) for finding in topic.findings)}"


def _once(texts: Iterable[object]) -> list[str]:
    return [text for text in dict.fromkeys(sentence(text) for text in texts) if text]


def _decides(finding: Finding) -> str:
    words = (finding["decides"], STAGE_WORDS.get(finding["stage"], finding["stage"]))
    return ", ".join(word for word in words if word)
