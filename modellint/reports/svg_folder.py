"""Each drawing of a report as an SVG file of its own in a folder."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from modellint.drawings.drawing_set import drawings_of
from modellint.errors import ModellintError, UsageProblem
from modellint.reports.atomic import write_atomic
from modellint.reports.html_cards import cards_of
from modellint.text import clean

MOST_ELEVATIONS = 1000


def drawings_as_files(report: Mapping[str, Any]) -> dict[str, bytes]:
    """File name to SVG text of all drawings; marks carry the numbers of the HTML report's cards."""
    cards, _ = cards_of(report)
    drawings = drawings_of(report, [(card.number, "", list(card.findings)) for card in cards], MOST_ELEVATIONS)
    found: dict[str, bytes] = {}
    for number, (ident, name) in enumerate(drawings.names.items(), 1):
        words = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60].strip("-")
        found[f"{number:02d}-{words}.svg"] = drawings.sheet(ident).render(alone=True).encode()
    return found


def write_folder(report: Mapping[str, Any], folder: Path, force: bool = False) -> tuple[int, int]:
    """Write the drawings into a folder, which is made if it does not exist.

    Returns:
        How many there are, and how many elevations beyond the cap of `drawings_of` were left out.

    Raises:
        UsageProblem: a file there was not written by modellint, or the folder's own folder does not exist.
        ModellintError: the system refused.
    """
    name = clean(str(folder))
    if folder.exists() and not folder.is_dir():
        raise UsageProblem(f"{name} is a file; name a folder for the drawings.")
    if not folder.parent.is_dir():
        raise UsageProblem(f"{name} cannot be made: the folder {clean(str(folder.parent))} does not exist.")
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise ModellintError(f"{name} could not be made: {clean(error.strerror or str(error))}.") from error
    made = drawings_as_files(report)
    for file, data in made.items():
        write_atomic(folder / file, data, force)
    elevations = sum(len(scene["elevations"]) for scene in report.get("drawings") or ())
    return len(made), max(0, elevations - MOST_ELEVATIONS)
