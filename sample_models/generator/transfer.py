"""A wall end that stands on a beam, tied to the posts on both sides, and not over the end below."""

from __future__ import annotations

from .framing import WOOD
from .hardware import STEEL
from .pieces import Joint, Piece
from .plan import Plan
from .sizes import DEPTH, JOIST, STEP, WALL


def move_end_to_beam(plan: Plan) -> None:
    """SW-6 on the top storey ends 0.9 m short of the end below: its post stands on a beam in the floor."""
    house, top = plan.house, plan.storeys
    upper, lower = plan.wall("SW-6", top), plan.wall("SW-6", top - 1)
    if upper is None or lower is None:
        raise ValueError("the plan needs SW-6 on two storeys")
    high, low = f"{upper.key}/1b", f"{lower.key}/1b"
    house.remove(
        f"{high}/base-tie",
        f"{high}/base-nut",
        f"{high}/rod",
        f"{low}/top-tie",
        f"{low}/top-nut",
        f"floor-{top}/block-{high.replace('/', '-')}",
        f"floor-{top}/block-{upper.key.replace('/', '-')}-1a",
    )
    base = (top - 2) * STEP + WALL
    beam = house.add(
        Piece(
            "transfer/beam",
            "beam",
            "Transfer beam 140x302",
            top,
            lower.box((0.0, lower.length), (0.0, DEPTH), (base, base + JOIST), "s"),
            material=WOOD,
            type_name="Transfer beam 140x302",
        )
    )
    for key, end, z in (
        (f"{high}/strap", upper.ends()[1], (base + 0.02, upper.base + 0.45)),
        (f"{low}/strap", lower.ends()[1], (base - 0.50, base + JOIST - 0.02)),
    ):
        middle = sum(end.post) / 2
        shape = end.wall.box((middle - 0.016, middle + 0.016), (DEPTH, DEPTH + 0.0015), z)
        strap = house.add(
            Piece(
                key,
                "strap",
                "Strap tie ST-1 32x1.5",
                end.wall.storey,
                shape,
                "SW-6",
                "ST-1",
                STEEL,
                {"mark": "ST-1"},
                type_name="Strap tie ST-1",
            )
        )
        house.joints += [
            Joint("fastened_to", strap.key, f"{end.key}/post"),
            Joint("fastened_to", strap.key, beam.key),
        ]
