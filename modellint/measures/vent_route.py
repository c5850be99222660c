"""Measures of a vent's way: stated and drawn gradient, equivalent length, narrowest size."""

from __future__ import annotations

from modellint.engineering.vent_pieces import Elbow, Piece, Reducer, Straight, Tee, equivalent_length
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.soil_gas import piping_of
from modellint.graph.vent_route import Leg, legs_of
from modellint.measures.ask import Ask, measure
from modellint.measures.quantity import Evidence, Missing, Quantity, between, exact, truth, unknown
from modellint.roles.part import Part, Rung


def _of(part: Part) -> str:
    return f"{part.name} ({part.element.global_id})"


@measure("truth", "vent_pipe", example="true where the pipe's property set gives a gradient")
def gradient_stated(pipe: Part, ask: Ask) -> Quantity:
    """Whether the model states a gradient for the pipe."""
    rows = piping_of(ask.house).facts.readings(pipe.element, "gradient")
    seen = tuple(Evidence(row.where, None, "", row.rung, pipe.element.global_id) for row in rows)
    return truth(bool(rows), *seen, rung=rows[0].rung if rows else Rung.DECLARED)


@measure("slope", "vent_pipe", example="3.3 % where 2 % is stated and the pipe falls away by 1.3 %")
def gradient_difference(pipe: Part, ask: Ask) -> Quantity:
    """How far the stated gradient lies from the drawn fall toward the suction side, at least 0.

    IFC states a gradient without its direction, so it is read as a fall toward the suction side. What is
    drawn governs every other rule; the statement never replaces it.
    """
    drawn = ask.measure("fall_to_suction", pipe)
    rows = piping_of(ask.house).facts.readings(pipe.element, "gradient")
    if not rows:
        return unknown("slope", Missing("gradient", _of(pipe), "state the gradient"), low=0.0)
    stated = abs(float(rows[0].value))
    seen = (Evidence(rows[0].where, stated, "slope", rows[0].rung, pipe.element.global_id), *drawn.evidence)
    gaps = sorted((abs(stated - drawn.low), abs(stated - drawn.high)))
    low = 0.0 if drawn.low <= stated <= drawn.high else gaps[0]
    rung = min(drawn.rung, rows[0].rung)
    if drawn.low == drawn.high:
        return exact(low, "slope", *seen, rung=rung)
    return between(low, gaps[1], "slope", *seen, rung=rung, missing=drawn.missing)


def physics_pieces(legs: tuple[Leg, ...]) -> list[Piece] | None:
    """Legs of a run as the formulae take them; None where a bore is not known."""
    found: list[Piece] = []
    for leg in legs:
        if leg.bore is None:
            return None
        bore = leg.bore[0]
        if leg.kind == "straight":
            found.append(Straight(leg.length, bore))
        elif leg.kind == "elbow":
            found.append(Elbow(leg.angle, bore, leg.make))  # type: ignore[arg-type]
        elif leg.kind == "tee":
            found.append(Tee(bore, "branch" if leg.angle > 45.0 else "run"))
        elif leg.before is not None:
            found.append(Reducer(leg.before[0], bore))
    return found


@measure("length", "vent_run", example="14.6 to 21.3 m: 9.1 m of pipe and two elbows of unknown make")
def vent_equivalent_length(run: VentRun, ask: Ask) -> Quantity:
    """Length of the way from suction point to exit, with what its elbows add by the published table.

    Elbows that do not say whether they are sweep or sharp widen the range. Tees and reducers, and elbows of a
    bore that the table lacks, are not part of it.
    """
    legs = legs_of(run)
    pieces = physics_pieces(legs) if legs else None
    if not legs or not pieces or not run.outlets or not run.suction:
        return unknown(
            "length", Missing("way of the air", run.name, "draw the vent from suction point to exit"), low=0.0
        )
    for leg in legs:
        ask.part(leg.part)
    low, high = equivalent_length(pieces)
    pipes = sum(leg.length for leg in legs)
    elbows = [leg for leg in legs if leg.kind == "elbow"]
    seen = (
        Evidence("pipe on the way", pipes, "length", run.rung, run.parts[0].element.global_id),
        Evidence(
            f"{len(elbows)} elbows on the way: " + (", ".join(leg.part.name for leg in elbows) or "none"),
            None,
            "",
            run.rung,
        ),
    )
    if high - low < 1e-9:
        return exact(low, "length", *seen, rung=run.rung)
    vague = [leg.part for leg in elbows if leg.make == "unknown"] or [leg.part for leg in elbows]
    missing = Missing(
        "make of the elbows", run.name, f"say whether {vague[0].name} is a sweep or a sharp elbow"
    )
    return between(low, high, "length", *seen, rung=run.rung, missing=(missing,))


@measure("length", "vent_run", example="3 in (76.2 mm)")
def narrowest_size(run: VentRun, ask: Ask) -> Quantity:
    """Least nominal size of the vent's pipes above the gravel."""
    pipes = [
        part
        for part in run.parts
        if part.has("vent_pipe") and run.network.colour_of.get(part.key) != "plumbing"
    ]
    sizes = [ask.measure("vent_size", part) for part in pipes]
    if not sizes:
        return unknown("length", Missing("vent_pipe", run.name, "draw the vent"), low=0.0)
    least = min(sizes, key=lambda size: size.low)
    return Quantity(
        "length",
        least.low,
        min(size.high for size in sizes),
        rung=min(size.rung for size in sizes),
        evidence=least.evidence,
        missing=least.missing,
    )
