"""Measures of collectors and suction points: do they lie in the permeable layer?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from modellint.contacts.polylines import arc_lengths, point_at
from modellint.graph.soil_gas import piping_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, exact, truth, unknown
from modellint.roles.part import Part

if TYPE_CHECKING:
    from modellint.graph.layer import Layer
    from modellint.ifc.solid import Array


@measure("ratio", ("collector", "suction_point"), example="1 for a pipe whose whole axis lies in the gravel")
def share_in_layer(part: Part, ask: Ask) -> Quantity:
    """Share of the collector's centre line (of a suction point its centre) that lies in the permeable
    layer."""
    layers: tuple[Layer, ...] = ask.house.nodes.get("gravel_layer", ())
    of = f"{part.name} ({part.element.global_id})"
    points = _points(part, ask)
    if points is None:
        return unknown("ratio", Missing("shape", of, "draw the collector"), low=0.0)
    if not layers:
        return unknown(
            "ratio", Missing("permeable_layer", ask.house.name, "draw the gravel under the slab"), low=0.0
        )
    undrawn = [layer for layer in ask.house.with_role("permeable_layer") if layer.box is None]
    share = float(np.mean([any(layer.holds(point) for layer in layers) for point in points]))
    rung = min(ask.part(layer.part).rung_as("permeable_layer") for layer in layers)
    own = max(
        (part.roles[role] for role in ("collector", "suction_point") if role in part.roles), default=rung
    )
    seen = (
        Evidence("height of the axis", float(np.mean(points[:, 2])), "length", own, part.element.global_id),
        Evidence(
            "bottom of the permeable layer",
            min(layer.bottom for layer in layers),
            "length",
            rung,
            layers[0].part.element.global_id,
        ),
        Evidence(
            "top of the permeable layer",
            max(layer.top for layer in layers),
            "length",
            rung,
            layers[0].part.element.global_id,
        ),
    )
    if undrawn and share < 1:
        missing = Missing("shape", undrawn[0].name, "draw this part of the permeable layer")
        return Quantity("ratio", share, 1.0, rung=min(rung, own), evidence=seen, missing=(missing,))
    return exact(share, "ratio", *seen, rung=min(rung, own))


@measure(
    "truth", ("collector", "suction_point"), example="false for a pipe whose axis lies 60 mm under the gravel"
)
def collector_in_layer(part: Part, ask: Ask) -> Quantity:
    """Whether all of the collector's centre line lies in the permeable layer."""
    share = ask.measure("share_in_layer", part)
    if not share.known and share.low < 1:
        return unknown("truth", *share.missing, evidence=share.evidence)
    # the outer hundredth is the end of a pipe set against a footing or into a fitting
    return truth(share.low >= 0.99, *share.evidence, rung=share.rung)


def _points(part: Part, ask: Ask) -> Array | None:
    piece = piping_of(ask.house).pieces.get(part.key)
    if piece is not None and piece.kind == "pipe" and piece.line is not None:
        length = float(arc_lengths(piece.line)[-1])
        return np.array([point_at(piece.line, along) for along in np.linspace(0, length, 101)])
    return part.box.centre[None] if part.box is not None and np.all(np.isfinite(part.box.centre)) else None
