"""The registry of all measures and sets that rules may name."""

from __future__ import annotations

from functools import cache

from modellint.measures.registry import all_measures, all_sets
from modellint.rulebook.vocabulary import Registry


@cache
def registry() -> Registry:
    """All measures and named sets."""
    return Registry(all_measures(), all_sets())
