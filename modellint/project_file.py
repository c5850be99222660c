"""Where the project file is: found upward from a model, without reading it."""

from __future__ import annotations

from pathlib import Path

FILE_NAME = "modellint.yaml"


def find_project(start: Path) -> Path | None:
    """The nearest `modellint.yaml` from a folder upward, up to the repository root (a folder with `.git`)."""
    folder = start.resolve()
    for here in (folder, *folder.parents):
        if (here / FILE_NAME).is_file():
            return here / FILE_NAME
        if (here / ".git").exists():
            return None
    return None
