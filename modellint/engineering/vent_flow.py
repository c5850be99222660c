"""Flow through a vent run: the flow at which friction uses up the draw."""

from collections.abc import Callable, Iterable
from typing import Literal

from modellint.engineering.constants import STANDARD_PRESSURE
from modellint.engineering.estimate import Estimate, Range, ordered
from modellint.engineering.fitting_losses import (
    EQUIVALENT_LENGTH_SOURCE,
    LOSS_COEFFICIENTS,
    LOSS_SOURCE,
)
from modellint.engineering.moist_air import dry_air_density
from modellint.engineering.pipe_friction import (
    COLEBROOK_SOURCE,
    SMOOTH_PLASTIC,
    air_viscosity,
    pressure_drop,
)
from modellint.engineering.vent_pieces import Piece, Resistance, resistance


def balanced_flow(draw: float, friction: Callable[[float], float]) -> float:
    """Return the flow at which a friction that grows with the flow equals the draw.

    Args:
        draw: Pressure that pulls [Pa].
        friction: Pressure drop [Pa] at a flow [m³/s]; never falling.

    Returns:
        Flow [m³/s]; 0 if nothing pulls upwards.

    Raises:
        ValueError: If the run opposes nothing, so that no flow would balance.
    """
    if not draw > 0.0:
        return 0.0
    low, high = 0.0, 1e-3
    while friction(high) < draw:
        low, high = high, 2.0 * high
        if high > 1e6:
            raise ValueError("A run without any friction has no balanced flow.")
    while high - low > 1e-12 * high:
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        low, high = (middle, high) if friction(middle) < draw else (low, middle)
    return 0.5 * (low + high)


def run_pressure_drop(
    flow: float,
    run: Iterable[Resistance],
    end: Literal[0, 1],
    *,
    temperature: float,
    pressure: float = STANDARD_PRESSURE,
    roughness: float = 0.0,
) -> float:
    """Return the pressure drop of a run at a flow.

    Args:
        flow: Air flow [m³/s].
        run: Resistances, each at its own bore.
        end: 0 for the lowest, 1 for the highest value of each range.
        temperature: Mean air temperature in the pipe [°C].
        pressure: Air pressure [Pa].
        roughness: Roughness of the wall [m].

    Returns:
        Pressure drop [Pa].
    """
    density, viscosity = dry_air_density(temperature, pressure), air_viscosity(temperature)
    return sum(
        pressure_drop(
            flow, one.bore, one.length[end], one.loss[end],
            density=density, viscosity=viscosity, roughness=roughness,
        )
        for one in run
    )


def estimate_vent_flow(
    draw: Range,
    pieces: Iterable[Piece],
    *,
    temperature: float,
    pressure: float = STANDARD_PRESSURE,
    entrance: Range = (0.5, 1.0),
    soil: Range | None = None,
) -> Estimate:
    """Return the flow that a draw moves through a run, as a range.

    The first and the last piece carry the entrance and the exit loss. Elbows of unknown make, odd angles and
    the ranges of draw, entrance and soil all widen the answer.

    Args:
        draw: Weakest and strongest draw [Pa]; a draw at or below zero moves nothing up.
        pieces: The run from soil to exit, at least one piece.
        temperature: Mean air temperature in the pipe [°C].
        pressure: Air pressure [Pa].
        entrance: Loss coefficient at the lower end.
        soil: Resistance of soil and gravel [Pa per m³/s]; None leaves it out and says so.

    Returns:
        Estimate in L/s.

    Raises:
        ValueError: If there is no piece, or a range runs backwards.
    """
    weakest, strongest = ordered(draw, "Draw")
    first, last = ordered(entrance, "Entrance loss")
    ground = (0.0, 0.0) if soil is None else ordered(soil, "Soil resistance")
    run = [resistance(piece) for piece in pieces]
    if not run:
        raise ValueError("A vent flow needs at least one piece of pipe.")
    run = [Resistance(run[0].bore, loss=(first, last)), *run]
    run.append(Resistance(run[-1].bore, loss=LOSS_COEFFICIENTS["exit"]))

    def at(end: Literal[0, 1], pull: float) -> float:
        def friction(flow: float) -> float:
            pipe = run_pressure_drop(
                flow, run, end, temperature=temperature, pressure=pressure, roughness=SMOOTH_PLASTIC[end]
            )
            return pipe + ground[end] * flow

        return 1000.0 * balanced_flow(pull, friction)

    below = (
        "Resistance of soil and gravel is left out, so this is the most that the pipe could carry."
        if soil is None
        else f"Soil and gravel oppose {ground[0]:g} to {ground[1]:g} Pa per m³/s."
    )
    back = " Below zero the flow may turn round; that is not computed." if weakest < 0.0 else ""
    return Estimate(
        "flow of the vent pipe alone" if soil is None else "vent flow",
        at(1, weakest),
        at(0, strongest),
        "L/s",
        (
            f"Draw of {weakest:.3g} to {strongest:.3g} Pa, steady; "
            f"air in the pipe at {temperature:g} °C.{back}",
            "Smooth plastic pipe, clear bore, airtight joints; no water, frost or screen in the way.",
            below,
        ),
        (COLEBROOK_SOURCE, EQUIVALENT_LENGTH_SOURCE, LOSS_SOURCE),
    )
