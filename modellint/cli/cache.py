"""`modellint cache`: see or clear the results of earlier checks."""

from __future__ import annotations

from pathlib import Path

import click

from modellint.cache import Cache, default_folder
from modellint.limits import MEGABYTE


@click.command(short_help="See or clear the results of earlier checks.")
@click.option("--where", is_flag=True, help="Print the folder and nothing else.")
@click.option("--clear", is_flag=True, help="Remove all kept results.")
@click.option("--cache", "folder", type=click.Path(path_type=Path), default=None, metavar="FOLDER",
              help="Another folder than the usual one.")
def cache(where: bool, clear: bool, folder: Path | None) -> None:
    """See or clear the results of earlier checks, which answer for models that have not changed.

    `modellint check --cache off` neither reads nor keeps any; `--cache FOLDER` uses another folder.
    """
    kept = Cache(folder or default_folder())
    if where:
        click.echo(kept.folder)
        return
    if clear:
        number = kept.clear()
        click.echo(f"{number} kept result{'' if number == 1 else 's'} removed from {kept.folder}.")
        return
    rows = kept.entries()
    size = sum(size for _, size, _ in rows) / MEGABYTE
    click.echo(f"{len(rows)} kept result{'' if len(rows) == 1 else 's'}, {size:.1f} MB, in {kept.folder}.")
