"""Load levels as people write them: allowable (ASD) or strength (LRFD), and what pushes: wind or seismic."""

from __future__ import annotations

METHODS = {
    "asd": "ASD",
    "allowable": "ASD",
    "service": "ASD",
    "lrfd": "LRFD",
    "strength": "LRFD",
    "factored": "LRFD",
}
HAZARDS = {"wind": "wind", "seismic": "seismic", "earthquake": "seismic"}


def load_level(text: str) -> str:
    """The level in one spelling, "" where no method is named.

    >>> load_level("wind, allowable"), load_level("LRFD seismic"), load_level("as calculated")
    ('ASD wind', 'LRFD seismic', '')
    """
    words = text.lower().replace(",", " ").replace("-", " ").replace("/", " ").split()
    methods = list(dict.fromkeys(METHODS[word] for word in words if word in METHODS))
    hazards = sorted({HAZARDS[word] for word in words if word in HAZARDS}, reverse=True)
    return " ".join([methods[0], *hazards]) if len(methods) == 1 else ""


def method_of(level: str) -> str:
    """`ASD` or `LRFD`, "" if not stated."""
    return level.split(maxsplit=1)[0] if level else ""


def hazard_of(level: str) -> str:
    """`wind` or `seismic`, "" if neither or both are stated."""
    hazards = level.split()[1:]
    return hazards[0] if len(hazards) == 1 else ""


def holds_for(capacity: str, demand: str) -> bool:
    """Whether a capacity stated for one level may be compared with a demand of another.

    The method must be the same and the capacity must name the demand's hazard; one stated for wind and
    seismic holds for either.

    >>> holds_for("ASD wind seismic", "ASD wind"), holds_for("ASD", "ASD wind")
    (True, False)
    """
    return (
        bool(demand)
        and method_of(capacity) == method_of(demand)
        and set(demand.split()[1:]) <= set(capacity.split()[1:])
    )
