"""Joints between pipe ends: stated by ports and relations, or inferred from how close the ends lie.

Order of evidence: stated first, then ends in a fitting's box, end to end, end to the side of a pipe.
    Limits are
in `PipeLimits`; crossing pipes without an end near the other are no joint.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

import numpy as np

from modellint.contacts.boxes import box_gap, clip_line, point_gap
from modellint.contacts.polylines import arc_lengths, direction_at, nearest_on
from modellint.graph.pipe_nodes import Joint, Piece, PipeEnd, PipeLimits
from modellint.ifc.model import Relation
from modellint.ifc.solid import Array
from modellint.roles.part import Rung

Pieces = Mapping[str, Piece]


def joints_of(relations: Iterable[Relation], pieces: Pieces, limits: PipeLimits) -> list[Joint]:
    """All joints, stated ones first, then by key."""
    joints = stated(relations, pieces, limits)
    used = {end.key for joint in joints for end in (joint.first, joint.second)}
    pairs = {frozenset((joint.first.part.key, joint.second.part.key)) for joint in joints}
    for step in (_in_fittings, _end_to_end, _to_side, _fitting_to_fitting):
        for joint in step(pieces, used, pairs, limits):
            joints.append(joint)
            pairs.add(frozenset((joint.first.part.key, joint.second.part.key)))
            used |= {joint.first.key, joint.second.key}
    return joints


def stated(relations: Iterable[Relation], pieces: Pieces, limits: PipeLimits) -> list[Joint]:
    """Joints the model states, undirected and without repeats, each with its measured gap."""
    by_port = {end.port: end for piece in pieces.values() for end in piece.ends if end.port}
    owner = {element.key: key for key, piece in pieces.items() for element in piece.part.elements}
    found: dict[tuple[str, str], Joint] = {}
    for relation in relations:
        ends: tuple[PipeEnd, PipeEnd] | None = None
        if relation.kind == "ports" and relation.first in by_port and relation.second in by_port:
            ends = by_port[relation.first], by_port[relation.second]
        elif relation.kind in {"connects", "realizes"}:
            ends = _nearest_ends(pieces, owner.get(relation.first, ""), owner.get(relation.second, ""))
        if ends is None or ends[0].part is ends[1].part:
            continue
        first, second = sorted(ends, key=lambda end: end.key)
        found.setdefault((first.key, second.key), _stated_joint(pieces, first, second, limits))
    return [found[key] for key in sorted(found)]


def _stated_joint(pieces: Pieces, first: PipeEnd, second: PipeEnd, limits: PipeLimits) -> Joint:
    one, two = pieces[first.part.key], pieces[second.part.key]
    gaps = []
    if first.point is not None and second.point is not None:
        gaps.append(float(np.linalg.norm(first.point - second.point)))
    for point, other in ((first.point, two), (second.point, one)):
        # a fitting's port is often set at its middle, the pipe ending at its mouth: its body counts, too
        if point is not None and other.kind == "fitting" and other.part.box is not None:
            gaps.append(point_gap(other.part.box, point))
    gap = min(gaps) if gaps else None
    place = first.point if one.kind == "pipe" and first.point is not None else second.point
    place = place if place is not None else first.point
    state = "broken" if gap is not None and gap > limits.port_gap + 1e-9 else "joined"
    return Joint(first, second, "stated", gap, state, Rung.DECLARED, place)


def _nearest_ends(pieces: Pieces, first: str, second: str) -> tuple[PipeEnd, PipeEnd] | None:
    if first not in pieces or second not in pieces or first == second:
        return None
    one, two = sorted((pieces[first], pieces[second]), key=lambda piece: piece.part.key)
    rows = [
        (float(np.linalg.norm(a.point - b.point)), a.key, b.key, a, b)
        for a in one.ends
        for b in two.ends
        if a.point is not None and b.point is not None
    ]
    if rows:
        return min(rows, key=lambda row: row[:3])[3:]
    tips = [end for end in one.ends + two.ends if end.point is not None]
    if tips and not (one.ends and two.ends):
        bare = one if not one.ends else two
        return (bare.add_end(tips[0].point), tips[0])
    return (one.ends or [one.add_end(None)])[0], (two.ends or [two.add_end(None)])[0]


def _free(pieces: Pieces, used: set[str], kind: str = "pipe") -> Iterator[tuple[Piece, PipeEnd]]:
    for piece in pieces.values():
        if piece.kind == kind:
            for end in list(piece.ends):
                if end.key not in used and end.point is not None:
                    yield piece, end


def reach_of(piece: Piece, limits: PipeLimits) -> float:
    """How far an end may lie from what it meets: 25 mm, or a quarter of the outside diameter if that is
    more."""
    return max(limits.end_gap, (piece.outside or 0.0) / 4)


def _in_fittings(
    pieces: Pieces, used: set[str], pairs: set[frozenset[str]], limits: PipeLimits
) -> list[Joint]:
    bodies = [piece for piece in pieces.values() if piece.kind == "fitting" and piece.part.box is not None]
    joints = []
    for piece, end in _free(pieces, used):
        rows = []
        for body in bodies:
            assert body.part.box is not None
            assert end.point is not None
            gap = point_gap(body.part.box, end.point)
            if gap <= limits.end_gap and frozenset((piece.part.key, body.part.key)) not in pairs:
                far = float(np.linalg.norm(body.part.box.centre - end.point))
                rows.append((round(gap, 6), round(far, 6), body.part.key, body))
        if not rows:
            continue
        gap, _, _, body = min(rows, key=lambda row: row[:3])
        joints.append(
            Joint(end, _mouth(body, end, used), "inferred", gap, "joined", Rung.INFERRED, end.point)
        )
    return joints


def _mouth(body: Piece, end: PipeEnd, used: set[str]) -> PipeEnd:
    """The fitting's own mouth nearest to a pipe end, a new one if it has none left."""
    assert end.point is not None
    own = [
        (float(np.linalg.norm(mouth.point - end.point)), mouth.key, mouth)
        for mouth in body.ends
        if mouth.point is not None and mouth.key not in used
    ]
    mouth = min(own, key=lambda row: row[:2])[2] if own else body.add_end(end.point)
    used.add(mouth.key)
    return mouth


