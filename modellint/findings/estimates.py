"""What physics suggests of each vent: draw, flow, water, cold pipe. Estimates, never an outcome."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

from modellint.engineering.condensation import estimate_condensate, winter_week
from modellint.engineering.estimate import Estimate, Range
from modellint.engineering.moist_air import dew_point, humidity_ratio
from modellint.engineering.stack_draw import STACK_SOURCE, stack_draw
from modellint.engineering.vent_flow import estimate_vent_flow
from modellint.engineering.wind_suction import ROOF_COEFFICIENTS, estimate_wind_suction, roof_coefficient
from modellint.graph.house import House
from modellint.graph.pipe_nodes import VentRun
from modellint.graph.roof_surface import Roof
from modellint.graph.vent_route import Leg, legs_of
from modellint.measures.vent_route import physics_pieces

ZERO = 273.15


def vent_estimates(house: House, settings: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Estimates of every vent that runs from a suction point to an exit.

    Args:
        house: connected.
        settings: general settings in SI; those named `estimate_…` give temperatures and wind.

    Returns:
        Rows `{name, low, high, unit, assumptions}` for `Report.estimates`; `low` and `high` are None where
        the data do not reach. Nothing where the settings were not loaded.
    """
    if "estimate_pipe_low" not in settings:
        return []
    rows = []
    for run in house.nodes.get("vent_run", ()):
        legs = legs_of(run)
        if legs and run.outlets and run.suction and run.outlets[0].end.point is not None:
            try:
                rows += [_row(run, estimate) for estimate in _of_run(house, run, legs, settings)]
            except ValueError as error:  # a drawing outside what a formula holds for, e.g. pipes 80 m wide
                rows.append({"name": f"estimates, {run.name}", "low": None, "high": None, "unit": "",
                             "assumptions": [f"Not estimated: {error}"]})
    return rows


def _row(run: VentRun, estimate: Estimate) -> dict[str, Any]:
    sources = "; ".join(source.words() for source in estimate.sources)
    low, high = (_three(value) for value in estimate.range)
    return {
        "name": f"{estimate.name}, {run.name}",
        "low": low,
        "high": high,
        "unit": estimate.unit,
        "assumptions": [*estimate.assumptions, *([f"Method: {sources}."] if sources else [])],
    }


def _three(value: float) -> float | None:
    """Three significant digits; None for no number."""
    return float(f"{value:.3g}") + 0.0 if np.isfinite(value) else None


def _range(settings: Mapping[str, Any], low: str, high: str, less: float = 0.0) -> Range:
    ends = sorted(float(settings[name]) - less for name in (low, high))
    return ends[0], ends[1]


def _of_run(house: House, run: VentRun, legs: tuple[Leg, ...], settings: Mapping[str, Any]) -> list[Estimate]:
    outdoors = _range(settings, "estimate_outdoors_low", "estimate_outdoors_high", ZERO)
    pipe = _range(settings, "estimate_pipe_low", "estimate_pipe_high", ZERO)
    soil = _range(settings, "estimate_soil_low", "estimate_soil_high", ZERO)
    wind = _range(settings, "estimate_wind_low", "estimate_wind_high")
    edge, said = _warm_edge(house, run)
    stack = _stack(legs, edge, said, outdoors, pipe)
    blow = _wind(house, run, wind)
    found = [stack, blow]
    pieces = physics_pieces(legs)
    cold = _cold(legs, edge, said)
    if pieces is not None:
        gust = blow.high if np.isfinite(blow.high) else 0.0
        flow = estimate_vent_flow((stack.low, stack.high + max(gust, 0.0)), pieces, temperature=sum(pipe) / 2)
        found.append(
            replace(
                flow,
                assumptions=(
                    *flow.assumptions,
                    f"Way of the air: {', '.join(leg.part.name for leg in legs)}.",
                    "From the weakest stack draw alone to the strongest with the strongest wind.",
                ),
            )
        )
        damp = (float(settings["estimate_soil_humidity"]), 1.0)
        found.append(_dew(soil, damp))
        if cold.high > 0:
            litres = (flow.low / 1000.0, flow.high / 1000.0)
            water = estimate_condensate(litres, soil, damp, outdoors)
            carried = f"Flow of {flow.low:.2g} to {flow.high:.3g} L/s, as estimated for the pipe alone."
            week = winter_week(water)
            found.append(replace(water, assumptions=(carried, *water.assumptions)))
            found.append(
                replace(week, assumptions=("Grams per hour as above, the same weather for 7 days.",))
            )
    found.append(cold)
    return found


