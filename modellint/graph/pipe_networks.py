"""Networks: pipes and fittings that hang together, what they are for, and whether they are drawn whole.

Joints are found before systems are looked at, so a network of two colours is a vent tied into plumbing.
"""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

import numpy as np

from modellint.graph.house import House
from modellint.graph.pipe_joints import facing
from modellint.graph.pipe_nodes import Joint, Network, Piece, PipeEnd, PipeLimits
from modellint.ifc.solid import Array
from modellint.roles.part import Ground, Part, Rung

if TYPE_CHECKING:
    import networkx

GAS = re.compile(r"radon|soil[ _-]?gas|sub[ _-]?slab (vent|depress|suction)", re.IGNORECASE)
PLUMBING = re.compile(
    r"plumbing|sanitary|\bwaste|\bdrain(?!.?back)|sewer|\bdwv\b|domestic|\bwater\b", re.IGNORECASE
)
_GAS_ROLES = ("vent_pipe", "vent_fitting", "vent_terminal", "collector", "suction_point")
_PLUMBING_ROLES = ("plumbing_pipe", "plumbing_fitting")


def graph_of(pieces: Iterable[str], joints: Iterable[Joint], states: frozenset[str]) -> networkx.MultiGraph:
    """Part keys as nodes, joints of the given states as edges (attribute `joint`)."""
    import networkx

    graph = networkx.MultiGraph()
    graph.add_nodes_from(sorted(pieces))
    for joint in joints:
        if joint.state in states:
            graph.add_edge(joint.first.part.key, joint.second.part.key, key=joint.key, joint=joint)
    return graph


ANY_STATE = frozenset({"joined", "broken", "unknown"})


def networks_of(
    house: House, pieces: Mapping[str, Piece], joints: list[Joint], limits: PipeLimits
) -> tuple[Network, ...]:
    """Connected pieces as networks, by key; lone fittings (a fan or sump without pipes) are left out."""
    import networkx

    joints = joints + _gaps(pieces, joints, limits)
    graph = graph_of(pieces, joints, ANY_STATE)
    found = []
    for keys in networkx.connected_components(graph):
        if any(pieces[key].kind == "pipe" for key in keys):
            found.append(_network(house, pieces, sorted(keys), joints))
    return tuple(sorted(found, key=lambda network: network.key))


def _gaps(pieces: Mapping[str, Piece], joints: list[Joint], limits: PipeLimits) -> list[Joint]:
    """Open ends in line across a gap, as joints that do not hold: broken where the model draws fittings."""
    used = {end.key for joint in joints for end in (joint.first, joint.second)}
    fitted = sum(piece.kind == "fitting" for piece in pieces.values()) >= 2 or len(joints) >= 2
    found = []
    for gap, first, second in facing(pieces, used, limits):
        colours = {part_colour(first.part), part_colour(second.part)} - {""}
        if len(colours) < 2:
            assert first.point is not None
            assert second.point is not None
            middle = (first.point + second.point) / 2
            found.append(
                Joint(
                    first, second, "inferred", gap, "broken" if fitted else "unknown", Rung.INFERRED, middle
                )
            )
    return found


def _network(house: House, pieces: Mapping[str, Piece], keys: list[str], joints: list[Joint]) -> Network:
    inside = set(keys)
    own = tuple(joint for joint in joints if joint.first.part.key in inside)
    members = {key: pieces[key] for key in keys}
    plumbed = _at_fixture(house, members)
    misfiled = frozenset(system for piece in members.values() if _only_filed_as_plumbing(piece.part)
                         for system in piece.part.element.systems)
    colours = {
        key: _colour_in(piece.part, misfiled if key not in plumbed else frozenset())
        or ("plumbing" if key in plumbed else "")
        for key, piece in members.items()
    }
    return Network(
        keys[0],
        tuple(pieces[key].part for key in keys),
        own,
        open_ends(members, own),
        frozenset(colour for colour in colours.values() if colour),
        drawn_whole(members, own),
        members,
        colours,
    )


def _own_words(part: Part) -> str:
    element = part.element
    return " / ".join((element.name, element.type_name, element.object_type))


def _only_filed_as_plumbing(part: Part) -> bool:
    """Whether the piece itself says soil gas and only its system says plumbing."""
    systems = " / ".join(part.element.systems)
    return bool(GAS.search(_own_words(part)) and PLUMBING.search(systems) and not GAS.search(systems))


def _colour_in(part: Part, misfiled: frozenset[str]) -> str:
    """Colour of a piece of a network some of whose systems hold soil-gas pieces by mistake.

    A piece filed there that says nothing of plumbing itself (a bend, a coupling) goes with the soil-gas pieces.
    """
    systems = part.element.systems
    if systems and misfiled.issuperset(systems) and not PLUMBING.search(_own_words(part)):
        return "soil-gas"
    return part_colour(part)


