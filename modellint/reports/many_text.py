"""The merged summary of many models as text: a line for each, the rules that fail, and the total."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.reports.lines import Lines, columns, shown

_WORDS = {0: "0  answered", 1: "1  something fails", 2: "2  wrong project file", 3: "3  incomplete"}
_STYLES = {0: "", 1: "fail", 2: "open", 3: "open"}


def render(plain: Mapping[str, Any], *, colour: bool = False, width: int = 88) -> str:
    """The merged summary.

    Args:
        plain: what `many.summary_of` gave.
        colour: repeat the status by colour.
        width: columns of the terminal.
    """
    page = Lines(width, colour)
    page.heading(f"{plain['summary']['models']} models")
    label = max(len(words) for words in _WORDS.values()) + 2
    for row in plain["models"]:
        counts = row["summary"]
        said = f": {counts['fail']} fail, {counts['open']} open, {counts['pass']} pass" if counts else ""
        page.item(_WORDS[row["status"]], f"{row['model']}{said}", 2, label, _STYLES[row["status"]])
        if row["status"] >= 2:
            for reason in row["reasons"][:3]:
                page.text(shown(reason, 300), 2 + label)
    failing = {name: counts for name, counts in plain["rules"].items() if counts["fail"]}
    if failing:
        page.heading("Rules that fail")
        wide = max(columns(name) for name in failing) + 2
        for name, counts in sorted(failing.items(), key=lambda one: (-one[1]["models"], one[0])):
            page.item(name, f"in {counts['models']} of {plain['summary']['models']} models, {counts['fail']} times",
                      2, wide)
    page.heading("In total")
    total = plain["summary"]
    page.text(f"{total['fail']} fail, {total['open']} open (cannot be told), {total['pass']} pass, "
              f"{total['notApplicable']} not applicable, {total['accepted']} accepted, {total['later']} later")
    for value, words in _WORDS.items():
        number = total["by_status"][str(value)]
        if number:
            page.text(f"{number} {'model' if number == 1 else 'models'} with status {words.replace('  ', ': ')}")
    page.blank()
    page.text("It advises; the engineer of record, the local code and licensed trades decide.", 0)
    return page.end()
