"""The report for a builder who reads it in a terminal: where to stand, what is off, who decides by when."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from modellint.reports.addresses import capped, left_out
from modellint.reports.exit_status import meaning
from modellint.reports.finding_lines import write_by_code, write_finding, write_group
from modellint.reports.lines import SIGNS, Lines, paint, shown
from modellint.reports.looked_at import write_looked_at, write_parts
from modellint.reports.places import by_place, shared

Report = Mapping[str, Any]
MOST = 1_000  # findings of a section that are written out; no one reads more (judgement, no source)
CAUTION = ("Advice, not a design. It tells what the model shows; the engineer of record, the local code and "
           "licensed trades decide.")
EDITION = ("Limits are those of the edition named beside each finding; whether it is adopted here, the building "
           "official says.")
SCOPE = "Only what the rules ask was looked at (list: modellint rules), nothing else about the house."


def render(report: Report, *, colour: bool = False, width: int = 80, display: str = "metric") -> str:
    """The whole report as text.

    Args:
        report: the plain form made by `json_report.to_dict`.
        colour: add terminal colours; they repeat what words and signs say.
        width: columns of the terminal; at least 40 are used.
        display: `metric` or `us`, for numbers written here (the sentences come ready).
    """
    page = Lines(width, colour)
    version = report["tool"]["version"]
    page.text(f"modellint {version}: what the model shows, and what it does not", 0, "heading")
    page.text(CAUTION, 0)
    page.text(_result(report), 0, "heading")
    _incomplete(page, report)
    write_looked_at(page, report)
    standing = [f for f in report["findings"] if f["due"] and f["accepted"] is None]
    _fails(page, report, [f for f in standing if f["outcome"] == "fail"], display)
    _opens(page, report, [f for f in standing if f["outcome"] == "open"], display)
    for section in (_accepted, _later, _estimates, _settings, _notes, _baseline, write_parts, _not_checked, _signs):
        section(page, report)
    _end(page, report)
    return page.end() + _last_line(report, colour)


def _result(report: Report) -> str:
    count = report["summary"]
    return f"Result: {count['fail']} fail, {count['open']} cannot be told; {count['pass']} answers raise no finding."


def _incomplete(page: Lines, report: Report) -> None:
    if report["exit"]["status"] != 3:
        return
    page.heading("This check is incomplete")
    for reason in report["incomplete"] or report["exit"]["reasons"]:
        page.item("*", reason, label_width=2)


def _fails(page: Lines, report: Report, fails: list[Any], display: str) -> None:
    page.heading(_counted("What fails", fails))
    if not fails:
        page.text("Nothing that was asked and is due fails." + (
            " What could not be told stands below; it has not passed." if report["summary"]["open"] else ""))
        return
    _groups_and_walk(page, report, fails, display)


def _groups_and_walk(page: Lines, report: Report, findings: list[Any], display: str) -> None:
    """Findings with one cause together, then the others; of very many the most urgent, and how many more there are."""
    kept, more = capped(findings, MOST) if len(findings) > MOST else (findings, 0)
    together, alone = shared(kept)
    for group in together:
        write_group(page, report, group)
    _walk(page, report, alone, display)
    _more(page, more)


def _more(page: Lines, number: int) -> None:
    if number > 0:
        page.blank()
        page.text(left_out(number))


def _opens(page: Lines, report: Report, opens: list[Any], display: str) -> None:
    if not opens:
        return
    page.heading(_counted("What cannot be told", opens))
    page.text("Each is a question. Until it is answered the rule is open: it has not passed.")
    _groups_and_walk(page, report, opens, display)


def _walk(page: Lines, report: Report, findings: list[Any], display: str) -> None:
    """Findings in the order of a walk through the house."""
    for storey, hosts in by_place(report, findings):
        for host, members in hosts:
            page.blank()
            page.text(_heading(storey, host, members), 0, "heading")
            for finding in members:
                page.blank()
                write_finding(page, finding, display)


def _heading(storey: str, host: str, members: list[Any]) -> str:
    """Storey and host; the storey alone where the host says no more."""
    plain = all(f["subject"]["role"] in {"building", "storey"} for f in members)
    return f"[ {storey} ]" if plain or host.casefold() in storey.casefold() else f"[ {storey}, {host} ]"


def _counted(title: str, findings: list[Any]) -> str:
    """The title with the number of findings, by level where they have levels."""
    if not findings:
        return title
    levels = [finding.get("level") for finding in findings]
    detail = ", ".join(f"{levels.count(level)} {level}" for level in ("error", "warning", "note")
                       if level in levels)
    return f"{title}: {len(findings)}" + (f" ({detail})" if detail else "")


def _accepted(page: Lines, report: Report) -> None:
    accepted = [f for f in report["findings"] if f["accepted"] is not None]
    if not accepted:
        return
    page.heading(_counted("Accepted by a person", accepted))
    page.text("These still stand in the model; a waiver says why they are accepted.")
    for storey, hosts in by_place(report, accepted[:MOST]):
        for finding in (member for _, members in hosts for member in members):
            waiver = finding["accepted"]
            page.signed("accepted", finding["outcome"], f"{finding['message']} ({storey})")
            facts = [f"{key} {waiver[key]}" for key in ("by", "until") if waiver.get(key)]
            reason = str(waiver.get("reason") or "no reason given").rstrip(". ")
            page.item("Waiver", "; ".join([reason, *facts]), 6)
    _more(page, len(accepted) - MOST)


def _later(page: Lines, report: Report) -> None:
    later = [f for f in report["findings"] if not f["due"] and f["accepted"] is None]
    if not later:
        return
    page.heading(_counted(f"Later, not due at stage {report['due']}" if report["due"] else "Later", later))
    for _, hosts in by_place(report, later[:MOST]):
        for finding in (member for _, members in hosts for member in members):
            asked = finding["question"] if finding["outcome"] == "open" else ""
            page.signed("later", finding["outcome"],
                        f"{asked or finding['message']} (stage: {finding['stage']}; {finding['decides']})")
    _more(page, len(later) - MOST)


def _estimates(page: Lines, report: Report) -> None:
    if not report["estimates"]:
        return
    page.heading("Estimates, not outcomes")
    for row in report["estimates"]:
        low, high = ("unknown" if row.get(end) is None else row[end] for end in ("low", "high"))
        page.item("*", f"{row.get('name')}: {low} to {high} {row.get('unit') or ''}", label_width=2)
        for assumption in row.get("assumptions") or ():
            page.text(f"assumes: {assumption}", 4)


def _settings(page: Lines, report: Report) -> None:
    if not report["settings"]:
        return
    page.heading("Limits this project changed")
    for row in report["settings"]:
        rest = ", ".join(f"{shown(key).replace('_', ' ')} {value}" for key, value in row.items()
                         if key not in {"name", "value"} and value not in (None, ""))
        bracket = f" ({rest})" if rest else ""
        page.item("*", f"{row.get('name')}: {row.get('value')}{bracket}", label_width=2)


def _notes(page: Lines, report: Report) -> None:
    if not report["input_notes"]:
        return
    page.heading(_counted("Notes on the input", report["input_notes"]))
    write_by_code(page, report["input_notes"], _note_text)


def _note_text(note: Mapping[str, Any]) -> str:
    where = ", ".join(part for part in (note["file"], f"line {note['line']}" if note["line"] else "",
                                        note["global_id"]) if part)
    return f"{note['text']} ({where})" if where else str(note["text"])


def _baseline(page: Lines, report: Report) -> None:
    """How many findings an earlier report held already."""
    row = report.get("baseline")
    if not row:
        return
    page.heading("Against the baseline")
    page.text(f"{row['file']} held {row['known']} of these findings; {row['new']} are new; {row['gone']} of its "
              f"own are gone. Open: {row['open_before']} then, {row['open_now']} now. Only new ones count for the "
              "exit status.")
    new = [f for f in report["findings"] if not f["extra"].get("known") and f["accepted"] is None]
    for finding in new[:MOST]:
        page.signed(finding["outcome"], "new", f"{finding['message']} ({finding['id']})")
    _more(page, len(new) - MOST)


def _not_checked(page: Lines, report: Report) -> None:
    page.heading("Not checked")
    idle = [row for row in report["rules"] if not (row["pass"] or row["fail"] or row["open"])]
    groups = dict.fromkeys(row["group"] for row in idle)
    if idle:
        page.text("Not asked, because this model shows nothing to ask it of (no result, good or bad):")
    for group in groups:
        page.item(group, ", ".join(row["rule"] for row in idle if row["group"] == group), 2, 14)
    page.text(SCOPE)
    page.text(EDITION)


def _signs(page: Lines, report: Report) -> None:
    used = [f"{SIGNS[word]} {word}" for word in ("fail", "open", "accepted", "later")
            if report["summary"][word]]
    if used:
        page.blank()
        page.text("Signs: " + ", ".join(used) + ".", 0, "quiet")


def _end(page: Lines, report: Report) -> None:
    page.blank()
    if report["exit"]["status"] == 1:
        for reason in report["exit"]["reasons"]:
            page.text(reason, 0)
    count = report["summary"]
    extra = [f"{count[key]} {word}" for key, word in (("accepted", "accepted"), ("later", "not due yet"))
             if count[key]]
    if extra:
        page.text(f"Not in the counts below: {', '.join(extra)}.", 0)


def _last_line(report: Report, colour: bool) -> str:
    """The counts and the exit status; one line at any width, so that it can be found."""
    count, status = report["summary"], report["exit"]["status"]
    counts = (f"{count['fail']} fail, {count['open']} open, {count['pass']} pass, "
              f"{count['notApplicable']} not applicable")
    return paint(f"{counts}. Exit status {status}: {meaning(report)}.", "heading", colour) + "\n"
