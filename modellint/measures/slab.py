"""Measures of slabs on the ground: living space above, gravel and membrane below."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from modellint.contacts.polylines import usable
from modellint.contacts.surfaces import plan_of
from modellint.graph.pockets import CUTTERS
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.roles.part import Part, Rung

if TYPE_CHECKING:
    from shapely import Geometry

# a layer counts as under a slab when its top lies at most this far below the slab's underside (insulation and
# sand between; judgement, no source)
REACH = 0.35
STRIP = 1.0
_NOT_LIVED_IN = re.compile(r"garage|carport|porch|patio|stoop|terrace|driveway|walk", re.IGNORECASE)


def _of(part: Part) -> str:
    return f"{part.name} ({part.element.global_id})"


@measure("truth", "foundation_slab", example="false for a garage slab with nothing lived in above it")
def slab_under_living_space(slab: Part, ask: Ask) -> Quantity:
    """Whether the slab carries living space: by the spaces drawn over it, else assumed, at rung inferred.

    A slab named as a garage, porch or the like without spaces over it is not known. A slab under 1 m wide is a
    strip under walls, drawn as a slab (common practice, no source).
    """
    own = Evidence(f"slab {slab.name}", None, "", slab.rung_as("foundation_slab"), slab.element.global_id)
    if _is_strip(slab):
        return truth(False, Evidence(f"{slab.name} is a strip under walls", None, "", Rung.INFERRED,
                                     slab.element.global_id), rung=Rung.INFERRED)
    over = _spaces_over(slab, ask)
    if over:
        lived = [name for name in over if not _NOT_LIVED_IN.search(name)]
        return truth(
            bool(lived), Evidence("spaces over the slab: " + ", ".join(over), None, "", Rung.DECLARED), own
        )
    if _NOT_LIVED_IN.search(f"{slab.element.name} {slab.element.type_name}"):
        return unknown(
            "truth", Missing("space", _of(slab), "draw the spaces, or say what is above"), evidence=(own,)
        )
    return truth(
        True,
        own,
        Evidence("no space is drawn over it; taken as lived in", None, "", Rung.INFERRED),
        rung=Rung.INFERRED,
    )


def _is_strip(slab: Part) -> bool:
    if slab.box is None:
        return False
    level = [2 * float(slab.box.half[k]) for k in range(3) if abs(float(slab.box.axes[k, 2])) < 0.5]
    return len(level) == 2 and min(level) < STRIP


def _spaces_over(slab: Part, ask: Ask) -> list[str]:
    if slab.box is None:
        return []
    plan, top = plan_of(slab.solids), float(slab.box.high[2])
    names = []
    for node in ask.house.model.spaces.values():
        if node.kind == "space" and node.solids and abs(min(s.box.low[2] for s in node.solids) - top) <= 0.5:
            area = plan_of(node.solids)
            if not area.is_empty and plan.intersection(area).area > 0.5 * min(area.area, plan.area):
                names.append(node.long_name or node.name or node.predefined or node.key)
    return sorted(names)


def _target(slab: Part, ask: Ask) -> Geometry:
    """Plan of the slab less the foundations that stand under it."""
    import shapely

    assert slab.box is not None
    bottom = float(slab.box.low[2])
    under = [
        part
        for part in ask.house.with_role(*CUTTERS)
        if part.box is not None
        and usable(part.box.corners)
        and part.box.low[2] < bottom
        and part.box.high[2] >= bottom - 0.05
    ]
    return shapely.difference(
        plan_of(slab.solids), shapely.union_all([plan_of(part.solids) for part in under])
    )


def _covered(slab: Part, role: str, ask: Ask) -> Quantity:
    """Share of a slab's underside with a part of the role under it."""
    import shapely

    if slab.box is None or not usable(slab.box.corners):
        return unknown("ratio", Missing("shape", _of(slab), "draw the slab"), low=0.0)
    target = _target(slab, ask)
    if target.area < 1e-6:
        return unknown("ratio", Missing("plan area", _of(slab), "draw the slab"), low=0.0)
    bottom, top = float(slab.box.low[2]), float(slab.box.high[2])
    parts = [
        part
        for part in ask.house.with_role(role)
        if part.box is not None
        and usable(part.box.corners)
        and bottom - REACH <= float(part.box.high[2]) <= top + 0.001
    ]
    parts = [part for part in parts if plan_of(part.solids).intersection(target).area > 1e-6]
    area = shapely.union_all([plan_of(ask.part(part).solids) for part in parts]).intersection(target).area
    share = min(area / target.area, 1.0)
    if parts:
        rung = min(part.rung_as(role) for part in parts)
        seen = tuple(
            Evidence(
                f"{role.replace('_', ' ')} {part.name}", None, "", part.rung_as(role), part.element.global_id
            )
            for part in parts
        )
        return exact(
            share,
            "ratio",
            *seen,
            Evidence("area of the slab within its footings", target.area, "area"),
            rung=rung,
        )
    bare = [part for part in ask.house.with_role(role) if part.box is None]
    missing = Missing(role, _of(slab), f"draw the {role.replace('_', ' ')} under the slab")
    if bare:
        return between(0.0, 1.0, "ratio", missing=(Missing("shape", _of(bare[0]), "draw it"),))
    if _drawn_elsewhere(slab, role, ask):
        return exact(
            0.0,
            "ratio",
            Evidence(f"other slabs have a {role.replace('_', ' ')}, this one none", None, "", Rung.INFERRED),
            rung=Rung.INFERRED,
        )
    return between(0.0, 1.0, "ratio", missing=(missing,))