def part_colour(part: Part) -> str:
    """`soil-gas`, `plumbing` or "": systems first, then roles at rung inferred or better, then names.

    A plumbing system does not count against a name that says soil gas.
    """
    element = part.element
    systems = " / ".join(element.systems)
    if GAS.search(systems):
        return "soil-gas"
    if PLUMBING.search(systems):
        # a pipe that itself says soil gas was only filed with the plumbing
        return "soil-gas" if GAS.search(_own_words(part)) else "plumbing"
    for roles, colour in ((_GAS_ROLES, "soil-gas"), (_PLUMBING_ROLES, "plumbing")):
        if any(part.roles.get(role, Rung.GUESSED) > Rung.GUESSED for role in roles):
            return colour
    values = [
        str(value.value)
        for (_, name), value in element.properties.items()
        if "system" in (name or "").lower()
    ]
    for text in (" / ".join(values), " / ".join((element.name, element.type_name, element.object_type))):
        if GAS.search(text):
            return "soil-gas"
        if PLUMBING.search(text):
            return "plumbing"
    return "soil-gas" if part.has(*_GAS_ROLES) else "plumbing" if part.has(*_PLUMBING_ROLES) else ""


def _at_fixture(house: House, members: Mapping[str, Piece]) -> set[str]:
    """Pieces whose ports are joined to a plumbing fixture's."""
    fixtures = {port for part in house.with_role("plumbing_fixture") for port in part.element.ports}
    if not fixtures:
        return set()
    owner = {end.port: key for key, piece in members.items() for end in piece.ends if end.port}
    return {
        owner[here]
        for relation in house.relations
        if relation.kind == "ports"
        for here, there in ((relation.first, relation.second), (relation.second, relation.first))
        if here in owner and there in fixtures
    }


def open_ends(members: Mapping[str, Piece], joints: Iterable[Joint]) -> tuple[PipeEnd, ...]:
    """Ends with nothing on them, by key; fittings count only as far as their type needs more ends than
    they have."""
    used = {end.key for joint in joints for end in (joint.first, joint.second)}
    found = []
    for key in sorted(members):
        piece = members[key]
        free = [end for end in piece.ends if end.key not in used]
        if piece.kind == "pipe":
            found += [end for end in free if piece.along.get(end.key) is not None or piece.line is None]
        elif not piece.caps:
            missing = piece.needs - (len(piece.ends) - len(free))
            while len(free) < missing:
                free.append(piece.add_end(_bare_mouth(piece)))
            found += free[: max(missing, 0)]
    return tuple(sorted(found, key=lambda end: end.key))


def _bare_mouth(piece: Piece) -> Array | None:
    """About where a fitting's unused mouth is: opposite the ends it has, within its box."""
    box = piece.part.box
    if box is None:
        return None
    points = [end.point for end in piece.ends if end.point is not None]
    if not points:
        return box.centre
    mouth: Array = 2 * box.centre - np.mean(points, axis=0)
    return mouth


def drawn_whole(members: Mapping[str, Piece], joints: Iterable[Joint]) -> bool:
    """Drawn with its fittings: at least two fittings joined, or two joints stated by ports."""
    joints = list(joints)
    fitted = {
        end.part.key
        for joint in joints
        for end in (joint.first, joint.second)
        if members[end.part.key].kind == "fitting"
    }
    return len(fitted) >= 2 or sum(joint.origin == "stated" for joint in joints) >= 2


def spread_colours(networks: Iterable[Network]) -> None:
    """Give parts without a colour that of the nearest coloured part of their network (soil gas on a tie)."""
    for network in networks:
        near: dict[str, list[str]] = {part.key: [] for part in network.parts}
        for joint in network.joints:
            near[joint.first.part.key].append(joint.second.part.key)
            near[joint.second.part.key].append(joint.first.part.key)
        rank = {"soil-gas": 0, "plumbing": 1}
        queue = deque(
            sorted(
                (key for key, colour in network.colour_of.items() if colour),
                key=lambda key: (rank[network.colour_of[key]], key),
            )
        )
        while queue:
            key = queue.popleft()
            for other in sorted(near[key]):
                if not network.colour_of[other]:
                    network.colour_of[other] = network.colour_of[key]
                    queue.append(other)


def add_roles(house: House, networks: Iterable[Network], whole_way: set[str]) -> None:
    """Turn `pipe` and `fitting` into their final roles, rung inferred, with the network as second ground.

    Args:
        house: its parts get the roles.
        networks: coloured.
        whole_way: keys of uncoloured networks that run from the gravel to above the roof.
    """
    final = {
        ("soil-gas", "pipe"): "vent_pipe",
        ("soil-gas", "fitting"): "vent_fitting",
        ("plumbing", "pipe"): "plumbing_pipe",
        ("plumbing", "fitting"): "plumbing_fitting",
    }
    for network in networks:
        for part in network.parts:
            piece = network.pieces[part.key]
            role = final.get((network.colour_of.get(part.key, ""), piece.kind), "")
            if not role or part.has(*_GAS_ROLES, *_PLUMBING_ROLES, "fan", "sump"):
                continue
            why = (
                "runs from the permeable layer to above the roof"
                if network.key in whole_way
                else f"joined to a {network.colour_of[part.key]} network ({len(network.parts)} pieces)"
            )
            part.roles[role] = Rung.INFERRED
            part.grounds[role] = (*part.grounds.get(piece.kind, ()), Ground("place", why))
    house.roles_changed()
