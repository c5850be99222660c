"""A rod that runs through several storeys: bearing plate and nut at each, pieces joined by couplers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from modellint.graph.joints import faces_gap, thread_gap
from modellint.graph.wall_nodes import WallEnd
from modellint.ifc.solid import Array
from modellint.roles.part import Part

if TYPE_CHECKING:
    from modellint.graph.uplift import Walk

# rod pieces count as coupled when their ends are within 1.5 diameters and coaxial within 3 mm, or a coupler
# lies over both (design limits, common practice, no source)
DIAMETERS, COAXIAL = 1.5, 0.003
# a rod is continuous at a storey when it runs over most of the storey's height (common practice, no source)
COVERS = 0.6
# two pieces of one rod overlap by no more than a long coupler (common practice, no source)
LAP = 0.150
# a bearing plate on the sole plate of a storey serves the storey below (common practice, no source)
ON_SOLE = 0.150


def is_continuous(end: WallEnd) -> bool:
    """Whether the end is held by a rod through the storey rather than by a tie at its base."""
    if end.base_ties or end.straps:
        return False
    if end.bearing_plates:
        return True
    height = end.segment.top - end.segment.sole
    covered = 0.0
    for rod in end.column_rods:
        if rod.box is not None:
            covered += max(
                min(float(rod.box.high[2]), end.segment.top) - max(float(rod.box.low[2]), end.segment.sole),
                0.0,
            )
    return height > 0 and covered / height >= COVERS


def plates_of(end: WallEnd) -> tuple[Part, ...]:
    """Bearing plates that hold this storey down: on its top plates, or on the sole of the storey above."""
    return _at_top(end, "bearing_plates")


def nuts_of(end: WallEnd) -> tuple[Part, ...]:
    """Nuts at this storey's bearing plate."""
    return _at_top(end, "nuts")


def take_ups_of(end: WallEnd) -> tuple[Part, ...]:
    """Take-up devices at this storey's bearing plate."""
    return _at_top(end, "take_ups")


def _at_top(end: WallEnd, name: str) -> tuple[Part, ...]:
    own: tuple[Part, ...] = getattr(end, name)
    high = tuple(part for part in own if not _on_sole(end, part))
    above = tuple(part for upper in end.above for part in getattr(upper, name) if _on_sole(upper, part))
    return high or above or own


def _on_sole(end: WallEnd, part: Part) -> bool:
    return part.box is not None and float(part.box.centre[2]) <= end.segment.sole + ON_SOLE


def storey_steps(walk: Walk, end: WallEnd) -> Part | None:
    """Steps of one storey on a continuous rod; returns the piece that passes the storey's sole."""
    pieces = _pieces(walk, end)
    plate = min(plates_of(end), key=lambda part: (_nearest(part, pieces), part.key), default=None)
    if plate is None:
        walk.absent(end, "bearing plate", ("bearing_plate",), "bearing plate", "no bearing plate on the rod drawn")
    if plate is not None and pieces:
        rod = min(pieces, key=lambda piece: (_or_far(thread_gap(piece, plate)), piece.key))
        walk.join("threaded_into", "bearing plate", end, (plate, rod), gap=thread_gap(rod, plate),
                  limit=walk.contact, text="{b} through {a}")
        _nut(walk, end, plate, rod)
    for upper in pieces:
        lower = _next_below(upper, pieces)
        if lower is not None:
            _couple(walk, end, upper, lower)
    if not end.rods:
        walk.absent(end, "rod", ("rod",), "rod piece", "no rod at the sole drawn")
        return None
    return min(end.rods, key=lambda rod: (_bottom(rod), rod.key))


def _pieces(walk: Walk, end: WallEnd) -> list[Part]:
    """Rods of the column and the one that came down from the storey above, from the top."""
    found = {rod.key: rod for rod in (*end.column_rods, *([walk.rod] if walk.rod is not None else ()))}
    return sorted(found.values(), key=lambda rod: (-_top(rod), rod.key))


def _nearest(plate: Part, pieces: list[Part]) -> float:
    return min((_or_far(thread_gap(rod, plate)) for rod in pieces), default=99.0)


