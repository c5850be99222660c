"""`modellint whatif`: judge a changed copy of a model and print only what differs."""

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


class Move(click.ParamType):  # type: ignore[type-arg]
    """`GLOBAL_ID=DX,DY,DZ`; gives the id and three lengths in metres."""

    name = "global_id=dx,dy,dz"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Split and read the lengths; a bare 0 needs no unit."""
        from modellint import units
        from modellint.errors import UnitProblem

        if isinstance(value, tuple):
            return value
        key, sign, rest = str(value).partition("=")
        parts = [part.strip() for part in rest.split(",")]
        if not sign or not key.strip() or len(parts) != 3:
            self.fail(f"{value!r} is not GLOBAL_ID=DX,DY,DZ, such as 0abc…=300mm,0,0.", param, ctx)
        try:
            lengths = [0.0 if part in {"0", "-0", "0.0"} else units.parse(part, "length") for part in parts]
        except UnitProblem as problem:
            self.fail(str(problem), param, ctx)
        return (key.strip(), *lengths)


class Set(click.ParamType):  # type: ignore[type-arg]
    """`GLOBAL_ID.QUANTITY=VALUE`; gives all three as text."""

    name = "global_id.quantity=value"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Split at the last dot before the first equals sign."""
        if isinstance(value, tuple):
            return value
        left, sign, text = str(value).partition("=")
        key, dot, quantity = left.rpartition(".")
        if not sign or not dot or not key.strip() or not quantity.strip() or not text.strip():
            self.fail(f"{value!r} is not GLOBAL_ID.QUANTITY=VALUE, such as 0abc….tie_mark=TD-3.", param, ctx)
        return key.strip(), quantity.strip(), text.strip()


@click.command(short_help="Judge a changed copy and print what differs.")
@click.argument("model", type=click.Path(path_type=Path))
@click.option(
    "--move",
    "moves",
    type=Move(),
    multiple=True,
    metavar="GLOBAL_ID=DX,DY,DZ",
    help="Move an element along the model's axes, lengths with units; may be repeated.",
)
@click.option(
    "--set",
    "sets",
    type=Set(),
    multiple=True,
    metavar="GLOBAL_ID.QUANTITY=VALUE",
    help="Give an element a quantity of the property book; may be repeated.",
)
@others_option()
@click.option(
    "--units",
    "display",
    type=click.Choice(["metric", "us"]),
    default=None,
    help="Units of the printed numbers [default: the project's, else metric].",
)
@color_option()
@project_option()
@limit_options()
@debug_option()
@click.option("--width", type=click.IntRange(40, 400), default=None, help="Columns; default: the terminal's.")
def whatif(
    model: Path,
    moves: tuple[Any, ...],
    sets: tuple[Any, ...],
    others: tuple[Path, ...],
    display: str | None,
    color: str,
    project: Path | None,
    memory: int,
    seconds: float,
    width: int | None,
) -> None:
    """Judge MODEL as it is and with all the changes given, and print only what differs.

    Shown are the wall ends whose lever arm, pull, weakest link, margin or break-even changes, old beside new,
    and the findings that go, come or change. The model is never written. It advises; the engineer decides.
    """
    from modellint.reports.whatif_text import render_whatif
    from modellint.text import for_terminal
    from modellint.worker import run

    if not moves and not sets:
        raise click.UsageError("Say what to change, with --move or --set.")
    request = {
        "models": [model, *others],
        "display": display,
        "project": project,
        "moves": [list(row) for row in moves],
        "sets": [list(row) for row in sets],
    }
    answer = run(request, limits_from(memory, seconds), target="modellint.whatif:compare")
    if "what_if" not in answer:
        for reason in answer["exit"]["reasons"]:
            click.echo(f"The check is incomplete: {for_terminal(reason, 600)}", err=True)
        raise SystemExit(3)
    columns = width or min(shutil.get_terminal_size((80, 24)).columns, 120)
    click.echo(render_whatif(answer["what_if"], colour=use_color(color), width=columns), nl=False, color=True)
