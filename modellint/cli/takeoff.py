"""`modellint takeoff`: counts and lengths to order from, and how they differ from an earlier model."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import click

from modellint.cli.common import (
    color_option,
    debug_option,
    format_option,
    limit_options,
    limits_from,
    others_option,
    project_option,
    use_color,
    write_options,
)

FORMATS = ("text", "json", "csv", "xlsx")


@click.command(short_help="Count hardware and pipes to order from.")
@click.argument("model", type=click.Path(path_type=Path))
@others_option()
@click.option(
    "--before",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="EARLIER",
    help="An earlier model, or each of its files: say what was added, dropped or changed since.",
)
@click.option(
    "--units",
    "display",
    type=click.Choice(("metric", "us")),
    default=None,
    help="Units of sizes [default: the project's, else metric]; lengths to cut stay in metres.",
)
@format_option(FORMATS[:3])
@write_options(FORMATS)
@color_option()
@project_option()
@limit_options()
@debug_option()
@click.pass_context
def takeoff(
    ctx: click.Context,
    model: Path,
    others: tuple[Path, ...],
    before: tuple[Path, ...],
    display: str | None,
    format_: str,
    writes: tuple[tuple[str, Path], ...],
    force: bool,
    color: str,
    project: Path | None,
    memory: int,
    seconds: float,
) -> None:
    """Count what MODEL draws of tie-downs, straps, rods, couplers, plates, nuts, anchors, posts, vent pipes and labels.

    By item, length to cut, storey and wall end, with the stage before which each is needed. What cannot be seen is
    listed as open and never filled in. Exit status: 0 counted; 2 wrong usage or project file; 3 the model is
    unreadable, cut or damaged, or nothing was recognised.

    Examples:

      modellint takeoff house.ifc

      modellint takeoff house.ifc --write xlsx=order.xlsx

      modellint takeoff friday.ifc --before monday.ifc --write csv=changes.csv
    """
    from modellint.reports.atomic import write_atomic
    from modellint.text import for_terminal
    from modellint.worker import run

    request = {
        "models": [model, *others],
        "before": list(before),
        "project": project,
        "display": display,
        "debug": bool(ctx.find_root().obj and ctx.find_root().obj.debug),
    }
    plain = run(request, limits_from(memory, seconds), target="modellint.pipeline_takeoff:take_off")
    if "takeoff" in plain:
        for kind, path in writes:
            write_atomic(path, _made(kind, plain, False), force=force)
        click.echo(_made(format_, plain, use_color(color)), nl=False)
    if plain["incomplete"]:
        for reason in plain["incomplete"]:
            click.echo(f"The take-off is incomplete: {for_terminal(reason, 600)}", err=True)
        raise SystemExit(3)


def _made(kind: str, plain: dict[str, Any], colour: bool) -> bytes:
    if kind == "json":
        from modellint.reports.json_report import to_json

        return to_json(plain)
    if kind == "csv":
        from modellint.reports.takeoff_csv import render as table

        return table(plain)
    if kind == "xlsx":
        from modellint.reports.workbook import render as book

        return book(plain)
    from modellint.reports.takeoff_text import render

    width = min(shutil.get_terminal_size((88, 24)).columns, 120)
    return render(plain, colour=colour, width=width).encode()