def _drawn_elsewhere(slab: Part, role: str, ask: Ask) -> bool:
    """Whether the role is drawn as a matter of course: as stated, else under at least two other slabs and
    half."""
    stated = ask.house.completeness.get(role)
    if stated is not None:
        return stated.complete
    others = [
        part
        for part in ask.house.with_role("foundation_slab")
        if part.key != slab.key and part.box is not None
    ]
    layers = [part for part in ask.house.with_role(role) if part.box is not None]
    held = sum(
        any(plan_of(layer.solids).intersection(plan_of(other.solids)).area > 1 for layer in layers)
        for other in others
    )
    least, share = ask.house.limit("complete_at_least", 2.0), ask.house.limit("complete_share", 0.5)
    return held >= least and held >= share * len(others)


@measure("ratio", "foundation_slab", example="0.62 when gravel lies under 62 of 100 m2")
def permeable_layer_share(slab: Part, ask: Ask) -> Quantity:
    """Share of the slab, within its footings, that has a permeable layer under it."""
    return _covered(slab, "permeable_layer", ask)


@measure("ratio", "foundation_slab", example="0.94 when the sheet stops short at a step")
def membrane_share(slab: Part, ask: Ask) -> Quantity:
    """Share of the slab, within its footings, that has a membrane under it."""
    return _covered(slab, "membrane", ask)


@measure("length", "foundation_slab", example="100 mm")
def permeable_layer_depth(slab: Part, ask: Ask) -> Quantity:
    """Least depth of the permeable layer drawn under the slab."""
    share = ask.measure("permeable_layer_share", slab)
    layers = ask.house.nodes.get("gravel_layer", ())
    plan = plan_of(slab.solids) if slab.box is not None else None
    under = [layer for layer in layers if plan is not None and plan.intersection(layer.plan).area > 1e-6]
    if not under:
        return unknown(
            "length",
            *(share.missing or (Missing("permeable_layer", _of(slab), "draw it under the slab"),)),
            low=0.0,
        )
    thin = min(under, key=lambda layer: (layer.top - layer.bottom, layer.part.key))
    depth = thin.part.thickness or thin.top - thin.bottom
    rung = ask.part(thin.part).rung_as("permeable_layer")
    return exact(
        depth,
        "length",
        Evidence(f"depth of {thin.part.name}", depth, "length", rung, thin.part.element.global_id),
        rung=rung,
    )
