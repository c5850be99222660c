"""All measures and named sets: the modules listed here are searched for the decorators' marks."""

from __future__ import annotations

from importlib import import_module

from modellint.measures.ask import MeasureSpec, SetSpec

MODULES = (
    "building",
    "building_soil_gas",
    "collection",
    "capacity",
    "collector",
    "crossings",
    "fan_ready",
    "demand",
    "fixtures",
    "framing_joints",
    "gravel_pocket",
    "hold_down",
    "penetrations",
    "plate_piece",
    "plate_washer",
    "post_bearing",
    "rod",
    "rod_floors",
    "sheathing_strength",
    "slab",
    "tie_set",
    "vent_mouth",
    "vent_outlet",
    "vent_pipe",
    "vent_route",
    "vent_run",
    "vent_stretch",
    "vent_test",
    "wall_end",
    "wall_segment",
)


def all_measures() -> dict[str, MeasureSpec]:
    """Name to measure, sorted."""
    return {name: spec for name, spec in _all().items() if isinstance(spec, MeasureSpec)}


def all_sets() -> dict[str, SetSpec]:
    """Name to named set, sorted."""
    return {name: spec for name, spec in _all().items() if isinstance(spec, SetSpec)}


def _all() -> dict[str, MeasureSpec | SetSpec]:
    found: dict[str, MeasureSpec | SetSpec] = {}
    for name in MODULES:
        module = import_module(f"modellint.measures.{name}")
        for value in vars(module).values():
            spec = getattr(value, "spec", None)
            if isinstance(spec, (MeasureSpec, SetSpec)) and value.__module__ == module.__name__:
                if spec.name in found:
                    raise RuntimeError(f"two measures are called {spec.name}")
                found[spec.name] = spec
    return dict(sorted(found.items()))
