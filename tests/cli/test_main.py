"""The command as a shell sees it: start-up, statuses, closed pipes, odd locales; and its shared options."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import click
import pytest
from click.testing import CliRunner

from modellint.cli import common, main
from modellint.errors import FileProblems, ModelUnreadable, UsageProblem

ROOT = Path(__file__).resolve().parents[2]
HEAVY = ("ifcopenshell", "numpy", "networkx", "jsonschema", "yaml", "shapely")
START = f"import sys; sys.path.insert(0, {str(ROOT)!r}); from modellint.cli import main; "


def shell(code: str, **more: Any) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([sys.executable, "-c", START + code], capture_output=True, check=False, **more)


@pytest.mark.parametrize("option", ["--help", "-h", "--version"])
def test_help_loads_no_heavy_library(option: str) -> None:
    """What it costs in time is measured by `python -m sample_models.speed`, not here."""
    done = shell(f"import atexit; atexit.register(lambda: print([m for m in {HEAVY} if m in "
                 f"sys.modules], file=sys.stderr)); main.main([{option!r}])")
    assert done.returncode == 0
    assert done.stderr.strip() == b"[]"


def test_listing_the_rules_loads_no_library_for_models_or_graphs() -> None:
    heavy = ("ifcopenshell", "networkx", "shapely", "jsonschema")
    done = shell(f"import atexit; atexit.register(lambda: print([m for m in {heavy} if m in sys.modules], "
                 "file=sys.stderr)); main.main(['rules'])")
    assert done.returncode == 0
    assert done.stderr.strip() == b"[]"


def test_closed_pipe_is_no_finding_and_no_traceback() -> None:
    code = ("import click; main.LazyGroup.get_command = lambda *_: click.Command('flood', callback=lambda: "
            "[click.echo('x' * 1000) for _ in range(10000)]); main.main(['flood'])")
    with subprocess.Popen([sys.executable, "-c", START + code], stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE) as child:
        assert child.stdout is not None
        assert child.stderr is not None
        child.stdout.read(10)
        child.stdout.close()
        assert child.stderr.read() == b""
        assert child.wait() == main.BROKEN_PIPE


def test_output_is_utf8_whatever_the_locale() -> None:
    done = shell("import click; main.LazyGroup.get_command = lambda *_: "
                 "click.Command('say', callback=lambda: "
                 "click.echo('1/2″ \\u2014 \\ud800')); main.main(['say'])",
                 env={**os.environ, "LC_ALL": "C", "PYTHONIOENCODING": "ascii"})
    assert done.stdout == "1/2″ — \\ud800\n".encode()


@pytest.mark.parametrize(("error", "status", "text"), [
    (UsageProblem("No such stage."), 2, "modellint: No such stage.\n"),
    (ModelUnreadable("a\x1b[2J.ifc is cut."), 3, "modellint: a\\x1b[2J.ifc is cut.\n"),
    (FileProblems([("a", 2, 1, "two"), ("a", 1, 1, "one")]), 2,
     "modellint: a:1:1: one\nmodellint: a:2:1: two\n"),
    (KeyError("x"), 3, "modellint: stopped on an error of its own (KeyError: 'x'); run it with --debug and "
                       "report it.\n"),
    (KeyboardInterrupt(), 130, "Interrupted.\n"),
])
def test_errors_are_sentences_with_a_status(error: BaseException, status: int, text: str,
                                            monkeypatch: pytest.MonkeyPatch,
                                            capsys: pytest.CaptureFixture[str]) -> None:
    def fail() -> None:
        raise error

    monkeypatch.setattr(main.LazyGroup, "get_command", lambda *_: click.Command("fail", callback=fail))
    assert main._status(["fail"], main.State()) == status
    assert capsys.readouterr().err == text
    if isinstance(error, Exception):
        main._status(["--debug", "fail"], main.State())
        assert "Traceback" in capsys.readouterr().err


def test_unknown_command_is_wrong_usage(capsys: pytest.CaptureFixture[str]) -> None:
    assert main._status(["nonsense"], main.State()) == 2
    assert "No such command" in capsys.readouterr().err


@pytest.mark.parametrize(("choice", "terminal", "variables", "colour"), [
    ("always", False, {"NO_COLOR": "1"}, True), ("never", True, {"FORCE_COLOR": "1"}, False),
    ("auto", True, {}, True), ("auto", False, {}, False), ("auto", True, {"NO_COLOR": "1"}, False),
    ("auto", True, {"NO_COLOR": ""}, True), ("auto", True, {"TERM": "dumb"}, False),
    ("auto", False, {"FORCE_COLOR": "1"}, True), ("auto", True, {"NO_COLOR": "1", "FORCE_COLOR": "1"}, False),
])
def test_colour(choice: str, terminal: bool, variables: dict[str, str], colour: bool,
                monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "TERM"):
        monkeypatch.delenv(name, raising=False)
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    stream: Any = SimpleNamespace(isatty=lambda: terminal)
    assert common.use_color(choice, stream) is colour


def test_shared_options(monkeypatch: pytest.MonkeyPatch) -> None:
    got: dict[str, Any] = {}

    @click.command()
    @common.format_option(["text", "json"])
    @common.write_options(["json", "sarif"])
    @common.color_option()
    @common.limit_options()
    @common.project_option()
    @common.today_option()
    @common.debug_option()
    def command(**values: Any) -> None:
        got.update(values)

    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    run = CliRunner().invoke
    assert run(command, ["--memory", "1.5 GB", "--write", "json=a=b.json"]).exit_code == 0
    assert (got["memory"], got["writes"], got["today"]) == (3 << 29, (("json", Path("a=b.json")),),
                                                            date(1970, 1, 2))
    assert run(command, ["--today", "2026-02-03"]).exit_code == 0
    assert got["today"] == date(2026, 2, 3)
    for wrong in (["--memory", "4"], ["--today", "3/2/26"], ["--write", "json"], ["--write", "x=y"],
                  ["--seconds", "0"]):
        assert run(command, wrong).exit_code == 2, wrong