def _next_below(upper: Part, pieces: list[Part]) -> Part | None:
    """The piece that carries on below; rods side by side are not pieces of one rod."""
    below = [rod for rod in pieces if rod is not upper and rod.axis is not None and upper.axis is not None
             and _bottom(rod) < _bottom(upper) and _top(rod) <= _bottom(upper) + LAP]
    return min(below, key=lambda rod: (_ends_apart(upper, rod), rod.key), default=None)


def _ends_apart(upper: Part, lower: Part) -> float:
    if upper.axis is None or lower.axis is None:
        return 99.0
    return round(float(np.linalg.norm(upper.axis[0] - lower.axis[-1])), 6)


def _nut(walk: Walk, end: WallEnd, plate: Part, rod: Part) -> None:
    nuts = nuts_of(end)
    if not nuts:
        walk.absent(end, "nut", ("nut", "take_up"), "nut", "no nut on the bearing plate drawn")
        return
    nut = min(nuts, key=lambda part: (_or_far(faces_gap(part, plate)), part.key))
    seat = plate
    for device in take_ups_of(end):
        # the nut bears on the take-up, which bears on the plate
        if (faces_gap(device, plate) or 0.0) <= walk.contact and _or_far(faces_gap(nut, device)) <= walk.contact:
            walk.join("bears_on", "take-up", end, (device, plate), gap=faces_gap(device, plate),
                      limit=walk.contact, text="{a} on {b}")
            seat = device
            break
    walk.join("bears_on", "nut", end, (nut, seat), gap=faces_gap(nut, seat),
              limit=walk.contact, text="{a} on {b}")
    walk.join("threaded_into", "nut", end, (nut, rod), gap=thread_gap(rod, nut),
              limit=walk.contact, text="{b} into {a}")


def _couple(walk: Walk, end: WallEnd, upper: Part, lower: Part) -> None:
    pair = frozenset((upper.key, lower.key))
    if pair in walk.coupled or upper.axis is None or lower.axis is None:
        return
    walk.coupled.add(pair)
    low_end, high_end = upper.axis[0], lower.axis[-1]
    apart = float(np.linalg.norm(low_end - high_end))
    coupler = _coupler_over(walk, low_end, high_end)
    if coupler is not None:
        walk.step("coupled", "coupler", end, "joined", (upper, coupler, lower), origin="inferred", gap=apart,
                  rung=min(coupler.roles.values()), text=f"{upper.name} and {lower.name} in {coupler.name}")
        return
    diameter = 2 * (upper.radius or 0.0)
    offset = float(np.linalg.norm((low_end - high_end)[:2]))
    limit = walk.house.limit("coupler_gap_diameters", DIAMETERS) * diameter
    if walk.house.with_role("coupler"):
        state, rung = walk.chains.absence.state("coupler", end)
        walk.step(
            "slot",
            "coupler",
            end,
            state,
            (upper, lower),
            rung=rung,
            roles=("coupler",),
            missing="" if state == "broken" else "coupler",
            text=f"no coupler between {upper.name} and {lower.name}, {1000 * apart:.0f} mm apart",
        )
        return
    state = "joined" if apart <= limit and offset <= walk.house.limit("coupler_offset", COAXIAL) else "broken"
    walk.step("coupled", "coupler", end, state, (upper, lower), origin="inferred", gap=apart, limit=limit,
              text=f"{upper.name} to {lower.name} (gap {1000 * apart:.0f} mm)")


def _coupler_over(walk: Walk, one: Array, other: Array) -> Part | None:
    for coupler in walk.house.with_role("coupler"):
        if (
            coupler.box is not None
            and coupler.box.contains(one, walk.contact)
            and coupler.box.contains(other, walk.contact)
        ):
            return coupler
    return None


def _top(rod: Part) -> float:
    return float(rod.box.high[2]) if rod.box is not None else 0.0


def _bottom(rod: Part) -> float:
    return float(rod.box.low[2]) if rod.box is not None else 0.0


def _or_far(gap: float | None) -> float:
    return gap if gap is not None else 99.0
