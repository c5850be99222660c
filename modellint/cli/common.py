"""Options that several commands share, and what their values mean."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, TextIO, TypeVar

import click

from modellint.limits import GIGABYTE, MEGABYTE, Limits

Command = TypeVar("Command", bound=Callable[..., Any])
Decorator = Callable[[Command], Command]
_SIZE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(MB|GB|M|G)\s*", re.IGNORECASE)


class Size(click.ParamType):  # type: ignore[type-arg]
    """A size such as `4 GB` or `800MB`; a megabyte is 1,048,576 bytes. Gives bytes."""

    name = "size"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Read the text."""
        if isinstance(value, int):
            return value
        found = _SIZE.fullmatch(str(value))
        if not found:
            self.fail(f"{value!r} is not a size; write it with a unit, as 4GB or 800MB.", param, ctx)
        return int(float(found[1]) * (GIGABYTE if found[2].upper().startswith("G") else MEGABYTE))


class Day(click.ParamType):  # type: ignore[type-arg]
    """A day written as YYYY-MM-DD."""

    name = "day"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Read the text."""
        if isinstance(value, date):
            return value
        try:
            return datetime.strptime(str(value), "%Y-%m-%d").date()
        except ValueError:
            return self.fail(f"{value!r} is not a day; write it as YYYY-MM-DD.", param, ctx)


class Write(click.ParamType):  # type: ignore[type-arg]
    """`FORMAT=FILE`; gives both."""

    name = "format=file"

    def __init__(self, formats: Sequence[str]) -> None:
        self.formats = tuple(formats)

    def convert(self, value: Any, param: click.Parameter | None,
                ctx: click.Context | None) -> tuple[str, Path]:
        """Split the text at its first `=`."""
        if isinstance(value, tuple):
            return value
        kind, sign, file = str(value).partition("=")
        if not sign or not file or kind not in self.formats:
            self.fail(f"{value!r} is not FORMAT=FILE with one of {', '.join(self.formats)}.", param, ctx)
        return kind, Path(file)


def format_option(formats: Sequence[str], default: str = "text") -> Decorator[Any]:
    """`--format`: what is printed to standard output."""
    return click.option("--format", "format_", type=click.Choice(list(formats)), default=default,
                        show_default=True, help="What to print to standard output.")


def write_options(formats: Sequence[str]) -> Decorator[Any]:
    """`--write FORMAT=FILE`, repeatable, as `writes`; `--force` to overwrite files of other programs."""
    return _together(
        click.option("--write", "writes", type=Write(formats), multiple=True, metavar="FORMAT=FILE",
                     help=f"Also write a report into a file; may be repeated ({', '.join(formats)})."),
        click.option("--force", is_flag=True, help="Overwrite files that modellint did not write."))


def color_option() -> Decorator[Any]:
    """`--color`, as `color`; see use_color."""
    return click.option("--color", type=click.Choice(["auto", "always", "never"]), default="auto",
                        show_default=True, help="Colour is never the only sign of anything.")


def limit_options() -> Decorator[Any]:
    """`--memory` and `--seconds`; hand both to limits_from."""
    standard = Limits()
    return _together(
        click.option("--memory", type=Size(), default=standard.memory, metavar="SIZE",
                     help=f"Most memory of the checking process [default: {standard.memory // GIGABYTE}GB]."),
        click.option("--seconds", type=click.FloatRange(min=0, min_open=True), default=standard.seconds,
                     show_default=True, help="Longest time of the whole check."))


def project_option() -> Decorator[Any]:
    """`--project FILE`, None to look for modellint.yaml upward from the model."""
    return click.option("--project", type=click.Path(path_type=Path), default=None,
                        help="Project file [default: modellint.yaml beside the model or above it].")


def others_option() -> Decorator[Any]:
    """`--with FILE`, repeatable, as `others`: further files of the same house."""
    return click.option("--with", "others", multiple=True, type=click.Path(path_type=Path), metavar="FILE",
                        help="A further file of the same house; may be repeated.")


def today_option() -> Decorator[Any]:
    """`--today DAY`, as `today`: never None; see day."""
    return click.option("--today", type=Day(), default=None, callback=lambda _ctx, _param, value: day(value),
                        metavar="YYYY-MM-DD", help="Day that counts as today [default: SOURCE_DATE_EPOCH, "
                                                   "else the system's].")


def cache_option() -> Decorator[Any]:
    """`--cache FOLDER|off`, as `cache`; hand it to cache_from."""
    return click.option("--cache", default=None, envvar="MODELLINT_CACHE", metavar="FOLDER|off",
                        help="Where results of earlier checks are kept; they answer for models that have not "
                             "changed [default: see modellint cache --where].")


def cache_from(choice: str | None) -> Any:
    """The cache a choice means: None for `off`, else a `modellint.cache.Cache`."""
    from modellint.cache import OFF, Cache, default_folder

    if choice == OFF:
        return None
    return Cache(Path(choice) if choice else default_folder())


def debug_option() -> Decorator[Any]:
    """`--debug` behind the command's name, as well as before it."""
    def remember(ctx: click.Context, _param: click.Parameter, value: bool) -> None:
        if value and ctx.find_root().obj is not None:
            ctx.find_root().obj.debug = True

    return click.option("--debug", is_flag=True, expose_value=False, callback=remember,
                        help="Show tracebacks and what the reader itself prints.")


def limits_from(memory: int, seconds: float) -> Limits:
    """Limits of a check; processor time never ends before the clock does."""
    return Limits(memory=memory, seconds=seconds, cpu_seconds=max(1, int(seconds) + 1))


def use_color(choice: str, stream: TextIO | None = None) -> bool:
    """Whether to print colours.

    `auto` prints them on a terminal unless TERM is `dumb`; a NO_COLOR that is set and not empty forbids them,
    a FORCE_COLOR that is set and not empty wants them (NO_COLOR wins).
    """
    if choice != "auto":
        return choice == "always"
    if os.environ.get("NO_COLOR"):
        return False
    if os.environ.get("FORCE_COLOR"):
        return True
    return (stream or sys.stdout).isatty() and os.environ.get("TERM") != "dumb"


def day(given: date | None) -> date:
    """The given day, else that of SOURCE_DATE_EPOCH (UTC), else the system's."""
    if given:
        return given
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    if not epoch:
        return date.today()
    try:
        return datetime.fromtimestamp(int(epoch), UTC).date()
    except (ValueError, OverflowError, OSError) as error:
        raise click.UsageError(f"SOURCE_DATE_EPOCH is {epoch!r}, not a number of seconds.") from error


def _together(*decorators: Decorator[Any]) -> Decorator[Any]:
    def decorate(command: Any) -> Any:
        for decorator in reversed(decorators):
            command = decorator(command)
        return command
    return decorate
