"""`modellint trace`: one chain, link by link."""

from __future__ import annotations

import difflib
import re
import shutil
from collections.abc import Mapping, Sequence
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

Row = Mapping[str, Any]
_COMPASS = {"n": "north", "e": "east", "s": "south", "w": "west"}
_KINDS = ("uplift", "compression", "vent")
_MOST = 20


@click.command(short_help="Walk one chain link by link.")
@click.argument("model", type=click.Path(path_type=Path))
@click.argument("which", nargs=-1, metavar="WALL_END|vent")
@others_option()
@click.option("--units", "display", type=click.Choice(["metric", "us"]), default=None,
              help="Units of the printed numbers [default: the project's, else metric].")
@color_option()
@project_option()
@limit_options()
@debug_option()
@click.option("--width", type=click.IntRange(40, 400), default=None, help="Columns; default: the terminal's.")
def trace(model: Path, which: tuple[str, ...], others: tuple[Path, ...], display: str | None, color: str,
          project: Path | None, memory: int, seconds: float, width: int | None) -> None:
    """Walk one chain of MODEL link by link: a wall end's way down to the foundation, or the soil-gas vent.

    WALL_END is free text: wall mark, storey and end, in any order ("S1 Level 1 east"), a part of the name, or
    the key of the wall end. Add "compression" for the chain that pushes. Without it all chains are listed.
    """
    from modellint.reports.trace_text import render_path
    from modellint.text import for_terminal
    from modellint.worker import run

    request = {"models": [model, *others], "display": display, "project": project}
    report = run(request, limits_from(memory, seconds))
    if report["paths"]:
        path = choose(report["paths"], " ".join(which))
        columns = width or min(shutil.get_terminal_size((80, 24)).columns, 120)
        text = render_path(path, colour=use_color(color), width=columns, display=report["display"])
        click.echo(text, nl=False, color=True)
    if report["exit"]["status"] == 3:
        for reason in report["exit"]["reasons"]:
            click.echo(f"The check is incomplete: {for_terminal(reason, 600)}", err=True)
        raise SystemExit(3)
    if not report["paths"]:
        choose((), "")


def choose(paths: Sequence[Row], text: str) -> Row:
    """The one chain that a text means.

    A key means its own chain. Otherwise a storey named in the text must be on the chain's way and every other
    word a word of its name or kind; `e` means east and so on. Of a wall end's two chains the uplift chain is
    meant unless the text says `compression`.

    Raises:
        UsageProblem: no chain or several fit; the message lists candidates.
    """
    if not paths:
        raise UsageProblem("This model shows no chain: no wall end and no soil-gas vent was recognised.")
    exact = [path for path in paths if path["subject_key"] == text.strip()]
    storeys = sorted({storey for path in paths for storey in _storeys(path)}, key=lambda name: (-len(name), name))
    fitting = exact or [path for path in paths if _fits(path, text, storeys)]
    if len(fitting) > 1:
        fitting = _preferred(fitting, text)
    if len(fitting) == 1:
        return fitting[0]
    raise UsageProblem(_explain(paths, fitting, text))


def _words(text: str) -> list[str]:
    """Words of a text; a mark such as SW-2 stays one word."""
    return re.findall(r"[^\s,;()/]+", text.casefold())


def _storeys(path: Row) -> list[str]:
    """Storeys that a chain goes through, the longest names first."""
    names = {path["storey"], *(slot["storey"] for slot in path["slots"])} - {""}
    return sorted((name.casefold() for name in names), key=lambda name: (-len(name), name))


def _fits(path: Row, text: str, every_storey: Sequence[str]) -> bool:
    """Storeys named in the text are on the chain's way; every other word is a word of its name or kind."""
    rest = " ".join(_words(text))
    for storey in every_storey:
        phrase = " ".join(_words(storey))
        if re.search(rf"(?<!\S){re.escape(phrase)}(?!\S)", rest):
            if storey not in _storeys(path):
                return False
            rest = rest.replace(phrase, " ")
    own = {*_words(path["name"]), *_words(path["kind"])}
    asked = [word for word in _words(rest) if word in own or word not in {"wall", "end", "the", "chain", "storey"}]
    return bool(_words(text)) and all(word in own or _COMPASS.get(word) in own for word in asked)


def _preferred(fitting: list[Row], text: str) -> list[Row]:
    """Fewer by what a reader most likely means: uplift before compression, then the shortest name."""
    if not set(_KINDS) & set(_words(text)):
        first = min(_KINDS.index(path["kind"]) if path["kind"] in _KINDS else 9 for path in fitting)
        fitting = [path for path in fitting if path["kind"] in _KINDS[first:first + 1]] or fitting
    shortest = min(len(_words(path["name"])) for path in fitting)
    return [path for path in fitting if len(_words(path["name"])) == shortest]


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
