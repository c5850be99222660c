"""Which models files, folders and globs on a command line name; light, as every check asks it."""

from __future__ import annotations

import glob
import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from modellint.errors import UsageProblem

SUFFIXES = (".ifc", ".ifczip")


def expand(arguments: Iterable[Path]) -> list[Path]:
    """Models that files, folders and globs name: each once, those of a folder or glob sorted by their path.

    Raises:
        UsageProblem: a folder or glob holds no model.
    """
    found: dict[Path, None] = {}
    for argument in arguments:
        for path in _named_by(argument):
            found.setdefault(path, None)
    return list(found)


def is_many(arguments: Sequence[Path]) -> bool:
    """Whether arguments name more than one plain file."""
    return len(arguments) > 1 or any(one.is_dir() or _is_glob(one) for one in arguments)


def _named_by(argument: Path) -> list[Path]:
    if argument.is_dir():
        rows = list(_files_in(argument))
    elif _is_glob(argument):
        rows = [Path(name) for name in glob.glob(str(argument), recursive=True)]  # noqa: PTH207
    else:
        return [argument]  # a file that is not there is said by its own check
    models = sorted((path for path in rows if path.suffix.lower() in SUFFIXES and path.is_file()),
                    key=lambda path: path.as_posix())
    if not models:
        raise UsageProblem(f"{argument} holds no model ({' or '.join(SUFFIXES)}).")
    return models


def _files_in(top: Path) -> Iterator[Path]:
    """Files of a folder and its folders, without hidden ones."""
    for folder, folders, names in os.walk(top):
        folders[:] = [name for name in folders if not name.startswith(".")]
        yield from (Path(folder) / name for name in names if not name.startswith("."))


def _is_glob(path: Path) -> bool:
    text = str(path)
    return ("*" in text or "?" in text or "]" in text.partition("[")[2]) and not path.exists()