def _warm_edge(house: House, run: VentRun) -> tuple[float | None, str]:
    """Height above which the pipe lies outside the heated house, and why."""
    attics = [node for node in house.nodes.get("vent_storey", ()) if node.run is run and node.attic]
    if attics:
        low = min(node.low for node in attics)
        return low, f"Pipe above {attics[0].storey} counts as outside the heated house."
    roof: Roof | None = next(iter(house.nodes.get("roof_surface", ())), None)
    if roof is not None and roof.drawn:
        return float(
            roof.triangles[:, :, 2].min()
        ), "Pipe above the eaves counts as outside the heated house."
    return None, "No attic and no roof is drawn; all pipe counts as inside the heated house."


def _stack(legs: tuple[Leg, ...], edge: float | None, said: str, outdoors: Range, pipe: Range) -> Estimate:
    lines = np.vstack([leg.line for leg in legs if leg.line is not None])
    bottom, top = float(lines[:, 2].min()), float(lines[:, 2].max())
    warm = top - bottom if edge is None else max(min(edge, top) - bottom, 0.0)
    low = stack_draw(warm, outdoors[1], pipe[0])
    high = stack_draw(top - bottom, outdoors[0], pipe[1])
    return Estimate(
        "stack draw",
        min(low, high),
        max(low, high),
        "Pa",
        (
            f"Column of {top - bottom:.2f} m, of which {warm:.2f} m inside the heated house. {said}",
            f"Outside air at {outdoors[0]:g} to {outdoors[1]:g} °C, "
            f"air in the pipe at {pipe[0]:g} to {pipe[1]:g} °C.",
            "Weakest with a cold attic pipe that draws nothing, strongest with the whole column warm.",
            "Still air; the house's own pressures are left out.",
        ),
        (STACK_SOURCE,),
    )


def _wind(house: House, run: VentRun, wind: Range) -> Estimate:
    pitch = _pitch(house, run)
    coefficient = roof_coefficient(pitch) if pitch is not None else None
    if pitch is None or coefficient is None:
        why = (
            "No roof is drawn under the exit."
            if pitch is None
            else f"The roof's pitch of {pitch:.0f}° lies outside the data; wind may push there."
        )
        return Estimate("wind suction at the exit", -np.inf, np.inf, "Pa", (why,))
    found = estimate_wind_suction(wind, coefficient, ROOF_COEFFICIENTS[0].source)
    return replace(found, assumptions=(f"Roof pitch {pitch:.1f}° under the exit.", *found.assumptions))


def _pitch(house: House, run: VentRun) -> float | None:
    """Pitch of the roof face under the exit (of the nearest face in plan), degrees."""
    roof: Roof | None = next(iter(house.nodes.get("roof_surface", ())), None)
    point = run.outlets[0].end.point
    if roof is None or not roof.drawn or point is None:
        return None
    faces = roof.triangles
    normals = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])
    sizes = np.linalg.norm(normals, axis=1)
    level = np.abs(normals[:, 2]) / np.maximum(sizes, 1e-12)
    wide = sizes * level
    usable = wide >= 0.2 * float(wide.max(initial=0.0))  # edges of the slabs are no roof faces
    if not usable.any():
        return None
    gaps = np.linalg.norm(faces[usable].mean(axis=1)[:, :2] - point[:2], axis=1)
    return float(np.degrees(np.arccos(np.clip(level[usable][int(np.argmin(gaps))], -1.0, 1.0))))


def _dew(soil: Range, damp: Range) -> Estimate:
    ends = [dew_point(humidity_ratio(soil[k], damp[k])) for k in (0, 1)]
    return Estimate(
        "dew point of the soil air",
        min(ends),
        max(ends),
        "°C",
        (
            f"Soil air at {soil[0]:g} to {soil[1]:g} °C and {damp[0]:.0%} to {damp[1]:.0%} humidity.",
            "Where the pipe is colder than this, water condenses in it.",
        ),
    )


def _cold(legs: tuple[Leg, ...], edge: float | None, said: str) -> Estimate:
    """Length of pipe on the cold side of the envelope, and which pipes."""
    total, names = 0.0, []
    for leg in legs:
        if leg.line is None or edge is None:
            continue
        length = sum(_above(a, b, edge) for a, b in pairwise(leg.line))
        if length > 0.001:
            total += length
            names.append(f"{leg.part.name} ({length:.2f} m)")
    listed = f"On the cold side: {', '.join(names)}." if names else "No pipe lies on the cold side."
    return Estimate(
        "length of pipe on the cold side",
        total,
        total,
        "m",
        (said, listed, "Insulation is not read; ANSI/AARST asks for it where ice would block the pipe."),
    )


def _above(a: Any, b: Any, edge: float) -> float:
    low, high = sorted((float(a[2]), float(b[2])))
    length = float(np.linalg.norm(np.asarray(b) - np.asarray(a)))
    if high - low < 1e-9:
        return length if low >= edge else 0.0
    return length * (high - max(min(edge, high), low)) / (high - low)
