"""`modellint trace`: one chain, link by link."""

from __future__ import annotations

import difflib
import re
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from modellint.errors import UsageProblem

Row = Mapping[str, Any]
_COMPASS = {"n": "north", "e": "east", "s": "south", "w": "west"}
_KINDS = ("uplift", "compression", "vent")
_MOST = 20


@click.command(short_help="Walk one chain link by link.")
@click.argument("model", type=click.Path(path_type=Path))
@click.argument("which", nargs=-1, metavar="WALL_END|vent")
@click.option("--display", type=click.Choice(["metric", "us"]), default="metric", show_default=True,
              help="Units of the printed numbers.")
@click.option("--color", "colour", type=click.Choice(["auto", "always", "never"]), default="auto",
              show_default=True, help="Colours; words and signs say the same.")
@click.option("--width", type=click.IntRange(40, 400), default=None, help="Columns; default: the terminal's.")
def trace(model: Path, which: tuple[str, ...], display: str, colour: str, width: int | None) -> None:
    """Walk one chain of MODEL link by link: a wall end's way down to the foundation, or the soil-gas vent.

    WALL_END is free text: wall mark, storey and end, in any order ("S1 Level 1 east"), a part of the name, or
    the key of the wall end. Add "compression" for the chain that pushes. Without it all chains are listed.
    """
    from modellint.reports.trace_text import render_path
    from modellint.text import for_terminal

    report = _checked(model, display)
    if report["paths"]:
        path = choose(report["paths"], " ".join(which))
        columns = width or min(shutil.get_terminal_size((80, 24)).columns, 120)
        text = render_path(path, colour=_coloured(colour), width=columns, display=display)
        click.echo(text, nl=False, color=True)
    if report["exit"]["status"] == 3:
        for reason in report["exit"]["reasons"]:
            click.echo(f"The check is incomplete: {for_terminal(reason, 600)}", err=True)
        raise SystemExit(3)
    if not report["paths"]:
        choose((), "")


def _checked(model: Path, display: str) -> dict[str, Any]:
    """The report of one model, from the child process."""
    from modellint.worker import run

    return run({"models": [model], "display": display})


def _coloured(colour: str) -> bool:
    """Whether to print colours: on a terminal, unless NO_COLOR or TERM=dumb say otherwise."""
    import os
    import sys

    if colour != "auto":
        return colour == "always"
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb":
        return False
    return bool(os.environ.get("FORCE_COLOR")) or sys.stdout.isatty()


def choose(paths: Sequence[Row], text: str) -> Row:
    """The one chain that a text means.

    A key means its own chain. Otherwise every word of the text must be a word of the chain's name, storey or
    kind; `e` means east and so on. Of a wall end's two chains the uplift chain is meant unless the text says
    `compression`.

    Raises:
        UsageProblem: no chain or several fit; the message lists candidates.
    """
    if not paths:
        raise UsageProblem("This model shows no chain: no wall end and no soil-gas vent was recognised.")
    exact = [path for path in paths if path["subject_key"] == text.strip()]
    fitting = exact or [path for path in paths if _fits(path, _words(text))]
    if len(fitting) > 1:
        fitting = _preferred(fitting, text)
    if len(fitting) == 1:
        return fitting[0]
    raise UsageProblem(_explain(paths, fitting, text))


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text.casefold())


def _name_words(path: Row) -> set[str]:
    return {*_words(path["name"]), *_words(path["storey"]), *_words(path["kind"])}


def _fits(path: Row, asked: list[str]) -> bool:
    """Every asked word is a word of the path; words such as "wall" and "end" may be too many."""
    own = _name_words(path)
    return bool(asked) and all(word in own or _COMPASS.get(word) in own for word in asked if word not in
                               {"wall", "end", "the", "chain", "storey"} or word in own)


def _preferred(fitting: list[Row], text: str) -> list[Row]:
    """Fewer by what a reader most likely means: the same name, then uplift before compression."""
    same = [path for path in fitting if _words(path["name"]) == _words(text)]
    fitting = same or fitting
    if not set(_KINDS) & set(_words(text)):
        first = min(_KINDS.index(path["kind"]) if path["kind"] in _KINDS else 9 for path in fitting)
        if len({path["subject_key"] for path in fitting}) == 1:
            return [path for path in fitting if path["kind"] in _KINDS[first:first + 1]]
    return fitting


def _explain(paths: Sequence[Row], fitting: list[Row], text: str) -> str:
    """One sentence and the candidates below it."""
    from modellint.text import for_terminal

    asked = for_terminal(text, 80)
    if fitting:
        head, listed = f'"{asked}" fits {len(fitting)} chains; say which one:', fitting
    elif not text.strip():
        head, listed = "Say which chain to walk:", list(paths)
    else:
        labels = [_label(path).casefold() for path in paths]
        close = difflib.get_close_matches(" ".join(_words(text)), labels, 5, 0.5)
        near = [path for path, label in zip(paths, labels, strict=True) if label in close]
        head, listed = f'No chain is called "{asked}"; there are:', near or list(paths)
    names = list(dict.fromkeys(f"  {_label(path)}" for path in listed))
    more = [f"  … and {len(names) - _MOST} more"] if len(names) > _MOST else []
    return "\n".join([head, *names[:_MOST], *more])


def _label(path: Row) -> str:
    """How a chain is listed; the storey follows the name where the name lacks it."""
    from modellint.text import for_terminal

    name = path["name"] if path["storey"] in path["name"] else f"{path['name']}, {path['storey']}"
    return for_terminal(f"{name} ({path['kind']})", 120)
