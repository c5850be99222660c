"""Vent runs: soil-gas networks with their suction points, outlets, free ends and the way between."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from modellint.graph.house import House
from modellint.graph.layer import Layer, in_layer
from modellint.graph.pipe_networks import ANY_STATE, graph_of
from modellint.graph.pipe_nodes import Network, Piece, PipeEnd, VentOutlet, VentRun
from modellint.graph.roof_surface import Roof
from modellint.graph.vent_ways import end_graph, set_directions
from modellint.ifc.solid import Array
from modellint.roles.part import Rung

LETS_IN = ("collector", "suction_point", "sump")


def is_suction(piece: Piece) -> bool:
    """Whether gas enters a piece by its kind: a collector, suction point, sump or perforated pipe."""
    return piece.part.has(*LETS_IN) or piece.perforated is True


def is_vent(network: Network, layers: tuple[Layer, ...], roof: Roof) -> tuple[bool, bool]:
    """Whether a network carries soil gas, and whether only its way from gravel to roof says so."""
    if "soil-gas" in network.colours:
        return True, False
    if network.colours:
        return False, False
    low = any(in_layer(layers, end.point) for piece in network.pieces.values() for end in piece.ends)
    high = any(
        end.point is not None and roof.side_of(end.point) == "over" and _above(roof, end.point)
        for end in network.open_ends
    )
    return low and high, low and high


def _above(roof: Roof, point: Array) -> bool:
    from modellint.graph.roof_surface import height_above

    return height_above(roof, point, 0.0).low > 0


def run_of(house: House, network: Network, layers: tuple[Layer, ...], roof: Roof) -> VentRun:
    """One vent run over a soil-gas network, its stretches directed."""
    run = VentRun(network.key, network, rung=_rung(network))
    suction = _suction_ends(network, layers)
    run.ends = _uses(network, suction, layers, roof)
    by_key = {end.key: end for piece in network.pieces.values() for end in piece.ends}
    run.suction = tuple(by_key[key] for key in sorted(suction))
    run.outlets = _outlets(run, by_key, roof)
    graph = end_graph(network, ANY_STATE)
    set_directions(network, graph, suction, {outlet.end.key for outlet in run.outlets})
    run.order = _order(run)
    run.label = _label(run)
    return run


def _rung(network: Network) -> Rung:
    """Lowest rung among vent pipes; of an uncoloured way from gravel to roof `inferred`."""
    rungs = [part.roles[role] for part in network.parts for role in ("vent_pipe",) if role in part.roles]
    return max(rungs, default=Rung.INFERRED)


def _gas(network: Network, key: str) -> bool:
    return network.colour_of.get(key, "") != "plumbing"


def _suction_ends(network: Network, layers: tuple[Layer, ...]) -> set[str]:
    found = {
        end.key
        for key, piece in network.pieces.items()
        if is_suction(piece) and _gas(network, key)
        for end in piece.ends
    }
    found |= {
        end.key for end in network.open_ends if in_layer(layers, end.point) and _gas(network, end.part.key)
    }
    return found


def _uses(network: Network, suction: set[str], layers: tuple[Layer, ...], roof: Roof) -> dict[str, str]:
    """Use of each free end on the soil-gas side."""
    uses = {}
    for piece in network.pieces.values():
        if piece.caps and _gas(network, piece.part.key):
            uses.update({end.key: "capped" for end in piece.ends})
    for end in _mouths(network):
        uses[end.key] = "outlet"
    for end in network.open_ends:
        if not _gas(network, end.part.key) or end.key in uses:
            continue
        uses[end.key] = "suction" if end.key in suction else _use(end, roof)
    _highest_is_outlet(network, uses, roof)
    return uses


def _use(end: PipeEnd, roof: Roof) -> str:
    if end.point is None:
        return "unknown"
    side = roof.side_of(end.point)
    if side == "over":
        return "outlet" if _above(roof, end.point) else "open"
    return "unknown" if side == "gap" else "outside"


def _highest_is_outlet(network: Network, uses: dict[str, str], roof: Roof) -> None:
    """Without a roof overhead only the highest free end can be the exit; others there are open or not
    known."""
    points = {end.key: end.point for end in network.open_ends if end.point is not None}
    tops = [float(p[2]) for p in points.values()]
    doubtful = [key for key in sorted(uses) if uses[key] in {"unknown", "outside"} and key in points]
    has_outlet = "outlet" in uses.values()
    for key in doubtful:
        highest = not has_outlet and float(points[key][2]) >= max(tops) - 1e-6
        if uses[key] == "outside":
            uses[key] = "outlet" if highest else "open"
        elif not highest and roof.drawn:
            uses[key] = "open"


def _mouths(network: Network) -> list[PipeEnd]:
    """The mouth of each vent terminal: its free port, else where the pipe ends in it."""
    joined: dict[str, list[PipeEnd]] = {}
    for joint in network.joints:
        for here, there in ((joint.first, joint.second), (joint.second, joint.first)):
            joined.setdefault(here.part.key, []).append(there)
    found = []
    for key, piece in network.pieces.items():
        if not piece.part.has("vent_terminal") or piece.kind != "fitting":
            continue
        near = [end for end in joined.get(key, []) if end.point is not None]
        used = {joint.first.key for joint in network.joints} | {joint.second.key for joint in network.joints}
        free = [end for end in piece.ends if end.key not in used]
        found.append(free[0] if free else piece.add_end(_mouth_point(piece, near)))
    return found


def _mouth_point(piece: Piece, near: list[PipeEnd]) -> Array | None:
    box = piece.part.box
    point = near[0].point if near else None
    if box is None or point is None:
        return point
    # the pipe's own end is the lowest place where gas can leave, so it is the cautious exit
    if box.contains(point, 0.002):
        return point
    return np.array([point[0], point[1], float(box.high[2])])


def _outlets(run: VentRun, by_key: Mapping[str, PipeEnd], roof: Roof) -> tuple[VentOutlet, ...]:
    keys = [key for key in sorted(run.ends) if run.ends[key] == "outlet"]
    if not keys:
        doubtful = [by_key[key] for key in sorted(run.ends) if run.ends[key] == "unknown"]
        rows = [(float(end.point[2]), end.key) for end in doubtful if end.point is not None]
        lows = [float(end.point[2]) for end in by_key.values() if end.point is not None]
        # an end less than a storey above the lowest pipe is a stub, not an exit (judgement, no source)
        keys = [max(rows)[1]] if rows and not roof.drawn and max(rows)[0] - min(lows) > 2.0 else []
    return tuple(
        VentOutlet(f"{key}@outlet", by_key[key], _rim(run, by_key[key]), run, run.rung) for key in keys
    )


def _rim(run: VentRun, end: PipeEnd) -> float | None:
    piece = run.network.pieces[end.part.key]
    sizes = [piece.bore] if piece.bore else []
    for joint in run.network.joints:
        if end.part in (joint.first.part, joint.second.part):
            other = joint.second if joint.first.part is end.part else joint.first
            sizes += [size for size in (run.network.pieces[other.part.key].bore,) if size]
    return sizes[0][1] / 2 if sizes else None


def _order(run: VentRun) -> tuple[str, ...]:
    """Part keys from a suction piece to an outlet along the way with the fewest breaks, then the fewest
    pieces."""
    import networkx

    network = run.network
    graph = graph_of(network.pieces, network.joints, ANY_STATE)
    weight = {"joined": 1, "unknown": 1000, "broken": 1000}

    def cost(_a: str, _b: str, edges: Mapping[str, Mapping[str, object]]) -> int:
        return min(weight[edge["joint"].state] for edge in edges.values())  # type: ignore[attr-defined]

    start = _start(run)
    distances, ways = networkx.single_source_dijkstra(graph, start, weight=cost)
    goals = [outlet.end.part.key for outlet in run.outlets if outlet.end.part.key in ways]
    if not goals:
        goals = [max(sorted(ways), key=lambda key: (_top(network.pieces[key]), key))]
    best = min(goals, key=lambda key: (distances[key], key))
    return tuple(ways[best])


def _start(run: VentRun) -> str:
    keys = [end.part.key for end in run.suction]
    points = [key for key in keys if run.network.pieces[key].part.has("suction_point")]
    if points or keys:
        return sorted(points or keys)[0]
    pieces = run.network.pieces
    return min(sorted(pieces), key=lambda key: (-_top(pieces[key]) if pieces[key].ends else 0.0, key))


def _top(piece: Piece) -> float:
    heights = [float(end.point[2]) for end in piece.ends if end.point is not None]
    return max(heights, default=-1e9)


def _label(run: VentRun) -> str:
    """The vent's name: its system's, else "soil-gas vent"."""
    from modellint.graph.pipe_networks import GAS

    names = {name for part in run.network.parts for name in part.element.systems if name and GAS.search(name)}
    return min(names, key=lambda name: (len(name), name)) if names else "soil-gas vent"
