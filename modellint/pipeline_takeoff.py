"""The take-off of a model, and how it differs from an earlier one. Runs inside the child process."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import modellint
from modellint.findings.takeoff import Piece, order_of, pieces, total
from modellint.findings.takeoff_open import Unseen, unseen
from modellint.findings.takeoff_sets import MatchedSet, Run, matched_sets, runs, scheduled_ties
from modellint.pipeline import Books, Say, houses, load_books, read_model

if TYPE_CHECKING:
    from modellint.compare.takeoff import Difference
    from modellint.findings.takeoff import Show
    from modellint.graph.house import House
    from modellint.ifc.model import Model

FORMAT = 1


@dataclass
class _Counted:
    """One model, counted."""

    model: Model
    houses: list[House] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    runs: list[Run] = field(default_factory=list)
    sets: list[MatchedSet] = field(default_factory=list)
    open: list[Unseen] = field(default_factory=list)
    scheduled: list[tuple[str, int, int, tuple[str, ...]]] = field(default_factory=list)


def take_off(
    request: Mapping[str, Any], announce: Say = lambda _: None, progress: Say = lambda _: None
) -> dict[str, Any]:
    """The take-off of the models of a request, as plain data for JSON.

    Args:
        request: `models`, and optionally `before` (the files of an earlier model), `project`, `display`, `skip`,
            `native`. Books and schedules are those of the later model's project, for both.
        announce: is told the GlobalId of a part before native code gets it.
        progress: is told what is being done.
    """
    from modellint.units import show

    paths = [Path(path) for path in request["models"]]
    books = load_books(paths[0], request.get("project"))
    display = request.get("display") or books.display

    def shown(value: float, dimension: str) -> str:
        return show(value, dimension, display)

    after = _counted(paths, books, request, shown, announce, progress)
    files = request.get("before") or ()
    before = _counted([Path(path) for path in files], books, request, shown, announce, progress) if files else None
    incomplete = [note.text for side in (after, before) if side for note in side.model.notes if note.serious]
    if not after.pieces:
        incomplete.append("Nothing to count was recognised in this model.")
    plain = {
        "format": FORMAT,
        "tool": {"name": "modellint", "version": modellint.__version__},
        "display": display,
        "model": {"files": [asdict(file) for file in after.model.files]},
        "before": {"files": [asdict(file) for file in before.model.files]} if before is not None else None,
        "input_notes": [asdict(note) for note in after.model.notes],
        "incomplete": incomplete,
    }
    return {**plain, "takeoff": _plain(after), "differences": _differences(before, after) if before else None}


def _counted(
    paths: Sequence[Path], books: Books, request: Mapping[str, Any], show: Show, announce: Say, progress: Say
) -> _Counted:
    from modellint.measures.ask import Ask
    from modellint.rulebook.registry import registry
    from modellint.rulebook.settings import in_si

    progress("reading")
    model = read_model(paths, frozenset(request.get("skip", ())), announce, bool(request.get("native", True)))
    progress("counting")
    known, settings = registry(), in_si(books.settings)
    found = houses(model, books, settings)
    made, seen = _Counted(model, found), set[str]()
    many = sum(house.in_sight() for house in found) > 1
    for house in found:
        ask = Ask(house, known.measures, known.sets, settings)
        own, guessed = pieces(ask, show, seen)
        if not own and not house.in_sight():
            continue
        sets = matched_sets(ask)
        made.pieces += own
        made.runs += runs(ask, {piece.key: piece for piece in own})
        made.sets += sets
        name = f"{house.name or house.key}: " if many else ""
        made.open += [
            Unseen(name + row.text, row.count, row.places, row.ids) for row in unseen(ask, own, guessed, sets)
        ]
        made.scheduled += scheduled_ties(ask)
    made.pieces.sort(key=order_of)
    return made


def _plain(counted: _Counted) -> dict[str, Any]:
    return {
        "items": _items(counted.pieces),
        "pieces": [_piece(piece) for piece in counted.pieces],
        "runs": [
            {
                "cuts": [{"item": item, "length": _metres(length)} for item, length in run.cuts],
                "length": _metres(total(length for _, length in run.cuts)),
                "couplers": run.couplers,
                "runs": len(run.places),
                "places": list(run.places),
            }
            for run in counted.runs
        ],
        "sets": [asdict(row) for row in counted.sets],
        "scheduled": [
            {"mark": mark, "asked": asked, "drawn": drawn, "differs": list(differs)}
            for mark, asked, drawn, differs in counted.scheduled
        ],
        "open": [asdict(row) for row in counted.open],
    }


def _metres(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


def _piece(piece: Piece) -> dict[str, Any]:
    return {
        "list": piece.list,
        "role": piece.role,
        "item": piece.item,
        "length": _metres(piece.length),
        "area": piece.area,
        "plies": piece.plies,
        "storey": piece.storey,
        "place": piece.place,
        "stage": piece.stage,
        "rung": piece.rung.word,
        "marked": piece.marked,
        "lacks": piece.lacks,
        "global_id": piece.id,
        "key": piece.key,
    }


def _items(found: Iterable[Piece]) -> list[dict[str, Any]]:
    """Pieces of one identity and stage as one row, in the order of the lists."""
    groups: dict[tuple[Any, ...], list[Piece]] = {}
    for piece in found:
        groups.setdefault((*piece.identity, piece.stage), []).append(piece)
    rows = []
    for same in groups.values():
        first = same[0]
        storeys: dict[str, int] = {}
        for piece in same:
            storeys[piece.storey] = storeys.get(piece.storey, 0) + 1
        rows.append(
            {
                "list": first.list,
                "role": first.role,
                "item": first.item,
                "stage": first.stage,
                "count": len(same),
                "length": _metres(first.length),
                "total_length": _metres(total(piece.length for piece in same)),
                "area": total(piece.area for piece in same),
                "plies": sum(piece.plies for piece in same),
                "rung": min(piece.rung for piece in same).word,
                "storeys": dict(sorted(storeys.items())),
                "marked": sorted({piece.marked for piece in same if piece.marked}),
                "global_ids": list(dict.fromkeys(piece.id for piece in same)),
            }
        )
    return rows


def _differences(before: _Counted, after: _Counted) -> dict[str, Any]:
    from modellint.compare.matching import match_revisions
    from modellint.compare.takeoff import differences
    from modellint.compare.things import revision

    one, two = (revision(side.model, side.houses) for side in (before, after))
    matching = match_revisions(one, two)
    return {
        "matched": len(matching.of),
        "ids_kept": matching.ids_kept,
        "items": [_difference(row) for row in differences(before.pieces, after.pieces, matching)],
    }


def _difference(row: Difference) -> dict[str, Any]:
    sample = row.sample
    return {
        "list": sample.list,
        "role": sample.role,
        "item": sample.item,
        "length": _metres(sample.length),
        "before": row.before,
        "after": row.after,
        "difference": row.after - row.before,
        "added": [_piece(piece) for piece in row.added],
        "dropped": [_piece(piece) for piece in row.dropped],
        "became": [{"before": _piece(one), "after": _piece(other)} for one, other in row.became],
        "was": [{"before": _piece(one), "after": _piece(other)} for one, other in row.was],
    }
