"""The page that stands beside each house: what is right in it, its sizes, its manners, its seeded defects."""

# ruff: noqa: E501  (Markdown tables do not wrap)
from __future__ import annotations

from collections import Counter

from .defects import DEFECTS
from .pieces import House
from .roof import surface
from .shapes import Tube
from .sizes import ROD_EMBEDMENT, STEP, WALL

MANNERS = """\
| manner | schema, unit | how it is written | what it cannot carry |
|---|---|---|---|
| `semantic` | IFC4, mm | Proper classes and predefined types; equal shapes are mapped items of types; shear walls are the sum of \
their members (axis, no body); gables are clipped extrusions; ports nested and directed; post, tie, rod and concrete joined by stated \
relations; typed properties, in standard sets where there are any. | Nails are numbers, not drawn. |
| `plain` | IFC2X3, ft | Walls as solids with the framing drawn inside them and not aggregated; ties, nuts, washers, labels and gravel \
as proxies with telling names; members without types; the ground slab is one slab with the layers concrete, membrane, gravel; bolts and \
washers of a plate piece are mapped items of one element; text properties with units in name or value; turned 23 degrees and some \
500 km from the origin. | No stated joints of ties and rods; ports at two pipe joints only; the system type; single bolts and washers have no \
GlobalId of their own; predefined types of members. |
| `panelised` | IFC4X3, m | Wall panels as assemblies of a framing and a sheathing assembly, members in panel coordinates; base ties as \
facesets, top ties as assemblies of a bracket (brep) and undrawn screws; rods and pipes as swept disks; fittings as breps; ports without \
direction, some pairs turned round or stated twice. | No openings and no void relations: windows and doors only stand in the storey; \
fittings have no bore; no types; the only stated joints are posts with ties. |
"""


def page(house: House) -> str:
    """Markdown page of a clean house."""
    counts = Counter(p.kind for p in house.pieces.values())
    lines = [
        f"# {house.title}",
        "",
        f"`{house.name}`: an invented house of {len(house.pieces)} parts. Written by "
        "`python -m sample_models.generator`; do not edit.",
        "",
        "Nothing here is a design. Sizes follow common wood-frame practice where no clause is named (no source); loads in the "
        "schedules are made up.",
        "",
        "## Sizes",
        "",
        *_sizes(house),
        "",
        "## What is right in it",
        "",
        *_right(house),
        "",
        "## Parts",
        "",
        "| kind | number |",
        "|---|---|",
        *(f"| `{k}` | {n} |" for k, n in sorted(counts.items())),
        "",
        "## Manners",
        "",
        MANNERS,
    ]
    if house.name == "three-storey":
        lines += [
            "`together/` holds the same house as three `semantic` files (structure, architecture, pipes) with one spatial "
            "structure and the same GlobalIds. Windows and doors are in the architecture file, their openings in the structure "
            "file, so no file states which window fills which opening.",
            "",
        ]
    lines += [
        "## Seeded defects",
        "",
        "| defect | rule | outcome | what was done | where |",
        "|---|---|---|---|---|",
    ]
    for defect in DEFECTS:
        if house.name in defect.where:
            where = defect.where[house.name]
            place = ", ".join(
                w
                for w in (
                    where.wall,
                    where.storey,
                    f"{where.end} end" if where.end else "",
                    f"segment {where.segment}" if where.segment else "",
                )
                if w
            )
            lines.append(
                f"| {defect.name} | `{defect.rule}` | {defect.expect} | {defect.text} | {place}: `{where.pieces[0]}` |"
            )
    return "\n".join(lines) + "\n"


def _sizes(house: House) -> list[str]:
    facts = house.facts
    terminal = house.pieces["soil-gas/terminal"].shape
    mouth = terminal.points[-1][2] if isinstance(terminal, Tube) else 0.0
    return [
        f"- {facts['length']:.1f} m by {facts['breadth']:.1f} m over the framing; storey height {STEP * 1000:.0f} mm "
        f"(walls {WALL * 1000:.0f}, joists 302, deck 18); gable roof 6:12.",
        "- Exterior walls 38x140 studs at 406 mm, one sole plate (treated sill on concrete), two top plates, 11 mm OSB outside.",
        f"- Rods 15.9 mm; anchor rods {ROD_EMBEDMENT * 1000:.0f} mm in concrete; sill bolts 12.7 mm, 190 mm in concrete, with 76 mm plate washers.",
        "- Slab 100 mm, membrane 0.25 mm, gravel 150 mm; stem walls 200 mm on footings 500x250.",
        f"- Soil-gas pipe 114.3 mm outside, 101.5 mm bore; mouth at {mouth * 1000:.0f} mm, "
        f"{(mouth - surface(facts['plan'], facts['exit_at'][1])) * 1000:.0f} mm over the roof at the pipe's centre.",
    ]


def _right(house: House) -> list[str]:
    pocket = (
        "The footing under SW-5 cuts the gravel through; a solid pipe crosses it and a perforated length lies in the "
        "pocket beyond."
        if house.name == "three-storey"
        else "The footing under SW-5 ends past the wall's free end, so the gravel stays in one piece round it."
    )
    extra = (
        [
            "- SW-2 hangs on continuous rods with couplers; on each top plate a bearing plate, a take-up device and a nut. The "
            "upper floors of SW-3 are crossed by straps on the posts."
        ]
        if house.name == "three-storey"
        else []
    )
    return [
        "- Every end of every full-height length of a shear wall has a post, a tie (or the rod or strap named below) and a "
        "way down to concrete; upper ends stand over lower ends.",
        *extra,
        "- Each plate piece on concrete has at least two bolts, at most 1.83 m apart, 89 to 305 mm from its ends, in the plate's "
        "middle third (IRC 2018 R403.1.6).",
        f"- {pocket}",
        "- Each piece of the vent over the gravel falls back to it; the attic offset falls 1:50. The exit is 450 mm over the highest roof "
        "point under its rim, and more than 3.05 m from the roof window, which is less than 610 mm below it.",
        "- Labels on each storey and in the attic; a power outlet near the fan's space; the plumbing stack has a vent of its own.",
    ]
