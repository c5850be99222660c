"""`modellint sheets`: field sheets to print and take to the site, as a PDF file or as a page for the browser."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import click

from modellint.cli.common import Day, debug_option, limit_options, limits_from, project_option
from modellint.errors import UsageProblem


@click.command(short_help="Write field sheets to print.")
@click.argument("model", type=click.Path(path_type=Path))
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), metavar="FILE.pdf|FILE.html",
              help="File to write: a PDF (needs modellint[pdf]), or a page to print from a browser.")
@click.option("--with", "others", multiple=True, type=click.Path(path_type=Path), metavar="FILE",
              help="A further file of the same house; may be repeated.")
@click.option("--revision", default="", metavar="TEXT", help="Revision printed on every page [default: a blank].")
@click.option("--date", "day", type=Day(), default=None, metavar="YYYY-MM-DD",
              help="Date printed on every page [default: a blank].")
@click.option("--units", "display", type=click.Choice(["metric", "us"]), default=None,
              help="Metric, or feet, inches and fractions [default: the project's, else metric].")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default=None,
              help="Paper of the PDF [default: letter with --units us, else a4].")
@click.option("--force", is_flag=True, help="Overwrite a file that modellint did not write.")
@project_option()
@limit_options()
@debug_option()
def sheets(model: Path, output: Path, others: tuple[Path, ...], revision: str, day: date | None,
           display: str | None, paper: str | None, force: bool, project: Path | None, memory: int,
           seconds: float) -> None:
    """Write field sheets of MODEL: one page per wall end, anchor layouts, the vent, checklists, hand-over.

    Each page carries the revision and date you give and the model's fingerprint.

    Example:

      modellint sheets house.ifc -o sheets.pdf --units us --revision B --date 2026-03-02

      modellint sheets house.ifc -o sheets.html
    """
    from modellint.reports.atomic import write_atomic
    from modellint.reports.sheets_text import Issue
    from modellint.text import for_terminal
    from modellint.worker import run

    pdf = output.suffix.lower() == ".pdf"
    if paper and not pdf:
        raise click.UsageError("--paper goes with a PDF; a browser asks for the paper itself.")
    render = _pdf_writer() if pdf else _page
    request = {"models": [model, *others], "display": display, "project": project, "drawings": True}
    report = run(request, limits_from(memory, seconds))
    issue = Issue(revision, day.isoformat() if day else "")
    write_atomic(output, render(report, issue, paper or ""), force)
    if report["exit"]["status"] == 3:
        for reason in report["exit"]["reasons"]:
            click.echo(f"The check is incomplete: {for_terminal(reason, 600)}", err=True)
        raise SystemExit(3)


def _page(report: dict[str, Any], issue: Any, _paper: str) -> bytes:
    """The sheets as one HTML page."""
    from modellint.reports.sheets import render

    return render(report, issue).encode()


def _pdf_writer() -> Callable[[dict[str, Any], Any, str], bytes]:
    """What makes the PDF; says in one sentence what to install if it cannot.

    Raises:
        UsageProblem: reportlab is not installed.
    """
    try:
        from modellint.reports.pdf_sheets import render
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] == "modellint":
            raise
        raise UsageProblem("PDF sheets need the package reportlab: install modellint[pdf], or write FILE.html and "
                           "print it from a browser.") from error
    return render
