"""`modellint check`: check a model and print or write the report."""

from __future__ import annotations

import shutil
import sys
from datetime import date
from pathlib import Path
from typing import Any

import click

from modellint.cli.common import (
    color_option,
    debug_option,
    format_option,
    limit_options,
    limits_from,
    project_option,
    today_option,
    use_color,
    write_options,
)

FORMATS = ("text", "json")
STAGES = ("permit", "issue", "pour", "cover", "close")


@click.command(short_help="Check an IFC model and report what breaks.")
@click.argument("models", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="MODEL...")
@click.option("--together", is_flag=True, help="The models are files of one house (architecture, structure, pipes).")
@click.option("--due", type=click.Choice(STAGES), default=None,
              help="Only what is due at or before this stage counts; the rest is listed as later.")
@click.option("--fail-on", type=click.Choice(("error", "warning", "note", "never")), default="error",
              show_default=True, help="Lowest level of a fail that makes the exit status 1.")
@click.option("--open-is-fail", is_flag=True, help="What cannot be told makes the exit status 1, too.")
@click.option("--passes", is_flag=True, help="List what passed as well (JSON).")
@click.option("--units", "display", type=click.Choice(("metric", "us")), default=None,
              help="Units of the report [default: the project's, else metric].")
@format_option(FORMATS)
@write_options(("json", "text"))
@color_option()
@project_option()
@today_option()
@limit_options()
@debug_option()
@click.pass_context
def check(ctx: click.Context, models: tuple[Path, ...], together: bool, due: str | None, fail_on: str,
          open_is_fail: bool, passes: bool, display: str | None, format_: str, writes: tuple[tuple[str, Path], ...],
          force: bool, color: str, project: Path | None, today: date, memory: int, seconds: float) -> None:
    """Check MODEL (.ifc or .ifczip) and report what breaks its hold-down chains and its soil-gas vent.

    Several models are the files of one house (--together).

    Examples:

      modellint check house.ifc

      modellint check house.ifc --due pour --write json=report.json

      modellint check --together structure.ifc architecture.ifc pipes.ifc
    """
    from modellint.worker import run

    if len(models) > 1 and not together:
        raise click.UsageError("Several models need --together, which says that they are files of one house.")
    request = {"models": list(models), "project": project, "due": due, "fail_on": fail_on,
               "open_is_fail": open_is_fail, "passes": passes, "display": display, "today": today.isoformat(),
               "debug": bool(ctx.find_root().obj and ctx.find_root().obj.debug)}
    report = run(request, limits_from(memory, seconds), progress=_progress)
    _clear()
    for kind, path in writes:
        _write(kind, path, report, force)
    click.echo(_text(format_, report, use_color(color)), nl=False)
    raise SystemExit(report["exit"]["status"])


def _text(kind: str, report: dict[str, Any], colour: bool) -> str:
    from modellint.reports.json_report import to_json
    from modellint.reports.terminal import render

    if kind == "json":
        return to_json(report).decode()
    return render(report, colour=colour, width=shutil.get_terminal_size((88, 24)).columns, display=report["display"])


def _write(kind: str, path: Path, report: dict[str, Any], force: bool) -> None:
    from modellint.reports.atomic import write_atomic

    write_atomic(path, _text(kind, report, False).encode(), force=force)


def _progress(text: str) -> None:
    if sys.stderr.isatty():
        click.echo(f"\r{text:<40}", nl=False, err=True)


def _clear() -> None:
    if sys.stderr.isatty():
        click.echo("\r" + " " * 40 + "\r", nl=False, err=True)
