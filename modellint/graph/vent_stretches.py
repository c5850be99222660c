"""Straight stretches of a vent: pipes joined in line by couplings, with the supports that hold them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from modellint.contacts.boxes import line_gap
from modellint.contacts.polylines import usable
from modellint.graph.house import House
from modellint.graph.layer import Layer
from modellint.graph.pipe_nodes import Piece, VentRun
from modellint.ifc.solid import Array
from modellint.roles.part import Part, Rung

# pipes count as in line within 2 degrees and 10 mm, a support holds what it stands within 30 mm of
# (common practice, no source)
IN_LINE, OFFSET, TOUCH = 0.9994, 0.010, 0.030


@dataclass(eq=False)
class VentStretch:
    """One straight stretch of a vent above the gravel. Subject kind `vent_stretch`.

    Attributes:
        pieces: its pipes from the first end to the last.
        line: (2, 3) centre line, the lower or first end first, metres.
        stations: distance of each support from the first end, sorted, metres.
        holders: the supports in the order of their stations.
    """

    key: str
    run: VentRun
    pieces: tuple[Part, ...]
    line: Array
    stations: tuple[float, ...] = ()
    holders: tuple[Part, ...] = ()

    @property
    def length(self) -> float:
        """Metres from end to end."""
        return float(np.linalg.norm(self.line[1] - self.line[0]))

    @property
    def upright(self) -> bool:
        """Nearer to plumb than to level."""
        rise = abs(float(self.line[1][2] - self.line[0][2]))
        return rise > float(np.hypot(*(self.line[1] - self.line[0])[:2]))

    @property
    def point(self) -> Array:
        """(3,) its middle."""
        return np.asarray((self.line[0] + self.line[1]) / 2)

    @property
    def name(self) -> str:
        """Name to say in a sentence."""
        lies = "upright" if self.upright else "sloping"
        return f"{lies} stretch of {self.length:.2f} m of the {self.run.name} ({self.pieces[0].name})"

    @property
    def parts(self) -> tuple[Part, ...]:
        """Its pipes."""
        return self.pieces

    def rung_as(self, role: str) -> Rung:
        """Rung of the run."""
        return self.run.rung


def stretches_of(house: House, run: VentRun, layers: tuple[Layer, ...]) -> tuple[VentStretch, ...]:
    """Stretches of a run by the key of their first pipe; pipes in the gravel or under the slab are bedded: left out."""
    slabs = [float(part.box.low[2]) for part in house.with_role("foundation_slab") if part.box is not None]
    floor = max([*(layer.top for layer in layers), *([min(slabs)] if slabs else [])], default=-np.inf)
    pipes = {
        key: piece
        for key, piece in run.network.pieces.items()
        if piece.kind == "pipe"
        and piece.part.has("vent_pipe")
        and piece.line is not None
        and usable(piece.line)
        and float(piece.line[:, 2].max()) > floor
        and run.network.colour_of.get(key) != "plumbing"
    }
    groups: dict[str, set[str]] = {key: {key} for key in pipes}
    for first, second in _in_line(run, pipes):
        both = groups[first] | groups[second]
        for key in both:
            groups[key] = both
    supports = [part for part in house.with_role("pipe_support") if part.box is not None]
    found = []
    for members in {min(group): group for group in groups.values()}.values():
        found.append(_stretch(run, [pipes[key] for key in sorted(members)], supports))
    return tuple(sorted(found, key=lambda stretch: stretch.key))


def _in_line(run: VentRun, pipes: dict[str, Piece]) -> list[tuple[str, str]]:
    """Pairs of pipes that meet in line, directly or through a fitting with two mouths."""
    near: dict[str, set[str]] = {}
    for joint in run.network.joints:
        a, b = joint.first.part.key, joint.second.part.key
        near.setdefault(a, set()).add(b)
        near.setdefault(b, set()).add(a)
    pairs = {tuple(sorted((a, b))) for a in pipes for b in near.get(a, ()) if b in pipes and a != b}
    for key, others in near.items():
        if key not in pipes and len(others) == 2 and others <= pipes.keys():
            pairs.add(tuple(sorted(others)))
    return [(a, b) for a, b in sorted(pairs) if _aligned(pipes[a], pipes[b])]


def _direction(piece: Piece) -> Array:
    assert piece.line is not None
    step = piece.line[-1] - piece.line[0]
    return np.asarray(step / max(float(np.linalg.norm(step)), 1e-9))


def _aligned(first: Piece, second: Piece) -> bool:
    assert first.line is not None
    assert second.line is not None
    along = _direction(first)
    between = second.line.mean(axis=0) - first.line.mean(axis=0)
    off = float(np.linalg.norm(between - along * (between @ along)))
    return abs(float(along @ _direction(second))) >= IN_LINE and off <= OFFSET


def _stretch(run: VentRun, pieces: list[Piece], supports: list[Part]) -> VentStretch:
    along = _direction(pieces[0])
    along = along if along[2] >= 0 else -along
    points = np.vstack([piece.line for piece in pieces if piece.line is not None])
    places = points @ along
    line = points[[int(np.argmin(places)), int(np.argmax(places))]]
    pieces = sorted(pieces, key=lambda piece: (float((piece.line @ along).min()), piece.part.key))  # type: ignore[operator]
    reach = max((piece.radius or (piece.outside or 0.0) / 2 for piece in pieces), default=0.0) + TOUCH
    length = float(places.max() - places.min())
    held = []
    for part in supports:
        assert part.box is not None
        if line_gap(part.box, line) <= reach:
            at = float((part.box.centre - line[0]) @ along)
            held.append((min(max(at, 0.0), length), part.key, part))
    held.sort(key=lambda row: row[:2])
    return VentStretch(
        f"{pieces[0].part.key}~stretch",
        run,
        tuple(piece.part for piece in pieces),
        np.asarray(line),
        tuple(row[0] for row in held),
        tuple(row[2] for row in held),
    )
