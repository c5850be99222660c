"""Measures of the shear at the foot of a wall and of what the sill's anchor bolts carry into the foundation."""

from __future__ import annotations

from math import inf

from modellint.engineering.load_levels import hazard_of, method_of
from modellint.engineering.sill_bolt import SOURCES, sill_bolt_shear
from modellint.engineering.wood_species import load_duration
from modellint.graph.wall_nodes import PlatePiece, WallLine
from modellint.measures.ask import Ask, measure
from modellint.measures.chain_links import rod_diameter
from modellint.measures.governing import governing
from modellint.measures.opening_walls import PERFORATED
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.measures.wall_loads import LoadCase, line_cases, line_loads, load_in, method_of_wall, no_demand
from modellint.measures.wood import gravity_range
from modellint.roles.part import Part, Rung


@measure("truth", of="wall_line", example="true for a ground-storey wall whose storey shear is given")
def sill_carries_given_shear(line: WallLine, ask: Ask) -> Quantity:
    """Whether the wall stands on the foundation, on a sill that is drawn or assumed, and its storey shear is given."""
    stands = any(end.on_foundation and end.below is None for segment in line.segments for end in segment.ends)
    return truth(stands and bool(line_loads(line, ask)) and bool(_pieces(line, ask)))


def _pieces(line: WallLine, ask: Ask) -> list[PlatePiece]:
    return [piece for piece in ask.house.nodes.get("plate_piece", ()) if piece.line is line]


@measure("force", of="wall_line", item="load_case", example="15.5 kN")
def sill_shear_in(line: WallLine, case: LoadCase, ask: Ask) -> Quantity:
    """Shear that the sill's anchor bolts must carry in one load case, newtons.

    The storey shear; in a perforated wall v_max on all counted lengths, V / C_o (SDPWS 2021 4.3.6.4.1.1).
    """
    given = load_in(line, case, ask)
    if given is None:
        return unknown("force", no_demand(ask, f"wall {line.name}, {line.storey} at {case.name}"), low=0.0)
    if method_of_wall(line, ask) != PERFORATED:
        return exact(given.shear, "force", given.source, rung=given.source.rung, level=given.level)
    factor = ask.measure("opening_factor_of_wall", line)
    if factor.high == inf or factor.low <= 0:
        return unknown("force", *factor.missing, low=0.0)
    return between(given.shear / factor.high, given.shear / factor.low, "force", given.source, *factor.evidence,
                   missing=factor.missing, rung=min(given.source.rung, factor.rung), level=given.level)


@measure("force", of="wall_line", item="load_case", example="29 kN for six 1/2 in bolts in southern pine, ASD wind")
def sill_bolts_take_in(line: WallLine, case: LoadCase, ask: Ask) -> Quantity:
    """Shear along the wall that its sill's anchor bolts take together in one load case, newtons, ASD.

    Each bolt by the yield equations behind NDS 2018 Table 12E for its diameter, the plate's thickness and wood, and 6
    in of embedment in concrete of 2,500 psi, times 1.6 for wind and seismic load (Table 2.3.2). Wood of unknown species
    leaves a range. Concrete near its edge, end distances and plate washers are judged elsewhere or not at all.
    """
    pieces = _pieces(line, ask)
    bolts = [(bolt, piece) for piece in pieces for bolt, _ in piece.bolts]
    if not bolts:
        return unknown("force", Missing("anchor_bolt", "the building", "draw the sill anchor bolts"), low=0.0)
    if method_of(case.level) != "ASD" or not hazard_of(case.level):
        return unknown("force", Missing("load level", line.said, "give the shear at allowable level"), low=0.0)
    gravities = gravity_range([piece.plate for piece in pieces])
    totals = [0.0, 0.0]
    for bolt, piece in bolts:
        one = _one_bolt(bolt, piece, gravities, case, ask)
        if one is None:
            missing = Missing("bolt diameter", bolt.name, "state the bolt's diameter, or draw it with its plate")
            return unknown("force", missing, low=0.0)
        totals = [total + value for total, value in zip(totals, one, strict=True)]
    seen = Evidence(f"{len(bolts)} anchor bolts, {SOURCES['sill_bolt_shear'].words()}, times 1.6", totals[1], "force",
                    Rung.INFERRED)
    lacking = () if gravities[0] == gravities[1] else (
        Missing("wood species of the plates", "the building", "name the wood of the sill plates"),)
    return Quantity("force", totals[0], totals[1], rung=Rung.INFERRED, evidence=(seen,), missing=lacking,
                    level=case.level)


def _one_bolt(
    bolt: Part, piece: PlatePiece, gravities: tuple[float, float], case: LoadCase, ask: Ask
) -> tuple[float, float] | None:
    """What one bolt takes with the lightest and the heaviest wood that is possible [N]; None if it cannot be told."""
    ask.part(bolt)
    wide, deep = rod_diameter(bolt, ask), ask.measure("embedded_length", bolt)
    if not wide or piece.top <= piece.bottom or not deep.known or deep.low <= 0:
        return None
    duration = load_duration(hazard_of(case.level))
    try:
        low, high = (duration * sill_bolt_shear(wide, piece.top - piece.bottom, gravity, embedment=deep.low)[0]
                     for gravity in gravities)
    except ValueError:
        return None
    return low, high


@measure("force", of="wall_line", example="15.5 kN")
def sill_shear(line: WallLine, ask: Ask) -> Quantity:
    """Shear that the sill's anchor bolts must carry, newtons, in the load case that governs them."""
    cases = line_cases(line, ask)
    return governing(line, cases, "sill_shear_in", "sill_bolts_take_in", ask).demand if cases else (
        ask.measure("sill_shear_in", line, LoadCase("")))


@measure("force", of="wall_line", example="29 kN for six 1/2 in bolts in southern pine, ASD wind")
def sill_bolts_take(line: WallLine, ask: Ask) -> Quantity:
    """Shear along the wall that its sill's anchor bolts take together, newtons, in the load case that governs."""
    return ask.measure("sill_bolts_take_in", line, LoadCase(ask.measure("sill_shear", line).level))
