"""Which way gas and water go in a network: ends as a graph, and the suction side of each stretch of pipe."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from modellint.contacts.polylines import arc_lengths, cut
from modellint.graph.pipe_nodes import Network, Piece, PipeEnd, Span

if TYPE_CHECKING:
    import networkx


def hub(key: str) -> str:
    """Node that stands for the inside of a fitting."""
    return f"{key}#inside"


def set_spans(piece: Piece) -> None:
    """Cut a pipe's centre line into stretches between neighbouring ends and side joints."""
    if piece.line is None:
        return
    ends = sorted(
        (end for end in piece.ends if end.key in piece.along), key=lambda end: (piece.along[end.key], end.key)
    )
    piece.spans = tuple(
        Span(a, b, cut(piece.line, piece.along[a.key], piece.along[b.key]))
        for a, b in itertools.pairwise(ends)
        if piece.along[b.key] - piece.along[a.key] > 1e-6
    )


def end_graph(network: Network, states: frozenset[str]) -> networkx.Graph:
    """Ends and insides of fittings as nodes; stretches of pipe and joints of the given states as edges.

    Stretches carry the attribute `span`, joints `joint`.
    """
    import networkx

    graph = networkx.Graph()
    for piece in network.pieces.values():
        graph.add_nodes_from(end.key for end in piece.ends)
        if piece.kind == "pipe" and piece.line is not None:
            _chain(graph, piece)
        else:
            graph.add_edges_from((hub(piece.part.key), end.key) for end in piece.ends)
    for joint in network.joints:
        if joint.state in states:
            graph.add_edge(joint.first.key, joint.second.key, joint=joint)
    return graph


def _chain(graph: networkx.Graph, piece: Piece) -> None:
    spans = {(span.first.key, span.second.key): span for span in piece.spans}
    ends = sorted((end.key for end in piece.ends), key=lambda key: (piece.along.get(key, 0.0), key))
    for a, b in itertools.pairwise(ends):
        graph.add_edge(a, b, span=spans.get((a, b)))


def set_directions(network: Network, graph: networkx.Graph, suction: set[str], outlets: set[str]) -> None:
    """Give each stretch its suction side.

    Args:
        network: its pieces' spans are filled in.
        graph: of `end_graph`.
        suction, outlets: end keys.
    """
    for piece in network.pieces.values():
        for span in piece.spans:
            side = _side(graph, span, suction)
            if side:
                span.toward, span.reason = side, "a suction point is reached from there"
                continue
            away = _side(graph, span, outlets)
            if away in {"first", "second"}:
                span.toward = "second" if away == "first" else "first"
                span.reason = "it is the end away from the exit"


def _side(graph: networkx.Graph, span: Span, targets: set[str]) -> str:
    """End of a stretch from which a target is reached without passing it: first, second, both or ""."""
    edge = (span.first.key, span.second.key)
    first = not targets.isdisjoint(_reached(graph, span.first.key, edge))
    second = not targets.isdisjoint(_reached(graph, span.second.key, edge))
    return "both" if first and second else "first" if first else "second" if second else ""


def _reached(graph: networkx.Graph, start: str, barred: tuple[str, str]) -> set[str]:
    seen, queue = {start}, [start]
    while queue:
        node = queue.pop()
        for other in graph.adj[node]:
            if other not in seen and {node, other} != set(barred):
                seen.add(other)
                queue.append(other)
    return seen


def reached_through(graph: networkx.Graph, starts: Iterable[str]) -> set[str]:
    """All nodes connected with any of the starts."""
    found: set[str] = set()
    for start in sorted(set(starts)):
        if start in graph and start not in found:
            found |= _reached(graph, start, ("", ""))
    return found


def ends_by_key(pieces: Mapping[str, Piece]) -> dict[str, PipeEnd]:
    """All ends of some pieces by key."""
    return {end.key: end for piece in pieces.values() for end in piece.ends}


def length_of(piece: Piece) -> float:
    """Length of a pipe along its centre line, 0 if it has none, metres."""
    return float(arc_lengths(piece.line)[-1]) if piece.line is not None else 0.0
