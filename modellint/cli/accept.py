"""`modellint accept`: write a waiver for a finding into the project file."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from modellint.cli.common import Day, debug_option, limit_options, limits_from, project_option, today_option
from modellint.errors import UsageProblem

if TYPE_CHECKING:
    from modellint.findings.waivers import Waiver

_SHORTEST = 6


@click.command(short_help="Accept a finding for a time, by name and with a reason.")
@click.argument("models", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="MODEL... FINDING_ID")
@click.option("--by", required=True, metavar="NAME", help="Who accepts it: the person who may decide it.")
@click.option("--reason", required=True, metavar="TEXT", help="Why it is accepted.")
@click.option("--until", required=True, type=Day(), metavar="YYYY-MM-DD", help="Last day on which it holds.")
@click.option("--waivers", "file", type=click.Path(path_type=Path), default=None, metavar="FILE",
              help="Write into this waivers file [default: the project file]; name it below 'waivers' there.")
@project_option()
@today_option()
@limit_options()
@debug_option()
@click.pass_context
def accept(ctx: click.Context, models: tuple[Path, ...], by: str, reason: str, until: date, file: Path | None,
           project: Path | None, today: date, memory: int, seconds: float) -> None:
    """Accept the finding FINDING_ID of MODEL: add a waiver to the project file and say what was written.

    The finding stays visible in every report. The waiver ends after its last day, and as soon as a part that the
    finding rests on changes. Several models are the files of one house.

    Example:

      modellint accept house.ifc 3f9a01c2b4d5e6f7 --by "A. Rivera" --reason "Seen on site" --until 2027-03-31
    """
    from modellint.findings.waivers import Waiver
    from modellint.worker import run

    *files, wanted = models
    if not files:
        raise click.UsageError("Name the model and the finding's id.")
    if until < today:
        raise click.UsageError(f"--until {until} lies before today, {today}.")
    request = {"models": files, "project": project, "today": today.isoformat(),
               "debug": bool(ctx.find_root().obj and ctx.find_root().obj.debug)}
    finding = _finding(run(request, limits_from(memory, seconds)), str(wanted))
    waiver = Waiver(finding["id"], finding["state"], by.strip(), reason.strip(), today.isoformat(), until.isoformat(),
                    finding["rule"])
    if not waiver.by or not waiver.reason:
        raise click.UsageError("A waiver needs a name and a reason.")
    _say(finding)
    _write(waiver, file or project, files[0])


def _finding(report: dict[str, Any], wanted: str) -> dict[str, Any]:
    """The finding with an id, or the only one whose id begins so."""
    findings = {row["id"]: row for row in report["findings"]
                if row["id"] == wanted or (len(wanted) >= _SHORTEST and row["id"].startswith(wanted))}
    if len(findings) == 1:
        found: dict[str, Any] = next(iter(findings.values()))
        if found["accepted"] is not None:
            raise UsageProblem(f"Finding {found['id']} is accepted already, by {found['accepted']['by']}.")
        return found
    if report["exit"]["status"] == 3 and not findings:
        raise UsageProblem(f"The check is incomplete, so nothing was accepted. {report['exit']['reasons'][0]}")
    many = "more than one finding" if findings else "no finding"
    raise UsageProblem(f"There is {many} with the id '{wanted}' in this model; `modellint check` prints the ids.")


def _say(finding: dict[str, Any]) -> None:
    from modellint.text import for_terminal

    click.echo(for_terminal(f"Accepting the {finding['level']} ({finding['outcome']}) of rule {finding['rule']}:", 300))
    click.echo(f"  {for_terminal(finding['message'] or finding['title'], 1000)}")
    click.echo(for_terminal(f"  Decides: {finding['decides']}.", 300))


def _write(waiver: Waiver, file: Path | None, model: Path) -> None:
    """Add the entry to the file and print both."""
    from modellint.reports.atomic import write_atomic
    from modellint.rulebook.project import FILE_NAME, find_project
    from modellint.rulebook.waiver_entries import add_waiver
    from modellint.text import for_terminal

    folder = model.resolve().parent
    path = file or find_project(folder) or folder / FILE_NAME
    try:
        text = path.read_text(encoding="utf-8-sig") if path.exists() else ""
    except (OSError, UnicodeDecodeError) as error:
        raise UsageProblem(f"{path} cannot be read as text.") from error
    added = add_waiver(text, waiver, str(path))
    write_atomic(path, added.text.encode(), force=True)
    click.echo(for_terminal(f"Written to {path}:", 1000))
    for line in added.lines.splitlines():
        click.echo("  " + " " * (len(line) - len(line.lstrip())) + for_terminal(line, 1000))