def _end_to_end(
    pieces: Pieces, used: set[str], pairs: set[frozenset[str]], limits: PipeLimits
) -> list[Joint]:
    ends = list(_free(pieces, used))
    if len(ends) < 2:
        return []
    points = np.array([end.point for _, end in ends])
    rows = []
    for k, (piece, end) in enumerate(ends):
        gaps = np.linalg.norm(points - points[k], axis=1)
        for m in np.flatnonzero(gaps <= 0.25):
            other, far = ends[int(m)]
            limit = max(reach_of(piece, limits), reach_of(other, limits))
            if int(m) > k and other is not piece and gaps[m] <= limit + 1e-9:
                rows.append((round(float(gaps[m]), 6), end.key, far.key, end, far))
    joints, taken = [], set()
    for gap, _, _, first, second in sorted(rows, key=lambda row: row[:3]):
        if first.key in taken or second.key in taken or frozenset((first.part.key, second.part.key)) in pairs:
            continue
        taken |= {first.key, second.key}
        joints.append(Joint(first, second, "inferred", gap, "joined", Rung.INFERRED, first.point))
    return joints


def _to_side(pieces: Pieces, used: set[str], pairs: set[frozenset[str]], limits: PipeLimits) -> list[Joint]:
    """An end on another pipe's side: a tee without a fitting."""
    lines = [piece for piece in pieces.values() if piece.kind == "pipe" and piece.line is not None]
    joints = []
    for piece, end in _free(pieces, used):
        rows = []
        for other in lines:
            if other is piece or frozenset((piece.part.key, other.part.key)) in pairs:
                continue
            assert other.line is not None
            assert end.point is not None
            axis_gap, along, foot = nearest_on(other.line, end.point)
            beyond, aside = _beside(other.line, along, foot, end.point)
            gap = max(float(np.hypot(beyond, max(aside - (other.radius or 0.0), 0.0))), 0.0)
            if gap <= reach_of(piece, limits) + 1e-9:
                rows.append((round(gap, 6), round(axis_gap, 6), other.part.key, other, along, foot))
        if rows:
            gap, _, _, other, along, foot = min(rows, key=lambda row: row[:3])
            tip = other.add_end(foot, along=along)
            used |= {end.key, tip.key}
            pairs.add(frozenset((piece.part.key, other.part.key)))
            joints.append(Joint(end, tip, "inferred", gap, "joined", Rung.INFERRED, end.point))
    return joints


