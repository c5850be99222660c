"""Standing water: spill levels over the inverts, depth, volume, how much of the bore it closes.

The spill level of a point is the lowest, over all ways to a drain, of the highest invert on the way; water
stands wherever that lies above the point's own invert.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import acos, cos, inf, pi, sqrt

import numpy as np

from modellint.contacts.polylines import usable
from modellint.graph.layer import Layer, in_layer
from modellint.graph.pipe_nodes import Network, Piece, PipeLimits, Pool, VentRun
from modellint.graph.vent_ways import hub
from modellint.ifc.solid import Array
from modellint.roles.part import Part


def spill_levels(
    inverts: Mapping[str, float], edges: Iterable[tuple[str, str]], drains: Iterable[str]
) -> dict[str, float]:
    """Spill level of every point that has a way to a drain.

    Args:
        inverts: node to invert level, metres.
        edges: undirected ways between nodes.
        drains: nodes where water leaves.
    """
    near: dict[str, list[str]] = {node: [] for node in inverts}
    for a, b in edges:
        near[a].append(b)
        near[b].append(a)
    levels: dict[str, float] = {}
    queue = [(inverts[node], node) for node in sorted(set(drains)) if node in inverts]
    heapq.heapify(queue)
    while queue:
        level, node = heapq.heappop(queue)
        if node in levels:
            continue
        levels[node] = level
        for other in near[node]:
            if other not in levels:
                heapq.heappush(queue, (max(level, inverts[other]), other))
    return levels


def segment_area(depth: float, radius: float) -> float:
    """Area of a circle's segment of a given depth: R² acos((R-h)/R) - (R-h) sqrt(2Rh - h²), h within 0 to
    2R."""
    h = min(max(depth, 0.0), 2 * radius)
    return (
        radius**2 * acos((radius - h) / radius) - (radius - h) * sqrt(max(2 * radius * h - h * h, 0.0))
        if radius
        else 0.0
    )


def _area_sum(depth: float, radius: float) -> float:
    """Integral of `segment_area` from 0 to `depth`."""
    h = min(max(depth, 0.0), 2 * radius)
    u = (radius - h) / radius
    rest = sqrt(max(1 - u * u, 0.0))
    return -(radius**3) * (u * acos(u) - rest + rest**3 / 3) + pi * radius**2 * max(depth - 2 * radius, 0.0)


def wedge_volume(depth_start: float, depth_end: float, length: float, radius: float) -> float:
    """Water in a straight pipe whose depth changes evenly from one end to the other, cubic metres.

    Args:
        depth_start, depth_end: above the invert at both ends, square to the axis, metres; negative where the
            water line lies below the invert.
        length: along the axis, metres.
        radius: of the bore, metres.
    """
    if radius <= 0 or length <= 0 or max(depth_start, depth_end) <= 0:
        return 0.0
    low, high = sorted((depth_start, depth_end))
    if high - low < 1e-9:
        return segment_area(high, radius) * length
    # the segment area changes with the depth only, so the volume is its integral over depth, stretched to
    # length
    return length / (high - low) * (_area_sum(high, radius) - _area_sum(low, radius))


@dataclass
class WaterGraph:
    """Inverts of a network.

    Attributes:
        inverts: node to level, metres; insides of fittings are no obstacle.
        places: node to (3,) invert point.
        owner: node to its piece.
        edges: ways of water.
        stretches: `(node, node, piece, upright)` of straight pipe.
        anchors: joint cluster (nodes that move together) of each node.
    """

    inverts: dict[str, float] = field(default_factory=dict)
    places: dict[str, Array] = field(default_factory=dict)
    owner: dict[str, Piece] = field(default_factory=dict)
    edges: list[tuple[str, str]] = field(default_factory=list)
    stretches: list[tuple[str, str, Piece, bool]] = field(default_factory=list)
    clusters: dict[str, frozenset[str]] = field(default_factory=dict)


def water_graph(network: Network, limits: PipeLimits) -> WaterGraph:
    """Inverts of all pipes and the ways between them."""
    graph = WaterGraph()
    for piece in network.pieces.values():
        if piece.kind == "pipe" and piece.line is not None:
            _add_pipe(graph, piece, limits)
    _join(graph, network)
    return graph


def _add_pipe(graph: WaterGraph, piece: Piece, limits: PipeLimits) -> None:
    half = piece.bore[0] / 2 if piece.bore else 0.0
    for number, span in enumerate(piece.spans):
        before = ""
        for k, point in enumerate(span.line):
            last = k == len(span.line) - 1
            node = span.first.key if k == 0 else span.second.key if last else f"{piece.part.key}~{number}.{k}"
            if not usable(point):
                continue
            graph.inverts[node] = float(point[2]) - half
            graph.places[node] = point - np.array([0.0, 0.0, half])
            graph.owner[node] = piece
            if before:
                graph.edges.append((before, node))
                run = float(np.hypot(*(graph.places[node] - graph.places[before])[:2]))
                drop = abs(graph.inverts[node] - graph.inverts[before])
                graph.stretches.append((before, node, piece, run < limits.vertical or drop > 2 * run))
            before = node


def _join(graph: WaterGraph, network: Network) -> None:
    """Joints and fittings as ways; a steep pipe is no sill for the flatter one it meets."""
    cluster: dict[str, set[str]] = {}

    def group(node: str) -> set[str]:
        return cluster.setdefault(node, {node})

    def merge(a: str, b: str) -> None:
        both = group(a) | group(b)
        for node in both:
            cluster[node] = both

    for piece in network.pieces.values():
        if piece.kind == "fitting" or piece.line is None:
            for end in piece.ends:
                graph.edges.append((hub(piece.part.key), end.key))
                merge(hub(piece.part.key), end.key)
    for joint in network.joints:
        graph.edges.append((joint.first.key, joint.second.key))
        merge(joint.first.key, joint.second.key)
    steep = {node for a, b, _, upright in graph.stretches if upright for node in (a, b)}
    flat = {node for a, b, _, upright in graph.stretches if not upright for node in (a, b)}
    for node, members in sorted(cluster.items()):
        sills = [graph.inverts[other] for other in members if other in flat]
        if node not in graph.inverts or (node in steep - flat and sills):
            graph.inverts[node] = min(
                [*sills, *([graph.inverts[node]] if node in graph.inverts else [])], default=-inf
            )
    for node in {node for edge in graph.edges for node in edge}:
        graph.inverts.setdefault(node, -inf)
    graph.clusters = {node: frozenset(members) for node, members in cluster.items()}


def pools_of(
    run: VentRun, layers: tuple[Layer, ...], limits: PipeLimits
) -> tuple[tuple[Pool, ...], tuple[str, ...]]:
    """Low points of a run by key, and keys of pieces from which no water finds a drain."""
    graph = water_graph(run.network, limits)
    drains = {end.key for end in run.suction}
    levels = spill_levels(graph.inverts, graph.edges, drains)
    cut_off = sorted({piece.part.key for node, piece in graph.owner.items() if node not in levels})
    depth = {
        node: levels[node] - graph.inverts[node]
        for node in graph.owner
        if node in levels and levels[node] - graph.inverts[node] > limits.pool
    }
    found = []
    for nodes in _connected(depth, graph):
        pool = _pool(run, graph, nodes, levels, drains=drains, limits=limits)
        if not in_layer(layers, pool.point):
            found.append(pool)
    return tuple(sorted(found, key=lambda pool: pool.key)), tuple(cut_off if drains else [])


def _connected(depth: Mapping[str, float], graph: WaterGraph) -> list[list[str]]:
    """Wet nodes in connected groups; what meets in one joint or fitting is connected."""
    near: dict[str, set[str]] = {node: set() for node in depth}
    for a, b in graph.edges:
        if a in near and b in near:
            near[a].add(b)
            near[b].add(a)
    for node in depth:
        near[node] |= {other for other in graph.clusters.get(node, ()) if other in near}
    seen: set[str] = set()
    groups = []
    for start in sorted(depth):
        if start not in seen:
            members, queue = {start}, [start]
            while queue:
                fresh = near[queue.pop()] - members
                members |= fresh
                queue += sorted(fresh)
            seen |= members
            groups.append(sorted(members))
    return groups


def _pool(
    run: VentRun,
    graph: WaterGraph,
    nodes: list[str],
    levels: Mapping[str, float],
    *,
    drains: set[str],
    limits: PipeLimits,
) -> Pool:
    wet = set(nodes)
    flat = {node for a, b, _, upright in graph.stretches if not upright for node in (a, b)}
    deepest = min(
        nodes, key=lambda node: (-round(levels[node] - graph.inverts[node], 6), node not in flat, node)
    )
    piece, spill = graph.owner[deepest], levels[deepest]
    bore = piece.bore[0] if piece.bore else 0.0
    depth = spill - graph.inverts[deepest]
    volume = sum(_volume(graph, row, spill) for row in graph.stretches if row[0] in wet or row[1] in wet)
    closed = segment_area(depth, bore / 2) / (pi * bore**2 / 4) if bore else 0.0
    lift, at = _lift(graph, nodes, levels, drains, limits)
    part: Part = piece.part
    return Pool(
        f"{deepest}~pool",
        graph.places[deepest],
        min(depth, bore) if bore else depth,
        volume,
        closed,
        lift,
        at,
        part,
        run.rung,
    )


def _volume(graph: WaterGraph, row: tuple[str, str, Piece, bool], spill: float) -> float:
    a, b, piece, upright = row
    radius = piece.bore[0] / 2 if piece.bore else 0.0
    start, end = graph.places[a], graph.places[b]
    length = float(np.linalg.norm(end - start))
    if length < 1e-9 or radius <= 0:
        return 0.0
    if upright:
        bottom, top = sorted((float(start[2]) + radius, float(end[2]) + radius))
        return pi * radius**2 * length * min(max((spill - bottom) / max(top - bottom, 1e-9), 0.0), 1.0)
    lean = cos(float(np.arcsin(np.clip((end[2] - start[2]) / length, -1, 1))))
    return wedge_volume((spill - float(start[2])) * lean, (spill - float(end[2])) * lean, length, radius)


def _lift(
    graph: WaterGraph, nodes: list[str], levels: Mapping[str, float], drains: set[str], limits: PipeLimits
) -> tuple[float | None, str]:
    """Smallest rise of one joint that leaves all of the pool's points dry, and where; (None, "") if none
    does."""
    tries = sorted({(round(levels[node] - graph.inverts[node], 9), node) for node in nodes})
    for rise, node in tries:
        moved = dict(graph.inverts)
        for other in graph.clusters.get(node, frozenset({node})):
            moved[other] = graph.inverts[other] + rise
        again = spill_levels(moved, graph.edges, drains)
        if all(again.get(other, inf) - moved[other] <= limits.pool for other in nodes):
            return rise, node
    return None, ""
