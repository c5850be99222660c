"""Concrete and what lies under the slab: footings, stem walls, slab, membrane and gravel."""

from __future__ import annotations

from .hardware import foundation_key
from .pieces import Joint, Measure, Piece
from .plan import Plan
from .shapes import Extrusion, box
from .sizes import DEPTH, FOOTING, FOOTING_BOTTOM, GRAVEL, MEMBRANE, SLAB, STEM, STEM_BOTTOM

CONCRETE = "Concrete, cast in place"
THICKENING = 0.400
THICKENING_BOTTOM = -0.450


def build_foundation(plan: Plan) -> None:
    """Add everything below the ground floor."""
    house = plan.house
    for wall in plan.on(1, shear=True):
        if wall.exterior:
            for part, kind, name, t, z in (
                (
                    "footing",
                    "footing",
                    "Strip footing",
                    (STEM / 2 - FOOTING / 2, STEM / 2 + FOOTING / 2),
                    (FOOTING_BOTTOM, STEM_BOTTOM),
                ),
                ("stem", "stem_wall", "Stem wall", (0.0, STEM), (STEM_BOTTOM, 0.0)),
            ):
                s = _full_run(plan, wall.along, t, wall.length)
                house.add(
                    Piece(
                        f"foundation/{part}-{wall.mark}",
                        kind,
                        f"{name} under {wall.mark}",
                        1,
                        wall.box(s, t, z, "z"),
                        material=CONCRETE,
                        type_name=name,
                    )
                )
            house.joints.append(
                Joint("supports", f"foundation/stem-{wall.mark}", f"foundation/footing-{wall.mark}")
            )
        else:
            reach = _thickening_run(plan, wall.origin[1], wall.length)
            t = (DEPTH / 2 - THICKENING / 2, DEPTH / 2 + THICKENING / 2)
            house.add(
                Piece(
                    foundation_key(wall),
                    "footing",
                    f"Thickened footing under {wall.mark}",
                    1,
                    wall.box(reach, t, (THICKENING_BOTTOM, -SLAB), "z"),
                    material=CONCRETE,
                    type_name="Thickened footing",
                )
            )
    inside = (STEM, STEM), (plan.length - STEM, plan.breadth - STEM)
    top = -SLAB - MEMBRANE
    for key, kind, name, z, material in (
        ("slab", "foundation_slab", "Ground slab 100 mm", (-SLAB, 0.0), CONCRETE),
        (
            "membrane",
            "membrane",
            "Soil-gas membrane 0.25 mm polyethylene",
            (top, -SLAB),
            "Polyethylene sheet 0.25 mm",
        ),
        (
            "gravel",
            "permeable_layer",
            "Gas-permeable layer, washed gravel 150 mm",
            (top - GRAVEL, top),
            "Gravel 13-25 mm",
        ),
    ):
        house.add(
            Piece(
                f"foundation/{key}",
                kind,
                name,
                1,
                _flat(*inside, z),
                material=material,
                props={"thickness": Measure(round(z[1] - z[0], 6))},
                type_name=name,
            )
        )
    house.joints.append(Joint("covers", "foundation/slab", "foundation/membrane"))


def _flat(low: tuple[float, float], high: tuple[float, float], z: tuple[float, float]) -> Extrusion:
    return box((*low, z[0]), (*high, z[1]), 2)


def _full_run(plan: Plan, along: int, t: tuple[float, float], length: float) -> tuple[float, float]:
    """Stems and footings along the long sides run through; those along the short sides stand between them."""
    if along == 0:
        return (min(t[0], 0.0), length - min(t[0], 0.0))
    between = t[1] - DEPTH
    return (between, length - between)


def _thickening_run(plan: Plan, start: float, length: float) -> tuple[float, float]:
    """From the stem wall to 350 mm past a free end, or to the stem wall beyond."""
    low = STEM - start
    high = min(length + 0.35, plan.breadth - STEM - start)
    return (low, high)
