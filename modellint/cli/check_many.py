"""`modellint check` for several models: what it prints and writes."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from modellint.cache import Cache
from modellint.errors import UsageProblem
from modellint.limits import Limits

ENDINGS = {"text": "txt", "json": "json", "junit": "xml", "gitlab": "gitlab.json", "annotations": "annotations.txt",
           "markdown": "md", "bcf2.1": "2.1.bcf", "sarif": "sarif", "html": "html", "bcf": "bcf", "csv": "csv"}


def check_many(models: Sequence[Path], request: Mapping[str, Any], limits: Limits, *, jobs: int,
               cluster: str | None, cluster_wait: float, cache: Cache | None, format_: str,
               writes: Sequence[tuple[str, Path]], force: bool, colour: bool) -> int:
    """Check all models, print the merged summary and write each model's reports into folders.

    Returns:
        The exit status.

    Raises:
        UsageProblem: a format that cannot be printed for several models, or a folder that is a file.
    """
    from modellint.many import check_all, expand, summary_of
    from modellint.reports.json_report import to_json
    from modellint.reports.many_text import render

    if format_ not in {"text", "json"}:
        raise UsageProblem(f"For several models, text and json are printed; write the others into a folder: --write "
                           f"{format_}=FOLDER.")
    for _, folder in writes:
        if folder.exists() and not folder.is_dir():
            raise UsageProblem(f"For several models, --write names a folder; {folder} is a file.")
    if cluster is None:
        rows = check_all(expand(models), request, limits, jobs=jobs, cache=cache, tell=_tell)
    else:
        from modellint.cluster import check_on_cluster

        rows = check_on_cluster(cluster, expand(models), request, limits, wait=cluster_wait, cache=cache, tell=_tell)
    _clear()
    for kind, folder in writes:
        _write_each(rows, kind, folder, force, bool(request.get("three_d")))
    plain = summary_of(rows)
    if format_ == "json":
        click.echo(to_json(plain), nl=False)
    else:
        width = shutil.get_terminal_size((88, 24)).columns
        click.echo(render(plain, colour=colour, width=width), nl=False, color=True)
    status: int = plain["exit"]["status"]
    return status


def _write_each(rows: Sequence[Any], kind: str, folder: Path, force: bool, three_d: bool) -> None:
    """One file per model that has a report, named after the model's path."""
    from modellint.reports.atomic import write_atomic
    from modellint.reports.formats import render

    folder.mkdir(parents=True, exist_ok=True)
    taken: dict[str, int] = {}
    for row in rows:
        if row.report is None:
            continue
        stem = "".join(sign if sign.isalnum() or sign in "-_.+ " else "_" for sign in row.name.removesuffix(".ifc"))
        stem = stem.lstrip("._") or "model"
        taken[stem] = taken.get(stem, 0) + 1
        stem += f"~{taken[stem]}" if taken[stem] > 1 else ""
        if kind == "svg":
            from modellint.reports.svg_folder import write_folder

            write_folder(row.report, folder / stem, force)
            continue
        uris = {} if Path(row.name).is_absolute() else {row.path.name: row.name}
        made = render(kind, row.report, uris=uris, three_d=three_d)
        write_atomic(folder / f"{stem}.{ENDINGS.get(kind, kind)}", made, force=force)


def _tell(done: int, number: int, name: str) -> None:
    if sys.stderr.isatty():
        from modellint.text import for_terminal

        click.echo(f"\r{f'{done} of {number} checked: {for_terminal(name, 50)}':<79}", nl=False, err=True)


def _clear() -> None:
    if sys.stderr.isatty():
        click.echo("\r" + " " * 79 + "\r", nl=False, err=True)
