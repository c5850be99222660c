"""What differs between the take-offs of two revisions, by the matching of their elements."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from modellint.compare.matching import Matching
from modellint.findings.takeoff import Piece, order_of

Identity = tuple[str, str, int]


@dataclass
class Difference:
    """One item whose count or whose pieces differ.

    Attributes:
        sample: a piece of the item, for its words.
        before, after: how many there are.
        added, dropped: pieces that only one revision has.
        became, was: pieces that were another item, and became another one, each with the other revision's piece.
    """

    sample: Piece
    before: int = 0
    after: int = 0
    added: list[Piece] = field(default_factory=list)
    dropped: list[Piece] = field(default_factory=list)
    became: list[tuple[Piece, Piece]] = field(default_factory=list)
    was: list[tuple[Piece, Piece]] = field(default_factory=list)


def differences(before: Iterable[Piece], after: Iterable[Piece], matching: Matching) -> list[Difference]:
    """Items that differ, in the order of the take-off.

    An element of several pieces (a group of bolts) is compared by its pieces in their order.
    """
    sides = (_by_element(before), _by_element(after))
    found: dict[Identity, Difference] = {}
    counts = tuple(Counter(piece.identity for row in side.values() for piece in row) for side in sides)

    def at(piece: Piece) -> Difference:
        return found.setdefault(piece.identity, Difference(piece))

    for element, old in sides[0].items():
        match = matching.of.get(element)
        new = sides[1].get(match.after, []) if match is not None else []
        for one, other in zip(old, new, strict=False):
            if one.identity != other.identity:
                at(one).became.append((one, other))
                at(other).was.append((one, other))
        for piece in old[len(new) :]:
            at(piece).dropped.append(piece)
    for element, new in sides[1].items():
        match = matching.back.get(element)
        old = sides[0].get(match.before, []) if match is not None else []
        for piece in new[len(old) :]:
            at(piece).added.append(piece)
    for identity, row in found.items():
        row.before, row.after = counts[0][identity], counts[1][identity]
    return sorted(found.values(), key=lambda row: order_of(row.sample))


def _by_element(pieces: Iterable[Piece]) -> dict[str, list[Piece]]:
    found: dict[str, list[Piece]] = defaultdict(list)
    for piece in pieces:
        found[piece.element].append(piece)
    return {key: sorted(rows, key=lambda piece: (piece.identity, piece.key)) for key, rows in sorted(found.items())}
