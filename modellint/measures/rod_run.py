"""The pieces of a continuous rod and their joints: sizes from storey to storey, couplers."""

from __future__ import annotations

import re
from dataclasses import dataclass

from modellint.graph.continuous_rod import is_continuous
from modellint.graph.wall_nodes import ChainStep, WallEnd
from modellint.measures.ask import Ask, measure, named_set
from modellint.measures.chain_links import ROD_SLACK, own_steps, rod_diameter
from modellint.measures.quantity import Evidence, Members, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Part, Rung

_SIZE = re.compile(r"\d+(?:\.\d+)?(?:-\d+/\d+|/\d+)?")


def run_steps(end: WallEnd) -> tuple[ChainStep, ...]:
    """Steps of the chain at this storey of a continuous rod; none where the end hangs on something else."""
    return tuple(step for step in own_steps(end) if step.end is end) if is_continuous(end) else ()


def rods_of(end: WallEnd) -> tuple[Part, ...]:
    """Rod pieces of this storey, from the top."""
    found = {part.key: part for step in run_steps(end) for part in step.pieces if part.has("rod")}
    return tuple(sorted(found.values(), key=lambda rod: (-float(rod.box.high[2]) if rod.box else 0.0, rod.key)))


@dataclass(eq=False)
class RodJoint:
    """Two pieces of a continuous rod, one over the other. Subject kind `rod_joint`."""

    key: str
    end: WallEnd
    upper: Part
    lower: Part
    coupler: Part | None

    @property
    def name(self) -> str:
        """The pieces and what joins them."""
        by = f" in {self.coupler.name}" if self.coupler is not None else ""
        return f"{self.upper.name} over {self.lower.name}{by}"

    @property
    def parts(self) -> tuple[Part, ...]:
        """The coupler, then the pieces from the top."""
        return (*((self.coupler,) if self.coupler is not None else ()), self.upper, self.lower)

    def rung_as(self, role: str) -> Rung:
        """Lowest rung of its parts."""
        return min(max(part.roles.values(), default=Rung.GUESSED) for part in self.parts)


@named_set(of="wall_end", gives="rod_joint")
def rod_joints(end: WallEnd, ask: Ask) -> Members:
    """Joints between the pieces of a continuous rod at this storey, from the top."""
    found = []
    for step in run_steps(end):
        rods = [part for part in step.pieces if part.has("rod")]
        if step.kind == "coupled" and len(rods) == 2:
            coupler = next((part for part in step.pieces if part.has("coupler")), None)
            found.append(RodJoint(f"{step.key}|{rods[0].key}", end, rods[0], rods[1], coupler))
    return Members(tuple(found), True)


@measure("length", of="wall_end", item="rod_joint", example="-6.3 mm for a 15.9 mm piece under one of 22.2 mm")
def rod_grows_downward(end: WallEnd, joint: RodJoint, ask: Ask) -> Quantity:
    """How much thicker the lower piece of a continuous rod is than the upper one, metres; below zero if thinner."""
    wide = [rod_diameter(rod, ask) for rod in (joint.upper, joint.lower)]
    if wide[0] is None or wide[1] is None:
        return unknown("length", Missing("rod diameter", joint.name, "draw the rod or state its diameter"))
    more = wide[1] - wide[0]
    seen = tuple(Evidence(f"{rod.name}", size, "length", Rung.DECLARED, rod.element.global_id)
                 for rod, size in ((joint.upper, wide[0]), (joint.lower, wide[1])))
    return exact(0.0 if abs(more) <= ROD_SLACK else more, "length", *seen)


def coupler_sizes(coupler: Part, ask: Ask) -> tuple[float, ...]:
    """Rod diameters that a coupler is made for, the smaller first: by its property, else one rod diameter stated."""
    from modellint import units
    from modellint.errors import UnitProblem

    said = ask.house.stated(coupler, "coupler_sizes")
    if said is not None:
        text = str(said.value).strip()
        unit = re.sub(r"[^a-zA-Z\"]+$", "", text).split()[-1].lstrip("0123456789./-") if text else ""
        try:
            return tuple(sorted(units.parse(f"{size} {unit}", "length") for size in _SIZE.findall(text)))
        except UnitProblem:
            return ()
    stated = ask.house.stated(coupler, "rod_diameter")
    return (float(stated.value),) if stated is not None else ()


@measure("truth", of="wall_end", item="rod_joint", example="true where the two pieces differ in diameter")
def coupler_size_matters(end: WallEnd, joint: RodJoint, ask: Ask) -> Quantity:
    """Whether a coupler's size is a question: the two pieces differ, or the coupler states what it is for."""
    if joint.coupler is None:
        return truth(False)
    more = ask.measure("rod_grows_downward", end, joint)
    return truth(bool(coupler_sizes(joint.coupler, ask)) or not more.known or more.low != 0.0)


@measure("truth", of="wall_end", item="rod_joint", example="false for a 15.9 mm coupler on a 22.2 mm rod")
def coupler_fits(end: WallEnd, joint: RodJoint, ask: Ask) -> Quantity:
    """Whether a coupler is made for the diameters of both pieces, the transition between sizes included."""
    coupler, wide = joint.coupler, [rod_diameter(rod, ask) for rod in (joint.upper, joint.lower)]
    sizes = coupler_sizes(coupler, ask) if coupler is not None else ()
    if coupler is None or not sizes or wide[0] is None or wide[1] is None:
        return unknown("truth", Missing("coupler size", joint.name, "state which rod diameters the coupler joins"))
    fits = all(any(abs(size - rod) <= ROD_SLACK for size in sizes) for rod in wide if rod is not None)
    said = " and ".join(f"{1000 * size:.1f} mm" for size in sizes)
    return truth(fits, Evidence(f"{coupler.name} is for {said}", rung=Rung.DECLARED,
                                global_id=coupler.element.global_id))
