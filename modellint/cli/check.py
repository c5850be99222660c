"""`modellint check`: check a model and print or write the report."""

from __future__ import annotations

import os
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
from modellint.reports.formats import FORMATS, printable

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
@click.option("--bcf-in", type=click.Path(path_type=Path), default=None, metavar="FILE",
              help="A BCF file that came back: its statuses and comments are shown with the findings.")
@format_option(printable())
@write_options(tuple(FORMATS))
@color_option()
@project_option()
@today_option()
@limit_options()
@debug_option()
@click.pass_context
def check(ctx: click.Context, models: tuple[Path, ...], together: bool, due: str | None, fail_on: str,
          open_is_fail: bool, passes: bool, display: str | None, bcf_in: Path | None, format_: str,
          writes: tuple[tuple[str, Path], ...], force: bool, color: str, project: Path | None, today: date,
          memory: int, seconds: float) -> None:
    """Check MODEL (.ifc or .ifczip) and report what breaks its hold-down chains and its soil-gas vent.

    Several models are the files of one house (--together).

    Examples:

      modellint check house.ifc

      modellint check house.ifc --due pour --write json=report.json

      modellint check house.ifc --write sarif=house.sarif --write bcf=house.bcf

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
    if bcf_in is not None:
        _take_answers(report, bcf_in)
    uris = _uris(models)
    for kind, path in writes:
        _write(path, _made(kind, report, uris, False), force)
    click.echo(_made(format_, report, uris, use_color(color)), nl=False)
    raise SystemExit(report["exit"]["status"])


def _made(kind: str, report: dict[str, Any], uris: dict[str, str], colour: bool) -> bytes:
    from modellint.reports.formats import render

    width = shutil.get_terminal_size((88, 24)).columns
    options = {"colour": colour, "width": width, "display": report["display"]} if kind == "text" else None
    return render(kind, report, uris=uris, options=options)


def _uris(models: tuple[Path, ...]) -> dict[str, str]:
    """Name of each model to its path below the working folder; those elsewhere keep their name alone."""
    below: dict[str, str] = {}
    for path in models:
        relative = os.path.relpath(path)
        if not relative.startswith(os.pardir) and not Path(relative).is_absolute():
            below.setdefault(path.name, Path(relative).as_posix())
    return below


def _take_answers(report: dict[str, Any], path: Path) -> None:
    from modellint.reports.bcf_read import attach, read_answers

    number = attach(report, read_answers(path, report))
    click.echo(f"{number} of {len(report['findings'])} findings have an answer in {path.name}.", err=True)


def _write(path: Path, data: bytes, force: bool) -> None:
    from modellint.reports.atomic import write_atomic

    write_atomic(path, data, force=force)


def _progress(text: str) -> None:
    if sys.stderr.isatty():
        click.echo(f"\r{text:<40}", nl=False, err=True)


def _clear() -> None:
    if sys.stderr.isatty():
        click.echo("\r" + " " * 40 + "\r", nl=False, err=True)
