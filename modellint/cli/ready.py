"""`modellint ready`: what a model is ready for, what to add first, and why a part is what it is."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import click

from modellint.cli.common import (
    color_option,
    debug_option,
    limit_options,
    limits_from,
    others_option,
    project_option,
    use_color,
)
from modellint.errors import UsageProblem


@click.command(short_help="Say what a model is ready for, and what to add.")
@click.argument("model", type=click.Path(path_type=Path))
@others_option()
@click.option(
    "--why",
    metavar="GLOBAL_ID",
    default=None,
    help="Explain one part: its role, other roles considered, and what would change it.",
)
@click.option(
    "--ids",
    type=click.Path(path_type=Path),
    default=None,
    metavar="FILE",
    help="Also write what to add as an IDS 1.0 file, which other programs can check.",
)
@click.option(
    "--format",
    "format_",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="What to print to standard output.",
)
@click.option("--force", is_flag=True, help="Overwrite files that modellint did not write.")
@color_option()
@project_option()
@limit_options()
@debug_option()
@click.option("--width", type=click.IntRange(40, 400), default=None, help="Columns; default: the terminal's.")
@click.pass_context
def ready(
    ctx: click.Context,
    model: Path,
    others: tuple[Path, ...],
    why: str | None,
    ids: Path | None,
    format_: str,
    force: bool,
    color: str,
    project: Path | None,
    memory: int,
    seconds: float,
    width: int | None,
) -> None:
    """Say what MODEL is ready for: what was recognised, which rules can be asked, what to add first.

    Nothing is judged. Exit status: 0 the model was read; 2 wrong usage or project file; 3 the model is
    unreadable, cut or damaged.

    Examples:

      modellint ready house.ifc

      modellint ready house.ifc --ids demands.ids

      modellint ready house.ifc --why 2O2Fr$t4X7Zf8NOew3FLOH
    """
    from modellint.worker import run

    request = {
        "models": [model, *others],
        "project": project,
        "why": why,
        "debug": bool(ctx.find_root().obj and ctx.find_root().obj.debug),
    }
    plain = run(request, limits_from(memory, seconds), target="modellint.pipeline_ready:ready")
    if "roles" not in plain and "why" not in plain:  # it could not be read at all
        _incomplete(plain["incomplete"])
    if ids is not None:
        _write_ids(plain, ids, force)
    click.echo(_made(plain, format_, use_color(color), width), nl=False, color=True)
    if plain["incomplete"]:
        _incomplete(plain["incomplete"])


def _made(plain: dict[str, Any], format_: str, colour: bool, width: int | None) -> str:
    if format_ == "json":
        from modellint.reports.json_report import to_json

        return to_json(plain).decode()
    from modellint.reports.ready_text import render, render_why

    columns = width or min(shutil.get_terminal_size((88, 24)).columns, 120)
    return (render_why if "why" in plain else render)(plain, colour=colour, width=columns)


def _write_ids(plain: dict[str, Any], path: Path, force: bool) -> None:
    from modellint.reports.atomic import write_atomic
    from modellint.reports.ready_ids import render as render_ids

    if "why" in plain:
        raise UsageProblem("--ids and --why do not go together.")
    made = render_ids(plain)
    if not made:
        click.echo(f"{path} was not written: there is nothing to add that IDS can express.", err=True)
        return
    write_atomic(path, made, force=force)


def _incomplete(reasons: list[str]) -> None:
    from modellint.text import for_terminal

    for reason in reasons:
        click.echo(f"The model is incomplete: {for_terminal(reason, 600)}", err=True)
    raise SystemExit(3)
