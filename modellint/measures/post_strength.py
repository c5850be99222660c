"""Measures of what the end post itself takes in compression."""

from __future__ import annotations

from modellint.engineering.load_levels import holds_for, load_level, method_of
from modellint.engineering.post_compression import SOURCES, euler_stress, slenderness
from modellint.engineering.wood_species import SPECIES
from modellint.graph.lever_arms import compression_post, post_thickness, tension_line
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure
from modellint.measures.chain_links import WOOD_SLACK
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.measures.schedule_rows import tie_mark_of, tie_rows_of
from modellint.measures.wood import species_of
from modellint.roles.part import Rung


@measure("force", of="wall_end", example="60 kN in the hold-down schedule; at most 109 kN by buckling")
def post_strength(end: WallEnd, ask: Ask) -> Quantity:
    """Push that the post of this end takes, newtons.

    As the hold-down schedule gives it (post_compression) where the post is as thick as the row asks. Else only an
    upper bound: buckling across the wall, 0.822 E_min / (l/d)2 times its section (NDS 2018 3.7.1.5), ASD; along the
    wall the sheathing holds it. The strength of the wood is left to the engineer.
    """
    level, post = ask.measure("push_demand", end).level, compression_post(end)
    thick = post_thickness(end, post) if post is not None else None
    missing = Missing("post compression", end.name, "give post_compression in the hold-down schedule")
    if post is None or post.box is None or not thick:
        return unknown("force", Missing("post", end.name, "draw the end post"), low=0.0)
    ask.part(post)
    tie = tension_line(end)
    for row in tie_rows_of(ask, tie_mark_of(tie, ask)) if tie is not None else ():
        value, least = row.get("post_compression"), row.get("minimum_post_thickness")
        own = load_level(row.get("level") or "")
        if value is not None and holds_for(own, level) and (least is None or thick >= least - WOOD_SLACK):
            seen = Evidence(f"hold-down schedule, line {row.line}", float(value), "force", Rung.SCHEDULED)
            return exact(float(value), "force", seen, rung=Rung.SCHEDULED, level=level)
    wood, across = species_of([post]), end.line.across(post.box.corners)
    depth, height = float(across.max() - across.min()), float(post.box.high[2] - post.box.low[2])
    least_modulus = SPECIES[wood].modulus_min if wood else None
    if least_modulus is None or method_of(level) != "ASD" or depth <= 0 or height <= 0:
        return unknown("force", missing, low=0.0)
    try:
        bound = euler_stress(least_modulus, slenderness(height, depth)) * thick * depth
    except ValueError:
        return unknown("force", missing, low=0.0)
    seen = Evidence(f"buckling of {post.name} ({wood}) over {height:.2f} m, {SOURCES['euler_stress'].words()}", bound,
                    "force", Rung.INFERRED, post.element.global_id)
    return between(0.0, bound, "force", seen, missing=(missing,), rung=Rung.INFERRED, level=level)


@measure("truth", of="wall_end", example="true where the wall-end schedule gives a compression")
def post_push_is_told(end: WallEnd, ask: Ask) -> Quantity:
    """Whether the push on the post can be judged: it is given, or the pull that it answers is more than it takes."""
    push, takes = ask.measure("push_demand", end), ask.measure("post_strength", end)
    return truth(push.known or push.low > takes.high, *push.evidence, rung=push.rung)
