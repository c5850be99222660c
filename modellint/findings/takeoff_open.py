"""What a take-off cannot see, as rows to settle by hand before anything is ordered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from modellint.findings.takeoff import Piece
from modellint.findings.takeoff_sets import FASTENERS, MatchedSet, bolts_without
from modellint.measures.ask import Ask
from modellint.roles.part import Part

# what a house with a vent needs besides the pipe (common practice, no source)
_VENT_NEEDS = {
    "pipe_support": "pipe supports",
    "label": "labels",
    "vent_terminal": "a terminal or flashing at the roof",
    "power_outlet": "a power outlet for a fan",
    "membrane": "a membrane",
    "permeable_layer": "gravel",
}


@dataclass(frozen=True)
class Unseen:
    """One thing that the model does not tell.

    Attributes:
        text: a sentence.
        count: how many pieces or places it is about; 0 if that is not known either.
        places: where, as far as places are known, sorted.
        ids: GlobalIds.
    """

    text: str
    count: int
    places: tuple[str, ...] = ()
    ids: tuple[str, ...] = ()


def unseen(ask: Ask, pieces: Sequence[Piece], guessed: Sequence[Part], sets: Sequence[MatchedSet]) -> list[Unseen]:
    """Everything that the take-off of a house leaves open."""
    return [*_lacking(pieces), *_guessed(guessed), *_ends(ask, sets), *_sets(sets), *_bolts(ask), *_vents(ask, pieces)]


def _lacking(pieces: Iterable[Piece]) -> list[Unseen]:
    groups: dict[tuple[str, str, str], list[Piece]] = defaultdict(list)
    for piece in pieces:
        if piece.lacks:
            groups[piece.list, piece.item, piece.lacks].append(piece)
    return [
        Unseen(
            f"{item}: {len(rows)} without {lacks}.",
            len(rows),
            _places(row.place for row in rows),
            tuple(row.id for row in rows),
        )
        for (_, item, lacks), rows in groups.items()
    ]


def _places(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted({text for text in texts if text}))


def _guessed(parts: Sequence[Part]) -> list[Unseen]:
    groups: dict[str, list[Part]] = defaultdict(list)
    for part in parts:
        groups[max(part.roles, key=lambda role: (part.roles[role], role))].append(part)
    return [
        Unseen(
            f"{_many(len(rows), 'part')} may be {role.replace('_', ' ')}, by one sign only; not counted.",
            len(rows),
            (),
            tuple(part.element.global_id for part in rows),
        )
        for role, rows in sorted(groups.items())
    ]


def _ends(ask: Ask, sets: Sequence[MatchedSet]) -> list[Unseen]:
    """Ends of shear walls without a device: one is stated and not drawn, or nothing is said."""
    held = {row.key for row in sets}
    bare = [end for end in ask.house.nodes.get("wall_end", ()) if end.line.shear is not None and end.key not in held]
    stated = [end for end in bare if end.stated_tie]
    silent = [end for end in bare if not end.stated_tie]
    rows = []
    for mark in sorted({end.stated_tie for end in stated}):
        own = [end for end in stated if end.stated_tie == mark]
        rows.append(
            Unseen(
                f"{mark}: stated at {_many(len(own), 'wall end')}, not drawn and not counted.",
                len(own),
                _places(end.name for end in own),
            )
        )
    if silent:
        rows.append(
            Unseen(
                f"No tie-down, strap or continuous rod is drawn at {_many(len(silent), 'end')} of shear walls.",
                len(silent),
                _places(end.name for end in silent),
            )
        )
    return rows


def _sets(sets: Sequence[MatchedSet]) -> list[Unseen]:
    rows = []
    for device in sorted({row.device for row in sets}):
        own = [row for row in sets if row.device == device]
        for word in sorted({word for row in own for word in row.unseen}):
            rows.append(Unseen(f"No {word} is drawn at any {device} ({_many(len(own), 'wall end')}).", len(own)))
        if device in FASTENERS:
            rows.append(
                Unseen(
                    f"The {FASTENERS[device]} are on no list: a model does not draw them "
                    f"({_many(len(own), 'wall end')}).",
                    0,
                )
            )
    return rows


def _bolts(ask: Ask) -> list[Unseen]:
    found = bolts_without(ask)
    rows = [
        Unseen(
            f"{_many(len(parts), 'anchor bolt')} without a {word} on it.",
            len(parts),
            (),
            tuple(part.element.global_id for part in parts),
        )
        for word, parts in found.items()
        if parts
    ]
    if ask.house.with_role("anchor_bolt"):
        rows += [
            Unseen(f"No {word} is drawn on any anchor bolt.", 0)
            for word in ("plate washer", "nut")
            if word not in found
        ]
    return rows


def _vents(ask: Ask, pieces: Sequence[Piece]) -> list[Unseen]:
    runs = ask.house.nodes.get("vent_run", ())
    if not runs:
        return [Unseen("No soil-gas vent is recognised, so its pipes and fittings are not counted.", 0)]
    drawn = {piece.role for piece in pieces}
    rows = [
        Unseen(f"The model draws no {words.removeprefix('a ')}.", 0)
        for role, words in _VENT_NEEDS.items()
        if role not in drawn
    ]
    bare = [storey for storey in ask.house.nodes.get("vent_storey", ()) if not storey.labels and not storey.attic]
    if "label" in drawn and bare:
        rows.append(
            Unseen(
                f"{_many(len(bare), 'storey')} of the vent without a label.",
                len(bare),
                _places(storey.name for storey in bare),
            )
        )
    if "membrane" in drawn:
        rows.append(Unseen("The area of the membrane is without laps and turn-ups.", 0))
    return rows


def _many(number: int, noun: str) -> str:
    many = "storeys" if noun == "storey" else f"{noun}s"
    return f"{number} {noun if number == 1 else many}"
