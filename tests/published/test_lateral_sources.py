"""Every public formula and table names its source, memory mark and units; docstring examples run."""

import ast
import doctest
import importlib
import inspect

import pytest

from modellint.engineering.source import Source
from modellint.engineering.source_book import source_of

MODULES = (
    "aspect_ratio",
    "bcbc_bracing",
    "boring_notching",
    "bracing_lengths",
    "concrete_breakout",
    "concrete_shear",
    "dowel_yield",
    "framing_width",
    "load_combinations",
    "nails",
    "overturning",
    "perforated_wall",
    "plate_washer",
    "post_compression",
    "rod",
    "sheathing_capacity",
    "sheathing_table",
    "shrinkage",
    "sill_anchorage",
    "sill_bolt",
    "two_sided",
    "wall_deflection",
    "wood_bearing",
    "wood_species",
)
FROM_MEMORY = (
    ("sheathing_capacity", "lrfd_factor", "2021"),
    ("sheathing_capacity", "strength_thickness", ""),
    ("aspect_ratio", "unblocked_factor", ""),
    ("aspect_ratio", "strength_factor", "fibreboard"),
    ("two_sided", "two_faces", ""),
    ("perforated_wall", "eligibility", "2015"),
    ("plate_washer", "cut_washer_allowed", ""),
    ("wall_deflection", "three_term_deflection", ""),
    ("wall_deflection", "derived_stiffness", ""),
    ("rod", "GRADES", "A307"),
    ("wood_bearing", "crush", ""),
    ("nails", "NAILS", "6d common"),
    ("load_combinations", "combination", "LRFD wind uplift"),
    ("load_combinations", "combination", "LRFD seismic uplift"),
)
PRINTED = (
    ("sheathing_capacity", "asd_divisor", "2021"),
    ("sheathing_table", "nominal_unit_shear", "2015"),
    ("framing_width", "nominal_trigger", "2021"),
    ("perforated_wall", "eligibility", "2021"),
    ("plate_washer", "edge_rule_applies", ""),
    ("dowel_yield", "dowel_bearing", ""),
    ("overturning", "stacked", "sum"),
    ("sill_anchorage", "irc_rule", "seismic"),
    ("boring_notching", "top_plate_tie_needed", ""),
)


def module(name: str):
    return importlib.import_module(f"modellint.engineering.{name}")


def public_functions(name: str) -> list:
    return [
        item
        for key, item in sorted(vars(module(name)).items())
        if inspect.isfunction(item) and not key.startswith("_") and item.__module__ == module(name).__name__
    ]


@pytest.mark.parametrize("name", MODULES)
def test_every_public_function_has_a_source(name) -> None:
    sources = module(name).SOURCES
    assert all(isinstance(source, Source) for source in sources.values())
    missing = [
        f.__name__
        for f in public_functions(name)
        if not any(key.split("@")[0] == f.__name__ for key in sources)
    ]
    assert missing == []


@pytest.mark.parametrize("name", MODULES)
def test_every_source_belongs_to_something(name) -> None:
    for key in module(name).SOURCES:
        assert hasattr(module(name), key.split("@")[0]), key


@pytest.mark.parametrize("name", MODULES)
def test_docstrings_name_units_and_errors(name) -> None:
    for function in public_functions(name):
        text = inspect.getdoc(function)
        assert text, function
        returns = inspect.signature(function).return_annotation
        if returns == "float":
            assert "[" in text, f"{function.__name__} gives no unit"
        source = inspect.getsource(function)
        if any(guard in source for guard in ("positive(", "one_of(", "in_range(", "raise ValueError")):
            assert "Raises:" in text, function.__name__


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings(name) -> None:
    assert doctest.testmod(module(name)).failed == 0


@pytest.mark.parametrize(("name", "what", "edition"), FROM_MEMORY)
def test_what_is_from_memory_says_so(name, what, edition) -> None:
    found = source_of(module(name).SOURCES, what, edition)
    assert found.memory
    assert "from memory" in found.words()


@pytest.mark.parametrize(("name", "what", "edition"), PRINTED)
def test_what_was_seen_is_not_marked(name, what, edition) -> None:
    assert not source_of(module(name).SOURCES, what, edition).memory


def test_formulae_import_numbers_only() -> None:
    allowed = ("modellint.engineering", "modellint.units")
    for name in MODULES:
        tree = ast.parse(inspect.getsource(module(name)))
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module.startswith("modellint"):
                assert node.module.startswith(allowed), (name, node.module)


def test_unknown_source_is_refused() -> None:
    with pytest.raises(ValueError, match="No source"):
        source_of({}, "anything", "2015")
