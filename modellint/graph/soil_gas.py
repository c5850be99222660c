"""The soil-gas side of a house connected: networks, vent runs, outlets, pockets, pools, storeys."""

from __future__ import annotations

from modellint.graph.house import House
from modellint.graph.layer import layers_of
from modellint.graph.pipe_ends import pieces_of
from modellint.graph.pipe_facts import PipeFacts
from modellint.graph.pipe_joints import joints_of
from modellint.graph.pipe_networks import add_roles, networks_of, spread_colours
from modellint.graph.pipe_nodes import PipeLimits, Piping
from modellint.graph.pockets import pockets_of
from modellint.graph.pools import pools_of
from modellint.graph.roof_surface import roof_of
from modellint.graph.vent_runs import is_suction, is_vent, run_of
from modellint.graph.vent_storeys import vent_storeys_of
from modellint.graph.vent_stretches import stretches_of
from modellint.graph.vent_ways import set_spans


def connect(house: House, limits: PipeLimits | None = None) -> None:
    """Fill in the soil-gas nodes of a house and give pipes of unknown purpose their role.

    Fills `house.nodes` under `network`, `vent_run`, `vent_outlet`, `gravel_pocket`, `pool`, `vent_storey`,
    `vent_stretch` and,
    for the measures, `piping`, `gravel_layer` and `roof_surface`.

    Args:
        house: parts with roles; changed in place.
        limits: of the joints.
    """
    limits = limits or limits_of(house)
    facts = PipeFacts(house.properties)
    pieces = pieces_of(house, facts, limits)
    joints = joints_of(house.relations, pieces, limits)
    for piece in pieces.values():
        set_spans(piece)
    networks = networks_of(house, pieces, joints, limits)
    layers, roof = layers_of(house), roof_of(house)
    whole_way = set()
    for network in networks:
        vent, by_way = is_vent(network, layers, roof)
        if vent and by_way:
            whole_way.add(network.key)
            network.colours = frozenset({"soil-gas"})
            network.colour_of = dict.fromkeys(network.colour_of, "soil-gas")
    spread_colours(networks)
    add_roles(house, networks, whole_way)
    runs = tuple(
        run_of(house, network, layers, roof) for network in networks if "soil-gas" in network.colours
    )
    for run in runs:
        run.pools, run.cut_off = pools_of(run, layers, limits)
    suction = {
        key
        for network in networks
        for key, piece in network.pieces.items()
        if is_suction(piece) or key in {end.part.key for run in runs for end in run.suction}
    }
    house.nodes.update(
        {
            "network": networks,
            "vent_run": runs,
            "vent_outlet": tuple(
                sorted((outlet for run in runs for outlet in run.outlets), key=lambda node: node.key)
            ),
            "pool": tuple(sorted((pool for run in runs for pool in run.pools), key=lambda pool: pool.key)),
            "gravel_pocket": pockets_of(house, layers, networks, suction, limits),
            "vent_storey": tuple(
                storey for run in runs for storey in vent_storeys_of(house, run, layers, roof, limits)
            ),
            "vent_stretch": tuple(
                stretch for run in runs for stretch in stretches_of(house, run, layers)
            ),
            "gravel_layer": layers,
            "roof_surface": (roof,),
            "piping": (
                Piping(
                    pieces,
                    {part.key: network for network in networks for part in network.parts},
                    {part.key: run for run in runs for part in run.network.parts},
                    limits,
                    facts,
                ),
            ),
        }
    )


def limits_of(house: House) -> PipeLimits:
    """Limits of the joints from the general settings, shipped values where none were loaded."""
    own = PipeLimits()
    return PipeLimits(
        port_gap=house.limit("joint_gap", own.port_gap),
        end_gap=house.limit("joint_inferred", own.end_gap),
        vertical=house.limit("vertical_plan_length", own.vertical),
        pocket_area=house.limit("pocket_area", own.pocket_area),
    )


def piping_of(house: House) -> Piping:
    """All pipes of a connected house; an empty one before `connect`."""
    found = house.nodes.get("piping", ())
    return found[0] if found else Piping()
