"""Overturning of shear walls: lever arms as modelled, hold-down and post forces, storeys on top of one
another.

A wall is looked at along its line, from its start (x = 0) to its end (x = length). Load may push either way:
toward the end it pulls the tie at the start and presses the post at the end, and the other way round. All
forces here are net and signed: a negative tension means that the credited dead load holds the end down.
Nothing is clipped before storeys are summed; only `Step.tension` is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from modellint.engineering.require import finite, in_range, not_negative, one_of, positive
from modellint.engineering.source import Source
from modellint.engineering.source_book import ARITHMETIC, RESTATED

METHODS = ("sum", "moment")

SOURCES = {
    "lever_arms": Source("arithmetic",
                         note="from the tie's centreline to the centre of the compression post"),
    "overturning_moment": ARITHMETIC,
    "dead_load_moment": ARITHMETIC,
    "net_tension": Source("guide", "AWC ASD/LRFD manual", "M14.3", note="T = (M_OT − M_DL) / d; " + RESTATED),
    "segment_chord_force": Source("standard", "SDPWS 2021", "Eq. 4.3-7 and 4.3.6.1.2", note=RESTATED),
    "tension_with_end_loads": Source("arithmetic",
                                     note="as in a public calculation record: T = vH − P1/2 − P2"),
    "post_compression": ARITHMETIC,
    "stacked@sum": Source("standard", "SDPWS 2021", "4.3.6.4.4", note=RESTATED),
    "stacked@moment": Source("guide", "Five-Story Wood-Frame Structure over Podium Slab, 2017", "section 6",
                             note=RESTATED),
    "inset_for_capacity": ARITHMETIC,
    "moment_at_capacity": ARITHMETIC,
}


@dataclass(frozen=True)
class WallEnds:
    """Where the ties and compression posts stand, each measured inward from its own end of the segment [m].

    Attributes:
        length: segment length.
        start_tie: centreline of the tension tie at the start.
        start_post: centre of the post that takes compression at the start.
        end_tie: centreline of the tension tie at the end.
        end_post: centre of the post that takes compression at the end.
    """

    length: float
    start_tie: float
    start_post: float
    end_tie: float
    end_post: float


@dataclass(frozen=True)
class Storey:
    """One storey of a stack, for load in one direction.

    Attributes:
        force: lateral force that enters this wall at the top of this storey [N].
        height: storey height, from floor to floor [m].
        arm: lever arm of this storey [m].
        dead_moment: moment of the dead load that this storey adds about the compression centre, unfactored
            [N·m]; 0 where no dead load was given.
    """

    force: float
    height: float
    arm: float
    dead_moment: float = 0.0


@dataclass(frozen=True)
class Step:
    """The result at one storey, from the top down.

    Attributes:
        shear: storey shear, the sum of forces from the top [N], factored.
        moment: overturning moment at the floor of this storey [N·m], factored.
        step: net force that this storey adds [N]; may be negative.
        net: net tension at the floor of this storey, with all storeys above [N]; may be negative.
    """

    shear: float
    moment: float
    step: float
    net: float

    @property
    def tension(self) -> float:
        """Force the tie must carry [N]: the net tension, or 0 where the end is held down."""
        return max(0.0, self.net)


def lever_arms(ends: WallEnds) -> tuple[float, float]:
    """Lever arms [m]: (tie at the start pulled, tie at the end pulled).

    >>> lever_arms(WallEnds(4.0, 0.25, 0.0, 0.5, 0.0))
    (3.75, 3.5)

    Raises:
        ValueError: a negative inset, or a tie that lies at or beyond the opposite post.
    """
    positive(ends.length, "Wall length")
    for inset in (ends.start_tie, ends.start_post, ends.end_tie, ends.end_post):
        not_negative(inset, "Inset from the wall end")
    start = ends.length - ends.start_tie - ends.end_post
    end = ends.length - ends.end_tie - ends.start_post
    if start <= 0 or end <= 0:
        raise ValueError(f"The ties and posts leave no lever arm in a wall of {ends.length:.3f} m.")
    return start, end


def overturning_moment(forces: Sequence[tuple[float, float]]) -> float:
    """Moment of lateral forces about a floor [N·m].

    >>> overturning_moment([(1000.0, 6.0), (500.0, 3.0)])
    7500.0

    Args:
        forces: (force [N], height above the floor [m]) pairs.

    Raises:
        ValueError: a negative height.
    """
    return sum(finite(force, "Force") * not_negative(height, "Height") for force, height in forces)


def dead_load_moment(line_load: float, length: float, compression_inset: float = 0.0) -> float:
    """Moment of a uniform dead load about the compression centre, unfactored [N·m].

    >>> dead_load_moment(1000.0, 4.0)
    8000.0

    Args:
        line_load: dead load along the wall [N/m].
        length: wall length [m].
        compression_inset: centre of the compression post from its wall end [m].

    Raises:
        ValueError: negative load or inset, or length not above zero.
    """
    not_negative(line_load, "Dead load")
    positive(length, "Wall length")
    in_range(compression_inset, 0.0, length, "Inset of the compression post")
    return line_load * length * (length / 2.0 - compression_inset)


def net_tension(moment: float, dead_moment: float, arm: float) -> float:
    """Net tension T = (M − M_D) / d [N]; negative where dead load holds the end down.

    Args:
        moment: overturning moment at the design level [N·m].
        dead_moment: dead-load moment about the compression centre, already times its factor [N·m].
        arm: lever arm d, from tie to compression centre [m].

    Raises:
        ValueError: arm not above zero, or a moment that is not a number.
    """
    return (finite(moment, "Moment") - finite(dead_moment, "Dead-load moment")) / positive(arm, "Lever arm")


def segment_chord_force(shear: float, height: float, length: float) -> float:
    """Chord force of one full-height segment, T = C = V h / b [N], no dead load (SDPWS Eq. 4.3-7).

    The arm is the whole length, so this is smaller than the force at the modelled arm; use `net_tension` for
    a tie.

    Raises:
        ValueError: negative shear, or a length not above zero.
    """
    return not_negative(shear, "Shear") * positive(height, "Wall height") / positive(length, "Wall length")


def tension_with_end_loads(unit_shear: float, height: float, centre_load: float = 0.0,
                           end_load: float = 0.0) -> float:
    """Net tension v h − P1/2 − P2 [N] with factored loads at the middle (P1) and over the pulled end (P2).

    Raises:
        ValueError: a negative load, or height not above zero.
    """
    return (not_negative(unit_shear, "Unit shear") * positive(height, "Wall height")
            - 0.5 * not_negative(centre_load, "Load at the middle") - not_negative(end_load,
                                                                                   "Load at the end"))


def post_compression(net: float, dead_load: float) -> float:
    """Force in the compression post [N]: the net tension it answers and all dead load on the wall, factored.

    Vertical equilibrium; where no tension remains the whole dead load is an upper bound.

    Args:
        net: net tension at the other end [N], from a combination with the same dead load.
        dead_load: dead load on the segment times its factor [N].

    Raises:
        ValueError: a negative dead load.
    """
    return max(0.0, finite(net, "Net tension")) + not_negative(dead_load, "Dead load")


def stacked(storeys: Sequence[Storey], method: str, *, lateral_factor: float = 1.0,
            dead_factor: float = 0.0) -> tuple[Step, ...]:
    """Net tension at each storey of a stack, from the top down.

    `sum`: each storey's own force (V_i h_i − its dead-load moment) / d_i, added from the top. `moment`: the
    whole moment above the floor over this storey's arm. With equal arms both are the same.

    Args:
        storeys: from the top storey down.
        method: `sum` or `moment`.
        lateral_factor: factor on lateral forces, e.g. 0.7 on E.
        dead_factor: factor on dead load, e.g. 0.6; 0 credits none.

    Raises:
        ValueError: no storeys, unknown method, or an arm or height not above zero.
    """
    one_of(method, METHODS, "Method")
    if not storeys:
        raise ValueError("A stack needs at least one storey.")
    not_negative(lateral_factor, "Lateral factor")
    not_negative(dead_factor, "Dead-load factor")
    shear = moment = resisting = net = 0.0
    steps: list[Step] = []
    for storey in storeys:
        shear += lateral_factor * finite(storey.force, "Storey force")
        own = shear * positive(storey.height, "Storey height")
        dead = dead_factor * finite(storey.dead_moment, "Dead-load moment")
        moment += own
        resisting += dead
        total = net + net_tension(own, dead, storey.arm) if method == "sum" else net_tension(
            moment, resisting, storey.arm)
        steps.append(Step(shear, moment, total - net, total))
        net = total
    return tuple(steps)


def moment_at_capacity(capacity: float, arm: float, dead_moment: float = 0.0) -> float:
    """Break-even overturning moment [N·m]: what a tie of this capacity [N] at this arm [m] can just hold.

    Raises:
        ValueError: negative capacity or dead-load moment, or arm not above zero.
    """
    return (not_negative(capacity, "Capacity") * positive(arm, "Lever arm")
            + not_negative(dead_moment, "Dead-load moment"))


def inset_for_capacity(moment: float, dead_moment: float, capacity: float, arm: float, inset: float) -> float:
    """Break-even inset of the tie [m]: how far from the wall end it could stand before the force equals its
    capacity.

    Less than `inset` where the force is above the capacity already; the compression post stays where it is.

    Args:
        moment: overturning moment at the design level [N·m].
        dead_moment: factored dead-load moment [N·m].
        capacity: of the weakest link [N].
        arm: lever arm now [m].
        inset: inset of the tie now [m].

    Raises:
        ValueError: capacity or arm not above zero, negative inset, or no net overturning (any inset holds).
    """
    net = finite(moment, "Moment") - finite(dead_moment, "Dead-load moment")
    if net <= 0:
        raise ValueError("There is no net overturning, so no inset is the limit.")
    return not_negative(inset, "Inset") + positive(arm, "Lever arm") - net / positive(capacity, "Capacity")
