"""What people wrote into an earlier BCF file of the same findings, carried into the next one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid5

from modellint.reports.addresses import sentence
from modellint.reports.bcf_topics import SPACE, Topic
from modellint.text import storable

AUTHOR = "modellint"
# statuses by which programs and people end a topic (common practice, no source)
ENDED = frozenset({"closed", "resolved", "done", "completed"})
STANDS = "This topic was ended, but the finding still stands in this model, so it is open again."
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,9})?(Z|[+-]\d{2}:\d{2})?")
_TEXT, _NAME = 4000, 200


@dataclass(frozen=True)
class Remark:
    """One comment of a topic; the id is the same in every run."""

    guid: UUID
    date: str
    author: str
    text: str


def _answer(topic: Topic) -> Mapping[str, Any] | None:
    """What came back for the topic: that of its first finding that has an answer."""
    return next((found for finding in topic.findings if (found := finding["extra"].get("answer"))), None)


def assigned_to(topic: Topic) -> str:
    """Whom the topic was given to, "" if nobody."""
    answer = _answer(topic)
    return sentence(answer["assigned_to"], _NAME) if answer else ""


def remarks(topic: Topic, date: str) -> list[Remark]:
    """Comments that came back, and one of our own if the topic was ended although its finding stands.

    Args:
        topic: the topic.
        date: xs:dateTime of our own comment, and of one whose date is none.
    """
    answer = _answer(topic)
    if answer is None:
        return []
    rows = [
        (str(row["date"]) if _DATE.fullmatch(str(row["date"])) else date, sentence(row["author"], _NAME) or "unknown",
         sentence(row["text"], _TEXT))
        for row in answer["comments"]
    ]
    if str(answer["status"]).strip().lower() in ENDED and topic.lead["accepted"] is None:
        rows.append((date, AUTHOR, STANDS))
    made = [Remark(uuid5(SPACE, storable(f"comment:{topic.guid}:{at}:{who}:{text}")), at, who, text)
            for at, who, text in dict.fromkeys(rows)]
    return [row for row in made if row.text]


def people(topics: Iterable[Topic]) -> list[str]:
    """Everybody whom topics name, sorted: the format wants them listed."""
    names = {AUTHOR}
    for topic in topics:
        names |= {row.author for row in remarks(topic, "")} | ({assigned_to(topic)} - {""})
    return sorted(names)
