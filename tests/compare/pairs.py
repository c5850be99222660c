"""Writing, checking and comparing pairs of houses for the tests of this folder."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from modellint import comparison, pipeline
from modellint.compare.matching import Matching, match_revisions
from modellint.compare.things import Revision, revision
from modellint.rulebook.settings import in_si
from sample_models.generator import House, transform, write
from sample_models.generator.schedules import write_schedules


def written(house: House, manner: str, path: Path, *, shuffled: bool = False) -> Path:
    """The house in a file, its lines in another order if asked for."""
    write(house, manner, path)
    if shuffled:
        path.write_text(transform.shuffle(path.read_text(encoding="utf-8")), encoding="utf-8")
    return path


def compared(before: House, after: House, manner: str, folder: Path, *, schedules: bool = False,
             **more: Any) -> dict[str, Any]:
    """The comparison of two houses in one manner, with the later house's schedules if asked for."""
    if schedules:
        write_schedules(after, folder)
    one = written(before, manner, folder / "before.ifc")
    two = written(after, manner, folder / "after.ifc", shuffled=True)
    return comparison.compare({"before": [str(one)], "models": [str(two)], **more})


def revision_of(path: Path) -> Revision:
    """A model as rows to match."""
    books = pipeline.load_books(path)
    model = pipeline.read_model([path], frozenset(), lambda _: None)
    return revision(model, pipeline.houses(model, books, in_si(books.settings)))


def matched(before: House, after: House, manner: str, folder: Path) -> tuple[Matching, Revision, Revision]:
    """Both revisions and what belongs to what."""
    one = revision_of(written(before, manner, folder / "before.ifc"))
    two = revision_of(written(after, manner, folder / "after.ifc", shuffled=True))
    return match_revisions(one, two), one, two


def rows(made: dict[str, Any], *statuses: str, outcome: str = "") -> list[dict[str, Any]]:
    """Findings of a comparison by status, and by outcome if given."""
    return [row["finding"] for row in made["findings"] if row["status"] in statuses
            and outcome in {"", row["finding"]["outcome"]}]
