"""All measures and named sets: the modules listed here are searched for the decorators' marks."""

from __future__ import annotations

from importlib import import_module

from modellint.measures.ask import MeasureSpec, SetSpec

MODULES = (
    "anchor_place",
    "build_state",
    "building",
    "building_soil_gas",
    "collection",
    "capacity",
    "collector",
    "collector_line",
    "crossings",
    "electrical_boxes",
    "fan_place",
    "fan_ready",
    "demand",
    "design_basis",
    "filing",
    "fixtures",
    "floor_under",
    "framing_joints",
    "gravel_pocket",
    "given_twice",
    "hold_down",
    "lever_arm",
    "nuts",
    "opening_walls",
    "membrane",
    "penetrations",
    "joist_cuts",
    "plate_piece",
    "plate_washer",
    "post_bearing",
    "post_plies",
    "post_strength",
    "radon_test",
    "rod",
    "rod_floors",
    "rod_movement",
    "rod_run",
    "roof_ties",
    "sheathing_holes",
    "sheathing_strength",
    "sill_shear",
    "slab",
    "tie_place",
    "tie_set",
    "vent_area",
    "vent_crossings",
    "vent_cure",
    "vent_filing",
    "vent_envelope",
    "vent_mouth",
    "vent_outlet",
    "vent_pipe",
    "vent_route",
    "vent_run",
    "vent_stretch",
    "vent_label_run",
    "vent_screen",
    "vent_test",
    "vent_test_pieces",
    "wall_deflection",
    "wall_end",
    "wall_loads",
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