def _beside(line: Array, along: float, foot: Array, point: Array) -> tuple[float, float]:
    """How far a point lies beyond the line's end, and how far aside of it."""
    step = point - foot
    out = direction_at(line, along > 1e-6)
    if out is None or 1e-6 < along < float(arc_lengths(line)[-1]) - 1e-6:
        return 0.0, float(np.linalg.norm(step))
    beyond = max(float(step @ out), 0.0)
    return beyond, float(np.linalg.norm(step - beyond * out))


def _fitting_to_fitting(
    pieces: Pieces, used: set[str], pairs: set[frozenset[str]], limits: PipeLimits
) -> list[Joint]:
    """Fittings set straight on one another: bodies within 5 mm, both short of ends."""
    short = []
    for piece in pieces.values():
        caught = sum(end.key in used for end in piece.ends)
        if piece.kind == "fitting" and piece.part.box is not None and piece.needs and caught < piece.needs:
            short.append(piece)
    joints = []
    for k, one in enumerate(short):
        for two in short[k + 1 :]:
            if frozenset((one.part.key, two.part.key)) in pairs or _far_apart(one, two):
                continue
            assert one.part.box is not None
            assert two.part.box is not None
            gap = max(box_gap(one.part.box, two.part.box), 0.0)
            if gap <= 0.005:
                middle = (one.part.box.centre + two.part.box.centre) / 2
                probe = PipeEnd("", one.part, middle)
                first, second = _mouth(one, probe, used), _mouth(two, probe, used)
                joints.append(Joint(first, second, "inferred", gap, "joined", Rung.INFERRED, middle))
    return joints


def _far_apart(one: Piece, two: Piece) -> bool:
    assert one.part.box is not None
    assert two.part.box is not None
    reach = float(np.linalg.norm(one.part.box.half) + np.linalg.norm(two.part.box.half)) + 0.005
    return float(np.linalg.norm(one.part.box.centre - two.part.box.centre)) > reach


def facing(pieces: Pieces, used: set[str], limits: PipeLimits) -> list[tuple[float, PipeEnd, PipeEnd]]:
    """Open pipe ends that look at another open end or a fitting short of ends across a gap, nearest first.

    In line: the pipes point along the gap within about 10 degrees; a fitting is hit by the pipe's axis.

    Returns:
        `(gap, end, end)` rows, each end once.
    """
    ends = [
        (piece, end)
        for piece, end in _free(pieces, used)
        if piece.line is not None and end.key in piece.along
    ]
    rows: list[tuple[float, str, str, PipeEnd, Piece, PipeEnd | None]] = []
    for k, (piece, end) in enumerate(ends):
        for other, far in ends[k + 1 :]:
            gap = _end_gap(piece, end, other, far)
            if gap is not None and gap <= limits.facing_gap:
                rows.append((round(gap, 6), end.key, far.key, end, other, far))
        for body in pieces.values():
            gap = _body_gap(piece, end, body, used, limits)
            if gap is not None:
                rows.append((round(gap, 6), end.key, body.part.key, end, body, None))
    found, taken = [], set()
    for gap, _, key, first, other, second in sorted(rows, key=lambda row: row[:3]):
        if first.key not in taken and key not in taken:
            taken |= {first.key, key}
            found.append((gap, first, second if second is not None else _mouth(other, first, used)))
    return found


def _end_gap(piece: Piece, end: PipeEnd, other: Piece, far: PipeEnd) -> float | None:
    out, back = _outward(piece, end), _outward(other, far)
    if other is piece or out is None or back is None or end.point is None or far.point is None:
        return None
    step = far.point - end.point
    gap = float(np.linalg.norm(step))
    in_line = float(out @ step) >= 0.985 * gap and float(back @ step) <= -0.985 * gap
    return gap if in_line and gap > 1e-6 else None


def _body_gap(piece: Piece, end: PipeEnd, body: Piece, used: set[str], limits: PipeLimits) -> float | None:
    box, out = body.part.box, _outward(piece, end)
    if body.kind != "fitting" or box is None or out is None or end.point is None:
        return None
    if sum(mouth.key in used for mouth in body.ends) >= body.needs:
        return None
    inside = clip_line(box, end.point, end.point + limits.facing_gap * out)
    return inside[0] * limits.facing_gap if inside else None


def _outward(piece: Piece, end: PipeEnd) -> Array | None:
    assert piece.line is not None
    last = piece.along[end.key] > 1e-9
    return direction_at(piece.line, last)
