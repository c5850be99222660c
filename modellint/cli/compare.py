"""`modellint compare`: two revisions of a model in, what changed and what that did out."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

import click

from modellint.cli.check import STAGES
from modellint.cli.common import (
    color_option,
    debug_option,
    limit_options,
    limits_from,
    project_option,
    today_option,
    use_color,
    write_options,
)
from modellint.errors import UsageProblem

FORMATS = ("text", "json", "html", "sarif", "junit", "gitlab", "annotations", "markdown")


@click.command(short_help="Compare two revisions of a model.")
@click.argument("models", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="[BEFORE] AFTER")
@click.option("--git", "revision", default=None, metavar="REV",
              help="Compare MODEL with its state in this commit of its git repository; then name only MODEL.")
@click.option("--with-before", "more_before", multiple=True, type=click.Path(path_type=Path), metavar="FILE",
              help="A further file of the earlier house; may be repeated.")
@click.option("--with-after", "more_after", multiple=True, type=click.Path(path_type=Path), metavar="FILE",
              help="A further file of the later house; may be repeated. With --git also of the earlier one.")
@click.option("--due", type=click.Choice(STAGES), default=None,
              help="Only what is due at or before this stage counts.")
@click.option("--fail-on", type=click.Choice(("error", "warning", "note", "never")), default="error",
              show_default=True, help="Lowest level of a new fail that makes the exit status 1.")
@click.option("--open-is-fail", is_flag=True, help="What newly cannot be told makes the exit status 1, too.")
@click.option("--earlier", type=click.Path(path_type=Path), multiple=True, metavar="REPORT.json",
              help="JSON report of a still earlier revision: a new finding that stood in it has returned.")
@click.option("--units", "display", type=click.Choice(("metric", "us")), default=None,
              help="Units of the report [default: the project's, else metric].")
@click.option("--format", "format_", type=click.Choice(FORMATS), default="text", show_default=True,
              help="What to print; the forms for CI hold the new findings only.")
@write_options(FORMATS)
@color_option()
@project_option()
@today_option()
@limit_options()
@debug_option()
@click.pass_context
def compare(ctx: click.Context, models: tuple[Path, ...], revision: str | None, more_before: tuple[Path, ...],
            more_after: tuple[Path, ...], due: str | None, fail_on: str, open_is_fail: bool,
            earlier: tuple[Path, ...], display: str | None, format_: str, writes: tuple[tuple[str, Path], ...],
            force: bool, color: str, project: Path | None, today: date, memory: int, seconds: float) -> None:
    """Compare two revisions: what moved, appeared or vanished, which findings are new, and who must be told.

    Parts are matched by GlobalId, or by what they are and where they stand if the ids were renewed; a house that was
    moved, turned or mirrored as a whole has not changed. Rules and settings are those of AFTER's project, for both.
    A folder stands for the models in it, as the files of one house. Exit status: 0 nothing new counts; 1 a new finding
    does, or a part marked as framed, poured or covered has changed; 2 wrong usage; 3 a check is incomplete.

    Examples:

      modellint compare monday.ifc friday.ifc

      modellint compare --git HEAD house.ifc --write json=compare.json

      modellint compare monday.ifc friday.ifc --write html=changes.html

      modellint compare frame-1.ifc frame-2.ifc --with-before pipes-1.ifc --with-after pipes-2.ifc

      modellint compare monday/ friday/
    """
    from modellint.worker import run

    wanted = 1 if revision else 2
    if len(models) != wanted:
        raise click.UsageError("Name the model, whose earlier commit it is compared with." if revision
                               else "Name two models, BEFORE and AFTER.")
    after = [*files_of(models[-1]), *more_after]
    request = {"models": after, "project": project, "due": due, "fail_on": fail_on, "open_is_fail": open_is_fail,
               "display": display, "today": today.isoformat(), "earlier": _ids(earlier),
               "before_name": f"git {revision}" if revision else "",
               "drawings": "html" in {format_, *(kind for kind, _ in writes)},
               "debug": bool(ctx.find_root().obj and ctx.find_root().obj.debug)}
    if revision and more_before:
        raise click.UsageError("With --git the earlier files are those of the commit; leave --with-before out.")
    with _before(after if revision else [*files_of(models[0]), *more_before], revision) as before:
        made = run({**request, "before": before}, limits_from(memory, seconds), target="modellint.comparison:compare")
    if "matching" not in made:  # the process died: there is only a report that says so
        raise SystemExit(_died(made))
    for kind, file in writes:
        _write(file, _made(kind, made, after, False), force)
    click.echo(_made(format_, made, after, use_color(color)), nl=False)
    raise SystemExit(made["exit"]["status"])


def files_of(model: Path) -> list[Path]:
    """The model itself, or the models of a folder, which are the files of one house.

    Raises:
        UsageProblem: the folder holds no model.
    """
    from modellint.many import expand

    return expand([model]) if model.is_dir() else [model]


def _died(made: dict[str, Any]) -> int:
    from modellint.text import for_terminal

    for reason in made["exit"]["reasons"]:
        click.echo(f"modellint: {for_terminal(reason, 1000)}", err=True)
    return int(made["exit"]["status"])


def _made(kind: str, made: dict[str, Any], after: list[Path], colour: bool) -> bytes:
    """The comparison in one form; those for CI are a report that holds only what is new."""
    if kind == "json":
        from modellint.reports.json_report import to_json

        return to_json({key: row for key, row in made.items() if key != "drawings"})
    if kind == "html":
        from modellint.reports.compare_html import render as page

        return page(made).encode()
    if kind == "text":
        from modellint.reports.compare_text import render

        width = shutil.get_terminal_size((88, 24)).columns
        return render(made, colour=colour, width=width, display=made["display"]).encode()
    from modellint.cli.check import _uris
    from modellint.reports.formats import render as in_format

    new = [row["finding"] for row in made["findings"] if row["status"] in {"new", "returned"}]
    return in_format(kind, {**made["report"], "findings": new, "exit": made["exit"]}, uris=_uris(tuple(after)))


def _write(path: Path, data: bytes, force: bool) -> None:
    from modellint.reports.atomic import write_atomic

    write_atomic(path, data, force=force)


def _ids(reports: tuple[Path, ...]) -> list[str]:
    """Ids of all findings in JSON reports of earlier checks."""
    from modellint.reports.baseline import read_report

    return sorted({str(row["id"]) for path in reports for row in read_report(path)["findings"]})


@contextmanager
def _before(files: list[Path], revision: str | None) -> Iterator[list[Path]]:
    """The earlier files: those named, or the files as a commit has them, in temporary folders."""
    if revision is None:
        yield files
        return
    with tempfile.TemporaryDirectory(prefix="modellint-") as folder:
        found = []
        for k, path in enumerate(files):
            own = Path(folder) / str(k)
            own.mkdir()
            found.append(file_of_commit(path, revision, own))
        yield found


def file_of_commit(model: Path, revision: str, folder: Path) -> Path:
    """Write the model as a commit has it into a folder, under its own name.

    Raises:
        UsageProblem: git is not there, the model is in no repository, or the commit does not have it.
    """
    import subprocess

    home = model.resolve().parent
    spec = f"{revision}:./{model.name}"
    if revision.startswith("-") or not home.is_dir():
        raise UsageProblem(f"'{revision}' of {model} is not a commit's file.")
    target = folder / model.name
    try:
        with target.open("wb") as file:
            done = subprocess.run(["git", "-C", str(home), "show", spec], stdout=file, stderr=subprocess.PIPE,
                                  check=False)
    except OSError as error:
        raise UsageProblem("git was not found, so no earlier commit can be read.") from error
    if done.returncode:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines() or ["no reason given"]
        raise UsageProblem(f"git has no {model.name} in '{revision}': {said[0]}")
    return target


__all__ = ["compare", "file_of_commit", "files_of"]
