"""The lever arm of a wall end as modelled: from what pulls at this end to what is pressed at the other."""

from __future__ import annotations

from modellint.graph.lever_arms import compression_post, inset_in, opposite, tension_line
from modellint.graph.wall_nodes import WallEnd
from modellint.measures.ask import Ask, measure
from modellint.measures.opening_walls import PERFORATED, WHOLE_LINE, equal_arm, far_end
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact
from modellint.measures.wall_loads import method_of_wall
from modellint.roles.part import Rung


def answering_end(end: WallEnd, ask: Ask) -> WallEnd:
    """The end whose post is pressed when this one is pulled: of its segment, or of the whole line by its method."""
    whole = end.outer and method_of_wall(end.line, ask) in WHOLE_LINE
    return far_end(end) if whole else opposite(end)


def insets(end: WallEnd, ask: Ask) -> tuple[float, float, tuple[Evidence, ...], tuple[Missing, ...], Rung]:
    """How far in this end's tie and the answering post stand [m], evidence, what is missing, and the rung."""
    other = answering_end(end, ask)
    tie, post = tension_line(end), compression_post(other)
    seen, lacking, found, rung = [], [], [0.0, 0.0], Rung.DECLARED
    for k, (part, where, role) in enumerate(((tie, end, "hold_down"), (post, other, "post"))):
        if part is None or part.box is None:
            lacking.append(Missing(role, where.name, "draw it where it stands"))
            continue
        ask.part(part)
        found[k] = inset_in(where, part)
        rung = min(rung, max(part.roles.values(), default=Rung.INFERRED))
        seen.append(
            Evidence(
                f"{part.name} stands in from the {where.word} end",
                found[k],
                "length",
                rung,
                part.element.global_id,
            )
        )
    return found[0], found[1], tuple(seen), tuple(lacking), rung


@measure("length", of="wall_end", example="2.15 m in a 2.4 m wall with a tie 115 mm in and a 76 mm post")
def lever_arm(end: WallEnd, ask: Ask) -> Quantity:
    """Distance along the wall from this end's tie to the post pressed at the other end, metres.

    The post is the one the other end's tie is fastened to. Undrawn parts leave a range up to the whole
    length. At the line's ends of a force-transfer wall it is the whole line's. At those of a perforated wall it
    is the length by which V h makes the pull of SDPWS 2021 4.3.6.1.3, C_o times the lengths that count, the
    insets of tie and post taken off these lengths first; without openings both are the same.
    """
    tie, post, seen, lacking, rung = insets(end, ask)
    method = method_of_wall(end.line, ask) if end.outer else ""
    taken = tie + post
    if method == PERFORATED:
        whole = equal_arm(end.line, ask)
        factor = ask.measure("opening_factor_of_wall", end.line)
        low, high = (max(arm - share * taken, 0.0) for arm, share in zip(whole, (factor.low, min(factor.high, 1.0)),
                                                                         strict=True))
        seen, rung = (*seen, *factor.evidence), min(rung, factor.rung)
        lacking = (*lacking, *factor.missing)
        if low == high > 0 and not lacking:
            return exact(low, "length", *seen, rung=rung)
        undrawn = len(lacking) > len(factor.missing)
        return between(0.0 if undrawn else low, high, "length", *seen, missing=lacking, rung=rung)
    length = end.line.length if method in WHOLE_LINE else end.segment.length
    arm = max(length - taken, 0.0)
    if lacking or arm <= 0:
        return between(0.0, arm, "length", *seen, missing=lacking, rung=rung)
    return exact(arm, "length", *seen, rung=rung)
