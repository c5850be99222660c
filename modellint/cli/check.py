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
    cache_from,
    cache_option,
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
from modellint.limits import Limits
from modellint.model_paths import is_many
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
@click.option("--baseline", type=click.Path(path_type=Path), default=None, metavar="REPORT.json",
              help="An earlier JSON report: only findings that it did not hold count, and more open ones.")
@format_option(printable())
@write_options((*FORMATS, "svg"))
@click.option("--three-d", is_flag=True,
              help="The HTML report gets a 3-D view of the parts, too (one to three megabytes more).")
@color_option()
@project_option()
@today_option()
@limit_options()
@cache_option()
@click.option("--jobs", type=click.IntRange(min=1), default=None, metavar="N",
              help="How many models, or buildings of one model, to check at a time [default: the machine's cores].")
@click.option("--cluster", default=None, metavar="ADDRESS",
              help="Check several models on the workers of an existing Dask cluster; needs modellint[cluster].")
@click.option("--cluster-wait", type=click.FloatRange(min=0.1), default=10.0, show_default=True, metavar="SECONDS",
              help="How long the cluster may take to answer, or be without a worker.")
@debug_option()
@click.pass_context
def check(ctx: click.Context, models: tuple[Path, ...], together: bool, due: str | None, fail_on: str,
          open_is_fail: bool, passes: bool, display: str | None, bcf_in: Path | None, baseline: Path | None,
          format_: str, writes: tuple[tuple[str, Path], ...], force: bool, three_d: bool, color: str,
          project: Path | None, today: date, memory: int, seconds: float, cache: str | None, jobs: int | None,
          cluster: str | None, cluster_wait: float) -> None:
    """Check MODEL (.ifc or .ifczip) and report what breaks its hold-down chains and its soil-gas vent.

    MODEL may be a folder or a glob. Several models are checked one by one, side by side, with one summary; with
    --together they are the files of one house.

    Examples:

      modellint check house.ifc

      modellint check house.ifc --due pour --write json=report.json

      modellint check house.ifc --write html=house.html --write svg=drawings

      modellint check house.ifc --write html=house.html --three-d

      modellint check house.ifc --baseline last-week.json

      modellint check house.ifc --write sarif=house.sarif --write bcf=house.bcf

      modellint check --together structure.ifc architecture.ifc pipes.ifc

      modellint check lots/ --write json=reports

      modellint check lots/ --cluster tcp://10.0.0.5:8786
    """
    earlier = _earlier(baseline)
    kept = cache_from(cache)
    request = {"models": list(models), "project": project, "due": due, "fail_on": fail_on,
               "open_is_fail": open_is_fail, "passes": passes, "display": display, "today": today.isoformat(),
               "drawings": _has_drawings([format_, *(kind for kind, _ in writes)]), "three_d": three_d,
               "shapes": three_d or any(kind != "svg" and FORMATS[kind].paints for kind, _ in writes),
               "debug": bool(ctx.find_root().obj and ctx.find_root().obj.debug)}
    limits = limits_from(memory, seconds)
    if three_d and "html" not in {format_, *(kind for kind, _ in writes)}:
        raise click.UsageError("--three-d goes with --write html=FILE.")
    if cluster is not None and (together or not is_many(models)):
        raise click.UsageError("--cluster goes with several models, a folder or a glob, and without --together.")
    if cluster is not None and jobs is not None:
        raise click.UsageError("--jobs is for this machine's cores; with --cluster the cluster decides.")
    if not together and is_many(models):
        if bcf_in is not None or baseline is not None:
            raise click.UsageError("--bcf-in and --baseline go with one model.")
        from modellint.cli.check_many import check_many

        raise SystemExit(check_many(models, request, limits, jobs=jobs or 0, cluster=cluster,
                                    cluster_wait=cluster_wait, cache=kept, format_=format_, writes=writes,
                                    force=force, colour=use_color(color)))
    report = _report(request, limits, kept, jobs)
    if bcf_in is not None:
        _take_answers(report, bcf_in)
    if baseline is not None and earlier is not None:
        from modellint.reports.baseline import apply_baseline

        apply_baseline(report, earlier, baseline.name)
    uris = _uris(models)
    for kind, path in writes:
        _put(kind, path, report, uris, force, three_d)
    click.echo(_made(format_, report, uris, use_color(color), three_d), nl=False)
    raise SystemExit(report["exit"]["status"])


def _report(request: dict[str, Any], limits: Limits, kept: Any, jobs: int | None) -> dict[str, Any]:
    """The report of an earlier, equal check, or that of a new one."""
    key = kept.key(request) if kept is not None else ""
    report: dict[str, Any] | None = kept.get(key, request) if kept is not None else None
    if report is not None:
        return report
    from modellint.side_by_side import cores
    from modellint.worker import run

    report = run({**request, "cores": jobs or cores()}, limits, progress=_progress)
    _clear()
    if kept is not None:
        kept.put(key, request, report)
    return report


def _earlier(baseline: Path | None) -> Any:
    if baseline is None:
        return None
    from modellint.reports.baseline import read_report

    return read_report(baseline)


def _has_drawings(kinds: list[str]) -> bool:
    return any(kind == "svg" or FORMATS[kind].draws for kind in kinds)


def _put(kind: str, path: Path, report: dict[str, Any], uris: dict[str, str], force: bool, three_d: bool) -> None:
    """Write one file, or the drawings into their folder."""
    if kind != "svg":
        _write(path, _made(kind, report, uris, False, three_d), force)
        return
    from modellint.reports.svg_folder import write_folder
    from modellint.text import for_terminal

    number, left = write_folder(report, path, force)
    more = f"; {left} more elevations are left out" if left else ""
    click.echo(f"{number} drawings are in {for_terminal(str(path))}{more}.", err=True)


def _made(kind: str, report: dict[str, Any], uris: dict[str, str], colour: bool, three_d: bool) -> bytes:
    from modellint.reports.formats import render

    width = shutil.get_terminal_size((88, 24)).columns
    options = {"colour": colour, "width": width, "display": report["display"]} if kind == "text" else None
    return render(kind, report, uris=uris, options=options, three_d=three_d)


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
