"""The command `modellint`: commands are imported only when they are called."""

from __future__ import annotations

import importlib
import os
import signal
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from types import FrameType
from typing import Any, NoReturn, TextIO

import click

import modellint
from modellint.errors import ModellintError

INTERRUPTED, TERMINATED, BROKEN_PIPE = 130, 143, 141  # 128 and the number of the signal, as shells have it
_COMPLETION = "_MODELLINT_COMPLETE"


@dataclass
class State:
    """What one run of the command shares, as the root context's object."""

    debug: bool = False


# name: (module, object, one line for --help), so that --help imports none of them
COMMANDS = {
    "accept": ("modellint.cli.accept", "accept", "Accept a finding for a time, by name and with a reason."),
    "cache": ("modellint.cli.cache", "cache", "See or clear the results of earlier checks."),
    "check": ("modellint.cli.check", "check", "Check an IFC model and report what breaks."),
    "ready": ("modellint.cli.ready", "ready", "Say what a model is ready for, and what to add."),
    "compare": ("modellint.cli.compare", "compare", "Compare two revisions of a model."),
    "rfi": ("modellint.cli.rfi", "rfi", "Draft a request for information about a finding."),
    "rules": ("modellint.cli.rules", "rules", "List and explain the rules."),
    "sheets": ("modellint.cli.sheets", "sheets", "Write field sheets to print."),
    "takeoff": ("modellint.cli.takeoff", "takeoff", "Count hardware and pipes to order from."),
    "trace": ("modellint.cli.trace", "trace", "Walk one chain link by link."),
    "whatif": ("modellint.cli.whatif", "whatif", "Judge a changed copy and print what differs."),
}


class LazyGroup(click.Group):
    """A group whose commands are modules, imported when one of them is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in alphabetical order."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command's module."""
        if cmd_name not in COMMANDS:
            return None
        module, name, _ = COMMANDS[cmd_name]
        command: click.Command = getattr(importlib.import_module(module), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name][2]) for name in self.list_commands(ctx)])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(modellint.__version__, "--version", prog_name="modellint")
@click.option("--debug", is_flag=True, help="Show tracebacks and what the reader itself prints.")
@click.pass_context
def cli(ctx: click.Context, debug: bool) -> None:
    """Read an IFC house model and report where its hold-down chains and its soil-gas vent break.

    It advises; it does not design. The engineer of record, the local code and licensed trades decide.

    Exit status of a check: 0 no error is found in what is due (warnings and open questions may remain); 1 an
    error is found; 2 wrong usage, project, rule or schedule file; 3 the check is incomplete; 130 interrupted.
    """
    ctx.ensure_object(State).debug |= debug


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run the command and leave with its exit status."""
    _prepare_streams()
    if sys.platform != "win32":
        signal.signal(signal.SIGTERM, _terminated)
    given = list(sys.argv[1:] if arguments is None else arguments)
    state = State()
    status = _status(given, state)
    try:
        sys.stdout.flush()
    except OSError:
        _discard_output()
        status = BROKEN_PIPE
    sys.exit(status)


def _status(arguments: list[str], state: State) -> int:
    """Run the command; every error becomes a sentence on standard error and a status."""
    try:
        return _invoke(arguments, state)
    except click.exceptions.Exit as end:
        return end.exit_code
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (click.Abort, KeyboardInterrupt):
        say("Interrupted.")
        return INTERRUPTED
    except BrokenPipeError:
        _discard_output()
        return BROKEN_PIPE
    except ModellintError as error:
        _explain(error, state)
        return error.exit_status
    except Exception as error:
        _explain(error, state)
        return ModellintError.exit_status


def _invoke(arguments: list[str], state: State) -> int:
    if instruction := os.environ.get(_COMPLETION):
        from click.shell_completion import shell_complete

        return shell_complete(cli, {}, "modellint", _COMPLETION, instruction)
    # click's own main() would turn a closed pipe into status 1, which here means "something fails"
    with cli.make_context("modellint", arguments, obj=state) as context:
        result: Any = cli.invoke(context)
    return result if isinstance(result, int) else 0


def _explain(error: Exception, state: State) -> None:
    from modellint.text import for_terminal

    if state.debug:
        import traceback

        say("".join(traceback.format_exception(error)).rstrip())
        return
    if isinstance(error, ModellintError):
        for k, line in enumerate(str(error).splitlines()):
            listed = line.startswith("  ")
            say(f"    {for_terminal(line, 1000)}" if k and listed else f"modellint: {for_terminal(line, 1000)}")
        return
    what = for_terminal(f"{type(error).__name__}: {error}", 300)
    say(f"modellint: stopped on an error of its own ({what}); run it with --debug and report it.")


def say(text: str) -> None:
    """Print to standard error, also when nobody reads it any more."""
    try:
        click.echo(text, err=True)
    except OSError:
        return


def _prepare_streams() -> None:
    """UTF-8 with plain line ends into files and pipes; a terminal keeps its encoding but never fails."""
    for stream in (sys.stdout, sys.stderr):
        _fit(stream)


def _fit(stream: TextIO | Any) -> None:
    if not hasattr(stream, "reconfigure"):  # replaced by a test or an embedding program
        return
    if stream.isatty():
        stream.reconfigure(errors="backslashreplace")
    else:
        stream.reconfigure(encoding="utf-8", errors="backslashreplace", newline="\n")


def _discard_output() -> None:
    """Send what is still buffered nowhere, so that the interpreter's last flush does not complain."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
    except (OSError, ValueError):
        return


def _terminated(number: int, frame: FrameType | None) -> NoReturn:
    """Leave by an exception, so that the checking process is killed and its folder removed."""
    sys.exit(TERMINATED)


if __name__ == "__main__":
    main()
