"""Pipes and fittings as pieces with ends: centre lines, ports, and how many ends a fitting should have."""

from __future__ import annotations

import re

import numpy as np

from modellint.contacts.polylines import arc_lengths, nearest_on, tube_line, usable
from modellint.graph import pipe_facts
from modellint.graph.house import House
from modellint.graph.pipe_facts import PipeFacts
from modellint.graph.pipe_nodes import Piece, PipeLimits
from modellint.ifc.model import Port
from modellint.ifc.solid import Array
from modellint.roles.part import Part

PIPES = ("vent_pipe", "plumbing_pipe", "pipe", "collector")
FITTINGS = ("vent_fitting", "plumbing_fitting", "fitting", "vent_terminal", "fan", "sump", "suction_point")

_ENDS_BY_TYPE = {"BEND": 2, "CONNECTOR": 2, "TRANSITION": 2, "OBSTRUCTION": 1, "JUNCTION": 3}
# whole words in names, the trade's terms for fittings and their number of ends
_ENDS_BY_WORD = (
    (re.compile(r"\b(cross|double wye|double tee)\b"), 4),
    (re.compile(r"\b(tee|wye|junction)\b"), 3),
    (re.compile(r"\b(elbow|bend|coupling|coupler|reducer|sweep)\b"), 2),
    (re.compile(r"\b(end cap|cap|plug)\b"), 1),
)
_CAP = re.compile(r"\b(end cap|cap|plug|test plug)\b")
_NOT_CAP = re.compile(r"\b(rain cap|vent cap|roof cap)\b")


def words_of(part: Part) -> str:
    """Names of a part in lower case, marks of punctuation as spaces."""
    element = part.element
    text = " ".join((element.name, element.type_name, element.object_type))
    return re.sub(r"[^a-z0-9°/.]+", " ", text.lower()).strip()


def pieces_of(house: House, facts: PipeFacts, limits: PipeLimits) -> dict[str, Piece]:
    """All pipes and fittings of a building with their ends, in key order."""
    pieces = {}
    for part in house.with_role(*PIPES, *FITTINGS):
        pieces[part.key] = piece_of(part, _ports(house, part), facts, limits)
    return pieces


def _ports(house: House, part: Part) -> list[Port]:
    found = [
        house.model.ports[key]
        for element in part.elements
        for key in element.ports
        if key in house.model.ports
    ]
    return sorted(found, key=lambda port: port.key)


def piece_of(part: Part, ports: list[Port], facts: PipeFacts, limits: PipeLimits) -> Piece:
    """One part with its centre line, sizes and ends."""
    kind = "pipe" if part.has(*PIPES) and not part.has("suction_point", "sump", "fan") else "fitting"
    line, radius = centre_line(part) if kind == "pipe" else (None, part.radius)
    piece = Piece(part, kind, line, radius, caps=is_cap(part))
    piece.outside = pipe_facts.outside_diameter(facts, part, radius)
    piece.bore = pipe_facts.bore(facts, part, radius)
    piece.nominal = pipe_facts.nominal(facts, part, radius)
    piece.perforated = True if part.has("collector") else facts.flag(part, "perforated")
    if kind == "pipe":
        piece.needs = 2
        _pipe_ends(piece, ports, limits)
    else:
        piece.needs = ends_needed(part, len(ports))
        for port in ports:
            piece.add_end(port.position if usable(port.position) else None, port.key)
    return piece


def centre_line(part: Part) -> tuple[Array | None, float | None]:
    """Centre line (n, 3) and outer radius of a pipe; (None, …) when the body is too short or undrawn.

    A mesh gives its line by its principal axis when it is at least 2 diameters long.
    """
    if len(part.solids) == 1 and part.solids[0].mesh is not None:
        found = tube_line(part.solids[0].mesh[0])
        if found is not None:
            return found
    for solid in part.solids[:1] if len(part.solids) == 1 else ():
        if solid.axis is not None and usable(solid.axis) and arc_lengths(solid.axis)[-1] > 1e-6:
            line = solid.axis if solid.axis[0, 2] <= solid.axis[-1, 2] else solid.axis[::-1]
            return line, _radius(part)
    if (
        part.axis is not None
        and usable(part.axis)
        and len(part.axis) > 1
        and arc_lengths(part.axis)[-1] > 1e-6
    ):
        return part.axis, _radius(part)
    return None, _radius(part)


def _radius(part: Part) -> float | None:
    if part.radius is not None:
        return part.radius
    if part.box is None or not usable(part.box.corners):
        return None
    # a pipe drawn as a box or facets: its section's sides are its outside diameter
    return float(np.sort(part.box.half)[1])


def is_cap(part: Part) -> bool:
    """Whether it closes a pipe: predefined type OBSTRUCTION, or a cap or plug by name (rain caps do not)."""
    words = words_of(part)
    if part.has("vent_terminal") or _NOT_CAP.search(words):
        return False
    return part.element.predefined == "OBSTRUCTION" or (part.has(*FITTINGS) and bool(_CAP.search(words)))


def ends_needed(part: Part, ports: int) -> int:
    """How many ends the fitting's type has; its ports if the type does not tell; 0 if nothing does."""
    if part.has("vent_terminal", "fan", "sump", "suction_point"):
        return 0
    words = words_of(part)
    if part.element.predefined in _ENDS_BY_TYPE:
        named = _ENDS_BY_TYPE[part.element.predefined]
        return 4 if named == 3 and _ENDS_BY_WORD[0][0].search(words) else named
    return next((count for pattern, count in _ENDS_BY_WORD if pattern.search(words)), ports)


def _pipe_ends(piece: Piece, ports: list[Port], limits: PipeLimits) -> None:
    """Two ends of the centre line, each standing for the port nearest to it; ports at the side get their
    own."""
    if piece.line is None:
        for port in ports:
            piece.add_end(port.position if usable(port.position) else None, port.key)
        for _ in range(2 - len(ports)):
            piece.add_end(None)
        return
    length = float(arc_lengths(piece.line)[-1])
    tips = (piece.line[0], piece.line[-1])
    taken, side = _match(tips, ports, piece, limits)
    for k, tip in enumerate(tips):
        piece.add_end(tip, taken[k].key if k in taken else "", length if k else 0.0)
    for port in side:
        if port.position is None or not usable(port.position):
            continue
        _, along, foot = nearest_on(piece.line, port.position)
        piece.add_end(foot, port.key, along)


def _match(
    tips: tuple[Array, Array], ports: list[Port], piece: Piece, limits: PipeLimits
) -> tuple[dict[int, Port], list[Port]]:
    assert piece.line is not None
    rows = []
    for port in ports:
        for k, tip in enumerate(tips):
            far = _far(port.position, tip)
            rows.append((far, port.key, k, port))
    taken: dict[int, Port] = {}
    side: dict[str, Port] = {}
    for far, key, k, port in sorted(rows, key=lambda row: row[:3]):
        if k in taken or key in side or any(other.key == key for other in taken.values()):
            continue
        if far > limits.port_gap and _at_side(port, piece, limits):
            side[key] = port
        else:
            taken[k] = port
    return taken, list(side.values())


def _far(point: Array | None, tip: Array) -> float:
    return float(np.linalg.norm(point - tip)) if point is not None and usable(point) else float("inf")


def _at_side(port: Port, piece: Piece, limits: PipeLimits) -> bool:
    if piece.line is None or not usable(port.position) or port.position is None:
        return False
    gap, along, _ = nearest_on(piece.line, port.position)
    reach = limits.port_gap + (piece.radius or 0.0)
    return gap <= reach < along < float(arc_lengths(piece.line)[-1]) - reach
